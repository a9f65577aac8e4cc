"""Purchases: what was bought, when, where, and for how much beside the usual price."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from nutricost.domain.quantities import check_currency
from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book


@dataclass(frozen=True, slots=True)
class Purchase:
    """One purchase. `quantity` packages of `package` (as typed) for `price` in all [currency].

    `usual_price`: what the same would have cost without the markdown, None where not known.
    `place` is free text, `label` the name of a label in the book.
    """

    what: str
    bought_on: date
    price: Decimal
    currency: str = "USD"
    quantity: Decimal = Decimal(1)
    package: str = ""
    usual_price: Decimal | None = None
    date_on_package: date | None = None
    place: str = ""
    label: str | None = None
    note: str = ""
    id: int | None = None


def add_purchase(book: Book, purchase: Purchase) -> int:
    """The number of the purchase, now kept. Raises InputError for an impossible figure."""
    _check(book, purchase)
    return rows.insert(book, "purchase", purchase)


def edit_purchase(book: Book, purchase: Purchase) -> None:
    """Keep another version of a purchase. Raises InputError where there is none of its number."""
    _check(book, purchase)
    if not rows.update(book, "purchase", purchase, "id"):
        raise InputError(f"there is no purchase {purchase.id} in the book")


def _check(book: Book, purchase: Purchase) -> None:
    check_currency(purchase.currency)
    if not purchase.what.strip():
        raise InputError("purchase: what was bought is missing")
    if purchase.quantity <= 0:
        raise InputError(f"purchase: quantity {purchase.quantity} (accepted: more than 0)")
    if purchase.price < 0 or (purchase.usual_price or 0) < 0:
        raise InputError("purchase: a price below 0 (accepted: 0 or more)")
    if purchase.label is not None and not book.read("SELECT 1 FROM label WHERE name = ?", [purchase.label]):
        raise InputError(f"purchase: there is no label {purchase.label!r} in the book")


def list_purchases(book: Book, search: str = "") -> list[Purchase]:
    """The purchases that hold every word of `search` in what, place or note, newest first."""
    words = search.casefold().split()
    every = rows.fetch(book, "purchase", Purchase, order="bought_on DESC, id DESC")
    return [
        one for one in every
        if all(word in f"{one.what}\n{one.place}\n{one.note}".casefold() for word in words)
    ]  # fmt: skip


def remove_purchase(book: Book, number: int) -> bool:
    """Whether there was a purchase of that number, now gone."""
    return rows.delete(book, "purchase", "id", number)
