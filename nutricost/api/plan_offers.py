"""Batches and pouches as the offers a plan chooses from."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from nutricost.api.cards import Card
from nutricost.api.decisions import home_batch
from nutricost.domain.comparison import Offer
from nutricost.domain.documents import Batch, Drying, Machine
from nutricost.domain.payback import running_cost
from nutricost.domain.planning import PlanOffer
from nutricost.domain.quantities import Figure, total
from nutricost.domain.recipes.batch import tray_share

BULK_DENSITY = Figure.between(
    Decimal("0.15"), Decimal("0.45"), "g/mL", "bulk density of dry food as packed",
    source="0.15 to 0.45 g/mL: common practice, no source", standing="assumed",
)  # fmt: skip
"""Stands in where no packed volume is written: a plan with a limit on volume says so."""


def home_plan_offer(
    card: Card, machine: Machine | None, on_hand: Decimal, unfit_for: frozenset[str]
) -> PlanOffer:
    """A batch as an offer; one more of it is made the same way, at the same price, but leftovers only once.

    With a machine, electricity and pump oil that the batch does not tell are the machine's.
    """
    batch, offer = card.batch, card.offer
    share = tray_share(batch.drying or Drying())
    return PlanOffer(
        name=batch.title,
        kind="home",
        unit_servings=card.content.servings,
        unit_cost=load_cost(card, machine),
        per_serving=offer.per_serving,
        weight=offer.per_serving["weight"],
        volume=_home_volume(card),
        water=offer.per_serving["water"],
        unit_cycles=(share * Figure.exact(1, "cycle", "one cycle")).named("cycles of a batch"),
        unit_hours=_hours(batch, machine, share),
        on_hand=on_hand,
        most_units=1 if is_leftover(card) else None,
        unfit_for=unfit_for,
    )


def is_leftover(card: Card) -> bool:
    """Whether the batch is made of leftovers, which no shop has more of: nothing paid, or an age given."""
    paid = card.costs.ingredients
    return card.batch.leftover_age_days is not None or (paid.is_exact and paid.value == 0)


def pouch_plan_offer(offer: Offer, on_hand: Decimal, unfit_for: frozenset[str]) -> PlanOffer:
    """A pouch as an offer of a plan."""
    return PlanOffer(
        name=offer.name,
        kind=offer.kind,
        unit_servings=offer.servings,
        unit_cost=offer.cost,
        per_serving=offer.per_serving,
        weight=offer.per_serving["weight"],
        volume=_estimated_volume(offer.per_serving["weight"]),
        water=offer.per_serving["water"],
        on_hand=on_hand,
        unfit_for=unfit_for,
    )


def load_cost(card: Card, machine: Machine | None) -> Figure:
    """What a batch costs [money]; with a machine, its energy and oil count where the batch tells none."""
    if machine is None:
        return card.costs.total
    home = home_batch(card)
    electricity, oil = running_cost(home, machine)
    return total([home.ingredients, electricity, oil, home.other], f"cost of {card.batch.title}")


def _hours(batch: Batch, machine: Machine | None, share: Figure) -> Figure:
    """Machine time of a batch, its share of turnaround included [h]: its own cycle, else the machine's."""
    drying = batch.drying or Drying()
    parts: list[Figure | None] = [drying.hours, drying.extra_hours]
    if drying.hours is None:
        if machine is None or machine.cycle_hours is None:
            return Figure.unknown("h", "neither drying.hours nor the machine's cycle_hours is given", "hours")
        parts = [machine.cycle_hours]
    if machine is not None:
        parts.append(machine.turnaround_hours)
    hours = total([part for part in parts if part is not None], "hours of the cycle", unit="h")
    return (hours * share).named("machine hours", formula="(cycle + turnaround) x share of trays")


def _home_volume(card: Card) -> Figure:
    packing, servings = card.batch.packing, card.content.servings
    if packing is not None and packing.bag_volume is not None and packing.bags is not None:
        bags = packing.bags / Figure.exact(1, "bag", "one bag")
        return (packing.bag_volume.to("mL") * bags / servings).named("packed volume per serving")
    if packing is not None and packing.bulk_volume is not None:
        return (packing.bulk_volume.to("mL") / servings).named("packed volume per serving")
    return _estimated_volume(card.per_serving["weight_dry"])


def _estimated_volume(weight: Figure) -> Figure:
    return (weight / BULK_DENSITY).named("packed volume per serving", formula="dry weight / bulk density")


def estimates_volume(offers: Sequence[PlanOffer]) -> list[str]:
    """Names of the offers whose packed volume stands on the assumed bulk density."""
    return [
        offer.name
        for offer in offers
        if offer.volume is not None and any(leaf is BULK_DENSITY for leaf in offer.volume.leaves())
    ]
