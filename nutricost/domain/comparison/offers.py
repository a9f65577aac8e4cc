"""Anything that can stand in a comparison, reduced to what a comparison needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from nutricost.domain.documents import Pouch
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.labels import package_content, read_label
from nutricost.domain.quantities import Figure

Kind = Literal["home", "pouch", "food", "other"]

COUNTED = ("energy", "protein", "fat", "saturated_fat", "carbohydrate", "fiber", "sugar", "sodium")
"""Nutrients an offer carries."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A batch, a pouch, a plain food at a price.

    `whole` and `per_serving` hold, by key, energy [kcal], macros [g], sodium [mg], `weight` as packed
    [g], `water` to add [g] and `machine_hour` [h]; per-serving figures add /serving. They are kept
    apart because a printed per-serving figure is surer than a total divided again. `cost` [money] and
    `servings` are those of the whole; `packs` is how many bags or pouches the whole is.
    """

    name: str
    kind: Kind
    currency: str
    cost: Figure
    servings: Figure
    whole: Mapping[str, Figure]
    per_serving: Mapping[str, Figure]
    packs: Figure

    @property
    def cost_per_serving(self) -> Figure:
        """Money for one serving as printed or as planned. [money/serving]"""
        return (self.cost / self.servings).named("cost per serving", formula="cost / servings")


def pouch_offer(pouch: Pouch, currency: str) -> Offer:
    """The offer that a commercial pouch makes; nutrients as printed, read with their rounding."""
    reading = read_label(pouch.label)
    one = Figure.exact(1, "package", f"one pouch of {pouch.name}", source="definition")
    content = package_content(reading)
    whole = {key: (content[key] * one).named(f"{NUTRIENTS[key].name} of a pouch") for key in COUNTED}
    per_serving = {key: reading.per_serving[key] for key in COUNTED}
    per_pouch = reading.servings or Figure.unknown("serving/package", "servings are not printed", "servings")
    servings = (per_pouch * one).named("servings in a pouch")
    net = pouch.label.net_weight or Figure.unknown("g", "net_weight is not printed", "net weight")
    water = pouch.water_to_add
    whole["weight"] = net
    whole["water"] = (
        # A millilitre of water is taken as a gram.
        (water * Figure.exact(1, "g/mL", "density of water", source="1 g/mL, to 0.5 % up to 30 C"))
        if water is not None
        else Figure.unknown("g", f"water_to_add of '{pouch.name}' is not given", "water to add")
    ).named("water to add to a pouch")
    whole["machine_hour"] = Figure.exact(0, "h", "machine hours", source="a pouch takes none")
    for key in ("weight", "water", "machine_hour"):
        per_serving[key] = (whole[key] / servings).named(f"{key} per serving")
    return Offer(pouch.name, "pouch", currency, pouch.price, servings, whole, per_serving, one)
