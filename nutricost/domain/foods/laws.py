"""Laws that a row of a composition table must keep before it is believed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from nutricost.domain.foods.energy import atwater_energy_kcal
from nutricost.domain.foods.records import Food
from nutricost.errors import Problem

PROXIMATES_TOLERANCE_G = Decimal(1)
"""How far the proximates of 100 g may be from 100 g: SR28 rounds each, and states most to 0.01 g."""

ENERGY_TOLERANCE_FRACTION = Decimal("0.10")
ENERGY_TOLERANCE_KCAL = Decimal(10)
"""How far stated energy may be from the row's own factors: the larger of 10 % and 10 kcal per 100 g
(common practice, no source)."""

GENERAL_TOLERANCE_FRACTION = Decimal("0.30")
GENERAL_TOLERANCE_KCAL = Decimal(20)
"""The same for a row without factors of its own. The specific protein and carbohydrate factors of
Handbook 74 lie up to a third below 4, and fibre gives less than 4 kcal/g (common practice, no source)."""

_PROXIMATES = ("water", "protein", "fat", "carbohydrate", "ash")


def proximates_problem(food: Food) -> Problem | None:
    """A problem where water, protein, fat, carbohydrate, ash and alcohol don't sum to 100 +/- 1 g.

    Where one of the first five is unknown, the rest must not exceed 101 g.
    """
    amounts = [food.per_100g(key) for key in _PROXIMATES]
    known = sum((amount for amount in amounts if amount is not None), food.per_100g("alcohol") or Decimal(0))
    complete = None not in amounts
    if known > 100 + PROXIMATES_TOLERANCE_G or (complete and known < 100 - PROXIMATES_TOLERANCE_G):
        accepted = "100 +/- 1 g" if complete else "at most 101 g"
        return Problem(food.key, f"proximates sum to {known} g", accepted)
    return None


def energy_problem(food: Food) -> Problem | None:
    """A problem where the stated energy is far from what the food's own Atwater factors give.

    Where a food has no factors of its own: from what 4-9-4 gives, with fibre counted at 0 to 4 kcal/g.
    A food whose energy or a macronutrient is unknown can't be judged and passes.
    """
    energy, protein, fat, carbohydrate = (
        food.per_100g(key) for key in ("energy", "protein", "fat", "carbohydrate")
    )
    if energy is None or protein is None or fat is None or carbohydrate is None:
        return None
    alcohol = food.per_100g("alcohol") or Decimal(0)
    high = atwater_energy_kcal(protein, fat, carbohydrate, alcohol, food.factors)
    low = high
    fraction, absolute = ENERGY_TOLERANCE_FRACTION, ENERGY_TOLERANCE_KCAL
    if food.factors.protein is None and food.factors.fat is None and food.factors.carbohydrate is None:
        low = high - 4 * min(food.per_100g("fiber") or Decimal(0), carbohydrate)
        fraction, absolute = GENERAL_TOLERANCE_FRACTION, GENERAL_TOLERANCE_KCAL
    if low - max(low * fraction, absolute) <= energy <= high + max(high * fraction, absolute):
        return None
    return Problem(
        food.key,
        f"states {energy} kcal, its factors give {high:.1f} kcal",
        f"within {fraction:.0%} or {absolute} kcal",
    )


def negative_problem(food: Food) -> Problem | None:
    """A problem that names each nutrient below zero."""
    negative = [
        f"{key} {value.amount_per_100g}" for key, value in food.nutrients.items() if value.amount_per_100g < 0
    ]
    return Problem(food.key, ", ".join(negative), "0 or more") if negative else None


def sugar_problem(food: Food) -> Problem | None:
    """A problem where sugars exceed carbohydrate [g per 100 g]."""
    sugar, carbohydrate = food.per_100g("sugar"), food.per_100g("carbohydrate")
    if sugar is None or carbohydrate is None or sugar <= carbohydrate:
        return None
    return Problem(food.key, f"sugars {sugar} g, carbohydrate {carbohydrate} g", "sugars <= carbohydrate")


LAWS: Mapping[str, Callable[[Food], Problem | None]] = {
    "proximates": proximates_problem,
    "energy": energy_problem,
    "negative": negative_problem,
    "sugar": sugar_problem,
}
"""Import laws by name."""


def broken_laws(food: Food) -> dict[str, Problem]:
    """The laws that a row breaks, by name; empty for a sound row."""
    found = ((name, law(food)) for name, law in LAWS.items())
    return {name: problem for name, problem in found if problem is not None}
