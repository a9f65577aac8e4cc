"""Pouches with the history of their price. All but the price is kept as typed, "" where not printed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from nutricost.domain.quantities import check_currency
from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book


@dataclass(frozen=True, slots=True)
class StoredPouch:
    """A pouch; `price` [currency] is the last one seen, nutrients are per serving as printed."""

    name: str
    price: Decimal
    currency: str
    servings: str
    net_weight: str = ""
    calories: str = ""
    fat_g: str = ""
    saturated_fat_g: str = ""
    carbohydrate_g: str = ""
    fiber_g: str = ""
    sugar_g: str = ""
    protein_g: str = ""
    sodium_mg: str = ""
    calories_per_container: str = ""
    water_to_add: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class PouchPrice:
    """A price seen for a pouch on a day [currency]; `place` is free text."""

    pouch: str
    seen_on: date
    price: Decimal
    currency: str
    place: str = ""
    id: int | None = None


def save_pouch(book: Book, pouch: StoredPouch, *, seen_on: date, place: str = "") -> None:
    """Keep a pouch; a price that is new or differs from the last one joins its history.

    Raises InputError for a missing name, servings or calories, or a price below 0.
    """
    missing = [name for name in ("name", "servings", "calories") if not getattr(pouch, name).strip()]
    if missing:
        raise InputError(f"pouch {pouch.name!r}: {', '.join(missing)}: missing")
    if pouch.price < 0:
        raise InputError(f"pouch {pouch.name!r}: price {pouch.price} (accepted: 0 or more)")
    check_currency(pouch.currency)
    before = find_pouch(book, pouch.name)
    if before is None:
        rows.insert(book, "pouch", pouch)
    else:
        rows.update(book, "pouch", pouch, "name")
    if before is None or (before.price, before.currency) != (pouch.price, pouch.currency):
        rows.insert(book, "pouch_price", PouchPrice(pouch.name, seen_on, pouch.price, pouch.currency, place))


def find_pouch(book: Book, name: str) -> StoredPouch | None:
    """The pouch of that name, or None."""
    return next(iter(rows.fetch(book, "pouch", StoredPouch, "name = ?", [name], order="name")), None)


def list_pouches(book: Book) -> list[StoredPouch]:
    """All pouches, in the order they were first saved."""
    return rows.fetch(book, "pouch", StoredPouch, order="rowid")


def price_history(book: Book, name: str) -> list[PouchPrice]:
    """The prices seen for a pouch, oldest first."""
    return rows.fetch(book, "pouch_price", PouchPrice, "pouch = ?", [name], order="seen_on, id")


def remove_pouch(book: Book, name: str) -> bool:
    """Whether there was such a pouch, now gone with its history."""
    return rows.delete(book, "pouch", "name", name)
