"""Use cases of the book: moving it in and out, what is on the shelf, what was confirmed.

Each function is one transaction on the book at `path` (None: the usual place). Amounts come in as a
person types them.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from nutricost.api.cards import Card, recipe_card
from nutricost.api.documents import embedded_matcher
from nutricost.domain.payback.ledger import Meal
from nutricost.domain.quantities import Figure, check_currency, read_money, read_number
from nutricost.errors import DocumentError, InputError, Problem, UnitMismatch
from nutricost.sources.documents import read_batch
from nutricost.store import batches, care, exporting, matches, purchases
from nutricost.store import shelf as shelves
from nutricost.store.book_settings import load_settings
from nutricost.store.connection import Book, default_book_path, open_book
from nutricost.store.pouches import find_pouch
from nutricost.store.tables import TABLES

COST_STEP = Decimal("0.0001")


@contextmanager
def reading(path: Path | None) -> Iterator[Book]:
    """The book, one state of it for all reads inside. Raises StoreError where there is none."""
    with open_book(path or default_book_path(), create=False) as book, book.snapshot():
        yield book


@contextmanager
def changing(path: Path | None) -> Iterator[Book]:
    """The book, made if it is not there, in one transaction."""
    with open_book(path or default_book_path()) as book, book.transaction():
        yield book


def view(record: Any) -> dict[str, Any]:
    """A record of the book as plain data; dates as ISO 8601 text."""
    return {
        field.name: value.isoformat() if isinstance(value, date) else value
        for field in dataclasses.fields(record)
        for value in [getattr(record, field.name)]
    }


# -- amounts as typed -----------------------------------------------------------------------------


def currency_of(book: Book) -> str:
    """The currency of amounts typed without one: the book's setting, else USD."""
    return check_currency(load_settings(book).get("currency", "USD"))


def money(book: Book, text: str, what: str) -> tuple[Decimal, str]:
    """(amount, currency) of "4.50" or "4.50 EUR". Raises InputError, naming `what`."""
    code = text.split()[-1] if len(text.split()) > 1 else currency_of(book)
    try:
        return read_money(text, check_currency(code)), check_currency(code)
    except InputError as error:
        raise type(error)(f"{what}: {error}") from None


def figure(text: str, what: str) -> Decimal:
    """A number as typed. Raises InputError, naming `what`."""
    try:
        return read_number(text)
    except InputError as error:
        raise InputError(f"{what}: {error}") from None


# -- in and out -----------------------------------------------------------------------------------


def export_to(path: Path | None, folder: Path) -> Path:
    """The folder, now holding the whole book as plain documents. Raises StoreError."""
    with open_book(path or default_book_path(), create=False) as book:
        return exporting.export_book(book, folder)


def import_from(path: Path | None, folder: Path, *, replace: bool = False) -> list[Problem]:
    """Warnings, after the folder was written into the book. Raises DocumentError, StoreError."""
    with open_book(path or default_book_path()) as book:
        return exporting.import_book(folder, book, replace=replace)


def check(path: Path | None) -> list[Problem]:
    """Everything wrong with the book."""
    with open_book(path or default_book_path(), create=False) as book:
        return care.check_book(book)


def backup(path: Path | None, target: Path) -> Path:
    """The path of a copy of the book. Raises StoreError."""
    with open_book(path or default_book_path(), create=False) as book:
        return care.backup_book(book, target)


# -- batches --------------------------------------------------------------------------------------


def save_batch_file(path: Path | None, document: Path, name: str | None = None) -> batches.StoredBatch:
    """The batch as stored, word for word. Raises DocumentError where it could not be read back."""
    read_batch(document)
    text = document.read_text(encoding="utf-8-sig")
    with changing(path) as book:
        return batches.save_batch(book, text, name=name)


def list_batches(path: Path | None, search: str = "") -> list[batches.StoredBatch]:
    """The batches of the book that hold every word of `search`."""
    with reading(path) as book:
        return batches.list_batches(book, search)


def batch_text(path: Path | None, name: str) -> str:
    """The document of a batch, as saved. Raises InputError."""
    with reading(path) as book:
        return batches.load_batch(book, name).text


# -- purchases ------------------------------------------------------------------------------------


def add_purchase(
    path: Path | None,
    what: str,
    price: str,
    *,
    bought_on: date,
    usual_price: str | None = None,
    quantity: str = "1",
    package: str = "",
    date_on_package: date | None = None,
    place: str = "",
) -> purchases.Purchase:
    """The purchase, now kept. Raises InputError."""
    with changing(path) as book:
        amount, currency = money(book, price, "price")
        usual = None
        if usual_price is not None:
            usual, usual_currency = money(book, usual_price, "usual price")
            if usual_currency != currency:
                raise UnitMismatch(f"usual price: in {usual_currency}, the price in {currency}")
        bought = purchases.Purchase(
            what,
            bought_on,
            amount,
            currency,
            figure(quantity, "quantity"),
            package,
            usual,
            date_on_package,
            place,
        )
        return dataclasses.replace(bought, id=purchases.add_purchase(book, bought))


def list_purchases(path: Path | None, search: str = "") -> list[purchases.Purchase]:
    """The purchases that hold every word of `search`, newest first."""
    with reading(path) as book:
        return purchases.list_purchases(book, search)


# -- the shelf ------------------------------------------------------------------------------------


def shelf(path: Path | None, search: str = "") -> list[shelves.OnShelf]:
    """What is left on the shelf, in the order to eat it."""
    with reading(path) as book:
        return shelves.on_shelf(book, search)


def shelf_view(left: list[shelves.OnShelf]) -> list[dict[str, Any]]:
    """The shelf as plain data."""
    return [
        {
            **view(one.lot),
            "servings_left": one.servings_left,
            "bags_left": one.bags_left,
            "kcal_left": one.kcal_left,
        }
        for one in left
    ]


def pack(
    path: Path | None,
    batch: str,
    *,
    packed_on: date,
    best_by: date | None = None,
    bags: int | None = None,
    servings: str | None = None,
) -> shelves.ShelfLot:
    """The lot of a batch, now on the shelf; servings, bags and calories from its document unless given.

    Raises InputError where the document does not say how many bags.
    """
    with changing(path) as book:
        stored = batches.load_batch(book, batch)
        card = _card(stored)
        packing = card.batch.packing
        if bags is None and packing is not None and packing.bags is not None:
            bags = int(packing.bags.must())
        if bags is None:
            raise InputError(
                f"batch {batch!r} does not say how many bags (accepted: bags in [packing], or --bags)"
            )
        portions = figure(servings, "servings") if servings else card.content.servings.must()
        energy = card.per_serving["energy"].value
        lot = shelves.ShelfLot(
            stored.title, packed_on, bags, portions, batch, best_by, energy and energy.quantize(COST_STEP)
        )
        return dataclasses.replace(lot, id=shelves.store_bags(book, lot))


def _card(stored: batches.StoredBatch) -> Card:
    return recipe_card(read_batch((stored.text, stored.name)), matcher=embedded_matcher())


def eat(
    path: Path | None,
    what: str,
    servings: str = "1",
    *,
    eaten_on: date,
    replaced: str = "nothing",
    replaced_name: str = "",
    replaced_cost: str | None = None,
    note: str = "",
) -> list[shelves.Eaten]:
    """What left the shelf: of lot number `what`, or of the food of that name, first to expire first.

    Where a pouch of the book is replaced, its price is what was saved unless `replaced_cost` says
    otherwise. Raises InputError where less is left.
    """
    with changing(path) as book:
        wanted = figure(servings, "servings")
        lots = _lots(shelves.on_shelf(book), what)
        there = sum((one.servings_left for one in lots), Decimal(0))
        if wanted > there:
            raise InputError(f"{what}: {wanted} servings, but {there} are on the shelf")
        cost, currency = None, currency_of(book)
        if replaced_cost is not None:
            cost, currency = money(book, replaced_cost, "replaced cost")
        elif replaced == "pouch":
            cost, currency = _pouch_cost(book, replaced_name, wanted, currency)
        events, open_servings, open_cost = [], wanted, cost
        for one in lots:
            part = min(open_servings, one.servings_left)
            share = open_cost
            if cost is not None and part < open_servings:
                share = (cost * part / wanted).quantize(COST_STEP)
            event = shelves.Eaten(
                one.lot.id or 0, eaten_on, part, replaced, replaced_name, share, currency, note
            )
            events.append(dataclasses.replace(event, id=shelves.eat(book, event)))
            open_servings -= part
            open_cost = None if open_cost is None or share is None else open_cost - share
            if not open_servings:
                break
        return events


def _lots(left: list[shelves.OnShelf], what: str) -> list[shelves.OnShelf]:
    """The lots meant by a number, the name of a batch, or the name on the shelf."""
    wanted = what.strip().casefold()
    found = [one for one in left if wanted in (str(one.lot.id), one.lot.batch, one.lot.name.casefold())]
    if not found:
        names = ", ".join(dict.fromkeys(repr(one.lot.name) for one in left)) or "nothing, the shelf is empty"
        raise InputError(f"{what!r} is not on the shelf (accepted: a lot number, or {names})")
    return found


def _pouch_cost(book: Book, name: str, servings: Decimal, currency: str) -> tuple[Decimal | None, str]:
    pouch = find_pouch(book, name)
    if pouch is None:
        if name:
            raise InputError(
                f"there is no pouch {name!r} in the book (accepted: a pouch saved there, or its cost)"
            )
        return None, currency
    try:
        printed = read_number(pouch.servings.casefold().replace("about", ""))
    except InputError:
        return None, pouch.currency
    return (pouch.price * servings / printed).quantize(COST_STEP), pouch.currency


def eaten_meals(path: Path | None) -> list[Meal]:
    """What was eaten, as the ledger of the payback reads it; lost servings cost and replace nothing."""
    with reading(path) as book:
        lots = {one.lot.id: one.lot for one in shelves.on_shelf(book, all_lots=True)}
        events = shelves.list_eaten(book)
        stored = {one.name: one for one in batches.list_batches(book)}
    costs: dict[str, Figure] = {}
    meals = []
    for event in events:
        lot = lots[event.lot]
        if lot.batch and lot.batch not in costs:
            costs[lot.batch] = _serving_cost(stored[lot.batch])
        per_serving = costs.get(lot.batch or "") or Figure.unknown(
            f"{event.currency}/serving", "the lot names no batch", f"cost of {lot.name}"
        )
        servings = Figure.exact(event.servings, "serving", f"servings of {lot.name}", source="the book")
        meals.append(
            Meal(
                event.eaten_on, lot.name, servings, servings * per_serving, _in_words(event), _replaced(event)
            )
        )
    return meals


def _serving_cost(stored: batches.StoredBatch) -> Figure:
    try:
        return _card(stored).per_serving["cost"]
    except DocumentError as error:
        return Figure.unknown(f"{stored.currency}/serving", str(error.problems[0]), f"cost of {stored.title}")


def _in_words(event: shelves.Eaten) -> str:
    return event.replaced_name or {"pouch": "a pouch", "meal": "a bought meal"}.get(
        event.replaced, event.replaced
    )


def _replaced(event: shelves.Eaten) -> Figure:
    if event.replaced in ("nothing", "lost"):
        return Figure.exact(0, event.currency, "replaced nothing", source="the book")
    if event.replaced_cost is None:
        return Figure.unknown(event.currency, "what it replaced has no cost in the book", _in_words(event))
    return Figure.exact(event.replaced_cost, event.currency, _in_words(event), source="the book")


# -- confirmed matches ----------------------------------------------------------------------------


def list_matches(path: Path | None) -> list[matches.ConfirmedMatch]:
    """The confirmed matches, by phrase."""
    with reading(path) as book:
        return matches.list_matches(book)


def forget_match(path: Path | None, phrase: str) -> None:
    """Takes a confirmed match out of the book. Raises InputError where there is none."""
    with changing(path) as book:
        if not matches.forget_match(book, phrase):
            raise InputError(
                f"no match is confirmed for {phrase!r} (accepted: a phrase of `book matches list`)"
            )


def matches_csv(path: Path | None) -> str:
    """The confirmed matches as CSV text."""
    with reading(path) as book:
        table = next(table for table in TABLES if table.record is matches.ConfirmedMatch)
        return exporting.records_csv(book, table)
