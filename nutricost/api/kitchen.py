"""The kitchen book as the local page uses it: what is stored, worked out, and changes to it.

What was worked out is remembered by the text it was worked out from, so a page of many offers answers
quickly and never shows an old figure.
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

from nutricost.api.batch_forms import Form, FormError, document_of, field_problems, read_form
from nutricost.api.cards import Card, recipe_card
from nutricost.api.demo import BATCHES
from nutricost.api.documents import embedded_matcher
from nutricost.api.foods import phrase_of
from nutricost.api.machine_forms import read_machine_form
from nutricost.domain.documents import Machine, Pouch
from nutricost.errors import DocumentError, InputError, Problem, StaleEdit
from nutricost.sources.documents import batch_from_table, read_machine, read_pouches
from nutricost.sources.documents.loading import parse_toml
from nutricost.sources.documents.pouches import column_key
from nutricost.sources.documents.sheets import read_sheet
from nutricost.store.batches import StoredBatch, list_batches, load_batch, remove_batch, save_batch
from nutricost.store.connection import Book, open_book
from nutricost.store.machine import StoredMachine, load_machine, save_machine
from nutricost.store.matches import confirm_match, list_matches
from nutricost.store.pouches import (
    StoredPouch,
    find_pouch,
    list_pouches,
    price_history,
    remove_pouch,
    save_pouch,
)

POUCH_FIELDS = (
    "name", "price", "currency", "servings", "net_weight", "calories", "fat_g", "saturated_fat_g",
    "sodium_mg", "carbohydrate_g", "fiber_g", "sugar_g", "protein_g", "calories_per_container",
    "water_to_add", "note",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Worked:
    """A batch of the book worked out; `card` is None where `problems` say why it can't be."""

    stored: StoredBatch
    card: Card | None
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Preview:
    """What a half-filled form comes to: the card of what can be read, problems by field."""

    card: Card | None
    problems: Mapping[str, list[str]]
    fields: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Offers:
    """Every batch worked out and every pouch of the book, from one state of it.

    `left_out` says which pouches of another currency are not among `pouches`, and what is wrong with others.
    """

    batches: tuple[Worked, ...]
    pouches: tuple[Pouch, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Overview:
    """How much the book holds."""

    batches: int
    pouches: int
    has_machine: bool


class Kitchen:
    """The book at a path, opened anew for each use so that any number of threads and programs share it."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @contextmanager
    def reading(self) -> Iterator[Book]:
        """The book, one state of it for all reads inside."""
        with open_book(self.path) as book, book.snapshot():
            yield book

    @contextmanager
    def changing(self) -> Iterator[Book]:
        """The book in one transaction: everything inside is kept, or nothing."""
        with open_book(self.path) as book, book.transaction():
            yield book

    # -- what is there ------------------------------------------------------------------------

    def overview(self) -> Overview:
        """How much the book holds."""
        with self.reading() as book:
            return Overview(len(list_batches(book)), len(list_pouches(book)), load_machine(book) is not None)

    def batches(self, search: str = "") -> list[Worked]:
        """Every batch worked out, by name."""
        with self.reading() as book:
            remembered = _remembered(book)
            stored = list_batches(book, search)
        return [worked_out(one, remembered) for one in stored]

    def batch(self, name: str) -> Worked:
        """One batch worked out. Raises InputError where there is none of that name."""
        with self.reading() as book:
            return worked_out(load_batch(book, name), _remembered(book))

    def stored_batch(self, name: str) -> StoredBatch:
        """The batch document. Raises InputError where there is none of that name."""
        with self.reading() as book:
            return load_batch(book, name)

    def pouches(self) -> list[Pouch]:
        """The pouches that can be read."""
        return list(self.offers().pouches)

    def offers(self) -> Offers:
        """Every batch and pouch; pouches in the currency of the first batch that can be worked out."""
        with self.reading() as book:
            remembered = _remembered(book)
            stored = list_batches(book)
            bought = list_pouches(book)
        batches = tuple(worked_out(one, remembered) for one in stored)
        cards = [one.card for one in batches if one.card is not None]
        currency = cards[0].batch.currency if cards else bought[0].currency if bought else None
        found: list[Pouch] = []
        said: list[str] = []
        for one in bought:
            pouch, problems = read_stored_pouch(one)
            if one.currency != currency:
                said.append(f"{one.name} is left out: it is priced in {one.currency}, not {currency}")
            elif pouch is None:
                said += [f"{one.name} is left out: {problem}" for problem in problems]
            else:
                found.append(pouch)
        return Offers(batches, tuple(found), tuple(said))

    def machine(self) -> Machine | None:
        """The machine, None where none is written down or its document can't be read."""
        with self.reading() as book:
            stored = load_machine(book)
        return read_machine((stored.text, "machine")) if stored else None

    def stored_batches(self) -> list[StoredBatch]:
        """The batch documents, by name."""
        with self.reading() as book:
            return list_batches(book)

    def save_machine_form(self, form: Form, seen_revision: int) -> StoredMachine:
        """The machine as stored. Raises FormError by field, StaleEdit where it was changed meanwhile."""
        with self.changing() as book:
            before = load_machine(book)
            base = before.text if before and before.revision == seen_revision else ""
            return save_machine(book, read_machine_form(form, base), seen_revision=seen_revision)

    def stored_machine(self) -> StoredMachine | None:
        """The machine's document."""
        with self.reading() as book:
            return load_machine(book)

    # -- batches --------------------------------------------------------------------------------

    def preview(self, form: Form, name: str | None = None) -> Preview:
        """What a form comes to while it is being filled: fields with a problem are left out of it."""
        before = ""
        with self.reading() as book:
            remembered = _remembered(book)
            if name:
                before = load_batch(book, name).text
        return preview(form, before, remembered)

    def save_form(self, form: Form, name: str | None, seen_revision: int, on: date) -> StoredBatch:
        """The batch as stored. Raises FormError by field, StaleEdit where it was changed meanwhile."""
        with self.reading() as book:
            before = load_batch(book, name) if name else None
            remembered = _remembered(book)
        base = before.text if before and before.revision == seen_revision else ""
        edited, batch = read_form(form, base)
        try:
            recipe_card(batch, matcher=embedded_matcher(), remembered=dict(remembered))
        except DocumentError as error:
            raise FormError(field_problems(error.problems, "batch", edited.fields)) from None
        picked = [one for one in batch.ingredients if one.food and one.food.startswith(("ndb:", "fdc:"))]
        phrases = {one.line: phrase_of(one.line) for one in picked}
        with self.changing() as book:
            stored = save_batch(book, edited.text, name=name, seen_revision=seen_revision if name else None)
            for ingredient in picked:
                if phrases[ingredient.line] and ingredient.food:
                    confirm_match(book, phrases[ingredient.line], ingredient.food, on=on)
        return stored

    def save_text(self, text: str, name: str | None, seen_revision: int | None) -> StoredBatch:
        """The batch of a whole document as stored. Raises DocumentError, StaleEdit."""
        batch = batch_from_table(parse_toml(text, "batch"), "batch")
        with self.reading() as book:
            remembered = _remembered(book)
        recipe_card(batch, matcher=embedded_matcher(), remembered=dict(remembered))
        with self.changing() as book:
            return save_batch(book, text, name=name, seen_revision=seen_revision if name else None)

    def remove_batch(self, name: str, seen_revision: int) -> None:
        """Take a batch out of the book. Raises StaleEdit where it was changed meanwhile."""
        with self.changing() as book:
            remove_batch(book, name, seen_revision)

    # -- pouches --------------------------------------------------------------------------------

    def stored_pouches(self) -> list[StoredPouch]:
        """All pouches as typed."""
        with self.reading() as book:
            return list_pouches(book)

    def pouch_form(self, name: str) -> tuple[dict[str, str], list[Any]]:
        """The form of a pouch and its price history. Raises InputError where there is none of that name."""
        with self.reading() as book:
            pouch = find_pouch(book, name)
            if pouch is None:
                raise InputError(f"there is no pouch {name!r} in the book")
            form = {field: str(getattr(pouch, field)) for field in POUCH_FIELDS}
            return form | {"seen": fingerprint(pouch)}, price_history(book, name)

    def save_pouch_form(self, form: Form, was: str | None, on: date) -> StoredPouch:
        """The pouch as stored; `was` is the name it had, `seen` in the form the state it was opened in.

        Raises FormError by field, StaleEdit where it was changed meanwhile.
        """
        values = {field: form.get(field, "").strip() for field in POUCH_FIELDS}
        values["currency"] = values["currency"].upper() or "USD"
        pouch = pouch_of(values)
        with self.changing() as book:
            there = find_pouch(book, was) if was else None
            if was and (there is None or fingerprint(there) != form.get("seen", "")):
                raise StaleEdit(f"pouch {was!r}", repr(pouch), repr(there) if there else None, 0)
            if was != pouch.name and find_pouch(book, pouch.name):
                raise FormError({"name": [f"there is a pouch {pouch.name!r} already"]})
            save_pouch(book, pouch, seen_on=on, place=form.get("place", "").strip())
            if was and was != pouch.name:
                remove_pouch(book, was)
            return pouch

    def add_pouches(self, content: bytes, file_name: str, currency: str, on: date) -> tuple[int, list[str]]:
        """How many pouches of a CSV or XLSX file were kept, and warnings. Raises DocumentError."""
        pouches, warnings = pouches_as_typed(content, file_name, currency)
        with self.changing() as book:
            for pouch in pouches:
                save_pouch(book, pouch, seen_on=on)
        return len(pouches), warnings

    def remove_pouch(self, name: str) -> None:
        """Take a pouch out of the book."""
        with self.changing() as book:
            remove_pouch(book, name)

    # -- the demo -------------------------------------------------------------------------------

    def load_demo(self, on: date) -> None:
        """Put the invented demo documents into the book. Raises InputError where it holds something."""
        folder = resources.files("nutricost.data") / "demo"
        with self.changing() as book:
            if list_batches(book) or list_pouches(book):
                raise InputError("the book is not empty, so the demo was not put into it")
            for name in BATCHES:
                save_batch(book, (folder / name).read_text(encoding="utf-8"), name=name.removesuffix(".toml"))
            pouches, _ = pouches_as_typed((folder / "pouches.csv").read_bytes(), "pouches.csv", "USD")
            for pouch in pouches:
                save_pouch(book, pouch, seen_on=on)
            if load_machine(book) is None:
                save_machine(book, (folder / "machine.toml").read_text(encoding="utf-8"))


def _remembered(book: Book) -> tuple[tuple[str, str], ...]:
    return tuple((match.phrase, match.food) for match in list_matches(book))


def worked_out(stored: StoredBatch, remembered: tuple[tuple[str, str], ...]) -> Worked:
    """A stored batch with its card, or with what is wrong with its document."""
    card, problems = _card(stored.text, stored.name, remembered)
    return Worked(stored, card, problems)


@lru_cache(maxsize=1000)
def _card(
    text: str, name: str, remembered: tuple[tuple[str, str], ...]
) -> tuple[Card | None, tuple[str, ...]]:
    try:
        batch = batch_from_table(parse_toml(text, name), name)
        return recipe_card(batch, matcher=embedded_matcher(), remembered=dict(remembered)), ()
    except DocumentError as error:
        return None, tuple(str(problem) for problem in error.problems)
    except InputError as error:
        return None, (str(error),)


def preview(form: Form, before: str, remembered: tuple[tuple[str, str], ...]) -> Preview:
    """What a form comes to; what can't be read is left out, so that totals appear while typing."""
    filled = {"title": "untitled", "servings": "1"} | {
        field: text for field, text in form.items() if text.strip()
    }
    problems: dict[str, list[str]] = {}
    card: Card | None = None
    for _ in range(3):  # leaving out one field can bring up another
        edited = document_of(filled, before)
        try:
            batch = batch_from_table(parse_toml(edited.text, "batch"), "batch")
            card = recipe_card(batch, matcher=embedded_matcher(), remembered=dict(remembered))
            return Preview(card, problems, edited.fields)
        except DocumentError as error:
            found = field_problems(error.problems, "batch", edited.fields)
        for field, texts in found.items():
            problems.setdefault(field, texts)
        group = {field.split(".")[0] for field in found if field.startswith("labels[")}
        dropped = {
            field
            for field, text in filled.items()
            if field in found
            or field.split(".")[0] in group
            or (field.endswith(".label") and any(f.startswith("labels[") for f in found))
        }
        if not dropped:
            break
        filled = {field: text for field, text in filled.items() if field not in dropped}
        filled = {"title": "untitled", "servings": "1"} | filled
    return Preview(None, problems, {})


def fingerprint(pouch: StoredPouch) -> str:
    """A short text that differs for every state of a pouch."""
    return hashlib.sha256(repr(pouch).encode()).hexdigest()[:16]


def pouch_of(values: Mapping[str, str]) -> StoredPouch:
    """The pouch in a filled form. Raises FormError by field."""
    row = {field: text for field, text in values.items() if field != "currency"}
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(row)
    writer.writerow(row.values())
    try:
        pouch = read_pouches((text.getvalue(), "pouch"), values["currency"]).pouches[0]
    except DocumentError as error:
        raise FormError(_pouch_problems(error.problems)) from None
    typed = {field: text for field, text in values.items() if field != "price"}
    return StoredPouch(price=pouch.price.must(), **typed)


def _pouch_problems(problems: Sequence[Problem]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for problem in problems:
        field = problem.where.rpartition(": ")[2]
        text = f"{problem.what} (accepted: {problem.accepted})" if problem.accepted else problem.what
        found.setdefault(field if field in POUCH_FIELDS else "", []).append(text)
    return found


def pouches_as_typed(content: bytes, name: str, currency: str) -> tuple[list[StoredPouch], list[str]]:
    """The pouches of a CSV or XLSX file as the book keeps them, and the reader's warnings.

    Cells stay as typed, but for numbers written with a decimal comma. Raises DocumentError.
    """
    found = read_pouches((content, name), currency)
    sheet = read_sheet(content, name)
    keys = [column_key(heading) for heading in sheet.header]
    kept = []
    for pouch, (_, cells) in zip(found.pouches, sheet.rows, strict=True):
        typed = {key: cell.strip() for key, cell in zip(keys, cells, strict=False) if key in POUCH_FIELDS}
        if sheet.decimal_comma:
            typed = {
                key: text if key in ("name", "note") else re.sub(r"(?<=\d),(?=\d)", ".", text)
                for key, text in typed.items()
            }
        kept.append(StoredPouch(**{**typed, "currency": currency, "price": pouch.price.must()}))  # type: ignore[arg-type]
    return kept, [str(warning) for warning in found.warnings]


@lru_cache(maxsize=2000)
def read_stored_pouch(stored: StoredPouch) -> tuple[Pouch | None, tuple[str, ...]]:
    """The pouch of a row of the book, or what is wrong with it."""
    values = {field: str(getattr(stored, field)) for field in POUCH_FIELDS if field != "currency"}
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(values)
    writer.writerow(values.values())
    try:
        return read_pouches((text.getvalue(), "book"), stored.currency).pouches[0], ()
    except DocumentError as error:
        return None, tuple(str(problem) for problem in error.problems)
