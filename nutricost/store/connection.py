"""Opening the book: one SQLite file, its transactions, and every SQLite fault in plain words."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from types import TracebackType

from nutricost.errors import StoreError
from nutricost.settings import load_settings
from nutricost.store import migrations

APPLICATION_ID = 0x4E435354
"""Marks the file as ours in SQLite's header: "NCST"."""

BUSY_TIMEOUT_S = 10.0
MIN_SQLITE = (3, 37, 0)
"""The first SQLite with STRICT tables (sqlite.org/stricttables.html)."""

Value = str | int | None


def default_book_path() -> Path:
    """Where the book lies unless told otherwise: by the settings. Raises SettingError."""
    return load_settings().book


class Book:
    """An open book. The caller owns the transaction: every write is inside `with book.transaction():`."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self.connection = connection

    def read(self, sql: str, parameters: Sequence[Value] = ()) -> list[sqlite3.Row]:
        """The rows of a query. Raises StoreError."""
        with plain_faults(self.path):
            return self.connection.execute(sql, parameters).fetchall()

    def write(self, sql: str, parameters: Sequence[Value] = ()) -> sqlite3.Cursor:
        """The cursor after a change. Raises StoreError, RuntimeError outside a transaction."""
        if not self.connection.in_transaction:
            raise RuntimeError("a change outside `with book.transaction():`")
        with plain_faults(self.path):
            return self.connection.execute(sql, parameters)

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """All changes inside are kept together, or none where an exception leaves the block."""
        yield from self._between("BEGIN IMMEDIATE")

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """All reads inside see one state of the book, whatever others write meanwhile."""
        yield from self._between("BEGIN DEFERRED")

    def _between(self, begin: str) -> Iterator[None]:
        with plain_faults(self.path):
            self.connection.execute(begin)
        try:
            yield
            with plain_faults(self.path):
                self.connection.execute("COMMIT")
        except BaseException:
            # A full disk may have rolled back already (sqlite.org/lang_transaction.html).
            if self.connection.in_transaction:
                self.connection.execute("ROLLBACK")
            raise

    def close(self) -> None:
        """Close the file; a transaction still open is undone."""
        self.connection.close()

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_book(
    path: Path, *, create: bool = True, read_only: bool = False, busy_timeout_s: float = BUSY_TIMEOUT_S
) -> Book:
    """The book at `path`, made if it is not there, brought up to this program's version.

    `read_only` opens without writing anything and does not create. `busy_timeout_s` [s]: how long to
    wait while another program writes. Raises StoreError for anything that is no usable book.
    """
    if sqlite3.sqlite_version_info < MIN_SQLITE:
        raise StoreError(f"SQLite {sqlite3.sqlite_version} is too old for the book (accepted: 3.37 or later)")
    if "\0" in str(path):
        raise StoreError("the path of the book holds a null character (accepted: the path of a file)")
    new = not os.path.exists(path)  # False, never an error, where the folder may not be looked into
    if new and (read_only or not create):
        raise StoreError(f"{path}: there is no book here yet (book save, book import or serve makes one)")
    if new:
        _make_folder(path.parent)
    mode = "ro" if read_only else "rwc" if new else "rw"
    with plain_faults(path):
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}", uri=True, isolation_level=None, timeout=busy_timeout_s
        )
    connection.row_factory = sqlite3.Row
    book = Book(path, connection)
    try:
        _prepare(book, read_only, busy_timeout_s)
    except BaseException:
        connection.close()
        raise
    return book


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(f"{folder}: the folder of the book cannot be made ({error.strerror})") from error


def _prepare(book: Book, read_only: bool, busy_timeout_s: float) -> None:
    version = _version(book)
    with plain_faults(book.path):
        book.connection.execute("PRAGMA foreign_keys = ON")
        # FULL: what was committed survives a power cut as well (sqlite.org/pragma.html#pragma_synchronous).
        book.connection.execute("PRAGMA synchronous = FULL")
    if read_only:
        if version != migrations.latest():
            raise StoreError(f"{book.path}: the book is of version {version} and must be updated first")
        return
    _write_ahead(book, busy_timeout_s)
    if version < migrations.latest():
        with book.transaction():
            version = _version(book)  # another program may have been faster
            if version < migrations.latest():
                if version:
                    copy_before(book, version + 1)
                with plain_faults(book.path):
                    migrations.migrate(book.connection, version)
                    book.connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _version(book: Book) -> int:
    """The version of the book's tables, 0 for a new file. Raises StoreError where it is not for us."""
    mark, version = (int(book.read(f"PRAGMA {name}")[0][0]) for name in ("application_id", "user_version"))
    empty = not book.read("SELECT 1 FROM sqlite_schema LIMIT 1")
    if mark != APPLICATION_ID and not (mark == version == 0 and empty):
        raise StoreError(
            f"{book.path}: this is not a book of nutricost (accepted: a file it made, or a new path)"
        )
    if version > migrations.latest():
        raise StoreError(
            f"{book.path}: the book is of version {version}, newer than this program knows "
            f"(accepted: up to {migrations.latest()}); update nutricost"
        )
    return version


def _write_ahead(book: Book, busy_timeout_s: float) -> None:
    """Switch to write-ahead logging, once. SQLite does not wait by itself while another one switches."""
    give_up = time.monotonic() + busy_timeout_s
    while True:
        try:
            mode = book.read("PRAGMA journal_mode")[0][0]
            if mode != "wal":
                mode = book.read("PRAGMA journal_mode = WAL")[0][0]
        except StoreError as error:
            busy = isinstance(error.__cause__, sqlite3.Error) and _code(error.__cause__) in _BUSY
            if not busy or time.monotonic() > give_up:
                raise
            time.sleep(0.02)
        else:
            if mode != "wal":
                raise StoreError(f"{book.path}: the disk does not allow the book's write-ahead log")
            return


def copy_before(book: Book, number: int) -> Path:
    """The copy of the book as it is before migration `number`, beside it: `book.sqlite.before-3`."""
    target = book.path.with_name(f"{book.path.name}.before-{number}")
    copy_committed(book.path, target)
    return target


def copy_committed(source: Path, target: Path) -> None:
    """Copy the committed state of a book to `target`, whole or not at all. Raises StoreError."""
    partial = target.with_name(f"{target.name}.part")
    try:
        with plain_faults(target):
            partial.unlink(missing_ok=True)
            with (
                closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)) as reader,
                closing(sqlite3.connect(partial)) as writer,
            ):
                reader.backup(writer)
                # One file without a log beside it, so that it can be carried away.
                writer.execute("PRAGMA journal_mode = DELETE")
        with partial.open("rb+") as written:
            os.fsync(written.fileno())
        os.replace(partial, target)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise StoreError(f"{target}: the copy cannot be written ({reason})") from error
    finally:
        with suppress(OSError, ValueError):
            partial.unlink(missing_ok=True)


_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_WORDS = {
    sqlite3.SQLITE_BUSY: "another program is writing to the book; try again when it has finished",
    sqlite3.SQLITE_LOCKED: "another program is writing to the book; try again when it has finished",
    sqlite3.SQLITE_FULL: "the disk is full; nothing was saved",
    sqlite3.SQLITE_READONLY: "the book or its folder is read-only; nothing was saved",
    sqlite3.SQLITE_PERM: "the book may not be opened by this user",
    sqlite3.SQLITE_CANTOPEN: "the book cannot be opened: no such folder, no right to write in it, or no file",
    sqlite3.SQLITE_NOTADB: "this is not a book of nutricost (accepted: a file it made, or a new path)",
    sqlite3.SQLITE_CORRUPT: "the book is damaged; go back to a backup, or a copy named .before-N beside it",
    sqlite3.SQLITE_IOERR: "the disk failed while reading or writing the book",
}


def _code(error: sqlite3.Error) -> int:
    """The primary result code: the low byte (sqlite.org/rescode.html)."""
    return int(getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)) & 0xFF


@contextmanager
def plain_faults(path: Path) -> Iterator[None]:
    """Turns SQLite's faults inside the block into StoreError with a plain message."""
    try:
        yield
    except sqlite3.Error as error:
        words = _WORDS.get(_code(error), f"the book refused this: {error}")
        raise StoreError(f"{path}: {words}") from error
    except UnicodeDecodeError as error:
        # Python's sqlite3 cannot decode SQLite's own message where it quotes a damaged schema.
        raise StoreError(f"{path}: {_WORDS[sqlite3.SQLITE_CORRUPT]}") from error
