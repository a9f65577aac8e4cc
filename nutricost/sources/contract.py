"""What every food table offers, whether embedded, bulk or live."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple, Protocol

from nutricost.domain.foods.records import Food


class FoodRow(NamedTuple):
    """The part of a row that matching by name needs."""

    id: int
    source: str
    key: str
    description: str
    group: str


class FoodTable(Protocol):
    """A food composition table. `names` are the sources it answers for, such as "sr28"."""

    @property
    def names(self) -> tuple[str, ...]:
        """The sources in this table, best first."""
        ...

    def food(self, key: str) -> Food:
        """The food with this key ("ndb:01001", "fdc:173410"); raises UnknownFood."""
        ...

    def foods(self, sources: Collection[str] | None = None) -> Iterator[Food]:
        """All foods of the given sources (None: all), in table order."""
        ...

    def rows(self, sources: Collection[str] | None = None) -> Iterator[FoodRow]:
        """The names alone of what `foods` gives, in the same order."""
        ...
