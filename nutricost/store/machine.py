"""The machine: one TOML document."""

from __future__ import annotations

from dataclasses import dataclass

from nutricost.store import rows
from nutricost.store.connection import Book
from nutricost.store.texts import parsed, save_text

NAME = "machine"


@dataclass(frozen=True, slots=True)
class StoredMachine:
    """The machine's document in the book."""

    name: str
    text: str
    revision: int


def save_machine(book: Book, text: str, *, seen_revision: int | None = None) -> StoredMachine:
    """The machine as stored. Raises InputError for a text that is no TOML, StaleEdit."""
    parsed(text, NAME)
    save_text(book, "machine", NAME, {"text": text}, seen_revision, "the machine")
    return rows.fetch(book, "machine", StoredMachine, order="name")[0]


def load_machine(book: Book) -> StoredMachine | None:
    """The machine, None where none was saved."""
    return next(iter(rows.fetch(book, "machine", StoredMachine, order="name")), None)
