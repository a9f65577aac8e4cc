"""Water by difference."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.foods.composition import salt_g, water_by_difference
from nutricost.domain.foods.records import Food, NutrientValue


def food(**amounts: str) -> Food:
    nutrients = {key: NutrientValue(Decimal(text)) for key, text in amounts.items()}
    return Food("survey:x", "survey", "x", nutrients=nutrients)


def test_salt_from_sodium() -> None:
    # Source: standard atomic weights, NaCl 58.44 / Na 22.99 = 2.542.
    assert round(Decimal("58.44") / Decimal("22.99"), 2) == Decimal("2.54")
    assert salt_g(Decimal(1000)) == Decimal("2.54")
    assert salt_g(None) == 0


def test_water_of_a_published_survey_dish() -> None:
    # Source: FNDDS 2021-2023, FDC 2709225: water 62.8 g, protein 0.82, carbohydrate 32.4, fat 3.21 g per
    # 100 g (third party's copy). Its ash, under 1 g, is what the difference lacks.
    water = water_by_difference(food(protein="0.82", fat="3.21", carbohydrate="32.4"))
    assert water is not None
    assert water.standing == "estimated"
    assert Decimal("62.8") <= water.amount_per_100g <= Decimal("63.8")


def test_water_with_ash_published() -> None:
    # Source: SR28 NDB 01001: water 15.87 g measured.
    water = water_by_difference(
        food(protein="0.85", fat="81.11", carbohydrate="0.06", ash="2.11", alcohol="0.0", sodium="643")
    )
    assert water == NutrientValue(Decimal("15.87"), "estimated")


def test_sodium_stands_in_for_ash() -> None:
    water = water_by_difference(food(protein="10", fat="10", carbohydrate="10", sodium="500"))
    assert water == NutrientValue(Decimal("68.73"), "estimated")


def test_never_below_zero_and_unknown_stays_unknown() -> None:
    dry = water_by_difference(food(protein="0", fat="100", carbohydrate="0.5"))
    assert dry == NutrientValue(Decimal(0), "estimated")
    assert water_by_difference(food(protein="10", fat="10")) is None


def test_alcohol_takes_water_away_and_each_macronutrient_is_needed() -> None:
    # 100 - 10 - 20 = 70 g, by hand.
    whole = {"protein": "0", "fat": "0", "carbohydrate": "10", "ash": "0", "alcohol": "20"}
    assert water_by_difference(food(**whole)) == NutrientValue(Decimal(70), "estimated")
    for missing in ("protein", "fat", "carbohydrate"):
        assert (
            water_by_difference(food(**{key: text for key, text in whole.items() if key != missing})) is None
        )
