"""The 80 % / 120 % compliance rule of 21 CFR 101.9(g)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_labels import chili

from nutricost.domain.documents import Printed
from nutricost.domain.labels import complies, lawful_interval, printed_interval, read_label
from nutricost.domain.labels.rounding import RULES


@pytest.mark.parametrize(
    ("nutrient", "declared", "found", "lawful"),
    [
        # FDA, Guide for Developing and Using Data Bases for Nutrition Labeling: 8/6 = 133 % (as quoted)
        ("fat", "6", "8", False),
        ("fat", "6", "7.2", True),
        ("energy", "170", "204", True),
        ("sodium", "590", "709", False),
        ("protein", "13", "10.4", True),
        ("fiber", "4", "3.1", False),
    ],
)
def test_complies(nutrient: str, declared: str, found: str, lawful: bool) -> None:
    assert complies(nutrient, declared=Decimal(declared), found=Decimal(found)) is lawful


@pytest.mark.parametrize(
    ("nutrient", "printed", "low", "high"),
    [
        ("energy", Printed(Decimal(170)), "136", "204"),  # 0.8 and 1.2 times 170
        ("protein", Printed(Decimal(13)), "10.4", "15.6"),
        ("fat", Printed(Decimal(0)), "0", "0.5"),  # rounding is wider than 20 % of nothing
        ("fiber", Printed(Decimal(1)), "0.5", "1.5"),
        ("sugar", Printed(Decimal(1), less_than=True), "0", "1.2"),
    ],
)
def test_outer_bound(nutrient: str, printed: Printed, low: str, high: str) -> None:
    assert lawful_interval(nutrient, printed) == (Decimal(low), Decimal(high))


@given(nutrient=st.sampled_from(sorted(RULES)), amount=st.decimals(0, 3000, places=1))
def test_outer_bound_contains_what_rounding_allows(nutrient: str, amount: Decimal) -> None:
    printed = RULES[nutrient].print_amount(amount)
    rounding, outer = printed_interval(nutrient, printed), lawful_interval(nutrient, printed)
    assert outer[0] <= rounding[0] and rounding[1] <= outer[1]


def test_a_label_can_be_read_with_the_outer_bound() -> None:
    energy = read_label(chili(), interval=lawful_interval).per_serving["energy"]
    assert [energy.low, energy.value, energy.high] == [136, 170, 204]
