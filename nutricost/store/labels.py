"""Labels: each a TOML fragment with one `[labels."NAME"]`, as it can be pasted into a batch."""

from __future__ import annotations

from dataclasses import dataclass

from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book
from nutricost.store.texts import parsed, remove_text, save_text


@dataclass(frozen=True, slots=True)
class StoredLabel:
    """A label document in the book."""

    name: str
    text: str
    revision: int


def label_name(text: str) -> str:
    """The name of the one label in a fragment. Raises InputError where there is not exactly one."""
    keys = parsed(text, "label")
    labels = keys.get("labels")
    if set(keys) != {"labels"} or not isinstance(labels, dict) or len(labels) != 1:
        raise InputError('label: the text must hold one label and nothing else (accepted: [labels."NAME"])')
    ((name, values),) = labels.items()
    if not name.strip() or not isinstance(values, dict):
        raise InputError('label: a label needs a name and keys below it (accepted: [labels."NAME"])')
    return str(name)


def save_label(book: Book, text: str, *, seen_revision: int | None = None) -> StoredLabel:
    """The label as stored, under the name in its text. Raises InputError, StaleEdit."""
    name = label_name(text)
    save_text(book, "label", name, {"text": text}, seen_revision, f"label {name!r}")
    return load_label(book, name)


def load_label(book: Book, name: str) -> StoredLabel:
    """The label of that name. Raises InputError where there is none."""
    found = rows.fetch(book, "label", StoredLabel, "name = ?", [name], order="name")
    if not found:
        raise InputError(f"there is no label {name!r} in the book")
    return found[0]


def list_labels(book: Book, search: str = "") -> list[StoredLabel]:
    """The labels that hold every word of `search`, by name."""
    words = search.casefold().split()
    every = rows.fetch(book, "label", StoredLabel, order="name")
    return [label for label in every if all(word in label.text.casefold() for word in words)]


def remove_label(book: Book, name: str, seen_revision: int | None = None) -> None:
    """Take a label out of the book; purchases that named it stay."""
    remove_text(book, "label", name, seen_revision, f"label {name!r}")
