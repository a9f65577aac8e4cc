"""Energy of a food: which published figure counts, and what its macronutrients give."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from nutricost.domain.foods.records import AtwaterFactors, NutrientValue

GENERAL_FACTORS = AtwaterFactors(protein=Decimal(4), fat=Decimal(9), carbohydrate=Decimal(4))
"""General Atwater factors [kcal/g]: 4-9-4, as in 21 CFR 101.9(c)(1)(i)(B)."""

ALCOHOL_KCAL_PER_G = Decimal(7)
"""Alcohol [kcal/g]; from memory, the usual general factor."""
ALCOHOL_KCAL_PER_G_OF_ROWS = Decimal("6.93")
"""Alcohol in the energy of SR28's own rows [kcal/g] (USDA Agriculture Handbook 74)."""

_ENERGY_NUMBERS = ("208", "958", "957")
"""USDA nutrient numbers of energy in kcal, best first: as stated, specific factors, general factors."""


def atwater_energy_kcal(
    protein_g: Decimal,
    fat_g: Decimal,
    carbohydrate_g: Decimal,
    alcohol_g: Decimal = Decimal(0),
    factors: AtwaterFactors = GENERAL_FACTORS,
) -> Decimal:
    """Energy [kcal] of the given masses [g], by the given factors [kcal/g].

    A factor that `factors` lacks is taken from the general ones (SR28 leaves out the factor of a
    macronutrient that the food does not have). Alcohol always counts 7 kcal/g.
    Method: Merrill & Watt, USDA Agriculture Handbook 74.
    """
    protein, fat, carbohydrate = (
        general if own is None else own
        for own, general in (
            (factors.protein, Decimal(4)),
            (factors.fat, Decimal(9)),
            (factors.carbohydrate, Decimal(4)),
        )
    )
    return protein * protein_g + fat * fat_g + carbohydrate * carbohydrate_g + ALCOHOL_KCAL_PER_G * alcohol_g


def energy_value(by_number: Mapping[str, NutrientValue]) -> NutrientValue | None:
    """Energy of 100 g [kcal], or None where the table gives neither energy nor all macronutrients.

    `by_number` holds a food's values by USDA nutrient number (as a string). Nutrient 208 counts, else
    958 (specific factors), else 957 (general factors), else 4-4-9-7 from protein (203), fat (204),
    carbohydrate (205) and alcohol (221), flagged 'estimated'. Tables list alcohol only where a food
    has some, so an absent 221 adds nothing. Never read 268: that is kilojoules under the same name.
    """
    for number in _ENERGY_NUMBERS:
        if number in by_number:
            return by_number[number]
    macros = [by_number.get(number) for number in ("203", "204", "205")]
    protein, fat, carbohydrate = macros
    if protein is None or fat is None or carbohydrate is None:
        return None
    alcohol = by_number.get("221")
    energy = atwater_energy_kcal(
        protein.amount_per_100g,
        fat.amount_per_100g,
        carbohydrate.amount_per_100g,
        Decimal(0) if alcohol is None else alcohol.amount_per_100g,
    )
    return NutrientValue(energy, "estimated")
