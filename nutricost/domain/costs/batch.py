"""Money of a batch: ingredients, energy, packing, other, total."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nutricost.domain.documents import Batch, Drying, Packing
from nutricost.domain.quantities import Figure, total
from nutricost.domain.recipes.batch import tray_share
from nutricost.domain.recipes.lines import RecipeLine


@dataclass(frozen=True, slots=True)
class BatchCosts:
    """Money of a batch [its currency]; an unknown part makes the total unknown.

    `usual_total` is the total had every line been paid at its usual price, None where no usual price
    is given; `usual_ingredients` the same of the lines alone. `assumptions` say what was taken as none.
    """

    ingredients: Figure
    energy: Figure
    packing: Figure
    other: Figure
    total: Figure
    usual_total: Figure | None
    usual_ingredients: Figure | None
    assumptions: tuple[str, ...]

    @property
    def saved(self) -> Figure | None:
        """What paying less than the usual prices saved [money], None where no usual price is given."""
        if self.usual_ingredients is None:
            return None
        return (self.usual_ingredients - self.ingredients).named(
            "saved by the markdown", formula="usual - paid"
        )


def batch_costs(batch: Batch, lines: Sequence[RecipeLine], scale: Figure) -> BatchCosts:
    """What the batch costs; ingredients count for the share that was dried (`scale`)."""
    money = batch.currency
    drying = batch.drying or Drying()
    ingredients = _scaled([line.cost for line in lines], scale, money, "ingredients")
    energy = _energy_cost(drying, money)
    assumptions = []
    if batch.packing is None:
        packing = Figure.exact(0, money, "packing", source="no [packing] given: none", standing="assumed")
        assumptions.append("no [packing]: counted as none")
    else:
        packing = _packing_cost(batch.packing, money)
        if batch.packing.absorber_price is None and not _absorbers_used(batch.packing):
            assumptions.append("no packing.absorber_price: no absorbers counted")
    if batch.other_costs:
        other = total(batch.other_costs.values(), "other costs")
    else:
        other = Figure.exact(
            0, money, "other costs", source="no [other_costs] given: none", standing="assumed"
        )
        assumptions.append("no [other_costs]: counted as none")
    parts = [energy, packing, other]
    usual = usual_lines = None
    if any(line.usual_cost is not None for line in lines):
        usual_lines = _scaled(
            [line.usual_cost or line.cost for line in lines], scale, money, "ingredients, usual price"
        )
        usual = total([usual_lines, *parts], "total at usual prices")
    return BatchCosts(
        ingredients,
        energy,
        packing,
        other,
        total([ingredients, *parts], "total cost", formula="ingredients + energy + packing + other"),
        usual,
        usual_lines,
        tuple(assumptions),
    )


def _scaled(costs: Sequence[Figure], scale: Figure, money: str, name: str) -> Figure:
    whole = total(costs, name, unit=money)
    if scale.is_exact and scale.value == 1:
        return whole
    return (whole * scale).named(name, formula="cost of all lines x loaded / cooked")


def _energy_cost(drying: Drying, money: str) -> Figure:
    """The given cost of the cycle, else its kWh x tariff, by share of trays. [money]"""
    share = tray_share(drying)
    if drying.cost is not None:
        return (drying.cost * share).named("energy", formula="cost of the cycle x share of trays")
    missing = [
        key
        for key, figure in (("drying.energy", drying.energy), ("drying.price_per_kwh", drying.price_per_kwh))
        if figure is None
    ]
    if drying.energy is None or drying.price_per_kwh is None:
        why = f"{' and '.join(missing)} not given (or drying.cost)"
        return Figure.unknown(money, why, "energy")
    return (drying.energy * drying.price_per_kwh * share).named(
        "energy", formula="electricity x price per kWh x share of trays"
    )


def _packing_cost(packing: Packing, money: str) -> Figure:
    parts = []
    bags = packing.bags
    if packing.bag_price is not None or bags is not None:
        parts.append(_pieces(bags, packing.bag_price, money, "bags", "packing.bags", "packing.bag_price"))
    if packing.absorber_price is not None or _absorbers_used(packing):
        count = packing.absorbers or bags
        if count is not None and count.unit == "bag":
            count = (
                count * Figure.exact(1, "1/bag", "absorbers a bag", source="one a bag unless given")
            ).named("absorbers")
        parts.append(
            _pieces(
                count,
                packing.absorber_price,
                money,
                "absorbers",
                "packing.absorbers",
                "packing.absorber_price",
            )
        )
    return total(parts, "packing", unit=money)


def _absorbers_used(packing: Packing) -> bool:
    """Whether the user counted absorbers, which then have a price, known or not."""
    return packing.absorbers is not None and packing.absorbers.high > 0


def _pieces(
    count: Figure | None, price: Figure | None, money: str, what: str, count_key: str, price_key: str
) -> Figure:
    if count is None:
        return Figure.unknown(money, f"{count_key} is not given", what)
    if price is None:
        return Figure.unknown(money, f"{price_key} is not given", what)
    return (count * price).named(what, formula="pieces x price of one")
