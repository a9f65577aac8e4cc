"""Rehydration as it turned out, by hand."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.drying.rehydration import learned_ratio, rehydration_ratio
from nutricost.domain.quantities import Figure

D = Decimal


def ratio(used: str) -> Figure:
    return rehydration_ratio(Figure.exact(D(used), "mL/serving"), Figure.exact(200, "mL/serving"))


def test_ratio_of_used_to_computed() -> None:
    assert ratio("180").must() == D("0.9")


def test_learned_from_several_batches() -> None:
    learned = learned_ratio([ratio("180"), ratio("240"), Figure.unknown("", "no weights")])
    assert learned.box == (D("0.9"), D("1.2"))
    assert learned.must() == D("1.05")
    assert learned.standing == "estimated"


def test_nothing_kept_is_unknown() -> None:
    assert not learned_ratio([]).is_known
