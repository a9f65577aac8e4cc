"""Bags: how many, what each holds by its filled weight, and its share of the money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.quantities import Figure, Monotone, apply, ceiling, split_money, total
from nutricost.domain.quantities.display import shown
from nutricost.errors import InputError, Problem


@dataclass(frozen=True, slots=True)
class Bag:
    """One filled bag: its weight [g], its share of the batch, and what it holds of each total."""

    number: int
    weight: Figure
    share: Figure
    holds: Mapping[str, Figure]


def bags_as_filled(weights: Sequence[Figure], totals: Mapping[str, Figure]) -> list[Bag]:
    """What each bag holds of the batch's totals (energy, servings, water ...), by filled weight.

    The shares are of what was bagged: the bags together hold the whole. Raises InputError where a weight
    is not above 0.
    """
    for number, weight in enumerate(weights, start=1):
        if weight.is_known and weight.low <= 0:
            raise InputError(f"bag {number}: {weight.must().normalize():f} g (accepted: above 0)")
    if not weights:
        return []
    filled = total(weights, "filled weight of all bags")
    bags = []
    for number, weight in enumerate(weights, start=1):
        share = (weight / filled.to(weight.unit)).named(
            f"share of bag {number}", formula="filled weight / all bags"
        )
        holds = {key: (amount * share).named(f"{key}, bag {number}") for key, amount in totals.items()}
        bags.append(Bag(number, weight, share, holds))
    return bags


def bag_prices(cost: Decimal, weights: Sequence[Figure], currency: str) -> list[Decimal]:
    """The batch's cost shared over the bags by weight; the shares add up to it to the cent. [currency]"""
    return split_money(cost, [weight.to("g").must() for weight in weights], currency)


def bulk_volume(dry: Figure, bulk_density: Figure) -> Figure:
    """Room that dry food takes with the air between its pieces. [mL] Density [g/mL] by the user's measure."""
    return (dry.to("g") / bulk_density).named("bulk volume", formula="dry weight / bulk density")


def bulk_volume_per_bag(bulk: Figure, bags: Figure) -> Figure:
    """Room that the food takes in each of equally filled bags. [mL]"""
    each = bulk.to("mL") / bags * Figure.exact(1, "bag", "one bag")
    return each.named("bulk volume in a bag", formula="bulk volume / bags")


def bags_needed(volume: Figure, usable_per_bag: Figure) -> Figure:
    """Whole bags that hold a volume. [bag] Both in mL; the usable volume of a bag, not its nominal one.

    Raises InputError where the usable volume is not above 0.
    """
    if usable_per_bag.is_known and usable_per_bag.low <= 0:
        raise InputError(f"usable volume of a bag: {usable_per_bag.low} mL (accepted: above 0)")
    whole = Monotone(lambda ml, per_bag: ceiling(ml / per_bag), (1, -1))
    return apply(
        whole, (volume.to("mL"), usable_per_bag.to("mL")), "bag", "bags needed",
        formula="volume / usable volume of a bag, rounded up",
    )  # fmt: skip


def filled_weight_problem(weights: Sequence[Figure], dry: Figure, where: str = "") -> Problem | None:
    """A warning where the bags together weigh more than the dry batch beyond the intervals, else None."""
    if not weights or not dry.is_known:
        return None
    filled = total(weights, "filled weight of all bags").to(dry.unit)
    if not filled.is_known or filled.low <= dry.high:
        return None
    text = (
        f"the bags hold {shown(filled)} {dry.shown_unit}, more than the dry weight of "
        f"{shown(dry)} {dry.shown_unit}"
    )
    return Problem(f"{where}packing.bag_weights", text, "weights of the food without bag", "warning")
