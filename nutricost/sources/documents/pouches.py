"""Reading commercial pouches from a spreadsheet saved as CSV or XLSX."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.documents import Label, Pouch, Printed
from nutricost.domain.quantities import Figure, check_currency
from nutricost.errors import DocumentError, InputError, Problem
from nutricost.sources.documents.labels import (
    PER_CONTAINER,
    nutrient_keys,
    read_count,
    read_printed,
    split_printed,
)
from nutricost.sources.documents.loading import Source, load_bytes, source_name
from nutricost.sources.documents.sheets import Sheet, read_sheet
from nutricost.sources.documents.tables import nearest
from nutricost.sources.documents.values import POSITIVE, Fault, read_amount, read_price

NEEDED = ("name", "price", "servings", "calories")
_PRINTED_KEYS = tuple(nutrient_keys())
KNOWN = (
    "name", "price", "servings", "net_weight", *_PRINTED_KEYS,
    *(key + PER_CONTAINER for key in _PRINTED_KEYS), "water_to_add", "ingredients", "note",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PouchFile:
    """The pouches of a file in its order, and what was passed over in reading it."""

    pouches: tuple[Pouch, ...]
    warnings: tuple[Problem, ...] = ()


def read_pouches(source: Source, currency: str = "USD") -> PouchFile:
    """The pouches of a CSV or XLSX file, columns in any order; prices in `currency`.

    A serving's grams are left to the engine (net weight / servings).
    Raises DocumentError with every problem of the file.
    """
    name = source_name(source)
    sheet, columns, code, warnings = open_sheet(source, currency, NEEDED, KNOWN)
    problems: list[Problem] = []
    pouches = []
    lines: dict[str, int] = {}
    for line, cells in sheet.rows:
        row = SheetRow(f"{name}: line {line}", cells, columns, problems, sheet.decimal_comma)
        if any(cell.strip() for cell in cells[len(sheet.header) :]):
            problems.append(Problem(row.where, "more cells than the header has", "one cell a column"))
        pouch = _pouch(row, code)
        title = row.text("name")
        if title and (first := lines.setdefault(title.casefold(), line)) != line:
            problems.append(
                Problem(f"{row.where}: name", f"{title!r} is on line {first} too", "a name of its own")
            )
        if pouch is not None:
            pouches.append(pouch)
    if not sheet.rows:
        problems.append(Problem(name, "no pouch in it", "a line for each pouch below the header"))
    if problems:
        raise DocumentError(problems)
    return PouchFile(tuple(pouches), tuple(warnings))


def open_sheet(
    source: Source, currency: str, needed: Sequence[str], known: Sequence[str]
) -> tuple[Sheet, dict[str, int], str, list[Problem]]:
    """A price sheet with the place of each known column, the checked currency, and warnings.

    Raises DocumentError for an unknown currency, an unreadable sheet or a missing column.
    """
    name = source_name(source)
    try:
        code = check_currency(currency)
    except InputError as error:
        raise DocumentError([Problem(name, str(error))]) from None
    sheet = read_sheet(load_bytes(source, "a CSV or XLSX file"), name)
    problems: list[Problem] = []
    warnings = list(sheet.warnings)
    columns = read_columns(sheet, name, needed, known, problems, warnings)
    if problems:
        raise DocumentError(problems)
    return sheet, columns, code, warnings


def read_columns(
    sheet: Sheet,
    name: str,
    needed: Sequence[str],
    known: Sequence[str],
    problems: list[Problem],
    warnings: list[Problem],
) -> dict[str, int]:
    """Known column -> its place; what is missing, double or unknown is noted."""
    columns: dict[str, int] = {}
    unknown = []
    where = f"{name}: line {sheet.header_line}"
    for place, heading in enumerate(sheet.header):
        key = column_key(heading)
        if key in columns:
            problems.append(Problem(where, f"two columns {key!r}", "each column once"))
        elif key in known:
            columns[key] = place
        elif heading.strip():
            unknown.append(heading.strip())
    for key in needed:
        if key not in columns:
            near = f", perhaps {nearest(key, unknown)!r} is meant" if unknown else ""
            problems.append(
                Problem(where, f"no column {key!r}{near}", f"the columns {', '.join(needed)} and more")
            )
    for heading in unknown:
        near = nearest(column_key(heading), list(known))
        what = f"column {heading!r} is not known and was passed over; the nearest known one is {near!r}"
        warnings.append(Problem(where, what, severity="warning"))
    return columns


def column_key(heading: str) -> str:
    """The document key of a column heading: "Net weight" -> net_weight, "Fat (g)" -> fat_g."""
    return re.sub(r"[\s()_-]+", "_", heading.strip().lower()).strip("_")


class SheetRow:
    """One row: cells by column; notes what is wrong with the line and column."""

    def __init__(
        self,
        where: str,
        cells: Sequence[str],
        columns: dict[str, int],
        problems: list[Problem],
        decimal_comma: bool,
    ) -> None:
        self.where = where
        self.cells = cells
        self.columns = columns
        self.problems = problems
        self.decimal_comma = decimal_comma

    def text(self, key: str) -> str:
        place = self.columns.get(key)
        return self.cells[place].strip() if place is not None and place < len(self.cells) else ""

    def value(self, key: str) -> str:
        """The cell with a decimal point where the file writes commas."""
        text = self.text(key)
        if self.decimal_comma and re.search(r"\d,\d", text):
            text = re.sub(r"(?<=\d),(?=\d)", ".", re.sub(r"(?<=\d)\.(?=\d{3})", "", text))
        return text

    def problem(self, key: str, fault: Fault) -> None:
        self.problems.append(Problem(f"{self.where}: {key}", fault.what, fault.accepted))

    def amount(self, key: str, kind: str, name: str) -> Figure | None:
        if not self.value(key):
            return None
        try:
            if kind == "mass":
                return self.figure(key, read_amount(self.value(key), "mass", POSITIVE), "g", name)
            return self.figure(key, read_amount(self.value(key), "volume", POSITIVE), "mL", name)
        except Fault as fault:
            self.problem(key, fault)
            return None

    def figure(self, key: str, value: Decimal, unit: str, name: str) -> Figure:
        return Figure.exact(value, unit, name, source=f"{self.where}: {key}", standing="given")

    def printed(self, key: str, unit: str) -> Printed | None:
        if not self.value(key):
            return None
        try:
            return read_printed(self.value(key), unit)
        except Fault as fault:
            self.problem(key, fault)
            return None


def _pouch(row: SheetRow, currency: str) -> Pouch | None:
    """The pouch of a row, None where a needed cell is empty or unusable."""
    for key in NEEDED:
        if not row.text(key):
            row.problem(key, Fault("is empty", "a value in each of " + ", ".join(NEEDED)))
    name = row.text("name")
    price: Figure | None = None
    count: tuple[Decimal, bool] | None = None
    if row.text("price"):
        try:
            value = read_price(row.value("price"), currency, POSITIVE)
            price = row.figure("price", value, currency, f"price of {name}")
        except Fault as fault:
            row.problem("price", fault)
    if row.text("servings"):
        try:
            count = read_count(row.value("servings"))
        except Fault as fault:
            row.problem("servings", fault)
    printed, container, extra = split_printed(row.printed)
    net_weight = row.amount("net_weight", "mass", f"net weight of {name}")
    water = row.amount("water_to_add", "volume", f"water to add to {name}")
    if not name or price is None or count is None:
        return None
    label = Label(
        name=name,
        where=row.where,
        serving_text="",
        servings_per_container=count[0],
        servings_about=count[1],
        printed=printed,
        container_printed=container,
        extra=extra,
        net_weight=net_weight,
        ingredients_text=row.text("ingredients"),
    )
    return Pouch(name, row.where, price, label, water_to_add=water, note=row.text("note"))
