"""How well a table row answers a query: words, head noun, state, defaults and penalties, one sum."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from functools import lru_cache

from nutricost.domain.foods.descriptions import ASIDE, CLASS, FREE, HEAD, LINK, LINKS, SECOND, STATE
from nutricost.domain.foods.queries import Query
from nutricost.domain.foods.vocabulary import Entry
from nutricost.domain.foods.words import COOKED, STATES

MISSING = 1.3
"""What a needed word that a row lacks costs, as a multiple of what it would have earned."""
_WANT = 0.06
_AVOID = 0.5
_EXTRA = {HEAD: 0.35, SECOND: 0.16, 2: 0.08, ASIDE: 0.005, CLASS: 0.0, STATE: 0.0, LINK: 0.0}
_EXTRA_FREE = {HEAD: 0.03, SECOND: 0.015, 2: 0.008, ASIDE: 0.0, CLASS: 0.0, STATE: 0.0, LINK: 0.0}
_HEAD_MISSED = 0.35
_ENTRY_MISSED, _HEAD_ENTRY_MISSED = 0.6, 0.35
"""What is left of the coverage of a row that has nothing of a food the line names by a known phrase, and of
one that lacks the very noun of the line ('yellow cherries' are no yellow beans)."""
_HEAD_HIT = 0.03
_ODD = 0.8
"""Penalty of a branded or baby food: such a row does not stand for a food that the line only names."""
_GRADES = frozenset({"choice", "select", "prime"})

_FAMILIES = (
    frozenset({"grilled", "broiled"}),
    frozenset({"roasted", "baked"}),
    frozenset({"boiled", "steamed", "stewed", "braised", "poached", "hardboiled"}),
    frozenset({"fried", "browned"}),
)
_DRY_HEAT = frozenset({"grilled", "broiled", "roasted", "baked"})
_MILD = frozenset({"cooked", "prepared"})
_KEPT = frozenset({"dried", "freezedried", "sundried", "powder"})
_SPECIAL = {
    "smoked": 0.3,
    "pickled": 0.3,
    "candied": 0.3,
    "breaded": 0.3,
    "evaporated": 0.3,
    "freezedried": 0.35,
    "sundried": 0.3,
    "powder": 0.2,
    "condensed": 0.1,
    "toasted": 0.12,
    "fried": 0.15,
    "hardboiled": 0.2,
    "scrambled": 0.2,
}
"""States that must be asked for: a row with one that the line doesn't tell loses this much."""


@dataclass(slots=True)
class Scored:
    """A row's score and what it is made of; `unnamed` counts foods of the line that must be named by all
    their words and that this row does not name."""

    row: int
    score: float
    coverage: float
    extra: float
    state_cost: float
    penalty: float
    unnamed: int = 0


def _cooked_cost(asked: Set[str], row: Set[str]) -> float:
    methods = row & COOKED
    if not methods:
        if "canned" in row:
            return 0.35
        if "raw" in row or row & _KEPT:
            return 0.6
        return 0.25
    specific = (asked & COOKED) - _MILD
    if not specific:
        return 0.12 if methods <= {"fried", "toasted", "scrambled"} else 0.0
    if specific & methods:
        return 0.0
    if any(specific & family and methods & family for family in _FAMILIES):
        return 0.06
    if specific & _DRY_HEAT and methods & _DRY_HEAT:
        return 0.1
    return 0.12 if methods & _MILD else 0.25


def state_cost(asked: Set[str], soft: Set[str], row: Set[str]) -> float:
    """What a row loses because its state is not the one meant (0 where it is)."""
    cost = 0.0
    wanted = asked or soft
    cooked = bool(asked & COOKED) or bool(soft & COOKED and not asked & {"raw", "dried"})
    raw = bool(row & {"raw", "fresh"})
    if cooked:
        cost += _cooked_cost(asked if asked & COOKED else soft, row)
    elif row & COOKED and not ("canned" in row and "canned" in asked | soft):
        cost += 0.12 if row & COOKED <= {"prepared"} else 0.45
        if "raw" in asked:
            cost += 0.4
    if "canned" in asked:
        cost += 0.0 if "canned" in row else (0.55 if raw or row & _KEPT else 0.3)
    elif "canned" in row:
        cost += 0.0 if "canned" in soft else (0.15 if cooked else 0.35)
    elif "canned" in soft and not asked & {"frozen", "dried", "fresh"}:
        cost += 0.3 if raw or row & _KEPT or row & COOKED else 0.05
    if "frozen" in asked:
        cost += 0.0 if "frozen" in row else (0.25 if raw else 0.12)
    elif "frozen" in row and "frozen" not in soft:
        cost += 0.22
    if "dried" in asked or "powder" in asked:
        cost += 0.0 if row & _KEPT else (0.3 if raw or cooked else 0.12)
    elif row & _KEPT and "raw" not in row and not soft & _KEPT and not asked & _KEPT:
        cost += 0.15
    elif soft & _KEPT and not row & _KEPT and not cooked and not asked:
        cost += 0.2
    if asked & {"raw", "fresh"}:
        if not raw:
            cost += 0.35 if row & (_KEPT | COOKED) or "canned" in row else 0.04
    elif raw and not wanted:
        cost -= 0.04
    if "canned" in row and row & {"drained", "undrained"}:
        if asked & {"drained", "rinsed"}:
            cost += -0.05 if "drained" in row else 0.15
            cost -= 0.03 if "rinsed" in asked and "rinsed" in row else 0.0
        else:
            cost += 0.06 if "drained" in row else -0.02
            cost += 0.1 if "undrained" in asked and "drained" in row else 0.0
        if "rinsed" in row and "rinsed" not in asked:
            cost += 0.04
    for state, price in _SPECIAL.items():
        if state in row and state not in asked and state not in soft:
            if not (state == "fried" and cooked):
                cost += price
        elif state in asked and state not in row and state not in COOKED and state not in _KEPT:
            cost += 0.25
    return cost


def named(group: Sequence[str], words: Sequence[str], places: Sequence[int]) -> bool:
    """Whether the row is named by all these words, rather than mentioning them ('without salt')."""
    nouns = {word for word, place in zip(words, places, strict=True) if place in (HEAD, SECOND, CLASS)}
    return all(word in nouns for word in group)


def best_bonus(query: Query) -> float:
    """The most a row can earn beyond the words it must have."""
    return _WANT * sum(query.wants.values()) + _HEAD_HIT * (len(query.needs) + 2) + 0.15


_COST_OF_GRADE = (0.02,) * 7
_COST_OF_FREE = tuple(_EXTRA_FREE[place] for place in range(7))
_COST_OF_OTHER = tuple(_EXTRA[place] for place in range(7))


@lru_cache(maxsize=16384)
def _costs(word: str) -> tuple[float, ...]:
    """What a word that the line does not ask for costs, by its place."""
    if word in _GRADES:
        return _COST_OF_GRADE
    return _COST_OF_FREE if word in FREE or word[0].isdigit() else _COST_OF_OTHER


def _telling(entry: Entry) -> frozenset[str]:
    """The words of an entry that a row must have one of: its noun, where the tables use it too."""
    noun = entry.phrase[-1]
    if noun in entry.needs and noun not in FREE and noun not in STATES:
        return frozenset({noun})
    return frozenset(word for word in entry.needs if word not in FREE and word not in LINKS)


def _left_without(entry: Entry, head: str) -> float:
    return _HEAD_ENTRY_MISSED if entry.phrase[-1] == head else _ENTRY_MISSED


class Scorer:
    """Scores rows for one query. `weights` are its needs by rarity, `total` their sum with unknown words."""

    def __init__(self, query: Query, weights: Mapping[str, float], total: float) -> None:
        self._query = query
        self._pairs = tuple(weights.items())
        self._total = total
        self._asked = query.needs.keys() | query.wants.keys() | query.told
        self._telling = [(_telling(entry), _left_without(entry, query.head)) for entry in query.entries]
        self._state_costs: dict[Set[str], float] = {}
        self._head_bonus = _HEAD_HIT * (len(query.needs) + 2)

    def _state_cost(self, states: Set[str]) -> float:
        cost = self._state_costs.get(states)
        if cost is None:
            cost = state_cost(self._query.states, self._query.soft_states, states)
            self._state_costs[states] = cost
        return cost

    def coverage(self, words: Sequence[str], places: Sequence[int], present: Set[str]) -> float:
        """Share of what the line asks for that a row has; over 1 where a food of several words is named."""
        covered = 0.0
        for word, weight in self._pairs:
            if word in present:
                covered += weight
        coverage = covered / self._total if self._total else 0.0
        for group in self._query.lone:
            if named(group, words, places):
                coverage += 1.0 / max(self._total, 1.0)
        for telling, left in self._telling:
            if telling and present.isdisjoint(telling):
                coverage *= left
        return coverage

    def score(
        self,
        row: int,
        words: Sequence[str],
        places: Sequence[int],
        states: Set[str],
        penalty: float,
        bar: float = -math.inf,
    ) -> Scored | None:
        """The score of one row, or None where it can't reach `bar`."""
        query, asked = self._query, self._asked
        present = set(words)
        coverage = self.coverage(words, places, present)
        score = coverage - MISSING * (1.0 - min(coverage, 1.0))
        for word, strength in query.wants.items():
            if word in present:
                score += _WANT * strength
        score -= _AVOID * len(present & query.avoids)
        cost = self._state_cost(states)
        if score - cost - penalty + self._head_bonus < bar:
            return None
        extra = 0.0
        head_hit = False
        for word, place in zip(words, places, strict=True):
            if word not in asked:
                extra += _costs(word)[place]
            elif place == HEAD:
                head_hit = True
                if word in query.needs:
                    score += _HEAD_HIT
        if not head_hit and HEAD in places:
            extra += _HEAD_MISSED
        extra = min(extra, 1.2)
        lone = query.lone
        unnamed = len(lone) if penalty >= _ODD else sum(not named(group, words, places) for group in lone)
        return Scored(row, score - extra - cost - penalty, min(coverage, 1.0), extra, cost, penalty, unnamed)
