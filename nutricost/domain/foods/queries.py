"""What a line asks of the tables: words a row must have, words it should have, and the state meant."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from nutricost.domain.foods.lines import IngredientLine
from nutricost.domain.foods.vocabulary import Entry, Vocabulary
from nutricost.domain.foods.words import FILLERS, PREPARATION, STATES

Speller = Callable[[str], str | None]
"""Gives the known word that a misspelt word stands for, or None."""


@dataclass(slots=True)
class Query:
    """Words with their weights. `needs` must be in a row; `wants` are preferred; `avoids` count against it.

    `lone` holds groups of words that only count where a row has all of them; `unknown` are words that no
    table and no entry has; `entries` the household phrases that were read.
    """

    needs: dict[str, float] = field(default_factory=dict)
    wants: dict[str, float] = field(default_factory=dict)
    avoids: set[str] = field(default_factory=set)
    lone: list[tuple[str, ...]] = field(default_factory=list)
    states: set[str] = field(default_factory=set)
    soft_states: set[str] = field(default_factory=set)
    unknown: list[str] = field(default_factory=list)
    respelt: dict[str, str] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)
    told: set[str] = field(default_factory=set)
    not_food: bool = False
    head: str = ""


_DISHES = frozenset("stew soup casserole lasagna pizza chili curry pie salad sandwich burrito".split())


def _read_words(query: Query, words: tuple[str, ...], vocabulary: Vocabulary, table: Mapping[str, int], speller: Speller,
                weight: float) -> None:  # fmt: skip
    """Takes one part of a line into the query."""
    spelt: list[str] = []
    for word in words:
        plain = word in PREPARATION or word in FILLERS or word in STATES or word in vocabulary.known
        if plain or word in table or word in vocabulary.not_food or word[0].isdigit():
            spelt.append(word)
            continue
        better = speller(word)
        if better is not None:
            query.respelt[word] = better
            spelt.append(better)
        else:
            spelt.append(word)
    words = vocabulary.rewritten(spelt)
    at = 0
    while at < len(words):
        entry = vocabulary.entry_at(words, at)
        if entry is not None and not _better_later(words, at, entry, vocabulary):
            _take_entry(query, entry, weight)
            at += len(entry.phrase)
            query.head = entry.phrase[-1]
            continue
        word = words[at]
        at += 1
        query.told.add(word)
        if word in STATES:
            query.states.add(STATES[word])
            if word in table and word not in ("dry", "fresh", "leftover"):
                query.wants.setdefault(word, 0.3)
        elif word in vocabulary.not_food:
            query.not_food = True
        elif word in PREPARATION or word in FILLERS or word[0].isdigit():
            if word in table:
                query.wants.setdefault(word, 0.5)
        elif word in table:
            query.needs[word] = max(query.needs.get(word, 0.0), weight)
            query.head = word
        else:
            query.unknown.append(word)


def _better_later(words: tuple[str, ...], at: int, entry: Entry, vocabulary: Vocabulary) -> bool:
    """Whether a longer phrase starts inside this one ('brown rice flour': 'rice flour' over 'brown rice')."""
    for later in range(at + 1, at + len(entry.phrase)):
        other = vocabulary.entry_at(words, later)
        if other is not None and later + len(other.phrase) > at + len(entry.phrase):
            if len(other.phrase) >= len(entry.phrase):
                return True
    return False


def _take_entry(query: Query, entry: Entry, weight: float) -> None:
    query.entries.append(entry)
    query.told.update(entry.phrase)
    if entry.fused:
        query.lone.append(entry.phrase)
        for word in entry.phrase:
            query.wants.setdefault(word, 0.3)
        return
    for word in entry.needs:
        query.needs[word] = max(query.needs.get(word, 0.0), weight)
    for word in entry.wants:
        query.wants[word] = max(query.wants.get(word, 0.0), 1.0)
    query.avoids.update(entry.avoids)
    query.soft_states |= entry.states


def read_query(line: IngredientLine, vocabulary: Vocabulary, table: Mapping[str, int], speller: Speller) -> Query:
    """The query of a line; `table` has the words of all descriptions as keys."""
    query = Query()
    words = line.words
    for part in line.more:
        # 'beef, ground' and 'onion, red' read the other way round where that makes a known phrase.
        turned = vocabulary.rewritten((*part, *words))
        entry = vocabulary.entry_at(turned, 0)
        if entry is not None and len(entry.phrase) > len(part) and len(part) <= 3:
            words = (*part, *words)
        else:
            _read_words(query, part, vocabulary, table, speller, 0.5)
    _read_words(query, words, vocabulary, table, speller, 1.0)
    query.avoids -= query.told
    query.states |= line.part_states
    query.states.discard("fresh") if query.states & {"frozen", "canned"} else None
    for preparation in line.preparation:
        for word in preparation.split():
            query.told.add(word)
            if word in table and word not in STATES and not word[0].isdigit():
                query.wants.setdefault(word, 0.25)
    for removed in line.removed:
        query.told.add(removed)
    if line.unit is not None and line.unit.name == "can":
        query.soft_states.add("canned")
    if not query.needs and not query.lone and not query.unknown:
        # Only preparation or state words: they are all there is to go by.
        for word in line.words:
            if word in table:
                query.needs[word] = 1.0
    return query
