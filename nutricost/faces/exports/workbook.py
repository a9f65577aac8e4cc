"""The comparison as an XLSX workbook: real numbers, no formulas, a chart, and what is said of it."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

from nutricost.api.comparing import Comparison
from nutricost.api.tables import Column, Table, comparison_rows
from nutricost.domain.comparison.bases import BASES
from nutricost.domain.quantities.display import places_for

_SHEET = "Comparison"
_TEXT_WIDTHS = {"name": 34, "kind": 8, "basis": 14, "notes": 60}


def comparison_xlsx(comparison: Comparison) -> bytes:
    """A workbook with the sheets Comparison, Chart and Said."""
    import xlsxwriter

    table = comparison_rows(comparison)
    out = io.BytesIO()
    # Texts are written as texts only: what a user typed never becomes a formula, a link or a number.
    book = xlsxwriter.Workbook(
        out,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    book.set_properties({"title": f"Comparison, {BASES[comparison.basis]}"})
    _write_table(book, table)
    _write_chart(book, table, comparison)
    _write_said(book, comparison)
    book.close()
    return out.getvalue()


def _write_table(book: Any, table: Table) -> None:
    sheet = book.add_worksheet(_SHEET)
    header = book.add_format({"bold": True, "text_wrap": True, "valign": "bottom", "bottom": 1})
    text = book.add_format({"text_wrap": True, "valign": "top"})
    for place, column in enumerate(table.columns):
        sheet.write_string(0, place, column.header, header)
        cells = [row[place] for row in table.rows]
        style = text if column.part == "text" else _number_style(book, column, cells)
        sheet.set_column(place, place, _TEXT_WIDTHS.get(column.header, 12))
        for line, cell in enumerate(cells, start=1):
            if isinstance(cell, str):
                sheet.write_string(line, place, cell, style)
            elif cell is not None:
                sheet.write_number(line, place, cell, style)
    sheet.set_row(0, 48)
    sheet.freeze_panes(1, 1)
    sheet.autofilter(0, 0, len(table.rows), len(table.columns) - 1)
    sheet.set_landscape()
    sheet.repeat_rows(0)
    sheet.repeat_columns(0)
    sheet.fit_to_pages(0, 1)


def _number_style(book: Any, column: Column, cells: list[Any]) -> Any:
    places = max((places_for(cell, column.unit) for cell in cells if isinstance(cell, Decimal)), default=0)
    shape: dict[str, Any] = {"num_format": "#,##0" + (f".{'0' * places}" if places else ""), "valign": "top"}
    if column.part != "value":
        shape["font_color"] = "#555555"
    return book.add_format(shape)


def _write_chart(book: Any, table: Table, comparison: Comparison) -> None:
    """Bars of energy for the money, drawn by the spreadsheet from the cells of the first sheet."""
    if not table.rows:
        return
    key = f"kcal_per_{comparison.currency.lower()}"
    place = next(i for i, column in enumerate(table.columns) if column.key == key and column.part == "value")
    last = len(table.rows)
    sheet = book.add_chartsheet("Chart")
    chart = book.add_chart({"type": "bar"})
    chart.add_series(
        {
            "name": [_SHEET, 0, place],
            "categories": [_SHEET, 1, 0, last, 0],
            "values": [_SHEET, 1, place, last, place],
            "data_labels": {"value": True},
            "fill": {"color": "#6a8caf"},
            "border": {"color": "#222222"},
        }
    )
    chart.set_title({"name": f"Energy for one {comparison.currency}"})
    chart.set_x_axis({"name": f"kcal per {comparison.currency}", "min": 0})
    chart.set_y_axis({"reverse": True})
    chart.set_legend({"none": True})
    sheet.set_chart(chart)


def _write_said(book: Any, comparison: Comparison) -> None:
    sheet = book.add_worksheet("Said")
    bold = book.add_format({"bold": True})
    text = book.add_format({"text_wrap": True, "valign": "top"})
    sheet.set_column(0, 0, 14)
    sheet.set_column(1, 1, 110)
    sheet.write_string(0, 0, "basis", bold)
    sheet.write_string(0, 1, BASES[comparison.basis], text)
    said = [("statement", statement.text) for statement in comparison.statements]
    said += [("warning", warning) for warning in comparison.warnings]
    for line, (kind, words) in enumerate(said, start=1):
        sheet.write_string(line, 0, kind, text)
        sheet.write_string(line, 1, words, text)
