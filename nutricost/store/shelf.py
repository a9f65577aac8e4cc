"""The shelf: bags that were packed, what was eaten of them, and what each meal replaced."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from nutricost.domain.quantities import ZERO, ceiling, check_currency
from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book

REPLACED = ("pouch", "meal", "nothing", "lost")


@dataclass(frozen=True, slots=True)
class ShelfLot:
    """Bags packed on one day: `servings` in all of them, kcal per serving where known."""

    name: str
    packed_on: date
    bags: int
    servings: Decimal
    batch: str | None = None
    best_by: date | None = None
    kcal_per_serving: Decimal | None = None
    note: str = ""
    id: int | None = None


@dataclass(frozen=True, slots=True)
class Eaten:
    """Servings that left a lot: eaten in place of a pouch, a bought meal or nothing, or lost.

    `replaced_cost`: what those servings would have cost to buy [currency], None where not known.
    """

    lot: int
    eaten_on: date
    servings: Decimal
    replaced: str = "nothing"
    replaced_name: str = ""
    replaced_cost: Decimal | None = None
    currency: str = "USD"
    note: str = ""
    id: int | None = None


@dataclass(frozen=True, slots=True)
class OnShelf:
    """A lot and what is left of it. [serving], [bag], [kcal]; kcal None where not known."""

    lot: ShelfLot
    servings_left: Decimal
    bags_left: int
    kcal_left: Decimal | None


def store_bags(book: Book, lot: ShelfLot) -> int:
    """The number of the lot, now on the shelf. Raises InputError."""
    if not lot.name.strip():
        raise InputError("shelf: the name is missing")
    if lot.bags < 1 or lot.servings <= 0:
        raise InputError("shelf: bags and servings must be above 0")
    if lot.kcal_per_serving is not None and lot.kcal_per_serving < 0:
        raise InputError("shelf: calories below 0 (accepted: 0 or more)")
    if lot.best_by is not None and lot.best_by < lot.packed_on:
        raise InputError(f"shelf: best by {lot.best_by} lies before the packing on {lot.packed_on}")
    if lot.batch is not None and not book.read("SELECT 1 FROM batch WHERE name = ?", [lot.batch]):
        raise InputError(f"shelf: there is no batch {lot.batch!r} in the book")
    return rows.insert(book, "shelf_lot", lot)


def on_shelf(book: Book, search: str = "", *, all_lots: bool = False) -> list[OnShelf]:
    """What is left, in the order to eat it: earliest best-by first, then oldest; lots without a date last.

    `search`: words that the name or note must hold. `all_lots` also gives those eaten up.
    """
    gone: dict[int, Decimal] = {}
    for event in list_eaten(book):
        gone[event.lot] = gone.get(event.lot, ZERO) + event.servings
    words = search.casefold().split()
    found = []
    for lot in rows.fetch(book, "shelf_lot", ShelfLot, order="packed_on, id"):
        left = lot.servings - gone.get(lot.id or 0, ZERO)
        named = all(word in f"{lot.name}\n{lot.note}".casefold() for word in words)
        if named and (left > 0 or all_lots):
            kcal = None if lot.kcal_per_serving is None else left * lot.kcal_per_serving
            found.append(OnShelf(lot, left, int(ceiling(left * lot.bags / lot.servings)), kcal))
    return sorted(found, key=lambda one: (one.lot.best_by is None, one.lot.best_by or one.lot.packed_on))


def eat(book: Book, event: Eaten) -> int:
    """The number of the event, now kept. Raises InputError, also where the lot holds less."""
    check_currency(event.currency)
    if event.replaced not in REPLACED:
        raise InputError(f"shelf: replaced {event.replaced!r} (accepted: {', '.join(REPLACED)})")
    if event.servings <= 0:
        raise InputError(f"shelf: {event.servings} servings (accepted: more than 0)")
    if event.replaced_cost is not None and event.replaced_cost < 0:
        raise InputError(f"shelf: cost {event.replaced_cost} (accepted: 0 or more)")
    if event.replaced in ("nothing", "lost") and event.replaced_cost:
        raise InputError(
            f"shelf: what replaced {event.replaced} has no cost (accepted: no cost, or pouch, meal)"
        )
    left = {one.lot.id: one for one in on_shelf(book)}.get(event.lot)
    if left is None:
        raise InputError(f"nothing is left of lot {event.lot} (accepted: a number that `book shelf` lists)")
    if event.servings > left.servings_left:
        raise InputError(
            f"{left.lot.name}: {event.servings} servings, but lot {event.lot} has {left.servings_left} left"
        )
    return rows.insert(book, "eaten", event)


def list_eaten(book: Book) -> list[Eaten]:
    """Everything that left the shelf, oldest first."""
    return rows.fetch(book, "eaten", Eaten, order="eaten_on, id")


def undo_eaten(book: Book, number: int) -> bool:
    """Whether there was an event of that number, now undone."""
    return rows.delete(book, "eaten", "id", number)


def remove_lot(book: Book, number: int) -> bool:
    """Whether there was a lot of that number, now gone with what was eaten of it."""
    return rows.delete(book, "shelf_lot", "id", number)
