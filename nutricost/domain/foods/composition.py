"""What a food's composition implies where its table is silent."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.foods.records import Food, NutrientValue

SALT_PER_SODIUM = Decimal("2.54")
"""Salt per sodium [g/g]: molar masses NaCl 58.44 / Na 22.99."""


def water_by_difference(food: Food) -> NutrientValue | None:
    """Water of 100 g [g], by difference and flagged 'estimated'; None where a macronutrient is unknown.

    100 - protein - fat - carbohydrate - ash - alcohol, at least 0. Ash, where the table gives none, is
    the salt that the sodium implies (sodium x 2.54): a lower bound, so the water is an upper one.
    Tables list alcohol only where a food has some, so an absent value takes nothing off.
    """
    protein, fat, carbohydrate = (food.per_100g(key) for key in ("protein", "fat", "carbohydrate"))
    if protein is None or fat is None or carbohydrate is None:
        return None
    ash = food.per_100g("ash")
    if ash is None:
        ash = salt_g(food.per_100g("sodium"))
    alcohol = food.per_100g("alcohol") or Decimal(0)
    water = Decimal(100) - protein - fat - carbohydrate - ash - alcohol
    return NutrientValue(max(water, Decimal(0)), "estimated")


def salt_g(sodium_mg: Decimal | None) -> Decimal:
    """Salt [g] that an amount of sodium [mg] implies: the least ash a food can have; 0 where unknown."""
    return Decimal(0) if sodium_mg is None else sodium_mg * SALT_PER_SODIUM / 1000
