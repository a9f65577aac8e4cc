"""Reading plain groceries at a price: a sheet with the columns line, paid and, optionally, for."""

from __future__ import annotations

from nutricost.domain.documents import Ingredient
from nutricost.errors import DocumentError, Problem
from nutricost.sources.documents.loading import Source, source_name
from nutricost.sources.documents.pouches import SheetRow, open_sheet
from nutricost.sources.documents.values import NOT_NEGATIVE, Fault, read_price

NEEDED = ("line", "paid")
KNOWN = (*NEEDED, "for", "food", "note")


def read_prices(source: Source, currency: str = "USD") -> tuple[list[Ingredient], list[Problem]]:
    """The groceries of a CSV or XLSX file as lines with what they cost, and the reader's warnings.

    Raises DocumentError with every problem of the file.
    """
    name = source_name(source)
    sheet, columns, code, warnings = open_sheet(source, currency, NEEDED, KNOWN)
    problems: list[Problem] = []
    items = []
    for number, cells in sheet.rows:
        row = SheetRow(f"{name}: line {number}", cells, columns, problems, sheet.decimal_comma)
        line = row.text("line")
        if not line:
            row.problem("line", Fault("is empty", "a line such as '5 lb white rice'"))
        try:
            paid = read_price(row.value("paid"), code, NOT_NEGATIVE)
        except Fault as fault:
            row.problem("paid", fault)
            continue
        items.append(
            Ingredient(
                line=line,
                where=row.where,
                food=row.text("food") or None,
                paid=row.figure("paid", paid, code, f"paid for {line}"),
                shared_for=row.text("for") or None,
            )
        )
    if not sheet.rows:
        problems.append(Problem(name, "no grocery in it", "a line for each below the header"))
    if problems:
        raise DocumentError(problems)
    return items, warnings
