"""Household words and the table words they stand for, read from the synonym file's small language.

An entry's value is a row of table words: those before '|' must be in the row, those after '|' are
preferred, those after '!' count against a row, and '@raw', '@canned' and the like is the state that is
meant where the line tells none. An entry with an empty value names a food whose words must not be
matched one by one ('oat milk' is neither oats nor milk).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from nutricost.domain.foods.tokens import merge, scan, stem
from nutricost.domain.foods.words import STATES


@dataclass(frozen=True, slots=True)
class Entry:
    """What a household phrase stands for in the tables."""

    phrase: tuple[str, ...]
    needs: tuple[str, ...]
    wants: tuple[str, ...] = ()
    avoids: tuple[str, ...] = ()
    states: frozenset[str] = frozenset()

    @property
    def fused(self) -> bool:
        """Whether the phrase is a food of its own that no table word stands for."""
        return not self.needs


@dataclass(slots=True)
class Vocabulary:
    """Entries by phrase, and words rewritten one by one.

    `packed` has one line of text an entry, as `pack` writes it; an entry is read when it is first met.
    """

    packed: Mapping[str, str]
    rewrites: Mapping[str, tuple[str, ...]]
    longest: int
    known: frozenset[str]
    _read: dict[str, Entry] = field(default_factory=dict)

    def entry_at(self, words: Sequence[str], at: int) -> Entry | None:
        """The entry with the longest phrase that starts at `at`."""
        if words[at] not in self.known:
            return None
        for length in range(min(self.longest, len(words) - at), 0, -1):
            phrase = " ".join(words[at : at + length])
            entry = self._read.get(phrase)
            if entry is None and phrase in self.packed:
                entry = self._read[phrase] = _unpacked(phrase, self.packed[phrase])
            if entry is not None:
                return entry
        return None

    def common(self) -> Mapping[str, int]:
        """In how many phrases each word stands."""
        return Counter(word for phrase in self.packed for word in phrase.split())

    def rewritten(self, words: Iterable[str]) -> tuple[str, ...]:
        """The words in the tables' spelling ('courgette' -> 'zucchini')."""
        result: list[str] = []
        for word in words:
            result += self.rewrites.get(word, (word,))
        return tuple(result)


def _packed(entry: Entry) -> str:
    return "|".join(" ".join(part) for part in (entry.needs, entry.wants, entry.avoids, sorted(entry.states)))


def _unpacked(phrase: str, text: str) -> Entry:
    needs, wants, avoids, states = (tuple(part.split()) for part in text.split("|"))
    return Entry(tuple(phrase.split()), needs, wants, avoids, frozenset(states))


def pack(vocabulary: Vocabulary) -> str:
    """The whole vocabulary as text, for keeping beside the index; `unpack` reads it in a few milliseconds."""
    entries = "\n".join(f"{phrase}={text}" for phrase, text in sorted(vocabulary.packed.items()))
    rewrites = "\n".join(f"{word}={' '.join(new)}" for word, new in sorted(vocabulary.rewrites.items()))
    return "\f".join((entries, rewrites, " ".join(sorted(vocabulary.known))))


def unpack(text: str) -> Vocabulary:
    """The vocabulary that `pack` wrote."""
    entries, rewrites, known = text.split("\f")
    packed = dict(line.split("=", 1) for line in entries.split("\n"))
    return Vocabulary(
        packed,
        {word: tuple(new.split()) for word, new in (line.split("=", 1) for line in rewrites.split("\n"))},
        max(phrase.count(" ") + 1 for phrase in packed),
        frozenset(known.split()),
    )


def table_words(text: str) -> list[str]:
    """Stemmed and merged words of a piece of text."""
    return merge([stem(t.text) for t in scan(text) if t.kind != "mark"])


def _entry(phrase: tuple[str, ...], value: str) -> Entry:
    words: dict[str, list[str]] = {"need": [], "|": [], "!": []}
    states: set[str] = set()
    mode = "need"
    run: list[str] = []

    def flush() -> None:
        words[mode].extend(table_words(" ".join(run)))
        run.clear()

    for word in value.replace("|", " | ").replace("!", " ! ").split():
        if word in ("|", "!"):
            flush()
            mode = word
        elif word.startswith("@"):
            states.add(STATES.get(word[1:], word[1:]))
        else:
            run.append(word)
    flush()
    return Entry(phrase, tuple(words["need"]), tuple(words["|"]), tuple(words["!"]), frozenset(states))


def read_vocabulary(
    foods: Mapping[str, str], words: Mapping[str, str], alone: Iterable[str], not_food: Iterable[str]
) -> Vocabulary:
    """The vocabulary from the tables of the synonym file.

    `foods` has phrases (several between ' / ') and their table words, `words` has other words, `alone` foods
    that must not be taken apart, `not_food` things nobody eats.
    """
    rewrites = {stem(old): tuple(table_words(new)) for old, new in words.items()}
    packed: dict[str, str] = {}
    known: set[str] = set(rewrites)

    def add(phrase: str, value: str) -> None:
        split = table_words(phrase)
        rewritten: list[str] = []
        for word in split:
            rewritten += rewrites.get(word, (word,))
        key = tuple(merge(rewritten))
        known.update(split)
        known.update(key)
        packed[" ".join(key)] = _packed(_entry(key, value))

    for phrases, value in foods.items():
        for phrase in phrases.split(" / "):
            add(phrase, value)
    for phrase in alone:
        add(phrase, "")
    for phrase in not_food:
        add(phrase, "@notfood")
    longest = max((phrase.count(" ") + 1 for phrase in packed), default=0)
    return Vocabulary(packed, rewrites, longest, frozenset(known))
