"""How likely the best row is right, from what speaks for it; calibrated on hand-judged lines."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the confidence is made of. Costs are in units of the score; coverage is a share [0..1]."""

    coverage: float
    extra: float
    state_cost: float
    penalty: float
    margin: float
    unknown: int
    doubt: float
    entry: bool
    loose: int
    crowd: int
    not_food: bool


_INTERCEPT = 2.72
_WEIGHTS = {
    "uncovered": -3.00,
    "extra": -1.66,
    "state_cost": -0.44,
    "penalty": -0.47,
    "margin": 0.88,
    "unknown": -1.96,
    "entry": 1.53,
    "loose": -0.62,
    "crowd": -0.57,
}
"""Logistic weights; see scripts/calibrate-matching and DEVELOPERS.md."""


def features(evidence: Evidence) -> dict[str, float]:
    """The numbers the weights apply to."""
    return {
        "uncovered": 1.0 - evidence.coverage,
        "extra": evidence.extra,
        "state_cost": evidence.state_cost,
        "penalty": evidence.penalty,
        "margin": min(evidence.margin, 0.3),
        "unknown": float(min(evidence.unknown, 2)),
        "entry": float(evidence.entry),
        "loose": float(min(evidence.loose, 3)),
        "crowd": math.log1p(evidence.crowd),
    }


DOUBTFUL = 0.79
"""The most a line gets with a word nobody knows, words the row lacks, or a far-fetched respelling: a
confidence that asks. Such words are the mark of a food that the table does not have."""


def capped(evidence: Evidence, probability: float) -> float:
    """The probability [0..1], held under the bar for `matched` where a word stays unexplained."""
    if evidence.not_food:
        return 0.02
    if evidence.unknown or evidence.coverage < 0.65 or evidence.doubt > 0.22:
        return min(probability, DOUBTFUL)
    return probability


def confidence_of(evidence: Evidence) -> float:
    """Probability [0..1] that the best row is right; near 0 for things that are not food."""
    total = _INTERCEPT + sum(_WEIGHTS[name] * value for name, value in features(evidence).items())
    return capped(evidence, 1.0 / (1.0 + math.exp(-total)) if total > -500 else 0.0)
