"""The whole book as a folder of plain documents, and back without loss.

`batches/NAME.toml`, `labels/NAME.toml` and `machine.toml` are the documents word for word;
`pouches.csv` is the pouch document; one CSV file carries each other table. `book.toml` says which
version wrote the folder, `revisions.csv` how often each document was saved.
"""

from __future__ import annotations

import csv
import io
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path
from typing import Any

from nutricost.domain.quantities import read_money
from nutricost.errors import DocumentError, InputError, Problem, StaleEdit, StoreError
from nutricost.store import migrations, rows
from nutricost.store.batches import list_batches, save_batch
from nutricost.store.connection import Book
from nutricost.store.labels import list_labels, save_label
from nutricost.store.machine import load_machine, save_machine
from nutricost.store.pouches import StoredPouch, list_pouches
from nutricost.store.tables import TABLES, RecordTable
from nutricost.store.texts import free_name, parsed

POUCH_COLUMNS = tuple(name for name in rows.fields_of(StoredPouch) if name != "currency")
DOCUMENT_TABLES = ("batch", "label", "machine")
DEFAULT_CURRENCY = "USD"


# -- out ------------------------------------------------------------------------------------------


def export_book(book: Book, folder: Path) -> Path:
    """The folder, now holding the whole book; it appears complete or not at all.

    Raises StoreError where the folder is there and not empty, or cannot be written.
    """
    with book.snapshot():
        files = dict(_files(book))
    partial: Path | None = None
    try:
        if os.path.exists(folder) and (not folder.is_dir() or any(folder.iterdir())):
            raise StoreError(f"{folder}: is there already and not an empty folder (accepted: a new folder)")
        folder.parent.mkdir(parents=True, exist_ok=True)
        partial = Path(tempfile.mkdtemp(prefix=".export-", dir=folder.parent))
        for name, text in files.items():
            path = partial / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(text.encode())
        if os.path.exists(folder):
            folder.rmdir()
        os.rename(partial, folder)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise StoreError(f"{folder}: the export cannot be written ({reason})") from error
    finally:
        if partial is not None:
            shutil.rmtree(partial, ignore_errors=True)  # gone already where it became the folder
    return folder


def _files(book: Book) -> Iterator[tuple[str, str]]:
    yield "book.toml", f'format = "nutricost book"\nversion = {migrations.latest()}\n'
    revisions: list[list[str | int]] = []
    for batch in list_batches(book):
        yield f"batches/{batch.name}.toml", batch.text
        revisions.append(["batch", batch.name, batch.revision])
    taken: set[str] = set()
    for label in list_labels(book):
        name = free_name(label.name, taken)
        taken.add(name)
        yield f"labels/{name}.toml", label.text
        revisions.append(["label", label.name, label.revision])
    if machine := load_machine(book):
        yield "machine.toml", machine.text
        revisions.append(["machine", machine.name, machine.revision])
    yield "revisions.csv", _csv(["document", "name", "revision"], revisions)
    for table in TABLES:
        yield table.file, pouches_csv(book) if table.record is StoredPouch else records_csv(book, table)


def records_csv(book: Book, table: RecordTable) -> str:
    """A table as CSV text: a column for each field, empty where there is nothing."""
    fields = list(rows.fields_of(table.record))
    records = rows.fetch(book, table.name, table.record, order=table.order)
    lines = [[_cell(rows.stored(getattr(record, name), name)) for name in fields] for record in records]
    return _csv(fields, lines)


def pouches_csv(book: Book, *, every_currency: bool = False) -> str:
    """All pouches as the pouch document; a price not in USD, or every one, carries its currency."""
    lines = []
    for pouch in list_pouches(book):
        cells = {name: str(rows.stored(getattr(pouch, name), name)) for name in POUCH_COLUMNS}
        if every_currency or pouch.currency != DEFAULT_CURRENCY:
            cells["price"] += f" {pouch.currency}"
        lines.append(list(cells.values()))
    return _csv(list(POUCH_COLUMNS), lines)


def _cell(value: str | int | None) -> str | int:
    return "" if value is None else value


def _csv(header: list[str], lines: list[Any]) -> str:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(header)
    writer.writerows(lines)
    return text.getvalue()


# -- back -----------------------------------------------------------------------------------------


def import_book(folder: Path, book: Book, *, replace: bool = False) -> list[Problem]:
    """Warnings, after everything in the folder was written into the book in one transaction.

    Any file may be missing, so that a folder of batches written by hand is accepted too. A book that
    already holds something is refused, or emptied first with `replace`. Raises DocumentError with
    every problem found, StoreError; the book is then as before.
    """
    if not os.path.isdir(folder):
        raise InputError(f"{folder}: no such folder (accepted: a folder that `book export` wrote)")
    reader = _Reader(folder)
    reader.check_version()
    with book.transaction():
        if any(book.read(f"SELECT 1 FROM {name} LIMIT 1") for name in _table_names()):
            if not replace:
                raise InputError(
                    f"{book.path}: the book is not empty (accepted: a new book, or to replace it)"
                )
            for name in reversed(_table_names()):
                book.write(f"DELETE FROM {name}")
        # Rows may refer to rows that come later in a file edited by hand.
        book.write("PRAGMA defer_foreign_keys = ON")
        reader.documents(book)
        for table in TABLES:
            reader.table(book, table)
        for row in book.read("PRAGMA foreign_key_check"):
            reader.fault(f"{row[0]} {row[1]}", f"refers to a {row[2]} that is not in the folder")
        if reader.problems:
            raise DocumentError(reader.problems)
    return reader.warnings


def _table_names() -> list[str]:
    return [*DOCUMENT_TABLES, *(table.name for table in TABLES)]


class _Reader:
    """Reads a folder into a book and collects what is wrong with it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.problems: list[Problem] = []
        self.warnings: list[Problem] = []

    def fault(self, where: str, what: str) -> None:
        """Note a problem."""
        self.problems.append(Problem(where, what))

    def text(self, name: str) -> str | None:
        """A file as text, None where it is missing or unreadable."""
        path = self.folder / name
        try:
            return path.read_bytes().decode("utf-8-sig" if name.endswith(".csv") else "utf-8")
        except FileNotFoundError:
            return None
        except UnicodeDecodeError:
            self.fault(name, "is not UTF-8 text")
        except OSError as error:
            self.fault(name, f"cannot be read ({error.strerror})")
        return None

    def check_version(self) -> None:
        """Raises StoreError for a folder of a newer program."""
        keys = parsed(self.text("book.toml") or "", "book.toml")
        version = keys.get("version", migrations.latest())
        if not isinstance(version, int) or version > migrations.latest():
            raise StoreError(f"{self.folder}: written by a newer version of this program; update nutricost")

    def documents(self, book: Book) -> None:
        """Write every document of the folder, then how often it was saved."""
        for path in sorted((self.folder / "batches").glob("*.toml")):
            with self._collect(name := f"batches/{path.name}"):
                if (text := self.text(name)) is not None:
                    save_batch(book, text, name=path.stem)
        for path in sorted((self.folder / "labels").glob("*.toml")):
            with self._collect(name := f"labels/{path.name}"):
                if (text := self.text(name)) is not None:
                    save_label(book, text, seen_revision=0)
        with self._collect("machine.toml"):
            if (text := self.text("machine.toml")) is not None:
                save_machine(book, text)
        for line, cells in self._lines("revisions.csv", ("document", "name", "revision")):
            table, revision = cells.get("document"), cells.get("revision", "")
            with self._collect(f"revisions.csv: line {line}"):
                if table not in DOCUMENT_TABLES or not revision.isdecimal():
                    raise InputError(f"accepted: {', '.join(DOCUMENT_TABLES)}, a name, and a whole number")
                change = f"UPDATE {table} SET revision = ? WHERE name = ?"
                book.write(change, [int(revision), cells.get("name", "")])

    @contextmanager
    def _collect(self, where: str) -> Iterator[None]:
        """Notes what the user's file has wrong; other faults go on up."""
        try:
            yield
        except InputError as error:
            self.fault(where, str(error))
        except StaleEdit:
            self.fault(where, "a document of this name is there twice")
        except StoreError as error:
            if not isinstance(error.__cause__, sqlite3.IntegrityError):
                raise
            self.fault(where, f"is there twice or holds an impossible value ({error.__cause__})")

    def _lines(self, name: str, known: tuple[str, ...]) -> Iterator[tuple[int, dict[str, str]]]:
        """(line number, column -> cell) of a CSV file; an unknown column becomes a warning."""
        text = self.text(name)
        if text is None:
            return
        reader = csv.reader(io.StringIO(text, newline=""))
        try:
            header = [column.strip() for column in next(reader, [])]
            for column in header:
                if column not in known:
                    self.warnings.append(Problem(name, f"column {column!r} is not known and was left out"))
            for cells in reader:
                if cells:
                    yield reader.line_num, dict(zip(header, cells, strict=False))
        except csv.Error as error:
            self.fault(f"{name}: line {reader.line_num}", f"not CSV: {error}")

    def table(self, book: Book, table: RecordTable) -> None:
        """Write the rows of one CSV file."""
        for line, cells in self._lines(table.file, tuple(rows.fields_of(table.record))):
            with self._collect(f"{table.file}: line {line}"):
                if table.record is StoredPouch:
                    cells["price"], cells["currency"] = _price(cells.get("price", ""))
                rows.insert(book, table.name, _record(table.record, cells))


def _record(kind: type[Any], cells: dict[str, str]) -> Any:
    """A record from CSV cells; a column left out takes the field's default."""
    values: dict[str, Any] = {}
    for name, (inner, optional) in rows.fields_of(kind).items():
        if name in cells:
            empty_text = inner is str and optional and not cells[name]
            values[name] = None if empty_text else rows.read_field(cells[name], inner, optional, name)
    try:
        return kind(**values)
    except TypeError:
        missing = [name for name in rows.fields_of(kind) if name not in values]
        raise InputError(f"a needed column is missing (one of {', '.join(missing)})") from None


def _price(text: str) -> tuple[str, str]:
    """(amount, currency) of a price cell such as "9.95" or "9.95 EUR"."""
    currency = text.split()[-1].upper() if " " in text.strip() else DEFAULT_CURRENCY
    amount: Decimal = read_money(text, currency)
    return f"{amount:f}", currency
