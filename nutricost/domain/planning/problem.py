"""What a plan asks: offers to choose from, who eats for how long, and the limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from nutricost.domain.documents import Limits
from nutricost.domain.quantities import Figure

Objective = Literal["cost", "weight", "cycles"]

ENERGY_NEED = "energy need"
"""The name under which the need itself appears in a clash."""

NUTRIENT_LIMITS = {"protein": "protein_g_per_day", "sodium": "sodium_mg_per_day"}
"""Nutrient -> the key a plan document limits it by; other nutrients are `<name>_per_day`."""


@dataclass(frozen=True, slots=True)
class PlanOffer:
    """A food that can be made, bought or taken from the shelf.

    `unit_servings` [serving] and `unit_cost` [money] of one whole batch or pouch. `per_serving`:
    nutrient -> amount; 'energy' [kcal], 'protein' [g], 'sodium' [mg] with '/serving'. `weight`
    [g/serving] and `volume` [mL/serving] as packed, `water` to rehydrate [g/serving].
    `unit_cycles` [cycle] and `unit_hours` [h] of machine time, turnaround included, of one batch.
    `on_hand`: servings already on the shelf, which cost nothing more. `most_units` that can be had.
    `unfit_for`: names of the people who cannot eat it.
    """

    name: str
    kind: str
    unit_servings: Figure
    unit_cost: Figure
    per_serving: Mapping[str, Figure]
    weight: Figure | None = None
    volume: Figure | None = None
    water: Figure | None = None
    unit_cycles: Figure | None = None
    unit_hours: Figure | None = None
    on_hand: Decimal = Decimal(0)
    most_units: int | None = None
    unfit_for: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Diner:
    """A person of the plan and the need [kcal/day]."""

    name: str
    energy_kcal_per_day: Decimal


@dataclass(frozen=True, slots=True)
class Bounds:
    """Limits of a plan; None or empty where the user set none.

    `least` and `most`: nutrient -> amount per person and day. `max_share`: largest part of a person's
    energy from one offer (fraction). `min_offers`: different offers of which each person gets at least
    one serving.
    """

    budget: Decimal | None = None
    least: Mapping[str, Decimal] = field(default_factory=dict)
    most: Mapping[str, Decimal] = field(default_factory=dict)
    max_share: Decimal | None = None
    packed_weight_g: Decimal | None = None
    packed_volume_ml: Decimal | None = None
    cycles: Decimal | None = None
    machine_days: Decimal | None = None
    min_offers: int | None = None

    @classmethod
    def of(cls, limits: Limits) -> Bounds:
        """The limits as a plan document states them. An uncertain budget counts with its low end."""
        return cls(
            budget=None if limits.budget is None else limits.budget.low,
            least={} if limits.protein_g_per_day is None else {"protein": limits.protein_g_per_day},
            most={} if limits.sodium_mg_per_day is None else {"sodium": limits.sodium_mg_per_day},
            max_share=limits.max_share_per_offer,
            packed_weight_g=limits.packed_weight_g,
            packed_volume_ml=limits.packed_volume_ml,
            cycles=limits.cycles,
            machine_days=limits.machine_days,
            min_offers=limits.min_offers,
        )


@dataclass(frozen=True, slots=True)
class Group:
    """People who may eat the same offers, pooled. `energy_kcal`: their need over all days."""

    names: tuple[str, ...]
    energy_kcal: Decimal
    person_days: Decimal
    offers: tuple[int, ...]


def limit_of_nutrient(nutrient: str) -> str:
    """The name of a nutrient's limit, as a plan document writes it."""
    return NUTRIENT_LIMITS.get(nutrient, f"{nutrient}_per_day")


def groups(offers: Sequence[PlanOffer], diners: Sequence[Diner], days: Decimal) -> list[Group]:
    """The people, pooled by the offers they may eat."""
    pooled: dict[tuple[int, ...], list[Diner]] = {}
    for diner in diners:
        fit = tuple(i for i, offer in enumerate(offers) if diner.name not in offer.unfit_for)
        pooled.setdefault(fit, []).append(diner)
    return [
        Group(
            names=tuple(diner.name for diner in members),
            energy_kcal=sum((diner.energy_kcal_per_day for diner in members), Decimal(0)) * days,
            person_days=len(members) * days,
            offers=fit,
        )
        for fit, members in pooled.items()
    ]


def usable(
    offers: Sequence[PlanOffer], bounds: Bounds, objective: Objective
) -> tuple[list[PlanOffer], list[str]]:
    """The offers about which enough is known for these limits, and why each other one is left out.

    An unknown amount is never taken as zero: an offer whose sodium is unknown cannot stand in a plan
    that limits sodium.
    """
    kept, notes = [], []
    for offer in offers:
        wanted: dict[str, Figure | None] = {"servings": offer.unit_servings, "cost": offer.unit_cost}
        for nutrient in ("energy", *bounds.least, *bounds.most):
            wanted[nutrient] = offer.per_serving.get(nutrient)
        if bounds.packed_weight_g is not None or objective == "weight":
            wanted["weight"] = offer.weight
        if bounds.packed_volume_ml is not None:
            wanted["packed volume"] = offer.volume
        if offer.kind == "home" and (bounds.cycles is not None or objective == "cycles"):
            wanted["cycles"] = offer.unit_cycles
        if offer.kind == "home" and bounds.machine_days is not None:
            wanted["machine hours"] = offer.unit_hours
        missing = [name for name, figure in wanted.items() if figure is None or not figure.is_known]
        if missing:
            notes.append(f"{offer.name} is left out: unknown {', '.join(missing)}")
        else:
            kept.append(offer)
    return kept, notes
