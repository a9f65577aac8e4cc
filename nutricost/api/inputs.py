"""Where a document named on the command line comes from: a file, standard input, or the book."""

from __future__ import annotations

import difflib
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from nutricost.errors import InputError
from nutricost.sources.documents.loading import IN_BOOK

if TYPE_CHECKING:
    from nutricost.store.batches import StoredBatch
    from nutricost.store.connection import Book

Kind = Literal["batch", "pouches", "machine", "file"]
"""What is asked for; of a 'file' the book keeps none."""

_book: ContextVar[Path | None] = ContextVar("book", default=None)


@contextmanager
def using_book(path: Path | None) -> Iterator[None]:
    """Inside, documents and confirmed choices come from the book at this path; None: the usual place."""
    token = _book.set(path)
    try:
        yield
    finally:
        _book.reset(token)


def book_in_use() -> Path:
    """The book that documents and confirmed choices come from. Raises SettingError."""
    # Imported here, as below: most commands read files alone and start quicker without the store.
    from nutricost.store.connection import default_book_path

    return _book.get() or default_book_path()


def input_of(path: str, kind: Kind = "file") -> Path | tuple[str | bytes, str]:
    """What a reader takes for a path; '-' is standard input, 'book:TITLE' a document of the book.

    The book has one machine and one list of pouches: 'book:' alone. Raises InputError for a title that
    is not there, StoreError where there is no book.
    """
    if path == "-":
        return sys.stdin.buffer.read(), "standard input"  # bytes: the reader knows encodings
    if path.startswith(IN_BOOK):
        return _from_book(path, path.removeprefix(IN_BOOK).strip(), kind)
    return Path(path)


def _from_book(path: str, title: str, kind: Kind) -> tuple[str, str]:
    from nutricost.store.connection import open_book
    from nutricost.store.exporting import pouches_csv
    from nutricost.store.machine import load_machine

    if kind == "file":
        raise InputError(f"{path}: the book keeps batches, pouches and the machine (accepted: a file)")
    if kind != "batch" and title:
        raise InputError(f"{path}: the book has one such document (accepted: {IN_BOOK!r} alone)")
    with open_book(book_in_use(), create=False) as book, book.snapshot():
        if kind == "batch":
            stored = find_batch(book, title)
            return stored.text, f"{IN_BOOK}{stored.name}"
        if kind == "pouches":
            return pouches_csv(book, every_currency=True), f"{IN_BOOK}pouches"
        machine = load_machine(book)
    if machine is None:
        raise InputError(f"{path}: no machine is in the book (accepted: one saved with `book machine FILE`)")
    return machine.text, f"{IN_BOOK}machine"


def find_batch(book: Book, title: str) -> StoredBatch:
    """The batch of that name, or else of that title whatever its capitals.

    Raises InputError naming the nearest where there is none, or the names where several have the title.
    """
    from nutricost.store.batches import list_batches

    stored = list_batches(book)
    wanted = title.casefold()
    found = [one for one in stored if one.name == title] or [
        one for one in stored if one.title.casefold() == wanted
    ]
    if len(found) == 1:
        return found[0]
    if found:
        names = ", ".join(one.name for one in found)
        raise InputError(f"{len(found)} batches in the book are called {title!r} (accepted: {names})")
    if not stored:
        raise InputError(f"there is no batch {title!r}: the book has none (accepted: `book save FILE` first)")
    known = {word.casefold(): word for one in stored for word in (one.name, one.title)}
    near = difflib.get_close_matches(wanted, known, n=1, cutoff=0.0)
    raise InputError(f"there is no batch {title!r} in the book; the nearest is {known[near[0]]!r}")
