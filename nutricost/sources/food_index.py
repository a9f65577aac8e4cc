"""The matcher's index over the embedded file: words to rows and rows to words, read once into arrays."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Collection, Mapping, Sequence

from nutricost.domain.foods.vocabulary import unpack
from nutricost.errors import SourceError
from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.index_build import INDEX_VERSION


def _array(typecode: str, data: bytes) -> array[int]:
    values: array[int] = array(typecode)
    values.frombytes(data)
    if sys.byteorder == "big":
        values.byteswap()
    return values


class EmbeddedIndex:
    """Rows of table `food` by number, as domain.foods.matching.FoodIndex asks for them.

    `sources` limits the rows to those tables (None: all). Raises SourceError where the file has no index
    or one of another version.
    """

    def __init__(self, table: EmbeddedTable, sources: Collection[str] | None = None) -> None:
        blobs = dict(table.read("SELECT name, data FROM match_index"))
        if blobs["version"] != str(INDEX_VERSION).encode():
            raise SourceError("the matching index is of another version: run scripts/build-reference-table")
        self._words = blobs["words"].decode().split("\n")
        self._number = {word: at for at, word in enumerate(self._words)}
        self._states = blobs["states"].decode().split("\n")
        self._sources = blobs["sources"].decode().split("\n")
        self._ids = _array("I", blobs["ids"])
        self._row_sources: bytes = blobs["row_sources"]
        self._starts = _array("I", blobs["starts"])
        self._tokens = _array("H", blobs["tokens"])
        self._places: bytes = blobs["places"]
        self._row_states = _array("Q", blobs["row_states"])
        self._penalties: bytes = blobs["penalties"]
        self._posting_starts = _array("I", blobs["posting_starts"])
        self._postings = _array("H", blobs["postings"])
        self.vocabulary = unpack(blobs["vocabulary"].decode())
        asked = self._sources if sources is None else sources
        self._allowed = frozenset(at for at, source in enumerate(self._sources) if source in asked)
        self._all = len(self._allowed) == len(self._sources)
        self._state_sets: dict[int, frozenset[str]] = {}
        self._rows: dict[int, tuple[list[str], bytes, frozenset[str], float, str]] = {}

    @property
    def table_words(self) -> Mapping[str, int]:
        """All words of all descriptions, with their number."""
        return self._number

    @property
    def size(self) -> int:
        """Number of rows, all sources."""
        return len(self._ids)

    def food_id(self, row: int) -> int:
        """The id in table `food` of a row."""
        return self._ids[row]

    def rows_with(self, word: str) -> Sequence[int]:
        """Rows whose description has the word."""
        number = self._number.get(word)
        if number is None:
            return ()
        return self._postings[self._posting_starts[number] : self._posting_starts[number + 1]]

    def allows(self, number: int) -> bool:
        """Whether the row's source is among those asked for."""
        return self._all or self._row_sources[number] in self._allowed

    def row(self, number: int) -> tuple[list[str], bytes, frozenset[str], float, str]:
        """Words, places, states, penalty and source of a row."""
        known = self._rows.get(number)
        if known is not None:
            return known
        start, end = self._starts[number], self._starts[number + 1]
        words = self._words
        mask = self._row_states[number]
        states = self._state_sets.get(mask)
        if states is None:
            states = frozenset(s for at, s in enumerate(self._states) if mask >> at & 1)
            self._state_sets[mask] = states
        found = (
            [words[token] for token in self._tokens[start:end]],
            self._places[start:end],
            states,
            self._penalties[number] / 100,
            self._sources[self._row_sources[number]],
        )
        self._rows[number] = found
        return found
