"""A matching index over a handful of descriptions, for tests of the matcher without the embedded table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from nutricost.domain.foods.descriptions import read_description


class SmallIndex:
    """Rows of (description, source), numbered as given; `refused` are sources that nobody asked for."""

    def __init__(self, rows: Sequence[tuple[str, str]], refused: Sequence[str] = ()) -> None:
        self.descriptions = [description for description, _ in rows]
        self._sources = [source for _, source in rows]
        read = {description: read_description(description) for description in self.descriptions}
        self._read = [read[description] for description in self.descriptions]
        self._refused = refused
        self.table_words: Mapping[str, int] = Counter(word for row in self._read for word in row.words)
        self._rows: dict[str, list[int]] = {}
        for number, row in enumerate(self._read):
            for word in dict.fromkeys(row.words):
                self._rows.setdefault(word, []).append(number)

    @property
    def size(self) -> int:
        return len(self._read)

    def rows_with(self, word: str) -> Sequence[int]:
        return self._rows.get(word, [])

    def row(self, number: int) -> tuple[Sequence[str], Sequence[int], frozenset[str], float, str]:
        read = self._read[number]
        return read.words, read.places, read.states, read.penalty, self._sources[number]

    def allows(self, number: int) -> bool:
        return self._sources[number] not in self._refused
