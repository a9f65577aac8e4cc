"""A weighing while drying, written into a batch that the book keeps."""

from __future__ import annotations

from collections.abc import MutableMapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array

from nutricost.api.book import changing
from nutricost.api.book_machine import quantity
from nutricost.api.inputs import find_batch
from nutricost.errors import InputError
from nutricost.sources.documents import read_batch
from nutricost.sources.documents.write import toml_item
from nutricost.store.batches import save_batch


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weighing now in a batch's document; `before` is the weight it took the place of, "" if none."""

    batch: str
    hours: Decimal
    weight: str
    before: str
    weighings: int
    revision: int


def weigh(path: Path | None, title: str, hours: str, weight: str) -> Weighed:
    """The weighing, written into the batch of that name or title, all else in its document untouched.

    One at the same hours is replaced. The weight is kept as typed: its last digit tells the scale's step.
    Raises InputError for an unknown batch or a bad figure, DocumentError where the document would not be
    read back, such as hours before those of an earlier weighing.
    """
    when = quantity(hours, "time", "hours")
    quantity(weight, "mass", "weight")
    with changing(path) as book:
        stored = find_batch(book, title)
        document = tomlkit.parse(stored.text)
        entries = _weighings(document)
        before = _put(entries, when, weight.strip())
        text = tomlkit.dumps(document)
        read_batch((text, stored.name))
        saved = save_batch(book, text, name=stored.name, seen_revision=stored.revision)
    return Weighed(stored.name, when, weight.strip(), before, len(entries), saved.revision)


def _weighings(document: tomlkit.TOMLDocument) -> Array | AoT:
    """The list of weighings of a document, made where there is none."""
    drying: Any = document.setdefault("drying", tomlkit.table())
    if not isinstance(drying, MutableMapping):
        raise InputError("drying: must be a table to add a weighing (accepted: [drying])")
    entries = drying.setdefault("weighings", tomlkit.array())
    if not isinstance(entries, Array | AoT):
        raise InputError("drying.weighings: must be a list (accepted: [{hours = 54, weight = ...}])")
    return entries


def _put(entries: Array | AoT, hours: Decimal, weight: str) -> str:
    """The weight that stood at those hours, "" where there was none, after `weight` took its place."""
    for entry in entries:
        if isinstance(entry, dict) and _hours(entry.get("hours")) == hours:
            before = str(entry.get("weight", ""))
            entry["weight"] = weight
            return before
    item: Any = toml_item({"hours": _plain(hours), "weight": weight})
    if isinstance(entries, AoT):
        table = tomlkit.table()
        table.update(item)
        entries.append(table)
    elif "\n" in entries.as_string():
        entries.add_line(item)
    else:
        entries.append(item)
    return ""


def _hours(written: object) -> Decimal | None:
    """Hours as a document has them; None where they can't be read."""
    try:
        return quantity(str(written), "time", "hours")
    except InputError:
        return None


def _plain(hours: Decimal) -> Decimal | int:
    return int(hours) if hours == hours.to_integral_value() else hours.normalize()
