"""What moves a figure most: hand calculations on small figures."""

from __future__ import annotations

from decimal import Decimal

from nutricost.api.sensitivity import sensitivity
from nutricost.domain.quantities import Figure, total

D = Decimal
ENERGY = Figure.between(D(900), D(1100), "kcal", "energy", source="label")
PRICE = Figure.exact(5, "USD", "price", source="paid")
TARIFF = Figure.between(D(2), D(3), "USD", "electricity", source="cycle")
BAGS = Figure.exact(4, "bag", "bags", source="packing")
BAG_PRICE = Figure.exact(D("0.625"), "USD/bag", "bag price", source="packing")
COST = total([PRICE, TARIFF, BAGS * BAG_PRICE], "cost")
MEASURE = ENERGY / COST


def test_ranges_come_first_and_widest_first() -> None:
    found = sensitivity(MEASURE)
    # Hand calculation: cost 5 + 2.5 + 2.5 = 10; 900/10 to 1100/10 = 20 wide; 1000/9.5 to 1000/10.5 = 10 wide.
    assert [effect.name for effect in found.by_range] == ["energy", "electricity"]
    assert (found.by_range[0].at_low, found.by_range[0].at_high) == (D(90), D(110))
    assert round(found.by_range[1].at_low, 4) == D("105.2632")


def test_exact_inputs_are_moved_by_ten_percent_and_counts_are_not() -> None:
    found = sensitivity(MEASURE)
    assert [effect.name for effect in found.if_ten_percent_off] == ["price", "bag price"]
    price = found.if_ten_percent_off[0]
    assert (price.low, price.high) == (D("4.5"), D("5.5"))
    assert (price.at_low, price.at_high) == (D(1000) / D("9.5"), D(1000) / D("10.5"))


def test_what_cannot_be_seen_at_the_digits_shown_is_left_out() -> None:
    speck = Figure.between(D("-0.01"), D("0.01"), "kcal", "rounding", source="scale")
    found = sensitivity((total([ENERGY, speck], "energy and a speck")) / COST)
    assert "rounding" not in [effect.name for effect in found.by_range]


def test_a_divisor_that_may_be_zero_is_without_limit() -> None:
    free = Figure.between(D(0), D(10), "USD", "price", source="paid")
    found = sensitivity(Figure.exact(1000, "kcal", "energy", source="label") / free)
    assert found.by_range[0].at_low == D("Infinity")
    assert found.rows(found.by_range)[0][2] == "no limit to 100"


def test_nothing_moves_what_is_not_known() -> None:
    found = sensitivity(ENERGY / Figure.unknown("USD", "nothing paid is given"))
    assert found.by_range == found.if_ten_percent_off == ()


def test_top_limits_each_kind() -> None:
    found = sensitivity(MEASURE, top=1)
    assert len(found.by_range) == len(found.if_ten_percent_off) == 1
