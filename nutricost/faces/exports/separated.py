"""The comparison as CSV (RFC 4180, UTF-8)."""

from __future__ import annotations

import csv
import io

from nutricost.api.comparing import Comparison
from nutricost.api.tables import Cell, comparison_rows

_RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""First characters with which a spreadsheet may run a text: OWASP, CSV Injection."""


def comparison_csv(comparison: Comparison) -> bytes:
    """One row an offer, units in the headers; an unknown number is an empty cell and a note."""
    table = comparison_rows(comparison)
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([column.header for column in table.columns])
    writer.writerows([[_written(cell) for cell in row] for row in table.rows])
    return out.getvalue().encode("utf-8")


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    if not isinstance(cell, str):
        return f"{cell:f}"
    # The apostrophe makes a spreadsheet show the text instead of running it.
    return f"'{cell}" if cell.startswith(_RUNS_AS_FORMULA) else cell
