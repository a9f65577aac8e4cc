"""Comparison and recipe card as Markdown with pipe tables (GitHub Flavored Markdown, section 4.10)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from nutricost.api.card_tables import (
    content_rows,
    cost_rows,
    drying_rows,
    partly_known,
    taken_as,
    water_rows,
)
from nutricost.api.cards import Card
from nutricost.api.comparing import Comparison
from nutricost.api.tables import comparison_headings, offer_figures, statements_by_pair
from nutricost.domain.comparison.bases import BASES
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown, shown_range, shown_with_range

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
        parts += [f"**{escaped(pair)}**", _bullets(said)]
    parts += _list("Mind", comparison.warnings)
    return "\n\n".join(parts) + "\n"


def card_markdown(card: Card) -> str:
    """The recipe card: cautions that can hurt first, then lines, content, money, water, drying."""
    money = card.batch.currency
    parts = [f"# {escaped(card.batch.title)}", f"{shown(card.content.servings)} servings"]
    parts += [
        f"> **{escaped(caution.text)}** ({escaped(caution.source)})"
        for caution in card.cautions
        if caution.severity == "danger"
    ]
    lines = [
        [
            escaped(line.recipe_line.ingredient.line),
            escaped(taken_as(line)),
            shown_with_range(line.recipe_line.content.weight),
            shown_with_range(line.recipe_line.cost),
        ]
        for line in card.lines
    ]
    content = [
        [
            f"{row.name} \\[{row.unit}\\]",
            shown(row.per_serving),
            shown_range(row.per_serving),
            shown(row.per_batch),
            shown(row.per_100g_dry) if row.per_100g_dry is not None else "",
        ]
        for row in content_rows(card)
    ]
    costs = [[name, shown(figure), shown_range(figure)] for name, figure in cost_rows(card)]
    one = card.per_serving["cost"]
    costs.append(["a serving", shown(one), shown_range(one)])
    parts += [
        "## Lines",
        _table(["line", "taken as", "weight \\[g\\]", f"cost \\[{money}\\]"], lines, left=2),
        "## What is in it",
        _table(["", "a serving", "range", "the batch", "100 g dry"], content),
        "## What it costs",
        _table(["", money, "range"], costs),
        "## Water to pour back",
        _table(["", "", "range"], [_with_unit(name, figure) for name, figure in water_rows(card)]),
        "## Drying",
        _table(["", "", "range"], [_with_unit(name, figure) for name, figure in drying_rows(card)]),
    ]
    parts += _list("Known only in part", partly_known(card))
    parts += _list("Taken for granted", card.assumptions)
    parts += _list("Mind", card.warnings)
    parts += _list(
        "Cautions",
        [f"{caution.text} ({caution.source})" for caution in card.cautions if caution.severity != "danger"],
    )
    return "\n\n".join(parts) + "\n"


def _with_unit(name: str, figure: Figure) -> list[str]:
    unit = f" \\[{figure.shown_unit}\\]" if figure.unit else ""
    return [f"{name}{unit}", shown(figure), shown_range(figure)]


def _list(title: str, items: Sequence[str]) -> list[str]:
    return [f"## {title}", _bullets(items)] if items else []


def _bullets(items: Sequence[str]) -> str:
    return "\n".join(f"- {escaped(item)}" for item in items)


def _table(headers: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> str:
    marks = ["---" if i < left else "---:" for i in range(len(headers))]
    return "\n".join(f"| {' | '.join(row)} |" for row in (headers, marks, *rows))
