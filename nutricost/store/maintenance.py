"""Maintenance: hours the pump ran, oil changes, repairs and what they cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from nutricost.domain.quantities import ZERO, check_currency
from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book

KINDS = ("run", "oil", "repair", "part", "cleaning", "other")


@dataclass(frozen=True, slots=True)
class MaintenanceEntry:
    """One entry: a run of the pump [h], an oil change, a repair ...; `cost` [currency], None if not known."""

    done_on: date
    kind: str
    hours: Decimal | None = None
    cost: Decimal | None = None
    currency: str = "USD"
    note: str = ""
    id: int | None = None


def add_entry(book: Book, entry: MaintenanceEntry) -> int:
    """The number of the entry, now kept. Raises InputError."""
    check_currency(entry.currency)
    if entry.kind not in KINDS:
        raise InputError(f"maintenance: {entry.kind!r} (accepted: {', '.join(KINDS)})")
    if entry.kind == "run" and entry.hours is None:
        raise InputError("maintenance: a run needs its hours")
    if entry.kind != "run" and entry.hours is not None:
        raise InputError(f"maintenance: hours belong to a run, not to {entry.kind!r}")
    if (entry.hours or ZERO) < 0 or (entry.cost or ZERO) < 0:
        raise InputError("maintenance: a figure below 0 (accepted: 0 or more)")
    return rows.insert(book, "maintenance", entry)


def list_entries(book: Book) -> list[MaintenanceEntry]:
    """All entries, oldest first."""
    return rows.fetch(book, "maintenance", MaintenanceEntry, order="done_on, id")


def remove_entry(book: Book, number: int) -> bool:
    """Whether there was an entry of that number, now gone."""
    return rows.delete(book, "maintenance", "id", number)


def hours_since_oil(book: Book) -> Decimal | None:
    """Hours the pump ran since the last oil change; None where no oil change was written down. [h]"""
    hours: Decimal | None = None
    for entry in list_entries(book):
        if entry.kind == "oil":
            hours = ZERO
        elif hours is not None and entry.hours is not None:
            hours += entry.hours
    return hours


def costs_by_kind(book: Book) -> dict[tuple[str, str], Decimal]:
    """(kind, currency) -> what was spent on it; entries without a cost are left out. [currency]"""
    spent: dict[tuple[str, str], Decimal] = {}
    for entry in list_entries(book):
        if entry.cost is not None:
            key = (entry.kind, entry.currency)
            spent[key] = spent.get(key, ZERO) + entry.cost
    return spent
