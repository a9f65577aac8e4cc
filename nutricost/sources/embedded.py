"""The food table that ships with the package: one read-only SQLite file."""

from __future__ import annotations

import os
import sqlite3
import threading
import weakref
from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any
from urllib.parse import quote

import nutricost.data
from nutricost.domain.foods.records import (
    NUTRIENTS,
    AtwaterFactors,
    Food,
    HouseholdWeight,
    NutrientValue,
    Standing,
)
from nutricost.errors import SourceError, UnknownFood
from nutricost.sources.contract import FoodRow

FORMAT_VERSION = 2

SCHEMA = """
CREATE TABLE meta (name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE food (
    id INTEGER PRIMARY KEY,
    source TEXT NOT NULL,
    ndb TEXT,
    fdc_id INTEGER,
    key TEXT NOT NULL UNIQUE,
    description TEXT NOT NULL,
    group_name TEXT NOT NULL
);
CREATE INDEX food_fdc_id ON food (fdc_id) WHERE fdc_id IS NOT NULL;
CREATE TABLE composition (
    id INTEGER PRIMARY KEY REFERENCES food (id),
    nutrients TEXT NOT NULL,
    weights TEXT NOT NULL,
    refuse_pct INTEGER NOT NULL,
    refuse_description TEXT NOT NULL,
    factors TEXT NOT NULL
);
"""
"""`food` is small, so that a search reads little; `composition` holds the rest of a row, packed."""

_STANDINGS: dict[str, Standing] = {
    "m": "measured",
    "c": "calculated",
    "i": "imputed",
    "z": "assumed zero",
    "d": "declared",
    "e": "estimated",
}
_LETTERS = {standing: letter for letter, standing in _STANDINGS.items()}

_SELECT = (
    "SELECT food.id, source, ndb, fdc_id, key, description, group_name,"
    " nutrients, weights, refuse_pct, refuse_description, factors"
    " FROM food JOIN composition USING (id)"
)


def packed_nutrients(nutrients: Mapping[str, NutrientValue]) -> str:
    """Values in the order of NUTRIENTS, joined by ';', an unknown one as nothing.

    Each is the amount's decimal text with a letter for its standing, then, where stated, the standard
    error, the number of data points and the degrees of freedom: "1.09m:0.022:12:1".
    """
    tokens = []
    for key in NUTRIENTS:
        value = nutrients.get(key)
        if value is None:
            tokens.append("")
            continue
        error = "" if value.standard_error is None else str(value.standard_error)
        points = "" if value.data_points is None else str(value.data_points)
        degrees = "" if value.degrees_of_freedom is None else str(value.degrees_of_freedom)
        token = f"{value.amount_per_100g}{_LETTERS[value.standing]}:{error}:{points}:{degrees}"
        tokens.append(token.rstrip(":"))
    return ";".join(tokens)


def packed_weights(weights: Sequence[HouseholdWeight]) -> str:
    """Household weights as lines of amount, measure and grams, between tabs."""
    return "\n".join(f"{weight.amount}\t{weight.measure}\t{weight.grams}" for weight in weights)


def unpacked_weights(text: str) -> tuple[HouseholdWeight, ...]:
    """Household weights from the lines of `packed_weights`."""
    return tuple(
        HouseholdWeight(Decimal(amount), measure, Decimal(grams))
        for amount, measure, grams in (line.split("\t") for line in text.splitlines())
    )


@lru_cache(maxsize=8192)
def _value(token: str) -> NutrientValue:
    """One value of `packed_nutrients`; the same few thousand tokens make up most of the table."""
    head, _, rest = token.partition(":")
    error, _, counts = rest.partition(":")
    points, _, degrees = counts.partition(":")
    return NutrientValue(
        Decimal(head[:-1]),
        _STANDINGS[head[-1]],
        Decimal(error) if error else None,
        int(points) if points else None,
        int(degrees) if degrees else None,
    )


def _decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None


class EmbeddedTable:
    """The shipped table, opened read-only at first use; safe to share between threads.

    `path` is for tests; without it the file inside the package is read.
    """

    names: tuple[str, ...] = ("sr28", "foundation", "survey")

    def __init__(self, path: str | None = None) -> None:
        self._path = path or os.path.join(nutricost.data.__path__[0], "foods.sqlite")
        # Statements of one connection must not run in two threads at a time (docs of sqlite3.threadsafety).
        self._lock = threading.RLock()
        self._connection: sqlite3.Connection | None = None

    def read(self, sql: str, values: Sequence[str | int] = ()) -> list[tuple[Any, ...]]:
        """The rows of a query, also of tables that the build adds; raises SourceError."""
        try:
            with self._lock:
                if self._connection is None:
                    self._connection = self._opened()
                    # A table nobody holds any more closes its file, and so does the end of the program.
                    self._closing = weakref.finalize(self, self._connection.close)
                return self._connection.execute(sql, values).fetchall()
        except sqlite3.Error as error:
            raise SourceError(f"the food table {self._path} can't be read ({error})") from error

    def _opened(self) -> sqlite3.Connection:
        uri = f"file:{quote(os.path.abspath(self._path))}?mode=ro&immutable=1"
        connection = sqlite3.connect(uri, uri=True, check_same_thread=False)
        try:
            facts = dict(connection.execute("SELECT name, value FROM meta"))
            expected = {"format_version": str(FORMAT_VERSION), "nutrients": " ".join(NUTRIENTS)}
            if {name: facts.get(name) for name in expected} != expected:
                raise SourceError(f"the food table {self._path} is of another format: build it anew")
        except BaseException:
            connection.close()
            raise
        self._releases = {name: facts[f"release {name}"] for name in self.names}
        return connection

    def food(self, key: str) -> Food:
        """The food with this key; raises UnknownFood, which names near keys.

        "ndb:01001" (also "ndb:1001"), "fdc:173410", or "survey:" or "foundation:" and the description.
        """
        kind, _, name = (part.strip() for part in key.partition(":"))
        kind = kind.lower()
        where: str | None = None
        if kind == "ndb" and name.isdecimal() and name.isascii():
            where, value = "key = ?", f"ndb:{int(name):05d}"
        elif kind == "fdc" and name.isdecimal() and name.isascii() and len(name) < 18:
            where, value = "fdc_id = ?", str(int(name))
        elif kind in self.names:
            where, value = "source = ? AND description = ? COLLATE NOCASE", name
        if where is not None:
            values = (kind, value) if kind in self.names else (value,)
            for food in self._foods(f"WHERE {where}", values):
                return food
        raise UnknownFood(f"no food {key!r} in the embedded table; {self._near(kind, name)}")

    def foods(self, sources: Collection[str] | None = None) -> Iterator[Food]:
        """All foods of the given sources (None: all), SR28 first."""
        where, values = self._of(sources)
        return self._foods(f"{where} ORDER BY food.id", values)

    def rows(self, sources: Collection[str] | None = None) -> Iterator[FoodRow]:
        """The names alone of what `foods` gives, in the same order."""
        where, values = self._of(sources)
        found = self.read(
            f"SELECT id, source, key, description, group_name FROM food {where} ORDER BY id", values
        )
        return map(FoodRow._make, found)

    def foods_at(self, ids: Sequence[int]) -> list[Food]:
        """The foods with these row ids, in the given order; a missing id raises UnknownFood."""
        marks = ",".join("?" * len(ids))
        found = self.read(f"{_SELECT} WHERE food.id IN ({marks})", tuple(ids))
        by_id = {row[0]: self._food(row) for row in found}
        missing = [number for number in ids if number not in by_id]
        if missing:
            raise UnknownFood(f"no row {missing[0]} in the embedded table")
        return [by_id[number] for number in ids]

    def close(self) -> None:
        """Closes the file; the next use opens it anew."""
        with self._lock:
            if self._connection is not None:
                self._closing()
                self._connection = None

    def _of(self, sources: Collection[str] | None) -> tuple[str, tuple[str, ...]]:
        if sources is None:
            return "", ()
        return f"WHERE source IN ({','.join('?' * len(sources))})", tuple(sources)

    def _foods(self, where: str, values: tuple[str, ...]) -> Iterator[Food]:
        return map(self._food, self.read(f"{_SELECT} {where}", values))

    def _food(self, row: Sequence[Any]) -> Food:
        _, source, ndb, fdc_id, key, description, group, *packed = row
        nutrients, weights, refuse_pct, refuse_description, factors = packed
        return Food(
            key=key,
            source=source,
            description=description,
            group=group,
            ndb_number=ndb,
            fdc_id=fdc_id,
            nutrients={
                name: _value(token)
                for name, token in zip(NUTRIENTS, nutrients.split(";"), strict=True)
                if token
            },
            household_weights=unpacked_weights(weights),
            refuse_fraction=Decimal(refuse_pct) / 100,
            refuse_description=refuse_description,
            factors=AtwaterFactors(*map(_decimal, factors.split("|"))),
            release=self._releases[source],
        )

    def _near(self, kind: str, name: str) -> str:
        """Where to look instead: near keys of the same kind, or what a key looks like."""
        kinds = {"ndb": ("sr28",), "fdc": None} | {source: (source,) for source in self.names}
        if kind not in kinds or not name:
            return "a key looks like 'ndb:01001', 'fdc:173410' or 'survey:DESCRIPTION'"
        # Imported here: only a mistyped key needs it.
        from rapidfuzz import process

        if kind == "fdc":
            found = self.read("SELECT 'fdc:' || fdc_id FROM food WHERE fdc_id IS NOT NULL")
            keys = [row[0] for row in found]
        else:
            keys = [
                row.key if kind == "ndb" else f"{kind}:{row.description}" for row in self.rows(kinds[kind])
            ]
        near = process.extract(f"{kind}:{name}", keys, limit=3)
        return "near: " + ", ".join(f"'{match}'" for match, *_ in near)
