"""Batches: the document as the user wrote it, columns to search by, and weighings while drying."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book
from nutricost.store.texts import check_name, free_name, parsed, remove_text, save_text


@dataclass(frozen=True, slots=True)
class StoredBatch:
    """A batch document in the book. `servings` is as written, "" where it is missing."""

    name: str
    title: str
    servings: str
    currency: str
    text: str
    revision: int


@dataclass(frozen=True, slots=True)
class StoredWeighing:
    """One weighing of a batch: time since the start [h], weight on the scale [g]."""

    batch: str
    hours: Decimal
    weight_g: Decimal
    note: str = ""
    id: int | None = None


def save_batch(
    book: Book, text: str, *, name: str | None = None, seen_revision: int | None = None
) -> StoredBatch:
    """The batch as stored. Without `name` it is a new one, named after its title.

    Raises InputError for a text that is no TOML or has no title, StaleEdit (see `save_text`).
    """
    keys = parsed(text, name or "batch")
    title = keys.get("title")
    if not isinstance(title, str) or not title.strip():
        raise InputError(f'{name or "batch"}: title: missing (accepted: title = "...")')
    if name is None:
        name = free_name(title, {batch.name for batch in list_batches(book)})
    columns = {
        "title": title,
        "servings": _as_written(keys.get("servings")),
        "currency": str(keys.get("currency", "USD")),
        "text": text,
    }
    save_text(book, "batch", check_name(name), columns, seen_revision, f"batch {name!r}")
    return load_batch(book, name)


def _as_written(servings: object) -> str:
    if isinstance(servings, list):
        return " to ".join(str(end) for end in servings)
    return "" if servings is None else str(servings)


def load_batch(book: Book, name: str) -> StoredBatch:
    """The batch of that name. Raises InputError where there is none."""
    found = rows.fetch(book, "batch", StoredBatch, "name = ?", [name], order="name")
    if not found:
        raise InputError(
            f"there is no batch {name!r} in the book (accepted: a name that `book batches` lists)"
        )
    return found[0]


def list_batches(book: Book, search: str = "") -> list[StoredBatch]:
    """The batches that hold every word of `search` anywhere in their document, by name."""
    words = search.casefold().split()
    every = rows.fetch(book, "batch", StoredBatch, order="name")
    return [batch for batch in every if all(word in batch.text.casefold() for word in words)]


def remove_batch(book: Book, name: str, seen_revision: int | None = None) -> None:
    """Take a batch and its weighings out of the book; what is on the shelf of it stays there."""
    remove_text(book, "batch", name, seen_revision, f"batch {name!r}")


def add_weighing(book: Book, weighing: StoredWeighing) -> int:
    """The number of the weighing, now kept. Raises InputError for an unknown batch or a bad figure."""
    load_batch(book, weighing.batch)
    if weighing.hours < 0 or weighing.weight_g <= 0:
        raise InputError("a weighing needs hours of 0 or more and a weight above 0 g")
    return rows.insert(book, "weighing", weighing)


def list_weighings(book: Book, batch: str) -> list[StoredWeighing]:
    """The weighings of a batch, in the order of time."""
    found = rows.fetch(book, "weighing", StoredWeighing, "batch = ?", [batch], order="id")
    return sorted(found, key=lambda weighing: weighing.hours)


def remove_weighing(book: Book, number: int) -> bool:
    """Whether there was a weighing of that number, now gone."""
    return rows.delete(book, "weighing", "id", number)
