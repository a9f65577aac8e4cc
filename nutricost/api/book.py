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

from nutricost.domain.quantities import check_currency, read_money, read_number
from nutricost.errors import InputError, Problem, UnitMismatch
from nutricost.settings import load_settings
from nutricost.sources.documents import read_batch, read_machine
from nutricost.sources.documents.loading import load_bytes
from nutricost.store import batches, care, exporting, matches, purchases
from nutricost.store import shelf as shelves
from nutricost.store.book_settings import load_settings as settings_of
from nutricost.store.book_settings import save_setting
from nutricost.store.connection import Book, default_book_path, open_book
from nutricost.store.machine import StoredMachine, load_machine, save_machine
from nutricost.store.pouches import PouchPrice, find_pouch, price_history, save_pouch
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
    """The currency of amounts typed without one: the book's setting, else the program's."""
    return check_currency(settings_of(book).get("currency") or load_settings()["currency"])


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


# -- settings -------------------------------------------------------------------------------------

BOOK_SETTINGS = {"currency": check_currency}
"""What a book may settle for itself, with the reader of its value: the currency of amounts without one."""


def settings_in(path: Path | None) -> dict[str, str]:
    """The settings of this book, by name."""
    with reading(path) as book:
        return settings_of(book)


def set_in_book(path: Path | None, name: str, value: str | None) -> dict[str, str]:
    """The settings of the book, with this one now kept; None takes it out. Raises InputError."""
    if name not in BOOK_SETTINGS:
        raise InputError(f"the book has no setting {name!r} (accepted: {', '.join(BOOK_SETTINGS)})")
    kept = None if value is None else BOOK_SETTINGS[name](value)
    with changing(path) as book:
        save_setting(book, name, kept)
        return settings_of(book)


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


# -- the machine and pouches ----------------------------------------------------------------------


def save_machine_file(path: Path | None, document: Path) -> StoredMachine:
    """The machine as stored, word for word. Raises DocumentError where it could not be read back."""
    read_machine(document)
    text = document.read_text(encoding="utf-8-sig")
    with changing(path) as book:
        return save_machine(book, text)


def machine_text(path: Path | None) -> str:
    """The machine's document, as saved. Raises InputError where there is none."""
    with reading(path) as book:
        stored = load_machine(book)
    if stored is None:
        raise InputError("no machine is in the book (accepted: one saved with `book machine FILE`)")
    return stored.text


def pouches_csv(path: Path | None) -> str:
    """The pouches of the book as the pouch document."""
    with reading(path) as book:
        return exporting.pouches_csv(book)


def add_pouches_file(path: Path | None, document: Path, *, seen_on: date) -> tuple[int, list[str]]:
    """(how many pouches of a CSV or XLSX file were kept, the reader's warnings). Raises DocumentError."""
    from nutricost.api.kitchen import pouches_as_typed

    content = load_bytes(document, "a CSV or XLSX file")
    with changing(path) as book:
        pouches, warnings = pouches_as_typed(content, str(document), currency_of(book))
        for pouch in pouches:
            save_pouch(book, pouch, seen_on=seen_on)
    return len(pouches), warnings


def pouch_prices(path: Path | None, name: str) -> list[PouchPrice]:
    """The prices seen for a pouch, oldest first. Raises InputError where there is none of that name."""
    with reading(path) as book:
        if find_pouch(book, name) is None:
            raise InputError(
                f"there is no pouch {name!r} in the book (accepted: one that `book pouches` lists)"
            )
        return price_history(book, name)


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
