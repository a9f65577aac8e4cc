"""What each bag of a batch holds, what it needs against oxygen, and how it keeps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.cautions import batch_facts, fat_fraction_of_solids, is_oxygen_free
from nutricost.domain.cautions import Allergen, allergens
from nutricost.domain.documents import Packing
from nutricost.domain.drying.balance import as_volume
from nutricost.domain.packing.absorbers import (
    COMMON_SIZES_CC,
    USUAL_MARGIN,
    Absorbers,
    absorbers_for,
    free_volume,
    oxygen_to_absorb,
)
from nutricost.domain.packing.bags import (
    bag_prices,
    bags_as_filled,
    bags_needed,
    bulk_volume_per_bag,
    filled_weight_problem,
)
from nutricost.domain.packing.keeping import Keeping, keeping
from nutricost.domain.quantities import Figure, total

ONE_BAG = Figure.exact(1, "bag", "one bag")
UNBAGGED_FRACTION = Decimal("0.05")
"""How much of the dry weight may miss from the bags before it is said (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FilledBag:
    """What one bag holds: weight [g], servings, energy [kcal], water to add [mL], cost [money].

    `number` counts weighed bags from 1; 0 stands for each of equally filled bags.
    """

    number: int
    weight: Figure
    servings: Figure
    energy: Figure
    water: Figure
    cost: Figure


@dataclass(frozen=True, slots=True)
class PackingReport:
    """How a batch is packed. Volumes [mL] are of one bag; `bags_needed` by bulk and bag volume.

    `bags`: one entry a weighed bag, else one for each of equal bags. `absorbers` is None where the
    oxygen is not known, `keeping` where the food is too moist to keep.
    """

    count: Figure
    bags: tuple[FilledBag, ...]
    bulk_volume: Figure
    bags_needed: Figure
    free_volume: Figure
    oxygen: Figure
    absorbers: Absorbers | None
    sizes_cc: tuple[Decimal, ...]
    sizes_given: bool
    cost: Figure
    keeping: Keeping | None
    allergens: tuple[Allergen, ...]
    lists_missing: bool
    raw: bool
    lot: str
    packed_on: date | None
    warnings: tuple[str, ...]


def packing_report(card: Card, packed_on: date | None = None) -> PackingReport:
    """How the batch of a card is packed and keeps; `packed_on` counts before what the batch says."""
    packing = card.batch.packing or Packing()
    weights = packing.bag_weights
    count = _count(packing)
    bags = _weighed_bags(card, weights) if weights else (_equal_bag(card, count),)
    food = _food_in_a_bag(card, bags)
    volume = packing.bag_volume or Figure.unknown("mL", "packing.bag_volume is not given", "volume of a bag")
    bulk = (
        bulk_volume_per_bag(packing.bulk_volume, count)
        if packing.bulk_volume is not None
        else Figure.unknown("mL", "packing.bulk_volume is not given", "bulk volume in a bag")
    )
    oxygen = oxygen_to_absorb(volume, food, altitude_m=packing.altitude_m)
    sizes = packing.absorber_sizes_cc
    day = packed_on or packing.packed_on or card.batch.made_on
    absorbers = absorbers_for(oxygen, sizes) if oxygen.is_known else None
    needed = (
        bags_needed(packing.bulk_volume, packing.bag_volume)
        if packing.bulk_volume is not None and packing.bag_volume is not None
        else Figure.unknown("bag", "packing.bulk_volume or packing.bag_volume is not given", "bags needed")
    )
    facts = batch_facts(card.batch, card.lines, card.content)
    return PackingReport(
        count=count,
        bags=bags,
        bulk_volume=bulk,
        bags_needed=needed,
        free_volume=free_volume(volume, food),
        oxygen=oxygen,
        absorbers=absorbers,
        sizes_cc=sizes or COMMON_SIZES_CC,
        sizes_given=bool(sizes),
        cost=card.costs.packing,
        keeping=keeping(
            day,
            oxygen_free=is_oxygen_free(card.batch),
            fat_fraction_of_solids=fat_fraction_of_solids(card.content),
            residual_moisture=card.content.residual_moisture,
        ),
        allergens=allergens(facts.foods),
        lists_missing=bool(facts.unread_labels),
        raw=any(caution.code.startswith("raw_") for caution in card.cautions),
        lot=packing.lot,
        packed_on=day,
        warnings=tuple(_warnings(card, packing, count, needed, absorbers)),
    )


def _count(packing: Packing) -> Figure:
    if packing.bag_weights:
        return Figure.exact(
            len(packing.bag_weights), "bag", "bags", source="as many as packing.bag_weights has weights"
        )
    return packing.bags or Figure.unknown("bag", "packing.bags is not given", "bags")


def _totals(card: Card) -> Mapping[str, Figure]:
    return {
        "servings": card.content.servings,
        "energy": card.per_batch["energy"],
        "water": as_volume(card.per_batch["water_to_add"]),
        "cost": card.costs.total,
    }


def _weighed_bags(card: Card, weights: tuple[Figure, ...]) -> tuple[FilledBag, ...]:
    """Each bag by its filled weight; an exactly known cost is split to the cent."""
    bags = bags_as_filled(weights, _totals(card))
    cost = card.costs.total
    prices: list[Figure] = [bag.holds["cost"] for bag in bags]
    if cost.is_known and cost.is_exact:
        split = bag_prices(cost.must(), weights, card.batch.currency)
        prices = [
            Figure.exact(
                price, cost.unit, f"cost of bag {bag.number}", source="total cost split by filled weight"
            )
            for bag, price in zip(bags, split, strict=True)
        ]
    return tuple(
        FilledBag(
            bag.number,
            bag.weight,
            bag.holds["servings"],
            bag.holds["energy"],
            bag.holds["water"].named(f"water to add to bag {bag.number}"),
            price,
        )
        for bag, price in zip(bags, prices, strict=True)
    )


def _equal_bag(card: Card, count: Figure) -> FilledBag:
    def share(whole: Figure, name: str) -> Figure:
        return (whole / count * ONE_BAG).named(name, formula="batch / bags")

    held = {key: share(whole, f"{key} of each bag") for key, whole in _totals(card).items()}
    weight = share(card.per_batch["weight_dry"], "dry weight in each bag")
    return FilledBag(0, weight, held["servings"], held["energy"], held["water"], held["cost"])


def _food_in_a_bag(card: Card, bags: tuple[FilledBag, ...]) -> Figure:
    """Dry food in a bag [g], from the lightest to the heaviest where they were weighed."""
    weights = [bag.weight for bag in bags]
    if len(weights) == 1 or not all(weight.is_known for weight in weights):
        return weights[0]
    mean = total(weights, "bags").must() / len(weights)
    return Figure.between(
        min(weight.low for weight in weights), max(weight.high for weight in weights), "g", "food in a bag",
        value=mean, source="packing.bag_weights, lightest to heaviest",
    )  # fmt: skip


def _warnings(
    card: Card, packing: Packing, count: Figure, needed: Figure, absorbers: Absorbers | None
) -> list[str]:
    said = []
    dry, weights = card.per_batch["weight_dry"], packing.bag_weights
    if problem := filled_weight_problem(weights, dry, f"{card.batch.where}: "):
        said.append(str(problem))
    if weights and dry.is_known:
        filled = total(weights, "filled weight of all bags")
        if filled.high < dry.low * (1 - UNBAGGED_FRACTION):
            said.append(
                f"the bags hold {filled.must().normalize():f} g of {dry.must():.0f} g dry; what was not "
                "bagged is counted as if it were: enter it under losses"
            )
    if weights and packing.bags is not None and packing.bags.must() != len(weights):
        said.append(
            f"packing.bags says {packing.bags.must().normalize():f}, but {len(weights)} bags were weighed"
        )
    if needed.is_known and count.is_known and needed.low > count.high:
        said.append(
            f"the dry food fills {needed.low.normalize():f} bags by its bulk volume, "
            f"more than the {count.must().normalize():f} given"
        )
    if absorbers is not None and is_oxygen_free(card.batch) and count.is_known:
        counted = 1 if packing.absorbers is None else packing.absorbers.must() / count.must()
        if counted < absorbers.pieces:
            said.append(
                f"{counted:.3g} absorbers a bag are counted, but its air asks for {absorbers.pieces} of "
                f"{absorbers.size_cc.normalize():f} cc"
            )
    return said


def packing_view(report: PackingReport) -> dict[str, Any]:
    """The public form of how a batch is packed."""
    absorbers, kept = report.absorbers, report.keeping
    return {
        "bags": report.count,
        "each_bag": [_bag_view(bag) for bag in report.bags],
        "bags_weighed": bool(report.bags[0].number),
        "bulk_volume_per_bag": report.bulk_volume,
        "bags_needed": report.bags_needed,
        "free_volume_per_bag": report.free_volume,
        "oxygen_per_bag": report.oxygen,
        "absorber": None
        if absorbers is None
        else {
            "size_cc": absorbers.size_cc,
            "pieces_per_bag": absorbers.pieces,
            "needed": absorbers.needed,
            "margin": USUAL_MARGIN,
            "sizes_cc": list(report.sizes_cc),
            "sizes": "given" if report.sizes_given else "assumed: often sold (common practice, no source)",
        },
        "cost": report.cost,
        "best_by": None
        if kept is None
        else {
            "months": list(kept.months),
            "earliest": kept.best_by.isoformat() if kept.best_by else None,
            "latest": kept.latest.isoformat() if kept.latest else None,
            "text": kept.text,
            "source": kept.source,
        },
        "allergens": [
            {"code": each.code, "name": each.name, "found_in": list(each.found_in)}
            for each in report.allergens
        ],
        "raw": report.raw,
        "lot": report.lot,
        "packed_on": report.packed_on.isoformat() if report.packed_on else None,
        "warnings": list(report.warnings),
    }


def _bag_view(bag: FilledBag) -> dict[str, Any]:
    return {
        "number": bag.number or None,
        "weight": bag.weight,
        "servings": bag.servings,
        "energy": bag.energy,
        "water_to_add": bag.water,
        "cost": bag.cost,
    }
