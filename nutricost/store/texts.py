"""Plain documents kept word for word, each with a revision that guards against lost edits."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Collection, Mapping
from decimal import Decimal
from typing import Any

from nutricost.errors import InputError, StaleEdit
from nutricost.store.connection import Book, Value

_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
MAX_NAME = 80


def parsed(text: str, what: str) -> dict[str, Any]:
    """The keys of a TOML document, its numbers exact. Raises InputError with the line of the fault."""
    try:
        text.encode()
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{what}: not TOML: {error}") from error
    except UnicodeEncodeError as error:
        raise InputError(f"{what}: holds text that is not Unicode (accepted: UTF-8)") from error
    except (RecursionError, ValueError, ArithmeticError) as error:
        raise InputError(f"{what}: nested too deeply or holds an unusable number: {error}") from error


def slug(title: str) -> str:
    """A title as a short file name: 'Turkey chili, hot' -> 'turkey-chili-hot'."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return "-".join(re.findall(r"[a-z0-9]+", plain))[:MAX_NAME].strip("-") or "unnamed"


def free_name(title: str, taken: Collection[str]) -> str:
    """The slug of a title, numbered where it is taken."""
    name, number = slug(title), 1
    while name in taken:
        number += 1
        name = f"{slug(title)}-{number}"
    return name


def check_name(name: str) -> str:
    """The name, fit for a file. Raises InputError."""
    if len(name) > MAX_NAME + 8 or not _SLUG.match(name):
        raise InputError(
            f"name {name!r} (accepted: small letters, digits and single hyphens, such as {slug(name)!r})"
        )
    return name


def save_text(
    book: Book, table: str, name: str, columns: Mapping[str, Value], seen_revision: int | None, what: str
) -> int:
    """The new revision of a document, written with its search columns (`text` among them).

    `seen_revision`: the revision the edit was made on, 0 for a new document, None to write whatever is
    there. Raises StaleEdit where the book holds another one.
    """
    there = book.read(f"SELECT text, revision FROM {table} WHERE name = ?", [name])
    revision = int(there[0]["revision"]) if there else 0
    if seen_revision is not None and seen_revision != revision:
        raise StaleEdit(what, str(columns["text"]), there[0]["text"] if there else None, revision)
    values = {"name": name, **columns, "revision": revision + 1}
    if there:
        changes = ", ".join(f"{column} = ?" for column in values)
        book.write(f"UPDATE {table} SET {changes} WHERE name = ?", [*values.values(), name])
    else:
        marks = ", ".join("?" * len(values))
        book.write(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({marks})", list(values.values()))
    return revision + 1


def remove_text(book: Book, table: str, name: str, seen_revision: int | None, what: str) -> None:
    """Take a document out of the book. Raises InputError where it is not there, StaleEdit as above."""
    there = book.read(f"SELECT text, revision FROM {table} WHERE name = ?", [name])
    if not there:
        raise InputError(f"{what} is not in the book")
    if seen_revision is not None and seen_revision != int(there[0]["revision"]):
        raise StaleEdit(what, None, there[0]["text"], int(there[0]["revision"]))
    book.write(f"DELETE FROM {table} WHERE name = ?", [name])
