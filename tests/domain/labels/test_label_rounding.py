"""Label rounding against 21 CFR 101.9(c) and (b)(8).

Rules: FDA, Food Labeling Guide, appendix H (October 2009); worked cases derived from them by hand.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.documents import Printed
from nutricost.domain.labels.daily_values import (
    DAILY_REFERENCE_VALUES,
    REFERENCE_DAILY_INTAKES,
    percent_daily_value,
)
from nutricost.domain.labels.rounding import (
    RULES,
    could_be_printed,
    printed_interval,
    round_servings,
    servings_interval,
)
from nutricost.errors import InputError


def figure(text: str) -> Printed:
    return Printed(Decimal(text.lstrip("<")), less_than=text.startswith("<"))


# Paragraph beside each; the five calorie cases are also quoted as worked cases by a third party.
ROUNDED = [
    ("energy", "3", "0"),  # (c)(1): below 5
    ("energy", "5", "5"),
    ("energy", "47", "45"),
    ("energy", "50", "50"),
    ("energy", "52", "50"),
    ("energy", "236", "240"),
    ("fat", "0.4", "0"),  # (c)(2)
    ("fat", "4.74", "4.5"),
    ("fat", "5.4", "5"),
    ("saturated_fat", "0.5", "0.5"),
    ("cholesterol", "1.9", "0"),  # (c)(3)
    ("cholesterol", "2", "<5"),
    ("cholesterol", "3", "<5"),
    ("cholesterol", "5", "5"),
    ("cholesterol", "7", "5"),
    ("cholesterol", "8", "10"),
    ("sodium", "4.9", "0"),  # (c)(4)
    ("sodium", "5", "5"),
    ("sodium", "137", "135"),
    ("sodium", "141", "140"),
    ("sodium", "146", "150"),
    ("carbohydrate", "0.4", "0"),  # (c)(6)
    ("carbohydrate", "0.5", "<1"),
    ("fiber", "0.7", "<1"),
    ("carbohydrate", "1", "1"),
    ("sugar", "1.4", "1"),
    ("protein", "12.5", "13"),  # (c)(7)
    ("protein", "0.9", "<1"),
]


@pytest.mark.parametrize(("nutrient", "amount", "printed"), ROUNDED)
def test_rounds_as_the_law_prints(nutrient: str, amount: str, printed: str) -> None:
    assert RULES[nutrient].print_amount(Decimal(amount)) == figure(printed)


# The same rules inverted by hand: every amount that may be printed so.
INTERVALS = [
    ("energy", "0", "0", "5"),
    ("energy", "<5", "0", "5"),
    ("energy", "5", "2.5", "7.5"),
    ("energy", "45", "42.5", "47.5"),
    ("energy", "50", "47.5", "55"),
    ("energy", "60", "55", "65"),
    ("energy", "170", "165", "175"),
    ("fat", "0", "0", "0.5"),
    ("fat", "0.5", "0.5", "0.75"),
    ("fat", "4.5", "4.25", "4.75"),
    ("saturated_fat", "5", "4.75", "5.5"),
    ("fat", "6", "5.5", "6.5"),
    ("cholesterol", "0", "0", "2"),
    ("cholesterol", "<5", "2", "5"),
    ("cholesterol", "5", "5", "7.5"),
    ("cholesterol", "30", "27.5", "32.5"),
    ("sodium", "0", "0", "5"),
    ("sodium", "5", "5", "7.5"),
    ("sodium", "135", "132.5", "137.5"),
    ("sodium", "140", "137.5", "145"),
    ("sodium", "590", "585", "595"),
    ("carbohydrate", "0", "0", "0.5"),
    ("sugar", "<1", "0", "1"),
    ("fiber", "1", "0.5", "1.5"),
    ("protein", "13", "12.5", "13.5"),
    ("protein", "<1", "0", "1"),
]


@pytest.mark.parametrize(("nutrient", "printed", "low", "high"), INTERVALS)
def test_reads_back_what_may_be_printed_so(nutrient: str, printed: str, low: str, high: str) -> None:
    assert could_be_printed(nutrient, figure(printed))
    assert printed_interval(nutrient, figure(printed)) == (Decimal(low), Decimal(high))


# Figures that the rules cannot have printed: half the last printed digit. Decision of this program.
PRECISE = [
    ("fat", "5.3", "5.25", "5.35"),
    ("fat", "6.25", "6.245", "6.255"),
    ("energy", "172", "171.5", "172.5"),
    ("energy", "55", "54.5", "55.5"),
    ("sodium", "35.1", "35.05", "35.15"),
    ("protein", "0.04", "0.035", "0.045"),
    ("fat", "<1", "0", "1"),
    ("sodium", "<5", "0", "5"),
    ("cholesterol", "<3", "0", "3"),
    ("sugar", "<0.5", "0", "0.5"),
    ("energy", "<10", "0", "10"),
]


@pytest.mark.parametrize(("nutrient", "printed", "low", "high"), PRECISE)
def test_figures_no_rule_prints_are_read_to_their_last_digit(
    nutrient: str, printed: str, low: str, high: str
) -> None:
    assert not could_be_printed(nutrient, figure(printed))
    assert printed_interval(nutrient, figure(printed)) == (Decimal(low), Decimal(high))


def test_nutrients_without_a_rule_are_read_to_their_last_digit() -> None:
    # (c)(8)(ii): whole units for minerals, more precision allowed
    assert could_be_printed("potassium", figure("235"))
    assert printed_interval("potassium", figure("235")) == (Decimal("234.5"), Decimal("235.5"))
    assert printed_interval("calcium", figure("0")) == (Decimal(0), Decimal("0.5"))
    assert printed_interval("potassium", figure("2E+2")) == (Decimal("199.5"), Decimal("200.5"))


@pytest.mark.parametrize("nutrient", sorted(RULES))
@settings(max_examples=60)
@given(amount=st.decimals(min_value=0, max_value=2000, places=2))
def test_every_amount_lies_in_the_interval_of_its_own_printing(nutrient: str, amount: Decimal) -> None:
    printed = RULES[nutrient].print_amount(amount)
    low, high = printed_interval(nutrient, printed)
    assert could_be_printed(nutrient, printed)
    assert low <= amount <= high


# (b)(8): to 0.5 between 2 and 5 servings, else whole; derived by hand.
@pytest.mark.parametrize(
    ("servings", "printed"),
    [("1.6", "2"), ("2.2", "2"), ("2.3", "2.5"), ("3.76", "4"), ("4.8", "5"), ("5.4", "5"), ("7.6", "8")],
)
def test_servings_round_as_the_law_prints(servings: str, printed: str) -> None:
    assert round_servings(Decimal(servings)) == Decimal(printed)


@pytest.mark.parametrize(
    ("printed", "about", "low", "high"),
    [
        ("2.5", False, "2.25", "2.75"),
        ("2.5", True, "2.25", "2.75"),
        ("8", False, "7.5", "8.5"),
        ("8", True, "7.5", "8.5"),
        ("3", False, "2.75", "3.25"),
        ("3", True, "2.75", "3.25"),
        ("2", False, "1.5", "2.25"),
        ("5", True, "4.75", "5.5"),
        ("4.5", False, "4.25", "4.75"),
        ("1", False, "1", "1"),  # (b)(6): the container is the serving
        ("1", True, "0.5", "1.5"),
        ("1.5", False, "1.45", "1.55"),  # no rounding gives these: last digit
        ("1.5", True, "1.25", "1.75"),
        ("2.4", False, "2.35", "2.45"),
        ("7.5", False, "7.45", "7.55"),
        ("7.5", True, "7.25", "7.75"),
    ],
)
def test_servings_read_back(printed: str, about: bool, low: str, high: str) -> None:
    assert servings_interval(Decimal(printed), about) == (Decimal(low), Decimal(high))


@settings(max_examples=100)
@given(servings=st.decimals(min_value="1.5", max_value=60, places=2), about=st.booleans())
def test_servings_lie_in_the_interval_of_their_own_printing(servings: Decimal, about: bool) -> None:
    low, high = servings_interval(round_servings(servings), about)
    assert low <= servings <= high


# The figures of the sample label in 21 CFR 101.9(d)(8); fat: (d)(7)(ii) allows 11 % (8.7 g) and 12 % (9 g).
@pytest.mark.parametrize(
    ("nutrient", "amount", "percent"),
    [
        ("vitamin_d", "2", 10),
        ("calcium", "260", 20),
        ("iron", "8", 45),
        ("potassium", "235", 6),
        ("fat", "8.7", 11),
        ("fat", "9", 12),
        # (c)(8)(iii): nearest 2 up to 10 %, nearest 5 up to 50 %, nearest 10 above
        ("potassium", "234", 4),  # 4.98 %
        ("vitamin_d", "2.2", 10),  # 11 %
        ("iron", "10", 60),  # 55.6 %
        ("iron", "13", 70),  # 72.2 %
    ],
)
def test_percent_daily_values(nutrient: str, amount: str, percent: int) -> None:
    assert percent_daily_value(nutrient, Decimal(amount)) == percent


@pytest.mark.parametrize(
    ("nutrient", "daily"), [*DAILY_REFERENCE_VALUES.items(), *REFERENCE_DAILY_INTAKES.items()]
)
def test_the_daily_value_itself_is_100_percent(nutrient: str, daily: Decimal) -> None:
    assert percent_daily_value(nutrient, daily) == 100


def test_sugars_have_no_daily_value() -> None:
    with pytest.raises(InputError, match="has no Daily Value") as refused:
        percent_daily_value("sugar", Decimal(4))
    assert "added_sugar" in str(refused.value) and "potassium" in str(refused.value)
