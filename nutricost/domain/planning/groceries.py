"""Plain foods at a price, as offers: what feeds most for the money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nutricost.domain.quantities import Figure


@dataclass(frozen=True, slots=True)
class Grocery:
    """A food in the shop: edible `grams` [g] for `paid` [money]; `per_100g`: nutrient -> [kcal, g, mg]."""

    name: str
    grams: Figure
    paid: Figure
    per_100g: Mapping[str, Figure]


@dataclass(frozen=True, slots=True)
class GroceryRow:
    """A food with the amount of a nutrient in all of it and for one unit of money."""

    name: str
    amount: Figure
    per_money: Figure


def amount_in(food: Grocery, nutrient: str) -> Figure:
    """How much of a nutrient the food holds [kcal, g or mg]; unknown where the table does not say."""
    per = food.per_100g.get(nutrient)
    if per is None:
        return Figure.unknown("", f"{nutrient} of {food.name} is not known", f"{nutrient} of {food.name}")
    hundred = Figure.exact(100, "g", "100 g")
    return (per * (food.grams.to("g") / hundred)).named(f"{nutrient} of {food.name}")


def feeds_most(foods: Sequence[Grocery], nutrient: str = "energy") -> list[GroceryRow]:
    """The foods by how much of a nutrient one unit of money buys, most first, unknown last."""
    rows = []
    for food in foods:
        amount = amount_in(food, nutrient)
        per = (amount / food.paid).named(f"{nutrient} for the money") if amount.is_known else amount
        rows.append(GroceryRow(food.name, amount, per))
    return sorted(rows, key=lambda row: (not row.per_money.is_known, -(row.per_money.value or 0), row.name))
