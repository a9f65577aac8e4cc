"""Ingredient lines to foods and grams over the embedded table: one object, opened once."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Protocol

from nutricost.domain.foods.grams import GramsResult, line_grams
from nutricost.domain.foods.lines import IngredientLine, read_line
from nutricost.domain.foods.matching import FoodIndex, MatchResult, Status, food_key, match_line
from nutricost.domain.foods.records import Food
from nutricost.domain.foods.vocabulary import Vocabulary
from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.food_index import EmbeddedIndex

WEIGHED_FROM = 0.3
"""Confidence from which the best guess lends its household weights; below it the words alone speak."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A food offered for a line, how sure [0..1], and why."""

    food: Food
    confidence: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LineMatch:
    """Everything `match` tells about a line. `food` is None where the status is none."""

    text: str
    line: IngredientLine
    status: Status
    food: Food | None
    confidence: float
    grams: GramsResult
    candidates: tuple[Candidate, ...]
    key: str


class MatchTable(Protocol):
    """What matching needs of a table: foods by key and by row id."""

    def food(self, key: str) -> Food:
        """The food with this key; raises UnknownFood."""
        ...

    def foods_at(self, ids: Sequence[int]) -> list[Food]:
        """The foods with these row ids, in the given order."""
        ...


class MatchIndex(FoodIndex, Protocol):
    """What matching needs of an index: rows by words, the synonyms, and the row ids of the table."""

    @property
    def vocabulary(self) -> Vocabulary:
        """Synonyms and household words."""
        ...

    def food_id(self, row: int) -> int:
        """The table's id of a row."""
        ...


class Matcher:
    """Matches lines and searches names in one table. `Matcher.open` makes one for the embedded table."""

    def __init__(self, table: MatchTable, index: MatchIndex) -> None:
        self.table = table
        self.index = index
        self._vocabulary = index.vocabulary
        self._lexicon: list[str] = []
        self._common: Mapping[str, int] = {}
        self.speller = lru_cache(maxsize=4096)(self._respelt)

    @classmethod
    def open(cls, sources: Collection[str] | None = None, table: EmbeddedTable | None = None) -> Matcher:
        """A matcher over these sources (None: all embedded); raises SourceError."""
        table = table or EmbeddedTable()
        return cls(table, EmbeddedIndex(table, sources))

    def match(
        self,
        text: str,
        remembered: Mapping[str, str] | None = None,
        pinned_food: str | None = None,
        pinned_grams: Decimal | None = None,
    ) -> LineMatch:
        """The food and the grams of one line.

        `remembered` maps `key(text)` to the food key the user confirmed, which wins with confidence 1, as
        does `pinned_food`; `pinned_grams` replaces the weight. Raises UnknownFood for a key nobody has.
        """
        line = read_line(text)
        result = match_line(line, self.index_for(line), self._vocabulary, self.speller)
        phrase = result.key
        chosen = pinned_food or (remembered or {}).get(phrase)
        candidates = self._candidates(result)
        status, sure = result.status, result.confidence
        if chosen is not None:
            food = self.table.food(chosen)
            reason = "pinned by the document" if pinned_food else "confirmed by you for this food"
            others = tuple(c for c in candidates if c.food.key != food.key)
            candidates = (Candidate(food, 1.0, (reason,)), *others)[:5]
            status, sure = "matched", 1.0
        best = candidates[0].food if candidates and status != "none" else None
        if pinned_grams is not None:
            grams = GramsResult(pinned_grams, pinned_grams, pinned_grams, "pinned by the document")
        else:
            weighed = best if sure >= WEIGHED_FROM else None
            relatives = [candidate.food for candidate in candidates[1:]] if weighed is not None else []
            grams = line_grams(line, weighed, relatives)
        return LineMatch(text, line, status, best, sure, grams, candidates, phrase)

    def key(self, text: str) -> str:
        """The phrase under which a choice for this line's food is remembered."""
        return food_key(read_line(text), self._vocabulary, self.index.table_words, self.speller)

    def search(self, text: str, limit: int = 10) -> list[Candidate]:
        """Foods whose names answer a query best, for `find`; the query need not be a line."""
        line = read_line(text)
        result = match_line(line, self.index_for(line), self._vocabulary, self.speller, limit)
        return list(self._candidates(result))

    def index_for(self, line: IngredientLine) -> FoodIndex:
        """The index that scores a line; a table of millions of rows narrows it first."""
        return self.index

    def _candidates(self, result: MatchResult) -> tuple[Candidate, ...]:
        if not result.candidates:
            return ()
        foods = self.table.foods_at([self.index.food_id(match.row) for match in result.candidates])
        return tuple(
            Candidate(food, match.confidence, match.reasons)
            for food, match in zip(foods, result.candidates, strict=True)
        )

    def _respelt(self, word: str) -> tuple[str, float] | None:
        """The known word that a misspelt one stands for, or None where none is near.

        Near words compete by likeness and, where that ties, by how common they are in the synonym file
        and the table ('btter' is butter rather than batter).
        """
        if not 4 <= len(word) <= 30 or not word.isalpha():
            return None
        # Imported here: only a word that no table has needs it.
        from rapidfuzz import process
        from rapidfuzz.distance import DamerauLevenshtein

        if not self._lexicon:
            known = set(self.index.table_words) | set(self._vocabulary.known)
            self._lexicon = sorted(w for w in known if len(w) > 3 and w.isalpha())
            self._common = self._vocabulary.common()
        near: Sequence[tuple[str, float, int]] = process.extract(
            word,
            self._lexicon,
            scorer=DamerauLevenshtein.normalized_similarity,
            score_cutoff=0.75 if len(word) < 6 else 0.70,
            limit=8,
        )
        best: tuple[float, str, float] | None = None
        for candidate, likeness, _ in near:
            if candidate[0] != word[0]:
                continue
            count = 4 * self._common.get(candidate, 0) + len(self.index.rows_with(candidate))
            weight = likeness + 0.02 * math.log1p(count)
            if best is None or weight > best[0]:
                best = (weight, candidate, likeness)
        return None if best is None else best[1:]
