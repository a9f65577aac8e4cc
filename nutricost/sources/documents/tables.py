"""A strict reader of TOML tables that collects every problem before it refuses a document.

A reader asks each table for the keys it knows; what nobody asked for is an unknown key.
"""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from decimal import Decimal
from functools import partial
from typing import Any, TypeVar

from nutricost.domain.quantities import Figure, check_currency
from nutricost.domain.quantities.units import BASE_UNIT, Kind
from nutricost.errors import DocumentError, InputError, Problem
from nutricost.sources.documents.values import (
    NOT_NEGATIVE,
    POSITIVE,
    Bounds,
    Fault,
    read_amount,
    read_date,
    read_plain,
    read_price,
    read_text,
    type_word,
)

KeyPath = tuple[str | int, ...]
T = TypeVar("T")


def path_text(path: KeyPath) -> str:
    """A key path as written in TOML and on the command line: `ingredients[2].paid`."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            bare = re.fullmatch(r"[A-Za-z0-9_-]+", part)
            text += ("." if text else "") + (part if bare else json.dumps(part, ensure_ascii=False))
    return text


def nearest(word: str, known: list[str]) -> str:
    """The known word most like `word`."""
    lowered = {name.lower(): name for name in known}
    return lowered[difflib.get_close_matches(word.lower(), lowered, n=1, cutoff=0)[0]]


def needed(value: T | None) -> T:
    """The value of a required key, once `Document.finish` has let the document pass."""
    assert value is not None, "finish() refuses a document without its required keys"
    return value


class Document:
    """One parsed document: its tables, its currency and the problems found in it so far."""

    def __init__(self, name: str, content: Mapping[str, Any]) -> None:
        self.name = name
        self.content = content
        self.currency: str | None = "USD"
        self._problems: dict[Problem, KeyPath] = {}
        self._tables: list[Table] = []
        self.root = self.table(content, ())

    def table(self, values: Mapping[str, Any], path: KeyPath) -> Table:
        """A reader of one table, whose unknown keys `finish` reports."""
        table = Table(self, values, path)
        self._tables.append(table)
        return table

    def where(self, path: KeyPath) -> str:
        """File and key, for messages and as the source of a figure."""
        return f"{self.name}: {path_text(path)}" if path else self.name

    def problem(self, path: KeyPath, what: str, accepted: str = "") -> None:
        """Note a problem; the same one is noted once."""
        self._problems.setdefault(Problem(self.where(path), what, accepted), path)

    def read_currency(self) -> None:
        """Take the document's currency from its key `currency`; USD where it has none."""
        text = self.root.text("currency")
        if self.root.has("currency"):
            self.currency = None
            if text:
                try:
                    self.currency = check_currency(text)
                except InputError:
                    self.problem(("currency",), f"unknown currency {text!r}", "an ISO 4217 code such as USD")

    @property
    def money_unit(self) -> str:
        """The unit of money figures; USD where the currency itself is at fault."""
        return self.currency or "USD"

    def finish(self) -> None:
        """Raise DocumentError with every problem, in the order of the file, if there is any."""
        for table in self._tables:
            table.report_unknown_keys()
        if self._problems:
            places: dict[int, dict[str, int]] = {}
            ordered = sorted(self._problems, key=lambda noted: self._position(self._problems[noted], places))
            raise DocumentError(ordered)

    def _position(self, path: KeyPath, places: dict[int, dict[str, int]]) -> tuple[int, ...]:
        """Where a key stands in the file; a missing key comes first in its table.

        `places` keeps the place of each key by its table, so that a long table is counted once.
        """
        position: list[int] = []
        here: Any = self.content
        for part in path:
            if isinstance(here, dict) and part in here:
                if id(here) not in places:
                    places[id(here)] = {key: place for place, key in enumerate(here)}
                position.append(places[id(here)][str(part)])
                here = here[part]
            elif isinstance(here, list) and isinstance(part, int) and part < len(here):
                position.append(part)
                here = here[part]
            else:
                position.append(-1)
                break
        return tuple(position)


class Table:
    """One table of a document. Every method notes a problem and returns None where a value is unusable."""

    def __init__(self, document: Document, values: Mapping[str, Any], path: KeyPath) -> None:
        self.document = document
        self.values = values
        self.path = path
        self._known: list[str] = []

    @property
    def where(self) -> str:
        """File and key of this table."""
        return self.document.where(self.path)

    def has(self, key: str) -> bool:
        """Whether the user wrote the key."""
        return key in self.values

    def problem(self, key: str, what: str, accepted: str = "") -> None:
        """Note a problem of one key."""
        self.document.problem((*self.path, key), what, accepted)

    def report_unknown_keys(self) -> None:
        """Note each key that no reader asked for, with the nearest known one."""
        for key in self.values:
            if key in self._known or not self._known:
                continue
            if key in self.document.root._known:
                self.problem(key, "unknown key; it belongs above the first table of the document")
            else:
                self.problem(key, f"unknown key; the nearest known key is {nearest(key, self._known)!r}")

    def get(self, key: str, read: Callable[[Any], T], *, required: str = "") -> T | None:
        """The value as `read` makes it, None where missing. `required`: what a needed key accepts."""
        if key not in self._known:
            self._known.append(key)
        if key not in self.values:
            if required:
                self.problem(key, "missing", required)
            return None
        return self._guarded((*self.path, key), read, self.values[key])

    def _guarded(self, path: KeyPath, read: Callable[[Any], T], raw: Any) -> T | None:
        try:
            return read(raw)
        except Fault as fault:
            self.document.problem(path, fault.what, fault.accepted)
            return None

    # -- plain values -----------------------------------------------------------------------------

    def text(self, key: str, *, required: str = "") -> str | None:
        """A text that is not empty."""
        return self.get(key, read_text, required=required)

    def number(self, key: str, bounds: Bounds, *, required: str = "") -> Decimal | None:
        """A bare number within bounds."""
        return self.get(key, lambda raw: read_plain(raw, bounds), required=required)

    def whole(self, key: str, low: int, high: int) -> int | None:
        """A whole number in [low, high]."""

        def read(raw: object) -> int:
            if not isinstance(raw, int) or isinstance(raw, bool):
                raise Fault(type_word(raw), f"a whole number from {low} to {high}")
            if not low <= raw <= high:
                raise Fault(f"{raw} is out of range", f"a whole number from {low} to {high}")
            return raw

        return self.get(key, read)

    def flag(self, key: str) -> bool | None:
        """true or false."""

        def read(raw: object) -> bool:
            if not isinstance(raw, bool):
                raise Fault(type_word(raw), "true or false")
            return raw

        return self.get(key, read)

    def date(self, key: str) -> date | None:
        """A calendar date."""
        return self.get(key, read_date)

    def choice(self, key: str, choices: tuple[str, ...]) -> str | None:
        """One of a few words, whatever their case."""

        def read(raw: object) -> str:
            text = read_text(raw).lower()
            if text not in choices:
                raise Fault(f"{raw!r} is not known", ", ".join(choices))
            return text

        return self.get(key, read)

    def base(self, key: str, kind: Kind, *, required: str = "") -> Decimal | None:
        """One amount with its unit, above 0, in the base unit of its kind [g, mL, kWh, h, cm]."""
        return self.get(key, lambda raw: read_amount(raw, kind, POSITIVE), required=required)

    # -- figures ----------------------------------------------------------------------------------

    def figure(
        self,
        key: str,
        read: Callable[[Any], Decimal],
        unit: str,
        name: str,
        *,
        required: str = "",
    ) -> Figure | None:
        """A figure whose value, or pair [low, high], is read by `read`."""
        return self.get(
            key, lambda raw: self.to_figure((*self.path, key), raw, read, unit, name), required=required
        )

    def to_figure(
        self, path: KeyPath, raw: Any, read: Callable[[Any], Decimal], unit: str, name: str
    ) -> Figure:
        """The figure of one value or pair. Raises Fault."""
        source = self.document.where(path)
        if not isinstance(raw, list):
            return Figure.exact(read(raw), unit, name, source=source, standing="given")
        if len(raw) != 2:
            raise Fault(f"a list of {len(raw)}", "one value, or a pair [low, high]")
        low, high = read(raw[0]), read(raw[1])
        if low > high:
            raise Fault(f"reversed: {raw[0]} is above {raw[1]}", "a pair [low, high]")
        return Figure.between(low, high, unit, name, source=source, standing="given")

    def amount(
        self, key: str, unit: str, name: str, bounds: Bounds = POSITIVE, *, required: str = ""
    ) -> Figure | None:
        """A bare number or pair as a figure in `unit`."""
        return self.figure(key, lambda raw: read_plain(raw, bounds), unit, name, required=required)

    def quantity(
        self, key: str, kind: Kind, name: str, bounds: Bounds = POSITIVE, *, bare: bool = False
    ) -> Figure | None:
        """An amount with its unit, or a pair, in the base unit of its kind [g, mL, kWh, h, cm].

        `bare`: the key names the base unit itself, so a bare number will do.
        """
        unit = BASE_UNIT[kind]
        return self.figure(key, lambda raw: read_amount(raw, kind, bounds, unit if bare else ""), unit, name)

    def money(
        self, key: str, name: str, *, per: str = "", bounds: Bounds = NOT_NEGATIVE, required: str = ""
    ) -> Figure | None:
        """Money or a pair, in the document's currency, `per` a unit where that is part of the key."""
        unit = self.document.money_unit + (f"/{per}" if per else "")
        return self.figure(
            key,
            lambda raw: read_price(raw, self.document.currency, bounds, per),
            unit,
            name,
            required=required,
        )

    # -- lists and tables -------------------------------------------------------------------------

    def table(self, key: str) -> Table | None:
        """The table under a key."""

        def read(raw: object) -> Table:
            if not isinstance(raw, dict):
                raise Fault(type_word(raw), f"a table [{key}]")
            return self.document.table(raw, (*self.path, key))

        return self.get(key, read)

    def tables(self, key: str, *, required: str = "") -> list[Table]:
        """The tables of a list of tables; empty where there are none."""

        def read(raw: object) -> list[Table]:
            if not isinstance(raw, list):
                raise Fault(type_word(raw), f"tables headed [[{key}]]")
            if required and not raw:
                raise Fault("is empty", required)
            found = []
            for number, item in enumerate(raw):
                path = (*self.path, key, number)
                if isinstance(item, dict):
                    found.append(self.document.table(item, path))
                else:
                    self.document.problem(path, type_word(item), f"a table headed [[{key}]]")
            return found

        return self.get(key, read, required=required) or []

    def each(self, key: str, read: Callable[[KeyPath, Any], T], wanted: str) -> tuple[T, ...]:
        """What `read` makes of each item of a list; empty where there is none."""

        def read_list(raw: object) -> tuple[T, ...]:
            if not isinstance(raw, list):
                raise Fault(type_word(raw), wanted)
            made = []
            for number, item in enumerate(raw):
                path = (*self.path, key, number)
                value = self._guarded(path, partial(read, path), item)
                if value is not None:
                    made.append(value)
            return tuple(made)

        return self.get(key, read_list) or ()

    def names(self) -> Iterator[str]:
        """Every key of a table whose keys are the user's own names; none of them is unknown then."""
        self._known = list(self.values)
        yield from self._known

    def named_money(self) -> dict[str, Figure]:
        """The amounts of money in a table whose keys are the user's own names."""
        amounts = {key: self.money(key, key) for key in self.names()}
        return {key: amount for key, amount in amounts.items() if amount is not None}
