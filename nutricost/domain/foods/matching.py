"""From an ingredient line to the table row that a careful nutritionist would take, with the reasons."""

from __future__ import annotations

import heapq
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from nutricost.domain.foods.confidence import Evidence, confidence_of
from nutricost.domain.foods.lines import IngredientLine
from nutricost.domain.foods.queries import Query, Speller, read_query
from nutricost.domain.foods.scoring import MISSING, Scored, Scorer, best_bonus, named
from nutricost.domain.foods.vocabulary import Vocabulary

Status = Literal["matched", "unsure", "none"]

MATCHED_FROM = 0.85
"""Confidence from which a match stands without asking. By nested cross-validation (calibrate-matching in
scripts) 0.85 against 0.80 takes the wrong `matched` from 1.3 to 0.8 % and all `matched` from 89 to 87 %."""
UNSURE_FROM = 0.1
"""Confidence under which nothing is offered as the food: 1 of 29 such guesses was right on judged lines
without their synonyms."""
HEADLESS_FROM = 0.5
"""The same where nothing says what the food is ('konjac noodles' are no rice noodles): 1 of 12 such guesses
was right on judged lines without their synonyms, none of 35 on lines that the table has no answer for."""
CANDIDATES = 5
ALTERNATIVES = 2
"""Alternatives that are looked up where the first food is not found."""
_LOOKED_AT = 60
_FLOOR = 0.4
"""Share of the best row's words below which a row is not looked at."""
_KEPT = 8
_COMMON = 1200
"""Rows from which a word is too common to find foods by."""


class FoodIndex(Protocol):
    """Rows by number, with the words of their descriptions; implemented over the embedded file."""

    @property
    def table_words(self) -> Mapping[str, int]:
        """All words of all descriptions, with their number."""
        ...

    @property
    def size(self) -> int:
        """Number of rows."""
        ...

    def rows_with(self, word: str) -> Sequence[int]:
        """Rows whose description has the word."""
        ...

    def row(self, number: int) -> tuple[Sequence[str], Sequence[int], frozenset[str], float, str]:
        """Words, places, states, penalty and source of a row."""
        ...

    def allows(self, number: int) -> bool:
        """Whether the row's source is among those asked for."""
        ...


@dataclass(frozen=True, slots=True)
class Match:
    """One row offered for a line: its number in the index, how sure, and why."""

    row: int
    confidence: float
    score: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MatchResult:
    """The answer for a line: `candidates` best first, at most five."""

    status: Status
    confidence: float
    candidates: tuple[Match, ...]
    query: Query
    key: str


_SOURCE_COST = {"sr28": 0.0, "foundation": 0.12, "survey": 0.2}
"""Plain ingredients come from SR28, which measures water; the other tables fill its gaps."""


def _rarity(index: FoodIndex, word: str) -> float:
    """Weight of a word, between 0.5 (in every tenth row) and 1 (in one row)."""
    count = len(index.rows_with(word)) or 1
    return min(1.0, max(0.5, 1.0 - 0.5 * math.log(count) / math.log(max(index.size / 10, 3))))


def _found(query: Query, weights: Mapping[str, float], index: FoodIndex) -> list[tuple[float, int]]:
    """Rows worth a look with the weight of what they have, as (weight, -row).

    A word that very many rows have does not bring rows in; every row is taken to have it, so that the
    weight stays an upper bound of the row's own.
    """
    postings = {word: index.rows_with(word) for word in weights}
    telling = [word for word in weights if len(postings[word]) <= _COMMON]
    sure = sum(weights[word] for word in weights if len(postings[word]) > _COMMON) if telling else 0.0
    found: dict[int, float] = {}
    for word in telling or weights:
        weight = weights[word]
        for row in postings[word]:
            found[row] = found.get(row, 0.0) + weight
    for word, strength in query.wants.items():
        rows = index.rows_with(word)
        small = 0.1 * strength
        if query.lone or not weights:
            for row in rows:
                found[row] = found.get(row, 0.0) + small
        elif len(rows) <= _COMMON:
            for row in rows:
                if row in found:
                    found[row] += small
    floor = _FLOOR * max(found.values(), default=0.0)
    return [(weight + sure, -row) for row, weight in found.items() if weight >= floor and index.allows(row)]


def _rank(query: Query, index: FoodIndex, limit: int) -> list[Scored]:
    weights = {word: strength * _rarity(index, word) for word, strength in query.needs.items()}
    if query.head in weights and len(weights) > 1 and not any(query.head in e.phrase for e in query.entries):
        weights[query.head] *= 1.5
    total = sum(weights.values()) + float(len(query.lone)) + 0.8 * len(query.unknown)
    pairs = heapq.nlargest(_LOOKED_AT, _found(query, weights, index))
    scored: list[Scored] = []
    keep = max(_KEPT, limit)
    best: list[float] = []
    bonus = best_bonus(query)
    scorer = Scorer(query, weights, total)
    bar = -math.inf
    for weight, negative in pairs:
        # Pairs come by falling weight: once one can't be among those kept, none after it can.
        share = min(weight / total, 1.0) if total else 0.0
        if share - MISSING * (1.0 - share) + bonus < bar:
            break
        words, places, states, penalty, source = index.row(-negative)
        penalty += _SOURCE_COST.get(source, 0.2)
        result = scorer.score(-negative, words, places, states, penalty, bar)
        if result is None:
            continue
        scored.append(result)
        if len(best) < keep:
            heapq.heappush(best, result.score)
        elif result.score > best[0]:
            heapq.heapreplace(best, result.score)
        if len(best) == keep:
            bar = best[0]
    return heapq.nlargest(keep, scored, key=lambda s: (s.score, -s.row))


def _reasons(query: Query, scored: Scored, index: FoodIndex) -> tuple[str, ...]:
    words, places, states, _, source = index.row(scored.row)
    present = set(words)
    reasons = [f"'{' '.join(e.phrase)}' stands for '{' '.join(e.needs)}'" for e in query.entries if e.needs]
    hits = [word for word in query.needs if word in present]
    if hits:
        reasons.append("words matched: " + ", ".join(hits))
    missed = [word for word in query.needs if word not in present] + query.unknown
    missed += [" ".join(group) for group in query.lone if not named(group, words, places)]
    if missed:
        reasons.append("words not in the row: " + ", ".join(missed))
    preferred = [word for word in query.wants if word in present and word not in hits]
    if preferred:
        reasons.append("preferred words: " + ", ".join(preferred))
    for wrong, right in query.respelt.items():
        reasons.append(f"'{wrong}' read as '{right}'")
    asked = query.states or query.soft_states
    if asked or states:
        wanted, found = "/".join(sorted(asked)) or "none (raw)", "/".join(sorted(states)) or "not told"
        told = f"state: asked {wanted}, row {found}"
        reasons.append(told + (f" (-{scored.state_cost:.2f})" if scored.state_cost > 0 else ""))
    if scored.extra > 0:
        reasons.append(f"words the line does not ask for: -{scored.extra:.2f}")
    if scored.penalty > 0:
        reasons.append(f"kind of row or table ({source}): -{scored.penalty:.2f}")
    return tuple(reasons)


def match_line(
    line: IngredientLine, index: FoodIndex, vocabulary: Vocabulary, speller: Speller, limit: int = CANDIDATES
) -> MatchResult:
    """The rows that answer a line best, with the status that its confidence allows.

    Where the line offers alternatives, the first one counts unless the tables only have another.
    """
    result = _match_words(line, index, vocabulary, speller, limit)
    for words in line.alternatives[:ALTERNATIVES]:
        if result.status == "matched":
            break
        other = _match_words(replace(line, words=words, alternatives=()), index, vocabulary, speller, limit)
        if other.status == "matched":
            return replace(other, key=result.key)
    return result


def ranked_rows(
    line: IngredientLine, index: FoodIndex, vocabulary: Vocabulary, speller: Speller, limit: int
) -> tuple[Query, list[Scored]]:
    """The query of a line and the rows that answer it, best first."""
    query = read_query(line, vocabulary, index.table_words, speller)
    return query, _rank(query, index, limit)


def _match_words(
    line: IngredientLine, index: FoodIndex, vocabulary: Vocabulary, speller: Speller, limit: int
) -> MatchResult:
    query, ranked = ranked_rows(line, index, vocabulary, speller, limit)
    if not ranked:
        return MatchResult("none", 0.0, (), query, query_key(query))
    sure = confidence_of(evidence_of(query, ranked[0], ranked))
    matches: list[Match] = []
    for scored in ranked[:limit]:
        share = math.exp(6.0 * (scored.score - ranked[0].score))
        own = sure if scored is ranked[0] else min(sure, 1.0 - sure) * share
        matches.append(Match(scored.row, round(own, 4), scored.score, _reasons(query, scored, index)))
    offered_from = HEADLESS_FROM if _headless(query, ranked[0]) else UNSURE_FROM
    status: Status = "matched" if sure >= MATCHED_FROM else "unsure" if sure >= offered_from else "none"
    return MatchResult(status, round(sure, 4), tuple(matches), query, query_key(query))


def _headless(query: Query, best: Scored) -> bool:
    """Whether what the food is stays unexplained: its last word is unknown, or a food that the row is not."""
    if query.head_known:
        return False
    return best.unnamed > 0 or (bool(query.unknown) and not any(entry.needs for entry in query.entries))


def evidence_of(query: Query, scored: Scored, ranked: Sequence[Scored]) -> Evidence:
    """What speaks for and against the best row being right."""
    best = ranked[0]
    rival = next((other for other in ranked if other is not best), None)
    margin = best.score - rival.score if rival is not None else 0.5
    return Evidence(
        coverage=scored.coverage,
        extra=scored.extra,
        state_cost=max(scored.state_cost, 0.0),
        penalty=scored.penalty,
        margin=margin,
        unknown=len(query.unknown) + scored.unnamed,
        doubt=query.doubt,
        entry=bool(query.entries),
        loose=query.loose,
        crowd=sum(best.score - other.score < 0.04 for other in ranked) - 1,
        not_food=query.not_food,
    )


def food_key(line: IngredientLine, vocabulary: Vocabulary, table: Mapping[str, int], speller: Speller) -> str:
    """The phrase under which a confirmed choice is kept: the same for another amount, order or spelling."""
    return query_key(read_query(line, vocabulary, table, speller))


def query_key(query: Query) -> str:
    """The same phrase from the query of a line."""
    words = {word for entry in query.entries for word in entry.phrase}
    covered = {word for entry in query.entries for word in entry.needs}
    words |= {word for word in query.needs if word not in covered} | set(query.unknown)
    states = {f"+{state}" for state in query.states if state != "fresh"}
    return " ".join([*sorted(words), *sorted(states)])
