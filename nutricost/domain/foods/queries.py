"""What a line asks of the tables: words a row must have, words it should have, and the state meant."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from nutricost.domain.foods.lines import IngredientLine
from nutricost.domain.foods.tokens import merge
from nutricost.domain.foods.vocabulary import Entry, Vocabulary
from nutricost.domain.foods.words import COOKED, FILLERS, PREPARATION, STATES

LONGEST, PARTS = 24, 6
"""Words of a part, and later parts, that are read: more than any cook writes of one food."""
RESPELT = 4
"""Words of a line that are looked up among near spellings."""

Speller = Callable[[str], tuple[str, float] | None]
"""Gives the known word that a misspelt word stands for and how alike they are [0..1], or None."""


@dataclass(slots=True)
class Query:
    """Words with their weights. `needs` must be in a row; `wants` are preferred; `avoids` count against it.

    `lone` holds groups of words that only count where a row has all of them; `unknown` are words that no
    table and no entry has; `entries` the household phrases that were read; `loose` counts words that no
    phrase covers; `head_known` tells whether the last word of food is one that entries or tables know;
    `doubt` is how unlike the worst respelt word is [0..1].
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
    peeled: bool = False
    loose: int = 0
    head_known: bool = True
    doubt: float = 0.0
    head: str = ""


def _read_words(
    query: Query,
    words: tuple[str, ...],
    vocabulary: Vocabulary,
    table: Mapping[str, int],
    speller: Speller,
    weight: float,
) -> None:
    """Takes one part of a line into the query."""
    spelt: list[str] = []
    strange = 0
    for word in words:
        if _says_nothing(word) or word in vocabulary.known or word in table:
            spelt.append(word)
            continue
        better = speller(word) if strange < RESPELT else None
        strange += 1
        if better is not None:
            query.respelt[word] = better[0]
            query.doubt = max(query.doubt, 1.0 - better[1])
            spelt.append(better[0])
        else:
            spelt.append(word)
    words = vocabulary.rewritten(merge(spelt) if query.respelt else spelt)
    at = 0
    while at < len(words):
        entry = _entry_at(query, words, at, vocabulary)
        if entry is not None:
            length = len(entry.phrase) - (entry.phrase[0] != words[at])
            if not _better_later(words, at, length, vocabulary):
                _take_entry(query, entry, weight)
                at += length
                query.head = entry.phrase[-1]
                query.head_known = not entry.fused
                continue
        word = words[at]
        at += 1
        query.told.add(word)
        if word in STATES:
            query.states.add(STATES[word])
            if word in table and word not in ("dry", "fresh", "leftover"):
                query.wants.setdefault(word, 0.3)
        elif word in _KINDS:
            query.soft_states.add("cooked")
            query.wants.setdefault(word, 1.0)
        elif word in PREPARATION or word in FILLERS or word[0].isdigit():
            if word in table:
                query.wants.setdefault(word, 0.5)
        elif word in table:
            query.needs[word] = max(query.needs.get(word, 0.0), weight)
            query.head = word
            query.head_known = True
            query.loose += 1
        else:
            query.head_known = False
            query.unknown.append(word)


def _says_nothing(word: str) -> bool:
    return word in PREPARATION or word in FILLERS or word in STATES or word[0].isdigit()


_KINDS = frozenset({"precooked"})
"""Words of a kind of product: they mean a cooked food only where nothing in the line says otherwise
('precooked shrimp' is cooked, 'precooked rice, dry' is a rice that cooks fast)."""

_TOLD_ELSEWHERE = (
    "canned", "frozen", "dried", "freezedried", "roasted", "baked", "boiled", "steamed", "fried",
    "scrambled", "toasted",
    "hardboiled", "cooked", "smoked", "pickled", "fresh", "bottled", "peeled",
)  # fmt: skip
"""States that make another food of a word even where they stand elsewhere in the line ('corn, canned')."""


def _entry_at(query: Query, words: tuple[str, ...], at: int, vocabulary: Vocabulary) -> Entry | None:
    """The entry at `at`, or that of the same words after a state told elsewhere ('tin ... black beans')."""
    entry = vocabulary.entry_at(words, at)
    if entry is not None and entry.phrase[0] in ("leftover", "cooked"):
        after = words[at + len(entry.phrase) : at + len(entry.phrase) + 1]
        if after and not _says_nothing(after[0]):
            return None  # 'leftover beef' is a roast, 'leftover beef stroganoff' is not
    length = 0 if entry is None else len(entry.phrase)
    for state in _TOLD_ELSEWHERE:
        if state in query.states or state in query.soft_states or (state == "peeled" and query.peeled):
            if entry is not None and state in entry.phrase:
                continue
            turned = vocabulary.entry_at((state, *words[at:]), 0)
            if turned is not None and len(turned.phrase) - 1 >= max(length, 1):
                after = words[at + len(turned.phrase) - 1 : at + len(turned.phrase)]
                if not after or _says_nothing(after[0]):
                    return turned
    return entry


def _better_later(words: tuple[str, ...], at: int, length: int, vocabulary: Vocabulary) -> bool:
    """Whether a phrase as long starts inside this one and ends after it ('brown rice flour')."""
    for later in range(at + 1, at + length):
        other = vocabulary.entry_at(words, later)
        if other is not None and len(other.phrase) >= length and later + len(other.phrase) > at + length:
            return True
    return False


_DEFAULT_STATES = frozenset({"raw", "fresh", "uncooked", "unprepared", "unheated"})
"""State words of an entry that only tell the default, which the state of the line overrides."""


def _conflicts(state: str, asked: set[str]) -> bool:
    """Whether the line tells a state that rules this one out ('rolled oats, cooked' are not dry)."""
    if state in COOKED:
        return bool(asked & {"raw", "dried"}) and not asked & COOKED
    if state in ("dried", "powder"):
        return bool(asked & COOKED)
    if state in ("canned", "frozen"):
        return "fresh" in asked
    return False


_NOUN = 0.7
"""Least weight of the noun of an entry, so that a colour beside it does not outweigh it ('yellow apples')."""


def _take_entry(query: Query, entry: Entry, weight: float) -> None:
    query.entries.append(entry)
    query.told.update(entry.phrase)
    if "notfood" in entry.states:
        query.not_food = True
        return
    if entry.fused:
        query.lone.append(entry.phrase)
        for word in entry.phrase:
            query.wants.setdefault(word, 0.3)
        return
    # An entry weighs by the words of the line it stands for, not by how many words the table needs to say it.
    share = weight * (0.6 + 0.4 * len(entry.phrase)) / max(len(set(entry.needs) - _DEFAULT_STATES), 1)
    for word in entry.needs:
        if word in _DEFAULT_STATES:
            query.wants.setdefault(word, 0.5)
        elif word in STATES and _conflicts(STATES[word], query.states):
            continue
        else:
            least = _NOUN * weight if word == entry.phrase[-1] else 0.0
            query.needs[word] = max(query.needs.get(word, 0.0), share, least)
    for word in entry.wants:
        query.wants[word] = max(query.wants.get(word, 0.0), 1.0)
    query.avoids.update(entry.avoids)
    query.soft_states |= entry.states or {
        STATES[w] for at, w in enumerate(entry.phrase) if w in STATES and not (w == "roast" and at)
    }


_HERBS = frozenset(
    "basil thyme rosemary oregano sage tarragon dill mint parsley cilantro coriander chive marjoram".split()
)


def _is_fresh_herb(line: IngredientLine) -> bool:
    """Whether a herb is the fresh one though the line doesn't say so: sprigs, bunches, chopped spoonfuls."""
    if "dried" in line.states:
        return False
    if line.unit is not None and line.unit.name in ("sprig", "bunch", "handful", "leaf", "stalk"):
        return True
    cut = {"chopped", "minced", "torn", "snipped", "shredded"}
    told = {word for preparation in line.preparation for word in preparation.split()} | set(line.words)
    return bool(told & cut) and line.unit is not None and line.unit.name in ("tbsp", "cup")


_LABELS: dict[tuple[str, ...], dict[str, float]] = {
    ("no", "salt", "added"): {"no": 1.0, "salt": 0.5, "added": 0.5, "without": 0.5},
    ("no", "added", "salt"): {"no": 1.0, "salt": 0.5, "added": 0.5, "without": 0.5},
    ("no", "sugar", "added"): {"unsweetened": 1.0, "without": 0.5},
    ("no", "added", "sugar"): {"unsweetened": 1.0, "without": 0.5},
    ("without", "salt"): {"without": 1.0, "no": 0.5},
    ("with", "salt"): {"with": 1.0, "salt": 1.0},
}
"""Label claims and the words that tables say them with."""


def _labels(query: Query, words: tuple[str, ...]) -> tuple[str, ...]:
    """The words without label claims and denials, which become preferences ('not in oil')."""
    kept: list[str] = []
    at = 0
    while at < len(words):
        for length in (3, 2):
            wants = _LABELS.get(tuple(words[at : at + length]))
            if wants is not None:
                for word, strength in wants.items():
                    query.wants.setdefault(word, strength)
                query.told.update(words[at : at + length])
                at += length
                break
        else:
            if words[at] == "not" and at + 1 < len(words):
                query.avoids.update(w for w in words[at + 1 :] if w not in FILLERS)
                return tuple(kept)
            kept.append(words[at])
            at += 1
    return tuple(kept)


_CUT_WORDS = ("boneless", "skinless", "bonein", "skinon")


def _cut_words_first(words: tuple[str, ...], vocabulary: Vocabulary) -> tuple[str, ...]:
    """The words with 'boneless' and the like before the meat, where that is a phrase that is known
    ('chicken thighs boneless skinless')."""
    told = tuple(word for word in words if word in _CUT_WORDS)
    rest = tuple(word for word in words if word not in _CUT_WORDS)
    if not told or not rest:
        return words
    turned = vocabulary.rewritten((*told, *rest))
    entry = vocabulary.entry_at(turned, 0)
    return (*told, *rest) if entry is not None and len(entry.phrase) > len(told) else words


def _part_last(words: tuple[str, ...], vocabulary: Vocabulary) -> tuple[str, ...]:
    """'breast of duck' as 'duck breast', where only that is a phrase that is known ('leg of lamb' is one)."""
    if "of" not in words[1:-1]:
        return words
    at = words.index("of", 1)
    turned = (*words[at + 1 :], *words[:at])
    entry = vocabulary.entry_at(vocabulary.rewritten(words), 0)
    other = vocabulary.entry_at(vocabulary.rewritten(turned), 0)
    known = entry is not None and "of" in entry.phrase
    return turned if not known and other is not None and len(other.phrase) == len(turned) else words


def read_query(
    line: IngredientLine, vocabulary: Vocabulary, table: Mapping[str, int], speller: Speller
) -> Query:
    """The query of a line; `table` has the words of all descriptions as keys."""
    query = Query(states=set(line.states))
    query.peeled = any("peeled" in preparation.split() for preparation in line.preparation)
    if line.unit is not None and line.unit.name == "can":
        query.soft_states.add("canned")
    words = _labels(query, line.words[:LONGEST])
    words = _part_last(_cut_words_first(words, vocabulary), vocabulary)
    if words and words[-1] in _HERBS and _is_fresh_herb(line):
        query.soft_states.add("fresh")
    for part in line.more[:PARTS]:
        part = _labels(query, part[:LONGEST])
        if not part:
            continue
        # 'beef, ground' and 'onion, red' read the other way round where that makes a known phrase.
        turned = vocabulary.rewritten((*part, *words))
        entry = vocabulary.entry_at(turned, 0)
        if entry is not None and len(entry.phrase) > len(part) and len(part) <= 3:
            words = (*part, *words)
        else:
            _read_words(query, part, vocabulary, table, speller, 0.5)
    _read_words(query, words, vocabulary, table, speller, 1.0)
    wanted = query.states | query.soft_states
    query.avoids = {w for w in query.avoids - query.told if STATES.get(w) not in wanted}
    if query.states & {"frozen", "canned", "dried"}:
        query.states.discard("fresh")
    for preparation in line.preparation:
        for word in preparation.split():
            query.told.add(word)
            if word in table and word not in STATES and not word[0].isdigit():
                query.wants.setdefault(word, 0.25)
    for removed in line.removed:
        query.told.add(removed)
    if "skin" in line.removed:
        query.wants.setdefault("only", 1.0)
        query.wants.setdefault("skinless", 0.5)
        query.avoids.add("skin")
    elif "skinon" in line.words or any("skinon" in part for part in line.more):
        query.wants.setdefault("skin", 1.0)
    if not query.needs and not query.lone and not query.unknown:
        # Only preparation or state words: they are all there is to go by.
        for word in line.words:
            if word in table:
                query.needs[word] = 1.0
    return query
