"""Lines and names matched against what the live service finds, with the embedded table to fall back on."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property

from nutricost.domain.foods.descriptions import DescriptionWords, read_description
from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.records import Food
from nutricost.domain.foods.vocabulary import Vocabulary
from nutricost.sources.matching_engine import Candidate, LineMatch, Matcher
from nutricost.sources.web_client import LiveTable

HITS = 25
"""Foods asked for in one search."""


class FoodList:
    """A few foods as a table and an index at once, for `Matcher`; keys it lacks are looked up elsewhere."""

    def __init__(
        self, foods: Sequence[Food], vocabulary: Vocabulary, elsewhere: Callable[[str], Food]
    ) -> None:
        self._foods, self._elsewhere = foods, elsewhere
        self.vocabulary = vocabulary

    @cached_property
    def _read(self) -> list[DescriptionWords]:
        return [
            read_description(
                food.description.lower() if food.description.isupper() else food.description, food.group
            )
            for food in self._foods
        ]

    @cached_property
    def table_words(self) -> Mapping[str, int]:
        """All words of all descriptions, with a number."""
        words = sorted({word for read in self._read for word in read.words})
        return {word: number for number, word in enumerate(words)}

    @property
    def size(self) -> int:
        """Number of foods."""
        return len(self._foods)

    def rows_with(self, word: str) -> Sequence[int]:
        """Foods whose description has the word."""
        return [row for row, read in enumerate(self._read) if word in read.words]

    def row(self, number: int) -> tuple[Sequence[str], Sequence[int], frozenset[str], float, str]:
        """Words, places, states, penalty and source of a food."""
        read = self._read[number]
        return read.words, read.places, read.states, read.penalty, self._foods[number].source

    def allows(self, number: int) -> bool:
        """Always."""
        return True

    def food_id(self, row: int) -> int:
        """Foods are numbered as in the list."""
        return row

    def food(self, key: str) -> Food:
        """The food with this key, in the list or elsewhere; raises UnknownFood."""
        for food in self._foods:
            if food.key == key:
                return food
        return self._elsewhere(key)

    def foods_at(self, ids: Sequence[int]) -> list[Food]:
        """The foods with these numbers."""
        return [self._foods[number] for number in ids]


class LiveMatcher:
    """Matches lines and searches names in the live service; in the embedded table where that fails."""

    def __init__(self, table: LiveTable, embedded: Matcher) -> None:
        self._table, self._embedded = table, embedded

    def match(self, text: str, remembered: Mapping[str, str] | None = None) -> LineMatch:
        """The food and the grams of one line, as `Matcher.match`."""
        line = read_line(text)
        words = " ".join(word for part in (line.words, *line.more) for word in part)
        foods = self._table.search(words, HITS) if words else []
        matcher = self._embedded if self._table.is_down else self._over(foods)
        return matcher.match(text, remembered)

    def search(self, text: str, limit: int = 10) -> list[Candidate]:
        """Foods whose names answer a query best; after the close ones, the rest as the service ranks them."""
        foods = self._table.search(text, max(limit, HITS))
        if self._table.is_down:
            return self._embedded.search(text, limit)
        best = self._over(foods).search(text, limit)
        keys = {candidate.food.key for candidate in best}
        rest = [Candidate(food, 0.0, ("found by the service",)) for food in foods if food.key not in keys]
        return [*best, *rest][:limit]

    def _over(self, foods: Sequence[Food]) -> Matcher:
        listed = FoodList(foods, self._embedded.index.vocabulary, self._table.food)
        return Matcher(listed, listed)
