"""The comparison as one table: typed cells under headers with units, for every file format and frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from nutricost.api.comparing import Comparison
from nutricost.api.public_form import number
from nutricost.domain.comparison import Offer, Statement, at_basis, measures
from nutricost.domain.quantities import Figure, display_unit

Cell = str | Decimal | None
Part = Literal["text", "value", "low", "high"]

_MEASURE_TITLES: Mapping[str, str] = {
    "cost_per_serving": "cost per serving",
    "cost_per_100_kcal": "cost per 100 kcal",
    "kcal_per_{code}": "energy per {currency}",
    "kcal_per_gram": "energy per gram",
    "protein_g_per_{code}": "protein per {currency}",
    "sodium_mg_per_1000_kcal": "sodium per 1000 kcal",
}


@dataclass(frozen=True, slots=True)
class Heading:
    """A figure that every offer of a comparison has: its key in the public JSON, title and shown unit."""

    key: str
    title: str
    unit: str
    is_measure: bool

    @property
    def text(self) -> str:
        """Title with the unit in brackets."""
        return f"{self.title} [{self.unit}]" if self.unit else self.title


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the flat table: a text, or one end of a figure."""

    header: str
    part: Part
    unit: str = ""
    key: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Columns and rows of typed cells; an unknown or unbounded number is None, and a note says why."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


def offer_figures(offer: Offer, basis: str) -> dict[str, Figure]:
    """Every figure of an offer on a basis, by its key in the public JSON, measures last."""
    return {**at_basis(offer, basis), **measures(offer)}


def comparison_headings(comparison: Comparison) -> list[Heading]:
    """What stands above each figure of a comparison. Empty where it has no offer."""
    figures = [offer_figures(offer, comparison.basis) for offer in comparison.offers]
    if not figures:
        return []
    titles = {
        key.format(code=comparison.currency.lower()): title.format(currency=comparison.currency)
        for key, title in _MEASURE_TITLES.items()
    }
    return [
        Heading(
            key,
            titles.get(key) or key.replace("_", " "),
            _shared_unit([each[key].unit for each in figures]),
            key in titles,
        )
        for key in figures[0]
    ]


def _shared_unit(units: Sequence[str]) -> str:
    """The unit of a column; a bag at home and a package bought are both one pack."""
    distinct = set(units)
    if len(distinct) == 1:
        return display_unit(units[0])
    return f"{display_unit(units[0].partition('/')[0])}/pack"


def comparison_rows(comparison: Comparison) -> Table:
    """The flat table of a comparison: name, kind, basis; value, low and high of each figure; notes."""
    headings = comparison_headings(comparison)
    columns = [Column("name", "text"), Column("kind", "text"), Column("basis", "text")]
    for heading in headings:
        unit = f" [{heading.unit}]" if heading.unit else ""
        columns.append(Column(f"{heading.title}{unit}", "value", heading.unit, heading.key))
        columns += [
            Column(f"{heading.title}, {end}{unit}", end, heading.unit, heading.key) for end in ("low", "high")
        ]
    columns.append(Column("notes", "text"))
    return Table(
        tuple(columns), tuple(_row(offer, comparison.basis, headings) for offer in comparison.offers)
    )


def _row(offer: Offer, basis: str, headings: Sequence[Heading]) -> tuple[Cell, ...]:
    figures = offer_figures(offer, basis)
    cells: list[Cell] = [offer.name, offer.kind, basis]
    notes = []
    for heading in headings:
        figure = figures[heading.key]
        if figure.value is None:
            cells += [None, None, None]
            notes.append(f"{heading.title}: not known ({figure.why})")
            continue
        cells += [number(figure.value), number(figure.low), number(figure.high)]
        if not (figure.low.is_finite() and figure.high.is_finite()):
            notes.append(f"{heading.title}: without limit")
    return (*cells, "; ".join(notes))


def statements_by_pair(statements: Sequence[Statement]) -> list[tuple[str, list[Statement]]]:
    """The statements under 'this against that', in the order given."""
    pairs: dict[str, list[Statement]] = {}
    for statement in statements:
        pairs.setdefault(f"{statement.subject} against {statement.other}", []).append(statement)
    return list(pairs.items())
