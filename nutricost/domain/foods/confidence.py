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
    respelt: int
    entry: bool
    not_food: bool


_INTERCEPT = 3.2
_WEIGHTS = {
    "uncovered": -9.0,
    "extra": -2.5,
    "state_cost": -4.0,
    "penalty": -2.0,
    "margin": 3.0,
    "unknown": -2.5,
    "respelt": -0.8,
    "entry": 0.8,
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
        "respelt": float(min(evidence.respelt, 2)),
        "entry": float(evidence.entry),
    }


def confidence_of(evidence: Evidence) -> float:
    """Probability [0..1] that the best row is right; near 0 for things that are not food."""
    if evidence.not_food:
        return 0.02
    total = _INTERCEPT + sum(_WEIGHTS[name] * value for name, value in features(evidence).items())
    return 1.0 / (1.0 + math.exp(-total)) if total > -500 else 0.0
