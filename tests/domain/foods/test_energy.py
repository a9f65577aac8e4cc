"""Energy: which published figure counts, and the Atwater factors."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.foods.energy import GENERAL_FACTORS, atwater_energy_kcal, energy_value
from nutricost.domain.foods.records import AtwaterFactors, NutrientValue

# Source: USDA FoodData Central 2262072 (peanut butter), USDA's own figures: nutrient 957 = 631.65 kcal,
# 958 = 589.383006 kcal, nitrogen 4.394 g x 5.46. Carbohydrate follows from 957.
PROTEIN = Decimal("23.99124")
FAT = Decimal("49.43")
CARBOHYDRATE = Decimal("22.70376")
PEANUT = AtwaterFactors(Decimal("3.47"), Decimal("8.37"), Decimal("4.07"), Decimal("5.46"))


def values(**amounts: str) -> dict[str, NutrientValue]:
    return {number[1:]: NutrientValue(Decimal(text)) for number, text in amounts.items()}


def test_general_and_specific_energy_of_fdc_2262072() -> None:
    assert Decimal("4.394") * Decimal("5.46") == PROTEIN
    assert atwater_energy_kcal(PROTEIN, FAT, CARBOHYDRATE) == Decimal("631.65")
    assert atwater_energy_kcal(PROTEIN, FAT, CARBOHYDRATE, factors=PEANUT) == Decimal("589.3830060")


def test_a_missing_factor_is_the_general_one() -> None:
    partial = AtwaterFactors(fat=Decimal("8.79"))
    assert atwater_energy_kcal(Decimal(1), Decimal(1), Decimal(1), factors=partial) == Decimal("16.79")
    assert atwater_energy_kcal(Decimal(1), Decimal(1), Decimal(1), factors=GENERAL_FACTORS) == 17


def test_order_of_preference() -> None:
    # Source: FoodData Central's energy nutrients, 208, 958 (specific), 957 (general); 268 is kilojoules.
    every = values(n208="600", n958="589.383006", n957="631.65", n268="2510")
    for number in ("208", "958", "957"):
        assert energy_value(every) == every.pop(number)
    assert energy_value(every) is None


def test_computed_energy_is_flagged() -> None:
    found = energy_value(values(n203="23.99124", n204="49.43", n205="22.70376"))
    assert found == NutrientValue(Decimal("631.65"), "estimated")
    with_alcohol = energy_value(values(n203="0", n204="0", n205="2.5", n221="10"))
    assert with_alcohol == NutrientValue(Decimal(80), "estimated")


def test_unknown_macronutrient_leaves_energy_unknown() -> None:
    assert energy_value(values(n203="10", n204="5")) is None
    assert energy_value({}) is None


def test_each_macronutrient_is_needed_and_a_missing_fat_factor_is_nine() -> None:
    whole = {"n203": "10", "n204": "5", "n205": "20"}
    for missing in whole:
        assert energy_value(values(**{key: text for key, text in whole.items() if key != missing})) is None
    partial = AtwaterFactors(protein=Decimal("3.47"))
    assert atwater_energy_kcal(Decimal(0), Decimal(1), Decimal(0), factors=partial) == 9
