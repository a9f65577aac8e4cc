"""Household weights read. Measures as SR28 (file WEIGHT) writes them; the weights are invented."""

from decimal import Decimal

import pytest

from nutricost.domain.foods.household import HouseholdMeasure, read_household, read_households
from nutricost.domain.foods.records import HouseholdWeight


def read(measure: str, amount: str = "1", grams: str = "100") -> HouseholdMeasure:
    found = read_household(HouseholdWeight(Decimal(amount), measure, Decimal(grams)))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("measure", "milliliters"),
    # NIST Handbook 44, Appendix C: cup 236.588 mL, fluid ounce 29.5735, tablespoon 14.7868, teaspoon 4.92892.
    [
        ("cup, chopped", "236.5882365"),
        ("tbsp", "14.78676478125"),
        ("tsp, ground", "4.92892159375"),
        ("fl oz", "29.5735295625"),
        ("fluid oz", "29.5735295625"),
        ("quart", "946.352946"),
        ("serving (2 tbsp)", "29.5735295625"),
        ("serving 1/2 cup", "118.29411825"),
        ("serving 0.5 cup", "118.29411825"),
        ("serving 2 cup 3 oz", "473.176473"),
    ],
)
def test_volumes(measure: str, milliliters: str) -> None:
    assert read(measure).milliliters == Decimal(milliliters)


@pytest.mark.parametrize(
    "measure", ["large", "slice", "fl", "fruit", "dash", "shake", "can (15 oz)", "jar 8 oz"]
)
def test_pieces_have_no_volume(measure: str) -> None:
    assert read(measure).milliliters is None


@pytest.mark.parametrize(
    "measure",
    ["oz", "lb", "serving", "serving (3 oz)", "serving cup", "NLEA serving", "gram", "cubic inch", "12", ""],
)
def test_plain_weights_and_label_servings_are_no_measures(measure: str) -> None:
    assert read_household(HouseholdWeight(Decimal(1), measure, Decimal(100))) is None


@pytest.mark.parametrize(("amount", "grams"), [("0", "5"), ("-1", "5"), ("1", "0"), ("1", "-5")])
def test_nothing_weighs_nothing(amount: str, grams: str) -> None:
    weight = HouseholdWeight(Decimal(amount), "cup", Decimal(grams))
    assert read_household(weight) is None
    good = HouseholdWeight(Decimal("0.5"), "cup", Decimal("0.5"))
    assert [m.grams for m in read_households([weight, good])] == [1]


def test_grams_are_those_of_one() -> None:
    assert read("leaves", "5", "2.5").grams == Decimal("0.5")


@pytest.mark.parametrize(
    ("measure", "size"),
    [
        ('large (3" dia)', "large"),
        ("extra large", "extra large"),
        ("jumbo", "extra large"),
        ("mini", "small"),
        ("slice, thin", "thin"),
        ("Medium", "medium"),
        ("cup (about 2 large)", ""),
        ("cup", ""),
    ],
)
def test_sizes(measure: str, size: str) -> None:
    assert read(measure).size == size


@pytest.mark.parametrize(
    ("measure", "ounces"),
    [
        ("can (15 oz)", "15"),
        ("package (10 oz) yields", "10"),
        ("bar 1.5 oz", "1.5"),
        ("can (2 cups) 8 oz", "8"),
        ("can", None),
        ("can (15 fl oz)", None),
    ],
)
def test_ounces_of_a_package(measure: str, ounces: str | None) -> None:
    assert read(measure).package_oz == (None if ounces is None else Decimal(ounces))


def test_words_are_stems() -> None:
    found = read("leaves, whole slices")
    assert (found.text, found.first) == ("leaves, whole slices", "leaf")
    assert found.words == {"leaf", "whole", "slice"}
