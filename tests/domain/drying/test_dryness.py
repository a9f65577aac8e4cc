"""Judging weighings: the two-weighing rule of the trade (common practice, no source), and a decay by hand."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.documents import Weighing
from nutricost.domain.drying.dryness import (
    judge,
    moisture_against_limit,
    step_as_typed_g,
    weighing_problems,
)
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
    verdict = judge(series(("54", "1084")), grams("1"))
    assert verdict.state == "can't tell"
    assert any("thickest pieces" in reason for reason in verdict.reasons)


def test_rising_weights_are_warned_of_with_both_figures() -> None:
    verdict = judge(series(("54", "1080"), ("56", "1090")), grams("1"))
    assert verdict.state == "can't tell"
    assert "1090 g" in verdict.warnings[0]
    assert "1080 g" in verdict.warnings[0]


def test_a_rise_long_ago_is_warned_of_beside_a_dry_verdict() -> None:
    verdict = judge(series(("50", "1000"), ("52", "1003"), ("54", "1002"), ("56", "1001.5")), grams("0.1"))
    assert verdict.state == "dry"
    assert ["1003 g" in warning for warning in verdict.warnings] == [True]


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
        (["12", "1.08 kg"], "10"),
        (["2 lb"], "453.59237"),
        (["7 lb 15 oz"], "28.349523125"),
        (["7 lb 15.2 oz"], "2.8349523125"),
        ([], None),
    ],
)
def test_step_as_typed(texts: list[str], step: str | None) -> None:
    assert step_as_typed_g(texts) == (None if step is None else Decimal(step))


# The edges of the two-weighing rule (common practice, no source), each one reading to either side.
@pytest.mark.parametrize(
    ("pairs", "step", "state"),
    [
        # The loss: 0.5 % of 1000 g is 5 g, and dry food stays under it.
        ((("54", "1000"), ("56", "995")), "0.1", "not yet"),
        ((("54", "1000"), ("56", "995.1")), "0.1", "dry"),
        ((("54", "1000"), ("56", "1000")), "0.1", "dry"),
        # The step: at most 0.2 %, which is 2 g of 1000 g.
        ((("54", "1000"), ("56", "1000")), "2", "dry"),
        ((("54", "1000"), ("56", "1000")), "2.01", "can't tell"),
        # A coarse scale shows a loss once it is 0.5 % beyond the step: 15 g of 1000 g by steps of 10 g.
        ((("54", "1000"), ("56", "985")), "10", "not yet"),
        ((("54", "1000"), ("56", "985.1")), "10", "can't tell"),
        # Nobody knows the step: a loss of 0.5 % is seen by any scale, a smaller one perhaps by none.
        ((("54", "1000"), ("56", "995")), None, "not yet"),
        ((("54", "1000"), ("56", "995.1")), None, "can't tell"),
        # At least 2 h between the weighings.
        ((("54", "1000"), ("56", "999")), "0.1", "dry"),
        ((("54", "1000"), ("55.9", "999")), "0.1", "can't tell"),
        # Earlier weighings play no part.
        ((("20", "3000"), ("54", "1000"), ("56", "999")), "0.1", "dry"),
    ],
)
def test_edges_of_the_rule(pairs: tuple[tuple[str, str], ...], step: str | None, state: str) -> None:
    assert judge(series(*pairs), None if step is None else grams(step)).state == state


@pytest.mark.parametrize(("solids", "state"), [("900", "dry"), ("899.9", "can't tell")])
def test_ten_percent_of_moisture_counts_from_the_low_end_of_the_scale(solids: str, state: str) -> None:
    # 1000.5 g by a step of 1 g is at least 1000 g: 900 g of solids leave at least 10 %, 899.9 g more.
    verdict = judge(series(("54", "1000.5"), ("56", "1000.5")), grams("1"), grams(solids))
    assert verdict.state == state


def test_moisture_reaches_over_the_rounding_of_the_scale() -> None:
    # 950 g of solids in 999.5 to 1000.5 g.
    for pairs in ((("54", "1000"),), (("54", "1000"), ("56", "1000")), (("54", "1200"), ("56", "1000"))):
        moisture = judge(series(*pairs), grams("1"), grams("950")).moisture
        assert moisture is not None
        assert [float(end) for end in moisture.box] == pytest.approx([1 - 950 / 999.5, 1 - 950 / 1000.5])
        assert judge(series(*pairs), grams("1")).moisture is None


def test_a_weight_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="0 g"):
        judge(series(("54", "5"), ("56", "0")), grams("1"))
    assert judge(series(("54", "6"), ("56", "0.5")), grams("0.1")).state == "not yet"


def test_each_fault_of_a_series_is_named_by_its_number() -> None:
    faulty = series(("50", "1100"), ("52", "1000"), ("52", "990"), ("54", "990"), ("56", "991"))
    assert [(fault.where, fault.severity) for fault in weighing_problems(faulty, "chili.toml: ")] == [
        ("chili.toml: drying.weighings, number 3", "error"),
        ("chili.toml: drying.weighings, number 5", "warning"),
    ]


def test_two_weighings_without_solids_ask_for_the_next_in_two_hours() -> None:
    verdict = judge(series(("54", "1100"), ("55", "1080")), grams("1"))
    assert verdict.further_hours is not None
    assert verdict.further_hours.box == (Decimal(2), Decimal(2))
    assert verdict.further_hours.unit == "h"


def test_lower_bound_takes_the_heaviest_solids_and_the_lightest_reading() -> None:
    # 20 g in 4 h read by steps of 4 g: at most 24 g / 4 h = 6 g/h. From 1198 g to 1080 g of solids with
    # 4 % of moisture, 1125 g: 73 g / 6 g/h = 12.17 h, and no sooner.
    solids = Figure.between(Decimal(1000), Decimal(1080), "g", "solids")
    verdict = judge(series(("38", "1220"), ("42", "1200")), grams("4"), solids)
    assert verdict.hours_are == "at least"
    assert verdict.further_hours is not None
    assert verdict.further_hours.must() == Decimal("12.2")


@pytest.mark.parametrize(
    ("pairs", "hours"),
    [
        # To 1000 g of solids with 4 % of moisture, 1041.67 g: 138.33 g at the last rate, 10 g/h.
        ((("36", "1260"), ("38", "1220"), ("40", "1200"), ("42", "1180")), "13.8"),
        # 158.33 g at half a gram an hour.
        ((("40", "1201"), ("42", "1200")), "316.7"),
        # No loss at all by a scale that nobody knows: nothing but the next weighing.
        ((("40", "1200"), ("42", "1200")), "2"),
    ],
)
def test_lower_bound_goes_by_the_last_loss(pairs: tuple[tuple[str, str], ...], hours: str) -> None:
    verdict = judge(series(*pairs), None, grams("1000"))
    assert verdict.further_hours is not None
    assert (verdict.further_hours.must(), verdict.hours_are) == (Decimal(hours), "at least")


def test_ends_of_an_estimate_by_hand() -> None:
    # Equal gaps lose in a geometric row. 80, 40 g: the next 2 h lose 20 g, 5.4 g are allowed, the loss
    # halves in 2 h: 2 + 2 log2(20 / 5.4) = 5.78 h. By steps of 4 g it may have been 84, 36 to 1082 g (4.47 h)
    # or 76, 44 to 1078 g (7.68 h).
    verdict = judge(series(("10", "1200"), ("12", "1120"), ("14", "1080")), grams("4"))
    assert verdict.further_hours is not None
    assert verdict.further_hours.must() == Decimal("5.8")
    assert verdict.further_hours.box == (Decimal("4.5"), Decimal("7.7"))


def test_standing_still_by_a_coarse_scale_bounds_nothing_but_the_next_weighing() -> None:
    # Rising by more than the step: no rate at all, and solids do not turn it into one.
    verdict = judge(series(("40", "1200"), ("42", "1230")), grams("10"), grams("1000"))
    assert verdict.further_hours is not None
    assert (verdict.further_hours.value, verdict.hours_are) == (Decimal(2), "at least")


@settings(max_examples=60)
@given(
    dry_g=st.floats(500, 2000),
    water_g=st.floats(50, 2000),
    decay_per_h=st.floats(0.05, 0.6),
    gaps_h=st.tuples(st.integers(1, 6), st.integers(1, 6)),
    step_g=st.sampled_from([0.1, 1.0, 5.0, 10.0]),
)
def test_estimate_holds_the_true_hours_whatever_the_scale_rounds_off(
    dry_g: float, water_g: float, decay_per_h: float, gaps_h: tuple[int, int], step_g: float
) -> None:
    # Water that leaves as e^-kt: from t on, 2 h take water e^-kt (1 - e^-2k), dry once under 0.5 % of the
    # weight at t; 2 h more confirm it.
    times = (0, gaps_h[0], sum(gaps_h))
    true_g = [dry_g + water_g * math.exp(-decay_per_h * t) for t in times]
    read = [f"{round(each / step_g) * step_g:.1f}" for each in true_g]
    verdict = judge(series(*((str(t), g) for t, g in zip(times, read, strict=True))), grams(f"{step_g}"))
    if verdict.hours_are != "estimate" or verdict.further_hours is None:
        return
    loss_g = (true_g[2] - dry_g) * -math.expm1(-2 * decay_per_h)
    true_h = 2 + max(0.0, math.log(loss_g / (0.005 * true_g[2])) / decay_per_h)
    assert float(verdict.further_hours.low) - 0.06 <= true_h <= float(verdict.further_hours.high) + 0.06
    assert verdict.further_hours.low >= 2


@pytest.mark.parametrize(
    "pairs",
    [(("0", "3000"), ("2", "1100"), ("242", "1099")), (("0", "5000"), ("800", "1000"), ("802", "999"))],
)
def test_long_pauses_need_no_more_than_the_weighing_that_confirms(pairs: tuple[tuple[str, str], ...]) -> None:
    # 1 g of 1000 g in the last gap is 0.1 %, long under 0.5 %.
    verdict = judge(series(*pairs), None)
    assert verdict.further_hours is not None
    assert (verdict.further_hours.value, verdict.hours_are) == (Decimal(2), "estimate")


@pytest.mark.parametrize("last", ["1220", "1200", "1180"])
def test_losses_that_do_not_decay_give_no_estimate(last: str) -> None:
    # 20 g in 2 h, then nothing, as much, and more: no exponential runs through them.
    verdict = judge(series(("40", "1240"), ("42", "1220"), ("44", last)), None)
    assert verdict.hours_are == "at least"


@pytest.mark.parametrize("last", ["1201", "1198", "1195"])
def test_no_estimate_where_the_scale_hides_whether_the_loss_decays(last: str) -> None:
    # 20 g, then about 20 g more in the same time, read by steps of 10 g: growing losses fit as well.
    verdict = judge(series(("40", "1240"), ("42", "1220"), ("44", last)), grams("10"))
    assert verdict.hours_are == "at least"


def test_weights_below_the_step_of_the_scale_tell_little_and_break_nothing() -> None:
    # 3 g by steps of 10 g is 0 to 8 g; 2 g of solids in it leave from nothing to 1 - 2 / 8 of moisture.
    verdict = judge(series(("0", "93"), ("2", "13"), ("4", "3")), grams("10"), grams("2"))
    assert verdict.hours_are == "at least"
    assert verdict.moisture is not None
    assert verdict.moisture.box == (Decimal(0), Decimal("0.75"))
    assert moisture_against_limit(verdict.moisture)[0] == "can't tell"


def test_half_a_step_may_be_all_there_is() -> None:
    # 5 g by steps of 10 g may be nothing: no end of an estimate. A gram by steps of 0.01 g is well known:
    # 1.6 g, then 0.4 g, a quarter every 2 h; the next 2 h lose 0.1 g, 0.005 g are allowed: 2 + 2 log4(20).
    assert judge(series(("0", "1000"), ("2", "100"), ("4", "5")), grams("10")).hours_are == "at least"
    fine = judge(series(("0", "3"), ("2", "1.4"), ("4", "1")), grams("0.01"))
    assert (fine.hours_are, fine.further_hours and fine.further_hours.value) == ("estimate", Decimal("6.3"))


def test_estimate_from_the_last_three_weighings_alone() -> None:
    tail = (("10", "1300"), ("14", "1150"), ("18", "1090"))
    alone, longer = judge(series(*tail), grams("1")), judge(series(("2", "1400"), *tail), grams("1"))
    assert alone.further_hours is not None and longer.further_hours is not None
    assert alone.hours_are == longer.hours_are == "estimate"
    assert alone.further_hours.box == longer.further_hours.box
    assert alone.further_hours.low < alone.further_hours.must() < alone.further_hours.high


@pytest.mark.parametrize(
    ("low", "high", "state", "words"),
    [
        ("0.02", "0.04", "below", ""),
        ("0.02", "0.041", "below", "perhaps above the usual"),
        ("0.04", "0.05", "below", "perhaps above the usual"),
        ("0.041", "0.05", "below", ", above the usual"),
        ("0.05", "0.1", "below", ", above the usual"),
        ("0.05", "0.101", "can't tell", ""),
        ("0.1", "0.12", "can't tell", ""),
        ("0.101", "0.12", "above", "too moist"),
    ],
)
def test_moisture_against_the_limit_of_oxygen_free_packing(
    low: str, high: str, state: str, words: str
) -> None:
    # About 10 % at most without oxygen (second-hand guidance), 1 to 4 % is usual (from memory).
    judged, text = moisture_against_limit(Figure.between(Decimal(low), Decimal(high), "", "moisture"))
    assert judged == state
    assert words in text
    assert ("the usual" in text) == ("the usual" in words)
    assert f"{float(low) * 100:.2f} %" in text and f"{float(high) * 100:.2f} %" in text
