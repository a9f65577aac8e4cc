"""Judging weighings: the two-weighing rule of the trade (common practice, no source), and a decay by hand."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from nutricost.domain.documents import Weighing
from nutricost.domain.drying.dryness import judge, step_as_typed_g, weighing_problems
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError


def series(*pairs: tuple[str, str]) -> list[Weighing]:
    return [
        Weighing(Figure.exact(Decimal(h), "h", "hours"), Figure.exact(Decimal(g), "g", "weight"))
        for h, g in pairs
    ]


def grams(value: str) -> Figure:
    return Figure.exact(Decimal(value), "g", "step")


def test_dry_when_the_loss_is_small_and_the_scale_fine() -> None:
    verdict = judge(series(("54", "1084"), ("56", "1081")), grams("1"))
    assert verdict.state == "dry"
    assert verdict.further_hours is None
    assert any("thickest pieces" in reason for reason in verdict.reasons)


def test_not_yet_when_it_still_loses() -> None:
    verdict = judge(series(("54", "1100"), ("56", "1080")), grams("1"))
    assert verdict.state == "not yet"
    assert verdict.hours_are == "at least"
    assert verdict.further_hours is not None
    assert verdict.further_hours.must() >= 2


def test_coarse_scale_cannot_tell() -> None:
    # A step of 10 g on 1080 g is 0.93 %, above 0.2 %.
    verdict = judge(series(("54", "1080"), ("56", "1080")), grams("10"))
    assert verdict.state == "can't tell"
    assert any("10 g" in reason and "0.93 %" in reason for reason in verdict.reasons)


def test_coarse_scale_still_shows_a_large_loss() -> None:
    assert judge(series(("54", "1200"), ("56", "1100")), grams("10")).state == "not yet"


def test_unknown_scale_cannot_tell_a_small_loss() -> None:
    verdict = judge(series(("54", "1084"), ("56", "1083")), None)
    assert verdict.state == "can't tell"
    assert any("scale_step" in reason for reason in verdict.reasons)


def test_less_than_two_hours_apart_cannot_tell() -> None:
    assert judge(series(("54", "1084"), ("55", "1083")), grams("1")).state == "can't tell"


def test_one_weighing_cannot_tell() -> None:
    assert judge(series(("54", "1084")), grams("1")).state == "can't tell"


def test_rising_weights_are_warned_of_with_both_figures() -> None:
    verdict = judge(series(("54", "1080"), ("56", "1090")), grams("1"))
    assert verdict.state == "can't tell"
    assert "1090" in verdict.warnings[0]
    assert "1080" in verdict.warnings[0]


def test_hours_out_of_order_are_refused_with_both_figures() -> None:
    bad = series(("56", "1090"), ("54", "1080"))
    assert [problem.severity for problem in weighing_problems(bad)] == ["error"]
    with pytest.raises(InputError, match="54 h does not come after 56 h"):
        judge(bad, grams("1"))


def test_steady_weight_above_ten_percent_moisture_is_not_called_dry() -> None:
    verdict = judge(series(("54", "1084"), ("57", "1083")), grams("1"), solids=grams("900"))
    assert verdict.state == "can't tell"
    assert verdict.moisture is not None
    assert float(verdict.moisture.must()) == pytest.approx(1 - 900 / 1083)


def test_moisture_left_is_told_beside_a_dry_verdict() -> None:
    verdict = judge(series(("54", "1084"), ("57", "1083")), grams("1"), solids=grams("1050"))
    assert verdict.state == "dry"
    assert any("about 10 %" in reason for reason in verdict.reasons)


def test_two_points_give_a_lower_bound_from_the_solids() -> None:
    # 20 g in 2 h, and 1200 g must come down to 1000 / 0.96 g at the very fastest at that rate.
    verdict = judge(series(("40", "1220"), ("42", "1200")), grams("0.1"), solids=grams("1000"))
    assert verdict.hours_are == "at least"
    assert verdict.further_hours is not None
    assert float(verdict.further_hours.must()) == pytest.approx((1200 - 1000 / 0.96) / 10.05, abs=0.1)


@pytest.mark.parametrize("gap", [2.0, 3.0])
def test_three_points_of_a_known_decay_give_its_hours(gap: float) -> None:
    # w = 1000 + 200 e^(-0.2 t): 2 h lose 0.5 % once 200 e^(-0.2 t)(1 - e^-0.4) = 0.005 w; 2 h confirm.
    def weight(t: float) -> float:
        return 1000 + 200 * math.exp(-0.2 * t)

    times = (0.0, 2.0, 2.0 + gap)
    verdict = judge(series(*((f"{t}", f"{weight(t):.6f}") for t in times)), grams("0.01"))
    assert verdict.state == "not yet"
    assert verdict.hours_are == "estimate"
    allowed = 0.005 * weight(times[-1])
    lost_first = 200 * (1 - math.exp(-0.4))
    until = math.log(lost_first / allowed) / 0.2 - times[-1] + 2
    assert verdict.further_hours is not None
    assert float(verdict.further_hours.must()) == pytest.approx(until, abs=0.1)
    assert verdict.further_hours.low <= verdict.further_hours.must() <= verdict.further_hours.high


def test_steady_loss_gives_only_a_lower_bound() -> None:
    verdict = judge(series(("40", "1240"), ("42", "1220"), ("44", "1200")), grams("1"))
    assert verdict.hours_are == "at least"


@pytest.mark.parametrize(
    ("texts", "step"),
    [
        (["2.71 kg", "2.7 kg"], "10"),
        (["2.710 kg"], "1"),
        (["1084 g"], "1"),
        (["1,084.5 g"], "0.1"),
        (["12"], None),
    ],
)
def test_step_as_typed(texts: list[str], step: str | None) -> None:
    assert step_as_typed_g(texts) == (None if step is None else Decimal(step))
