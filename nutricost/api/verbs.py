"""The Python verbs: the same use cases as the commands, tables as pandas DataFrames.

Column names of every table carry units. `low` and `high` columns give the interval of the column before
them; what is not known is missing (NaN), never zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from nutricost.api.cards import Card
from nutricost.api.cards import recipe_card as _recipe_card
from nutricost.api.comparing import Comparison, compare_offers, offers_of
from nutricost.api.decisions import alternative, chosen_pouches, deal_of, freezer_space, home_batch
from nutricost.api.documents import embedded_matcher
from nutricost.api.foods import find_foods as _find_foods
from nutricost.api.foods import match_lines as _match_lines
from nutricost.api.lines import grams_figure
from nutricost.api.planning import PlanReport, plan_documents
from nutricost.api.public_form import number
from nutricost.api.tables import comparison_rows
from nutricost.api.tracing import figure_of, trace_view
from nutricost.domain.comparison import pouch_offer, rank_offers, read_measure
from nutricost.domain.deal import Deal
from nutricost.domain.documents import Batch, Machine, Plan, Pouch
from nutricost.domain.payback import Equal
from nutricost.domain.payback import payback as _payback
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError
from nutricost.sources.documents import read_batch as _read_batch
from nutricost.sources.documents import read_machine, read_plan
from nutricost.sources.documents import read_pouches as _read_pouches

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "compare", "deal", "find_foods", "match_lines", "payback", "plan", "rank", "read_batch", "read_machine",
    "read_plan", "read_pouches", "recipe_card", "trace",
]  # fmt: skip


def read_batch(path: str | Path) -> Batch:
    """A batch document. Raises DocumentError with every problem of it."""
    return _read_batch(Path(path))


def read_pouches(path: str | Path, currency: str = "USD") -> list[Pouch]:
    """The pouches of a CSV or XLSX file. Raises DocumentError with every problem of it."""
    return list(_read_pouches(Path(path), currency).pouches)


def recipe_card(batch: Batch) -> Card:
    """The card of a batch; its `per_serving`, `per_batch` and other mappings hold figures."""
    return _recipe_card(batch, matcher=embedded_matcher())


def find_foods(text: str, sources: str | Sequence[str] = (), limit: int = 10) -> pd.DataFrame:
    """Foods that fit the text, best first, with their values per 100 g."""
    foods = _find_foods(text, [sources] if isinstance(sources, str) else sources, limit)
    keys = {"energy": "kcal", "protein": "g", "fat": "g", "carbohydrate": "g", "sodium": "mg", "water": "g"}
    return _frame(
        {
            "key": food.key,
            "description": food.description,
            "group": food.group,
            "source": food.source,
            **{f"{key} [{unit}/100 g]": _plain(food.per_100g(key)) for key, unit in keys.items()},
        }
        for food in foods
    )


def match_lines(lines: str | Sequence[str], sources: str | Sequence[str] = ()) -> pd.DataFrame:
    """The food and grams of each ingredient line that is not blank, in order; a text is split into lines."""
    each = lines.splitlines() if isinstance(lines, str) else lines
    asked = [sources] if isinstance(sources, str) else sources
    return _frame(
        {
            "line": match.text,
            "status": match.status,
            "key": match.food.key if match.food else None,
            "description": match.food.description if match.food else None,
            "confidence": match.confidence,
            **_columns("grams [g]", grams_figure(match, "the line")),
        }
        for match in _match_lines(each, asked)
    )


def compare(
    batches: Batch | Sequence[Batch], pouches: Sequence[Pouch] = (), basis: str = "serving"
) -> pd.DataFrame:
    """Offers on a basis with every measure, in the order given; statements are in `.attrs`."""
    comparison: Comparison = compare_offers(
        [recipe_card(batch) for batch in _several(batches)], pouches, basis
    )
    written = comparison_rows(comparison)
    headers = [column.header for column in written.columns]
    table = _frame(
        {
            header: float(cell) if isinstance(cell, Decimal) else cell
            for header, cell in zip(headers, row, strict=True)
        }
        for row in written.rows
    )
    table.attrs["statements"] = [statement.text for statement in comparison.statements]
    table.attrs["warnings"] = list(comparison.warnings)
    return table


def rank(measure: str, batches: Batch | Sequence[Batch], pouches: Sequence[Pouch] = ()) -> pd.DataFrame:
    """Offers by a measure such as 'calories per dollar', best first, with the inverse."""
    offers, currency = offers_of([recipe_card(batch) for batch in _several(batches)], pouches)
    return _frame(
        {
            "name": entry.offer.name,
            "kind": entry.offer.kind,
            **_columns(f"value [{entry.unit}]", entry.value),
            **_columns(f"inverse [{entry.inverse_unit}]", entry.inverse),
        }
        for entry in rank_offers(read_measure(measure, currency), offers)
    )


def trace(
    batch: Batch | Card, figure: str, pouches: Sequence[Pouch] = (), basis: str = "serving"
) -> dict[str, Any]:
    """The tree of a figure, named by its path in the card or comparison such as 'measures.kcal_per_usd'."""
    card = recipe_card(batch) if isinstance(batch, Batch) else batch
    return trace_view(figure_of(card, figure, pouches, basis))


def deal(
    batch: Batch,
    pouches: Sequence[Pouch],
    machine: Machine,
    *,
    against: str | None = None,
    days_to_date: Decimal | None = None,
    space: str | None = None,
) -> Deal:
    """The verdict at the shelf; `space` is a weight such as '6 kg'."""
    room = freezer_space(space) if space is not None else None
    return deal_of(recipe_card(batch), pouches, machine, against, days_to_date, room)


def payback(
    batches: Batch | Sequence[Batch],
    pouches: Sequence[Pouch],
    machine: Machine,
    *,
    against: str | None = None,
    equal: Equal = "kcal",
) -> pd.DataFrame:
    """When the machine has paid for itself, a row an alternative. Raises InputError for another `equal`."""
    if equal not in get_args(Equal):
        raise InputError(f"equal: {equal!r} is not known (accepted: {', '.join(get_args(Equal))})")
    homes = [home_batch(recipe_card(batch)) for batch in _several(batches)]
    rivals = [alternative(pouch_offer(pouch, machine.currency)) for pouch in chosen_pouches(pouches, against)]
    rows = []
    for rival in rivals:
        found = _payback(homes, rival, machine, equal)
        row: dict[str, object] = {"against": found.against, "equal": found.equal}
        for key in ("outlay", "saving_per_batch", "batches_to_break_even", "months_to_break_even"):
            figure: Figure = getattr(found, key)
            row |= _columns(f"{key} [{figure.shown_unit}]", figure)
        rows.append(row)
    return _frame(rows)


def plan(document: Plan) -> PlanReport:
    """What to make, buy and keep for a plan's people and days."""
    return plan_documents(document)


def _several(batches: Batch | Sequence[Batch]) -> Sequence[Batch]:
    return [batches] if isinstance(batches, Batch) else batches


def _plain(value: Decimal | None) -> float | None:
    shown = None if value is None else number(value)
    return None if shown is None else float(shown)


def _columns(name: str, figure: Figure) -> dict[str, float | None]:
    if not figure.is_known:
        return {name: None, f"{name} low": None, f"{name} high": None}
    return {
        name: _plain(figure.value),
        f"{name} low": _plain(figure.low),
        f"{name} high": _plain(figure.high),
    }


def _frame(rows: Iterable[dict[str, object]]) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(list(rows))
