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


def test_learned_ratio_is_the_mean_and_not_the_middle() -> None:
    # (0.9 + 0.9 + 1.2) / 3 = 1.0; half of 0.9 + 1.2 would be 1.05.
    learned = learned_ratio([ratio("180"), ratio("240"), ratio("180")])
    assert (learned.must(), learned.box, learned.unit) == (D(1), (D("0.9"), D("1.2")), "")


def test_nothing_kept_is_unknown() -> None:
    for kept in ([], [Figure.unknown("", "no weights")]):
        learned = learned_ratio(kept)
        assert (learned.value, learned.unit) == (None, "")
        assert learned.name == learned_ratio([ratio("180")]).name != ""
