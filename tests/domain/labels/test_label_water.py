"""Water and solids of a labelled food by difference, method.md section 2."""

from __future__ import annotations

from decimal import Decimal

import pytest
from sample_labels import CHILI, chili, printed

from nutricost.domain.labels import read_label, serving_ash, serving_solids, serving_water, water_per_gram
from nutricost.domain.labels.reading import OTHER_MINERALS_MOST_G_PER_100G


def test_water_is_what_is_left() -> None:
    """By hand: 150 - 6 - 15 - 13 - 0.590 x 2.54 = 114.5014 g."""
    reading = read_label(chili())
    water = serving_water(reading)
    assert water.value == Decimal("114.5014")
    assert water.unit == "g/serving"
    assert water.standing == "estimated"
    # least: 150 - 6.5 - 15.5 - 13.5 - 0.595 x 2.54 - 1.76 x 1.5; most: 150 - 5.5 - 14.5 - 12.5 - 0.585 x 2.54
    assert (water.low, water.high) == (Decimal("110.34870"), Decimal("116.01410"))
    share = water_per_gram(reading)
    assert share.must() == pytest.approx(Decimal("114.5014") / 150)
    assert (share.unit, share.standing, serving_solids(reading).standing) == ("", "estimated", "estimated")


def test_solids_and_water_make_the_serving_again() -> None:
    reading = read_label(chili())
    weight = serving_solids(reading) + serving_water(reading)
    assert weight.box == (Decimal(150), Decimal(150))  # the same inputs, counted once, cancel


def test_salt_of_sodium_is_2_54_times_its_mass() -> None:
    """NaCl 58.44 g/mol over Na 22.99 g/mol is 2.542 (molar masses from memory)."""
    assert Decimal("58.44") / Decimal("22.99") == pytest.approx(Decimal("2.54"), abs=Decimal("0.005"))
    ash = serving_ash(read_label(chili()))
    assert ash.value == Decimal("1.4986")
    assert ash.high == Decimal("0.595") * Decimal("2.54") + OTHER_MINERALS_MOST_G_PER_100G * Decimal("1.5")


def test_unprinted_sodium_is_an_estimate_not_zero() -> None:
    figures = {key: value for key, value in CHILI.items() if key != "sodium"}
    ash = serving_ash(read_label(chili(figures)))
    assert ash.low == 0
    assert ash.value == Decimal("1.740")
    assert {leaf.standing for leaf in ash.leaves()} >= {"assumed"}


def test_missing_macros_are_named() -> None:
    water = serving_water(read_label(chili({"energy": "170", "fat": "6"})))
    assert water.value is None
    assert "does not print carbohydrate and protein" in water.why


def test_without_a_serving_weight_water_is_unknown() -> None:
    reading = read_label(chili(serving_g=None, net_weight=None))
    assert serving_water(reading).value is None
    assert "neither serving grams" in serving_water(reading).why
    assert serving_ash(reading).value is None
    assert "neither serving grams" in serving_ash(reading).why


def test_water_is_never_below_zero() -> None:
    """Invented dry food: 30 g of serving printed as 30 g of macronutrients, all of them rounded."""
    dry = chili({"fat": "3", "carbohydrate": "21", "protein": "6", "sodium": "0"}, serving_g=Decimal(30))
    water = serving_water(read_label(dry))
    assert water.low == water.value == 0
    assert water.high > 0


def test_alcohol_is_neither_water_nor_solid() -> None:
    reading = read_label(chili(extra=printed({"alcohol": "2"})))
    assert serving_water(reading).value == Decimal("112.5014")
    assert serving_solids(reading).value == Decimal("35.4986")
