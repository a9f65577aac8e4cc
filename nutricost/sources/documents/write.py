"""Writing TOML documents: changing values in place with comments untouched, and new batches."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import Item

from nutricost.errors import DocumentError, InputError, Problem

BOM = b"\xef\xbb\xbf"

TABLE_ORDER = (
    "ingredients", "labels", "cooking", "drying", "packing", "other_costs", "rehydration", "losses",
)  # fmt: skip
"""The tables of a batch in the order of the public document format; plain keys come before them."""


def write_atomically(path: Path, content: bytes) -> None:
    """Put the content under the path in one step. Raises DocumentError where that fails."""
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            shutil.copymode(path, temporary)
        else:
            umask = os.umask(0)
            os.umask(umask)
            os.chmod(temporary, 0o666 & ~umask)
        os.replace(temporary, path)
    except OSError as error:
        if temporary:
            with suppress(OSError):
                os.unlink(temporary)
        raise DocumentError([Problem(os.fspath(path), f"cannot be written: {error.strerror}")]) from None


def toml_item(value: Any) -> Item:
    """The TOML item of a plain value: text, number, Decimal, true or false, date, list or mapping.

    A Decimal is written with its own digits. Raises InputError for anything else.
    """
    if isinstance(value, Decimal):
        if not value.is_finite():
            raise InputError(f"{value} is not a finite number (accepted: an ordinary number)")
        return tomlkit.value(f"{value:f}")
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        for item in value:
            array.append(toml_item(item))
        return array
    if isinstance(value, Mapping):
        inline = tomlkit.inline_table()
        for key, item in value.items():
            inline.append(key, toml_item(item))
        return inline
    if isinstance(value, str | int | date):
        return tomlkit.item(value)
    raise InputError(f"{value!r} cannot be written to TOML (accepted: text, numbers, dates, lists, tables)")


def batch_to_toml(batch: Mapping[str, Any]) -> str:
    """The TOML text of a batch given as plain values under the keys of the document format.

    Keys that are None are left out. Tables come in the order of the format.
    """
    document = tomlkit.document()
    for key, value in batch.items():
        if key not in TABLE_ORDER and value is not None:
            document.append(key, toml_item(value))
    for key in TABLE_ORDER:
        value = batch.get(key)
        if value is None or value == []:
            continue
        if key in ("ingredients", "losses"):
            tables = tomlkit.aot()
            for entry in value:
                tables.append(_table(entry))
            document.append(key, tables)
        elif key == "labels":
            labels = tomlkit.table(is_super_table=True)
            for name, label in value.items():
                labels.append(tomlkit.key(name), _table(label))
            document.append(key, labels)
        else:
            document.append(key, _table(value))
    return tomlkit.dumps(document)


def _table(values: Mapping[str, Any]) -> tomlkit.items.Table:
    table = tomlkit.table()
    for key, value in values.items():
        if value is not None:
            table.append(key, toml_item(value))
    return table
