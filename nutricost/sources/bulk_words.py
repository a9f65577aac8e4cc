"""Words of millions of descriptions: which rows have a word, and the few rows worth scoring for a line."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from nutricost.domain.foods.descriptions import read_description
from nutricost.domain.foods.tokens import MERGED, merge, scan, stem
from nutricost.domain.foods.vocabulary import Vocabulary, unpack
from nutricost.sources.embedded import EmbeddedTable

WORDS_FILE, STARTS_FILE = "words.txt", "word_starts.npy"
ROWS_FILE, LENGTHS_FILE = "word_rows.npy", "word_counts.npy"

CANDIDATES = 64
"""Rows scored for one line: reading a description takes about 0.15 ms."""

_PARTS: dict[str, list[tuple[str, ...]]] = {}
for _words, _merged in MERGED.items():
    if len(_words) > 1 and _merged not in _words:
        _PARTS.setdefault(_merged, []).append(_words)

Rows = npt.NDArray[np.uint32]


@dataclass(frozen=True, slots=True)
class WordIndex:
    """Words in order, and for each a run of `rows` from its start to the next one's."""

    words: Sequence[str]
    starts: npt.NDArray[np.int64]
    rows: Rows
    counts: npt.NDArray[np.uint8]


def index_words(descriptions: pa.ChunkedArray) -> WordIndex:
    """The word index of descriptions, in their order; words are stemmed as in lines.

    Every distinct piece of text is read once, however often it stands in the table. Words that belong
    together ('hard', 'boiled') stay apart here and are put together when rows are asked for.
    """
    pieces = pc.utf8_split_whitespace(pc.utf8_lower(descriptions)).combine_chunks()
    encoded = pieces.values.dictionary_encode()
    offsets = pieces.offsets.to_numpy()
    token_rows = np.repeat(np.arange(len(pieces), dtype=np.uint32), np.diff(offsets))
    codes = encoded.indices.to_numpy(zero_copy_only=False)
    read = [_words_of_piece(piece) for piece in encoded.dictionary.to_pylist()]
    words = sorted({word for found in read for word in found})
    number = {word: at for at, word in enumerate(words)}
    firsts = np.array([number[found[0]] if found else -1 for found in read], dtype=np.int64)
    parts = [_pairs(firsts[codes], token_rows)]
    longer = [at for at, found in enumerate(read) if len(found) > 1]
    if longer:
        is_longer = np.zeros(len(read), dtype=bool)
        is_longer[longer] = True
        picked = np.flatnonzero(is_longer[codes])
        for place in range(1, max(len(read[at]) for at in longer)):
            nth = np.array([number[f[place]] if len(f) > place else -1 for f in read], dtype=np.int64)
            parts.append(_pairs(nth[codes[picked]], token_rows[picked]))
    pairs = np.concatenate(parts)
    pairs.sort()
    pairs = pairs[np.concatenate(([True], pairs[1:] != pairs[:-1]))] if len(pairs) else pairs
    rows = (pairs & 0xFFFFFFFF).astype(np.uint32)
    starts = np.searchsorted(pairs >> 32, np.arange(len(words) + 1))
    counts = np.minimum(np.bincount(rows, minlength=len(pieces)), 255).astype(np.uint8)
    return WordIndex(words, starts.astype(np.int64), rows, counts)


def _words_of_piece(piece: str) -> list[str]:
    return merge([stem(token.text) for token in scan(piece) if token.kind != "mark"])


def _pairs(words: npt.NDArray[np.int64], rows: Rows) -> npt.NDArray[np.int64]:
    """Word and row in one number, for words that exist."""
    there = words >= 0
    pairs: npt.NDArray[np.int64] = (words[there] << 32) | rows[there].astype(np.int64)
    return pairs


def write_words(index: WordIndex, folder: Path) -> None:
    """Writes the index into a folder, so that it is read by memory mapping."""
    (folder / WORDS_FILE).write_text("\n".join(index.words), encoding="utf-8")
    np.save(folder / STARTS_FILE, index.starts)
    np.save(folder / ROWS_FILE, index.rows)
    np.save(folder / LENGTHS_FILE, index.counts)


class Hits(Sequence[int]):
    """Rows that have a word: `len` counts all of them, iteration gives those that are looked at."""

    def __init__(self, count: int, rows: Sequence[int]) -> None:
        self._count, self._rows = count, rows

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[int]:
        return iter(self._rows)

    def __getitem__(self, place: Any) -> Any:
        return self._rows[place]


class BulkIndex:
    """The words of a bulk table, as domain.foods.matching.FoodIndex asks for them."""

    def __init__(self, folder: Path, descriptions: pa.ChunkedArray, source_of: Callable[[int], str]) -> None:
        self._folder, self._descriptions, self._source_of = folder, descriptions, source_of
        self._read: dict[int, tuple[Sequence[str], Sequence[int], frozenset[str], float, str]] = {}

    @cached_property
    def _index(self) -> WordIndex:
        words = (self._folder / WORDS_FILE).read_text(encoding="utf-8").split("\n")
        starts, rows, counts = (
            np.load(self._folder / name, mmap_mode="r") for name in (STARTS_FILE, ROWS_FILE, LENGTHS_FILE)
        )
        return WordIndex(words, starts, rows, counts)

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The synonyms that ship with the program, packed in the embedded table: those are read fastest."""
        [(packed,)] = EmbeddedTable().read("SELECT data FROM match_index WHERE name = 'vocabulary'")
        return unpack(packed.decode())

    def food_id(self, row: int) -> int:
        """The table's id of a row: its number."""
        return row

    @cached_property
    def table_words(self) -> Mapping[str, int]:
        """All words of all descriptions, with their number; merged words come after the others."""
        words = {word: at for at, word in enumerate(self._index.words)}
        for merged, ways in _PARTS.items():
            if merged not in words and any(all(part in words for part in parts) for parts in ways):
                words[merged] = len(words)
        return words

    @property
    def size(self) -> int:
        """Number of rows."""
        return len(self._index.counts)

    def rows_of(self, word: str) -> Rows:
        """Numbers of the rows that have the word, or all words that make it up, ascending."""
        found = self._written(word)
        for parts in _PARTS.get(word, ()):
            together = self._written(parts[0])
            for part in parts[1:]:
                together = np.intersect1d(together, self._written(part), assume_unique=True)
            found = np.union1d(found, together)
        return found

    def _written(self, word: str) -> Rows:
        """Rows in which the word itself is written."""
        index, number = self._index, self.table_words.get(word, -1)
        if not 0 <= number < len(index.words):
            return np.empty(0, dtype=np.uint32)
        return index.rows[index.starts[number] : index.starts[number + 1]]

    def rows_with(self, word: str) -> Sequence[int]:
        """Rows whose description has the word."""
        rows = self.rows_of(word)
        return Hits(len(rows), rows.tolist())

    def allows(self, number: int) -> bool:
        """Always: a bulk table is asked for as a whole."""
        return True

    def row(self, number: int) -> tuple[Sequence[str], Sequence[int], frozenset[str], float, str]:
        """Words, places, states, penalty and source of a row.

        Capitals are no sign of a brand in a name that is written in capitals from end to end.
        """
        known = self._read.get(number)
        if known is None:
            name = self._descriptions[number].as_py()
            read = read_description(name.lower() if name.isupper() else name)
            known = (read.words, read.places, read.states, read.penalty, self._source_of(number))
            self._read[number] = known
        return known

    def best_rows(self, weights: Mapping[str, float], limit: int = CANDIDATES) -> npt.NDArray[np.int64]:
        """Rows with the greatest sum of the weights of their words, those with fewer words first.

        Each row gets a bit a word; rows are taken bit pattern by bit pattern, the heaviest first. Of more
        than eight words the heaviest count.
        """
        found = [(weight, self.rows_of(word)) for word, weight in weights.items()]
        rated = [(weight * _rarity(len(rows), self.size), rows) for weight, rows in found if len(rows)]
        rated = heapq.nlargest(8, rated, key=lambda pair: pair[0])
        bits = np.zeros(self.size, dtype=np.uint8)
        for place, (_, rows) in enumerate(rated):
            bits[rows] |= np.uint8(1 << place)
        patterns = sorted(
            (
                (sum(rated[n][0] for n in range(8) if pattern >> n & 1), pattern)
                for pattern in range(1, 1 << len(rated))
            ),
            reverse=True,
        )
        best: list[npt.NDArray[np.int64]] = []
        left = limit
        for _, pattern in patterns:
            hits = np.flatnonzero(bits == pattern)
            if len(hits):
                order = np.argsort(self._index.counts[hits], kind="stable")[:left]
                best.append(hits[order])
                left -= len(order)
                if left <= 0:
                    break
        return np.concatenate(best) if best else np.empty(0, dtype=np.int64)

    def narrowed(self, weights: Mapping[str, float]) -> NarrowIndex:
        """The same index with only the rows that are worth scoring for these words."""
        return NarrowIndex(self, {int(row) for row in self.best_rows(weights)})


def _rarity(count: int, size: int) -> float:
    """Weight of a word by how rare it is, 1 in one row and 0 in all (inverse document frequency)."""
    return float(np.log(size / max(count, 1)) / np.log(max(size, 2))) if count else 0.0


class NarrowIndex:
    """A few rows of a bulk index; how many rows have a word is told for the whole table."""

    def __init__(self, whole: BulkIndex, rows: set[int]) -> None:
        self._whole, self._rows = whole, np.array(sorted(rows), dtype=np.uint32)

    @property
    def table_words(self) -> Mapping[str, int]:
        """All words of the whole table."""
        return self._whole.table_words

    @property
    def size(self) -> int:
        """Number of rows of the whole table."""
        return self._whole.size

    def rows_with(self, word: str) -> Sequence[int]:
        """The few rows that have the word; `len` counts those of the whole table."""
        rows = self._whole.rows_of(word)
        places = np.searchsorted(rows, self._rows)
        inside = places < len(rows)
        there = np.zeros(len(self._rows), dtype=bool)
        there[inside] = rows[places[inside]] == self._rows[inside]
        return Hits(len(rows), self._rows[there].tolist())

    def allows(self, number: int) -> bool:
        """Always."""
        return True

    def row(self, number: int) -> tuple[Sequence[str], Sequence[int], frozenset[str], float, str]:
        """Words, places, states, penalty and source of a row."""
        return self._whole.row(number)
