"""One ingredient line made into figures: weight, nutrients, water."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from nutricost.domain.documents import Ingredient
from nutricost.domain.foods.composition import water_by_difference
from nutricost.domain.foods.energy import ALCOHOL_KCAL_PER_G, ALCOHOL_KCAL_PER_G_OF_ROWS
from nutricost.domain.foods.records import NUTRIENTS, Food
from nutricost.domain.foods.uncertainty import food_figure
from nutricost.domain.labels import (
    LabelReading,
    content_of_weight,
    package_content,
    package_weight,
    serving_water,
    serving_weight,
    water_per_gram,
)
from nutricost.domain.quantities import Figure, not_below_zero

REPORTED = ("energy", "protein", "fat", "saturated_fat", "carbohydrate", "fiber", "sugar", "sodium")
"""Nutrients on every card, in the order of the public document format."""


@dataclass(frozen=True, slots=True)
class LineContent:
    """What one line brings into the pot.

    `weight` [g]; `nutrients` by key, totals of the line [kcal, g, mg]; `water` [g], unknown where
    neither table nor label lets it be had; `alcohol` [g] of a table food that has some, else None.
    """

    weight: Figure
    nutrients: Mapping[str, Figure]
    water: Figure
    alcohol: Figure | None = None

    @property
    def solids(self) -> Figure:
        """Weight less water, and less alcohol, which leaves with it. [g]"""
        if self.alcohol is not None:
            return (self.weight - self.water - self.alcohol).named(
                "solids", formula="weight - water - alcohol"
            )
        return (self.weight - self.water).named("solids", formula="weight - water")


class FoodFigures:
    """Table values as figures, one object a value, so that a food used twice counts once."""

    def __init__(self) -> None:
        self._figures: dict[tuple[str, str], Figure] = {}
        self._alcohol_energy = Figure.between(
            ALCOHOL_KCAL_PER_G_OF_ROWS, ALCOHOL_KCAL_PER_G, "kcal/g", "energy of a gram of alcohol",
            value=ALCOHOL_KCAL_PER_G_OF_ROWS, source="USDA Agriculture Handbook 74; the general factor",
        )  # fmt: skip

    def of(self, food: Food, key: str) -> Figure:
        """The nutrient of the food. [unit/100 g]"""
        if (food.key, key) not in self._figures:
            if key == "water" and "water" not in food.nutrients and (water := water_by_difference(food)):
                food = replace(food, nutrients={**food.nutrients, "water": water})
            self._figures[food.key, key] = food_figure(food, key)
        return self._figures[food.key, key]

    def energy_that_stays(self, food: Food) -> Figure:
        """Energy of the food less that of its alcohol, which leaves with the water. [kcal/100 g]"""
        alcohol = self.of(food, "alcohol") * self._alcohol_energy
        rest = not_below_zero(self.of(food, "energy") - alcohol)
        return rest.named("energy without the alcohol", formula="energy - alcohol x its energy, not below 0")


def food_content(food: Food, weight: Figure, figures: FoodFigures, title: str) -> LineContent:
    """What `weight` [g] of a table food holds: weight x value per 100 g."""
    nutrients = {
        key: _share(weight, figures.of(food, key), f"{NUTRIENTS[key].name} of {title}") for key in REPORTED
    }
    water = _share(weight, figures.of(food, "water"), f"water of {title}")
    alcohol = None
    if food.per_100g("alcohol"):
        alcohol = _share(weight, figures.of(food, "alcohol"), f"alcohol of {title}")
        stays = figures.energy_that_stays(food)
        nutrients["energy"] = _share(weight, stays, nutrients["energy"].name)
    return LineContent(weight, nutrients, water, alcohol)


def _share(weight: Figure, per_100g: Figure, name: str) -> Figure:
    if per_100g.is_exact and per_100g.value == 0:
        # None of it in the food: the amount need not be known.
        unit = per_100g.unit.split("/")[0]
        return Figure.exact(0, unit, name, source=per_100g.source)
    return (weight.to("hundred_g") * per_100g).named(name, formula="weight x value per 100 g")


def unknown_content(why: str, title: str, weight: Figure | None = None) -> LineContent:
    """The content of a line that no food was found for: everything unknown but, perhaps, its weight."""
    nutrients = {
        key: Figure.unknown(NUTRIENTS[key].unit, why, f"{NUTRIENTS[key].name} of {title}") for key in REPORTED
    }
    return LineContent(
        weight or Figure.unknown("g", why, f"weight of {title}"),
        nutrients,
        Figure.unknown("g", why, f"water of {title}"),
    )


def label_content(reading: LabelReading, amount: Figure, title: str) -> LineContent:
    """What an amount of a labelled product holds.

    `amount` is in packages, servings or grams; its unit says which.
    """
    if amount.unit == "g":
        content: Mapping[str, Figure] = content_of_weight(reading, amount)
        weight, water = amount, amount * water_per_gram(reading)
        parts = {key: content[key] for key in REPORTED}
    else:
        if amount.unit == "package":
            content, per_one = package_content(reading), package_weight(reading)
            one_water = per_one * water_per_gram(reading)
        else:
            content, per_one = reading.per_serving, serving_weight(reading)
            one_water = serving_water(reading)
        weight, water = amount * per_one, amount * one_water
        parts = {key: amount * content[key] for key in REPORTED}
    return LineContent(
        weight.named(f"weight of {title}"),
        {
            key: figure.named(f"{NUTRIENTS[key].name} of {title}", formula="amount x content of one")
            for key, figure in parts.items()
        },
        water.named(f"water of {title}", formula="amount x water of one, by difference"),
    )


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """A line of a batch with everything known about it.

    `cost` is what is charged to the batch, `usual_cost` the same at the usual price (None where not
    given), `share` the part of the purchase that was used [fraction].
    """

    ingredient: Ingredient
    content: LineContent
    share: Figure
    cost: Figure
    usual_cost: Figure | None = None
    food: Food | None = None
    warnings: tuple[str, ...] = ()
