"""Between rows and records: one table holds one dataclass, column for field, with the same names."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar

from nutricost.domain.quantities import dec
from nutricost.errors import InputError, StoreError
from nutricost.store.connection import Book, Value

Record = TypeVar("Record")

MAX_DIGITS = 40
"""Before or after the point: far above any weight or price, far below what would fill a disk."""


def fields_of(kind: type[Any]) -> Mapping[str, tuple[type[Any], bool]]:
    """Field name -> (type, may be None) of a record, in order."""
    hints = typing.get_type_hints(kind)
    found: dict[str, tuple[type[Any], bool]] = {}
    for field in dataclasses.fields(kind):
        hint = hints[field.name]
        if isinstance(hint, types.UnionType):
            inner = next(part for part in typing.get_args(hint) if part is not type(None))
            found[field.name] = (inner, True)
        else:
            found[field.name] = (hint, False)
    return found


def stored(value: str | int | Decimal | date | None, name: str) -> Value:
    """A field as SQLite keeps it. Raises InputError for text that no document could carry back."""
    match value:
        case Decimal():
            return _digits(value, name)
        case date():
            return value.isoformat()
        case str():
            bad = next((letter for letter in value if not _may_be_written(letter)), None)
            if bad is not None:
                raise InputError(f"{name}: unprintable character {bad!r} (accepted: ordinary text)")
            return value
        case _:
            return value


def _digits(value: Decimal, name: str) -> str:
    """A number in plain digits, as a spreadsheet shows it too."""
    exponent = dec(value).as_tuple().exponent
    if not isinstance(exponent, int) or exponent < -MAX_DIGITS or value.adjusted() > MAX_DIGITS:
        raise InputError(f"{name}: {value} (accepted: a number of at most {MAX_DIGITS} digits)")
    return f"{value:f}"


def _may_be_written(letter: str) -> bool:
    return (letter >= " " or letter in "\t\n\r") and letter != "\x7f" and not "\ud800" <= letter <= "\udfff"


def read_field(raw: str | int | None, kind: type[Any], optional: bool, name: str) -> Any:
    """The field from SQLite or from a CSV cell ("" there stands for None).

    Raises InputError for a cell that does not hold such a field.
    """
    if raw is None or (raw == "" and optional and kind is not str):
        if not optional:
            raise InputError(f"{name}: missing")
        return None
    try:
        if kind is int:
            return int(raw)
        if kind is Decimal:
            return dec(raw)
        if kind is date:
            return date.fromisoformat(str(raw))
    except ValueError:
        accepted = {int: "a whole number", Decimal: "a number", date: "a date such as 2026-03-31"}[kind]
        raise InputError(f"{name}: {raw!r} (accepted: {accepted})") from None
    return raw


def insert(book: Book, table: str, record: Any) -> int:
    """The row number of the record, newly written. A field `id` of None is numbered by SQLite."""
    values = {name: stored(getattr(record, name), name) for name in fields_of(type(record))}
    columns, marks = ", ".join(values), ", ".join("?" * len(values))
    cursor = book.write(f"INSERT INTO {table} ({columns}) VALUES ({marks})", list(values.values()))
    return int(cursor.lastrowid or 0)


def update(book: Book, table: str, record: Any, key: str) -> bool:
    """Whether a row with the record's key was there and now holds the record."""
    values = {name: stored(getattr(record, name), name) for name in fields_of(type(record))}
    changes = ", ".join(f"{name} = ?" for name in values)
    sql = f"UPDATE {table} SET {changes} WHERE {key} = ?"
    return book.write(sql, [*values.values(), values[key]]).rowcount > 0


def delete(book: Book, table: str, key: str, value: Value) -> bool:
    """Whether a row with that key was there and is now gone."""
    return book.write(f"DELETE FROM {table} WHERE {key} = ?", [value]).rowcount > 0


def fetch(
    book: Book,
    table: str,
    kind: type[Record],
    where: str = "",
    parameters: Sequence[Value] = (),
    *,
    order: str,
) -> list[Record]:
    """The records of a table, in the given order."""
    fields = fields_of(kind)
    condition = f"WHERE {where}" if where else ""
    found = book.read(f"SELECT {', '.join(fields)} FROM {table} {condition} ORDER BY {order}", parameters)
    try:
        return [
            kind(**{name: read_field(row[name], *hint, name) for name, hint in fields.items()})
            for row in found
        ]
    except InputError as error:
        raise StoreError(f"{book.path}: the book is damaged: table {table}, {error}") from error
