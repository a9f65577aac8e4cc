"""How a food is written in answers."""

from __future__ import annotations

from typing import Any

from nutricost.domain.foods.records import NUTRIENTS, Food
from nutricost.domain.quantities import Figure


def food_view(food: Food) -> dict[str, Any]:
    """How a food is named in answers."""
    return {
        "ndb_number": food.ndb_number,
        "fdc_id": food.fdc_id,
        "source": food.source,
        "description": food.description,
        "key": food.key,
    }


def found_view(food: Food) -> dict[str, Any]:
    """A food that a search found, with its values per 100 g; unknown ones as null with the reason."""
    per_100g = {
        key: Figure.unknown(f"{nutrient.unit}/hundred_g", "not in the table")
        if (value := food.per_100g(key)) is None
        else Figure.exact(value, f"{nutrient.unit}/hundred_g")
        for key, nutrient in NUTRIENTS.items()
        if key in food.nutrients
        or key
        in ("energy", "protein", "fat", "saturated_fat", "carbohydrate", "fiber", "sugar", "sodium", "water")
    }
    return {**food_view(food), "group": food.group, "per_100g": per_100g}
