"""Tables of text cells out of CSV and XLSX files, with the line number of each row."""

from __future__ import annotations

import csv
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from nutricost.errors import DocumentError, Problem

ROW_LIMIT = 100_000
COLUMN_LIMIT = 500
UNFOLDED_LIMIT_BYTES = 200_000_000
"""Far above any list of pouches; they bound what a small but mischievous file can unfold to."""

ACCEPTED = "a table saved as CSV (UTF-8) or XLSX"

Row = tuple[int, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A header and the rows below it, each with its line number; rows without any text are left out.

    `decimal_comma`: the file separates cells by semicolons, so its numbers may have decimal commas.
    """

    header: tuple[str, ...]
    header_line: int
    rows: tuple[Row, ...]
    decimal_comma: bool = False
    warnings: tuple[Problem, ...] = ()


def read_sheet(content: bytes, name: str) -> Sheet:
    """The table in a CSV or XLSX file. Raises DocumentError."""
    notes: list[Problem] = []
    decimal_comma = False
    if content.startswith(b"PK\x03\x04"):
        lines = _xlsx_rows(content, name)
    elif content.startswith(b"\xd0\xcf\x11\xe0"):
        raise _refused(name, "is an old binary spreadsheet")
    else:
        text = _decoded(content, name, notes)
        separator, text, skipped = _separator(text)
        decimal_comma = separator == ";"
        lines = _csv_rows(text, separator, skipped, name)
    rows = _bounded(lines, name)
    if not rows:
        raise _refused(name, "is empty")
    return Sheet(rows[0][1], rows[0][0], tuple(rows[1:]), decimal_comma, tuple(notes))


def _bounded(lines: Iterable[Row], name: str) -> list[Row]:
    """The rows that hold any text. Raises DocumentError for a table of absurd size."""
    rows: list[Row] = []
    for line, cells in lines:
        if len(cells) > COLUMN_LIMIT:
            raise _refused(f"{name}: line {line}", f"has more than {COLUMN_LIMIT} columns")
        if any(cell.strip() for cell in cells):
            rows.append((line, cells))
        if len(rows) > ROW_LIMIT:
            raise _refused(name, f"has more than {ROW_LIMIT} rows")
    return rows


def _refused(where: str, what: str) -> DocumentError:
    return DocumentError([Problem(where, what, ACCEPTED)])


def _decoded(content: bytes, name: str, notes: list[Problem]) -> str:
    """The text: UTF-16 by its byte order mark, else UTF-8, else Latin-1 with a warning."""
    try:
        if content.startswith((b"\xff\xfe", b"\xfe\xff")):
            text = content.decode("utf-16")
        else:
            text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("latin-1")
        notes.append(Problem(name, "is not UTF-8; read as Latin-1, check the names", severity="warning"))
    if re.search(r"[\x00-\x08\x0b\x0e-\x1f\x7f]", text.rstrip("\x1a")):
        raise _refused(name, "holds bytes that are no text")
    return text.rstrip("\x1a")


def _separator(text: str) -> tuple[str, str, int]:
    """What separates the cells, the text to read and the lines left out in front of it.

    Some spreadsheets say it in a first line "sep=;"; else it is the sign that the header has most of.
    """
    said = re.match(r'"?sep=([,;\t])"?\r?\n', text, re.IGNORECASE)
    if said:
        return said[1], text[said.end() :], 1
    header = next((line for line in text.splitlines() if line.strip()), "")
    return max(",;\t", key=header.count), text, 0


def _csv_rows(text: str, separator: str, skipped: int, name: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    while True:
        line = reader.line_num + 1 + skipped
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise _refused(f"{name}: line {line}", f"broken CSV: {error}") from None
        yield line, tuple(cells)


def _xlsx_rows(content: bytes, name: str) -> Iterable[Row]:
    """The rows of the first sheet, formulas as the values last shown."""
    import openpyxl

    try:
        unfolded = sum(entry.file_size for entry in zipfile.ZipFile(io.BytesIO(content)).infolist())
        if unfolded > UNFOLDED_LIMIT_BYTES:
            raise _refused(name, "unfolds to more than 200 MB")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # styles and extensions that do not matter here
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            try:
                cells = book.worksheets[0].iter_rows(max_col=COLUMN_LIMIT, values_only=True)
                texts = (tuple(_cell_text(cell) for cell in row) for row in cells)
                return _bounded(enumerate(texts, start=1), name)
            finally:
                book.close()
    except DocumentError:
        raise
    except Exception:  # a damaged file makes the library raise nearly anything
        raise _refused(name, "cannot be read as a spreadsheet") from None


def _cell_text(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime | date):
        return cell.isoformat()
    return str(cell)
