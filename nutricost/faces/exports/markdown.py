"""Comparison and recipe card as Markdown with pipe tables (GitHub Flavored Markdown, section 4.10)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from nutricost.api.card_parts import CardList, CardTable
from nutricost.api.card_tables import card_parts
from nutricost.api.cards import Card
from nutricost.api.comparing import Comparison
from nutricost.api.tables import comparison_headings, offer_figures, statements_by_pair
from nutricost.domain.comparison.bases import BASES
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown, shown_with_range

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~$&])")


def escaped(text: str) -> str:
    """The text as Markdown that shows just these characters, on one line."""
    return _SPECIAL.sub(r"\\\1", " ".join(text.split()))


def comparison_markdown(comparison: Comparison) -> str:
    """The comparison: figures on the basis, measures, statements, warnings."""
    headings = comparison_headings(comparison)
    parts = [f"# On equal terms: {BASES[comparison.basis]}"]
    for title, chosen in (
        ("What it is", [heading for heading in headings if not heading.is_measure]),
        ("What it gives", [heading for heading in headings if heading.is_measure]),
    ):
        rows = [
            [escaped(offer.name), offer.kind, *(shown_with_range(figures[heading.key]) for heading in chosen)]
            for offer in comparison.offers
            for figures in [offer_figures(offer, comparison.basis)]
        ]
        parts += [
            f"## {title}",
            _table(["", "kind", *(escaped(heading.text) for heading in chosen)], rows, left=2),
        ]
    parts.append("In brackets: the range that rounding and estimates allow.")
    if comparison.statements:
        parts.append("## What this says")
    for pair, said in statements_by_pair(comparison.statements):
        parts += [f"**{escaped(pair)}**", _bullets([each.text for each in said])]
    parts += _list("Mind", comparison.warnings)
    return "\n\n".join(parts) + "\n"


def card_markdown(card: Card, gas_per_litre: Figure | None = None) -> str:
    """The recipe card: cautions that can hurt first, then its tables and lists, then the other cautions."""
    parts = [f"# {escaped(card.batch.title)}", f"{shown(card.content.servings)} servings"]
    parts += [
        f"> **{escaped(caution.text)}** ({escaped(caution.source)})"
        for caution in card.cautions
        if caution.severity == "danger"
    ]
    for part in card_parts(card, gas_per_litre):
        parts += _list(part.title, part.items) if isinstance(part, CardList) else _card_table(part)
    parts += _list(
        "Cautions",
        [f"{caution.text} ({caution.source})" for caution in card.cautions if caution.severity != "danger"],
    )
    return "\n\n".join(parts) + "\n"


def _card_table(table: CardTable) -> list[str]:
    parts = [f"## {escaped(table.title)}"]
    if table.rows:
        rows = [
            [escaped(cell) if isinstance(cell, str) else shown_with_range(cell) for cell in row]
            for row in table.rows
        ]
        parts.append(_table([escaped(heading) for heading in table.headings], rows, left=table.left))
    return parts + [escaped(note) for note in table.notes]


def _list(title: str, items: Sequence[str]) -> list[str]:
    return [f"## {title}", _bullets(items)] if items else []


def _bullets(items: Sequence[str]) -> str:
    return "\n".join(f"- {escaped(item)}" for item in items)


def _table(headers: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> str:
    marks = ["---" if i < left else "---:" for i in range(len(headers))]
    return "\n".join(f"| {' | '.join(row)} |" for row in (headers, marks, *rows))
