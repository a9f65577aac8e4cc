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
    share = (
        Figure.exact(amount, offer.whole[key].unit, BASES[basis], source="basis") / offer.whole[key]
    ).named(f"share that is {BASES[basis]}")
    figures = {
        name: (offer.whole[name] * share).named(f"{name} at {BASES[basis]}") for name in SHOWN if name != key
    }
    figures[key] = Figure.exact(amount, offer.whole[key].unit, BASES[basis], source="basis")
    return {
        "servings": offer.servings * share,
        "cost": (offer.cost * share).named(f"cost of {BASES[basis]}"),
        **figures,
    }
