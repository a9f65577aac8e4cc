"""Invented offers for the tests, with round numbers that can be checked by hand."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from nutricost.domain.comparison import Offer
from nutricost.domain.quantities import Figure

UNITS = {
    "energy": "kcal", "protein": "g", "fat": "g", "saturated_fat": "g", "carbohydrate": "g", "fiber": "g",
    "sugar": "g", "sodium": "mg", "weight": "g", "water": "g", "machine_hour": "h",
}  # fmt: skip

WHOLE = {
    "energy": "4000", "protein": "200", "fat": "160", "saturated_fat": "40", "carbohydrate": "400",
    "fiber": "80", "sugar": "50", "sodium": "8000", "weight": "1000", "water": "2500", "machine_hour": "40",
}  # fmt: skip

Amount = str | tuple[str, str] | None
"""Exact, an interval, or not known."""


def figure(amount: Amount, unit: str, name: str) -> Figure:
    """The amount as a figure."""
    if amount is None:
        return Figure.unknown(unit, f"{name} is not printed", name)
    if isinstance(amount, str):
        return Figure.exact(Decimal(amount), unit, name)
    return Figure.between(Decimal(amount[0]), Decimal(amount[1]), unit, name)


def offer(name: str = "Stew", **changes: Any) -> Offer:
    """20 USD for 10 servings in 5 bags, of 400 kcal each, unless changed."""
    cost = figure(changes.pop("cost", "20"), "USD", f"cost of {name}")
    servings = figure(changes.pop("servings", "10"), "serving", f"servings of {name}")
    packs = figure(changes.pop("packs", "5"), changes.pop("pack_unit", "bag"), "packs")
    kind = changes.pop("kind", "home")
    whole = {
        key: figure(amount, UNITS[key], f"{key} of {name}") for key, amount in {**WHOLE, **changes}.items()
    }
    per_serving = {key: whole[key] / servings for key in whole}
    return Offer(name, kind, "USD", cost, servings, whole, per_serving, packs)
