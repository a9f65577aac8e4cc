"""Bases: the amount of food on which unlike offers are put side by side."""

from __future__ import annotations

from collections.abc import Mapping

from nutricost.domain.comparison.offers import Offer
from nutricost.domain.quantities import Figure

SHOWN = ("energy", "protein", "sodium", "weight")

BASES: Mapping[str, str] = {
    "serving": "one serving, as printed or as planned",
    "pouch": "one pouch or bag, as packed",
    "100kcal": "100 kcal",
    "1000kcal": "1000 kcal",
    "25g-protein": "25 g protein",
    "100g": "100 g as packed",
}
"""The bases with what each means."""

_AMOUNTS = {
    "100kcal": ("energy", 100),
    "1000kcal": ("energy", 1000),
    "25g-protein": ("protein", 25),
    "100g": ("weight", 100),
}


def at_basis(offer: Offer, basis: str) -> dict[str, Figure]:
    """Servings, cost, energy, protein, sodium and weight of the basis amount of an offer.

    On `serving` the figures are per serving, on `pouch` per bag or pouch; on the other bases they are
    what comes with that amount of energy, protein or weight.
    """
    if basis == "serving":
        one = Figure.exact(1, "serving", "one serving", source="basis")
        per = {key: offer.per_serving[key] for key in SHOWN}
        return {"servings": one, "cost": offer.cost_per_serving, **per}
    if basis == "pouch":
        return {
            "servings": offer.servings / offer.packs,
            "cost": offer.cost / offer.packs,
            **{key: (offer.whole[key] / offer.packs).named(f"{key} a pack") for key in SHOWN},
        }
    key, amount = _AMOUNTS[basis]
    name = BASES[basis]
    fixed = Figure.exact(amount, offer.whole[key].unit, name, source="basis")
    of_whole = (fixed / offer.whole[key]).named(f"share that is {name}")
    one = Figure.exact(1, "serving", "one serving", source="basis")
    per_one = (offer.per_serving[key] * one).named(f"{key} of a serving")
    of_serving = (fixed / per_one).named(f"servings that are {name}")

    def comes_along(other: str) -> Figure:
        # Nutrients of one label stand in a ratio that the number of servings has no part in. The weight is
        # printed for the whole, and a plain food has no servings.
        served = offer.per_serving[other] * one * of_serving
        by_serving = served.is_known and "weight" not in (key, other)
        return (served if by_serving else offer.whole[other] * of_whole).named(f"{other} at {name}")

    return {
        "servings": one * of_serving,
        "cost": (offer.cost * of_whole).named(f"cost of {name}"),
        **{other: comes_along(other) for other in SHOWN if other != key},
        key: fixed,
    }
