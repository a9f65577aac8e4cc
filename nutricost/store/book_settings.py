"""Settings of this book, by name."""

from __future__ import annotations

import re
from dataclasses import dataclass

from nutricost.errors import SettingError
from nutricost.store import rows
from nutricost.store.connection import Book

_NAME = re.compile(r"[a-z][a-z0-9_]*\Z")


@dataclass(frozen=True, slots=True)
class StoredSetting:
    """A setting and its value, as typed."""

    name: str
    value: str


def save_setting(book: Book, name: str, value: str | None) -> None:
    """Keep a setting; None forgets it. Raises SettingError for a name no setting can have."""
    if not _NAME.match(name):
        raise SettingError(f"setting {name!r} (accepted: small letters, digits and underscores)")
    if value is None:
        rows.delete(book, "setting", "name", name)
    elif not rows.update(book, "setting", StoredSetting(name, value), "name"):
        rows.insert(book, "setting", StoredSetting(name, value))


def load_settings(book: Book) -> dict[str, str]:
    """Every setting of the book, by name."""
    return {one.name: one.value for one in rows.fetch(book, "setting", StoredSetting, order="name")}
