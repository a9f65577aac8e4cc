"""The plan as a mixed-integer program: columns, rows, and which limit each row belongs to.

Columns: units of each offer (whole batches or pouches), servings taken from the shelf, servings eaten of
each offer by each group, and, where variety is asked for, whether an offer counts. Every row of a limit
carries how far one unit of relief moves its bound, so that the same model answers 'what is one unit
worth' and 'what is the least relaxation'.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from nutricost.domain.planning.problem import (
    ENERGY_NEED,
    Bounds,
    Group,
    Objective,
    PlanOffer,
    limit_of_nutrient,
)
from nutricost.domain.quantities import Figure

INF = math.inf
HUNDREDTH = 0.01
GRAMS_PER_KG = 1000
ML_PER_L = 1000
HOURS_PER_DAY = 24


@dataclass(frozen=True, slots=True)
class Row:
    """low <= sum of coefficient x column <= high; one step of relief moves its finite end by `relief`."""

    limit: str
    entries: tuple[tuple[int, float], ...]
    low: float
    high: float
    relief: float = 0.0


@dataclass(frozen=True, slots=True)
class Limit:
    """A named limit: its bound, the unit of one step of relief, and how many steps one bound unit has.

    `sign` is +1 where relief raises the bound and -1 where it lowers it.
    """

    name: str
    bound: Decimal
    unit: str
    sign: int
    step: Decimal = Decimal(1)
    whole: bool = False


@dataclass(slots=True)
class Model:
    """The program. `unit`, `shelf`, `eaten` give the columns of an offer (and group)."""

    offers: Sequence[PlanOffer]
    groups: Sequence[Group]
    objective: Objective
    columns: int = 0
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    unit: list[int] = field(default_factory=list)
    shelf: list[int] = field(default_factory=list)
    eaten: dict[tuple[int, int], int] = field(default_factory=dict)
    rows: list[Row] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)
    costs: dict[Objective, list[tuple[int, float]]] = field(default_factory=dict)

    def column(self, high: float, whole: bool = False) -> int:
        """A new column in [0, high]."""
        self.low.append(0.0)
        self.high.append(high)
        self.whole.append(whole)
        self.columns += 1
        return self.columns - 1


def _number(figure: Figure | None) -> float:
    """The value for the solver; only called where `usable` has seen that it is known, or where it is
    not asked for."""
    return 0.0 if figure is None or figure.value is None else float(figure.value)


def build(
    offers: Sequence[PlanOffer],
    groups: Sequence[Group],
    bounds: Bounds,
    *,
    objective: Objective,
    continuous: bool,
) -> Model:
    """The program of a plan. `continuous`: units may be fractions (the linear form)."""
    model = Model(offers, groups, objective)
    _columns(model, continuous)
    _energy(model)
    _nutrients(model, bounds)
    _share(model, bounds)
    _stores(model, bounds)
    if bounds.min_offers is not None:
        _variety(model, bounds.min_offers)
    return model


def _columns(model: Model, continuous: bool) -> None:
    need = sum(float(group.energy_kcal) for group in model.groups)
    for j, offer in enumerate(model.offers):
        servings, kcal = _number(offer.unit_servings), _number(offer.per_serving["energy"])
        most = INF if offer.most_units is None else float(offer.most_units)
        model.unit.append(model.column(most, whole=not continuous))
        if servings * kcal > 0:
            # More than the whole need of one offer is never eaten; without the need, it may be.
            enough = need / (servings * kcal)
            bound = enough if continuous else float(math.ceil(enough))
            model.rows.append(Row(ENERGY_NEED, ((model.unit[j], 1.0),), -INF, bound))
        model.shelf.append(model.column(float(offer.on_hand)))
        there: list[tuple[int, float]] = [(model.unit[j], -servings), (model.shelf[j], -1.0)]
        for g, group in enumerate(model.groups):
            if j in group.offers:
                model.eaten[j, g] = model.column(INF)
                there.append((model.eaten[j, g], 1.0))
        model.rows.append(Row("", tuple(there), -INF, 0.0))
    units = list(enumerate(model.offers))
    model.costs = {
        "cost": [(model.unit[j], _number(offer.unit_cost)) for j, offer in units],
        "weight": _stored(model, [_number(offer.weight) for offer in model.offers]),
        "cycles": [(model.unit[j], _number(offer.unit_cycles)) for j, offer in units],
    }


def _stored(model: Model, per_serving: Sequence[float]) -> list[tuple[int, float]]:
    """Entries of something that every stored serving has: those bought, and those used from the shelf."""
    entries = []
    for j, offer in enumerate(model.offers):
        entries.append((model.unit[j], per_serving[j] * _number(offer.unit_servings)))
        entries.append((model.shelf[j], per_serving[j]))
    return entries


def _eaten(model: Model, g: int, nutrient: str) -> tuple[tuple[int, float], ...]:
    return tuple(
        (model.eaten[j, g], _number(model.offers[j].per_serving.get(nutrient)))
        for j in model.groups[g].offers
    )


def _energy(model: Model) -> None:
    """Each group eats exactly its need: more would be paid for and gained, less would be hunger."""
    model.limits.append(Limit(ENERGY_NEED, Decimal(100), "% of the need", -1))
    for g, group in enumerate(model.groups):
        need = float(group.energy_kcal)
        eaten = _eaten(model, g, "energy")
        model.rows.append(Row(ENERGY_NEED, eaten, need, INF, need * HUNDREDTH))
        model.rows.append(Row(ENERGY_NEED, eaten, -INF, need))


def _nutrients(model: Model, bounds: Bounds) -> None:
    units = {"protein": "g", "sodium": "mg"}
    for sign, amounts in ((-1, bounds.least), (1, bounds.most)):
        for nutrient, amount in amounts.items():
            name = limit_of_nutrient(nutrient)
            unit = f"{units.get(nutrient, '')} per person and day".strip()
            model.limits.append(Limit(name, amount, unit, sign))
            for g, group in enumerate(model.groups):
                days = float(group.person_days)
                bound = float(amount) * days
                ends = (bound, INF) if sign < 0 else (-INF, bound)
                model.rows.append(Row(name, _eaten(model, g, nutrient), *ends, days))


def _share(model: Model, bounds: Bounds) -> None:
    if bounds.max_share is None:
        return
    name = "max_share_per_offer"
    model.limits.append(Limit(name, bounds.max_share, "0.01", 1, Decimal("0.01")))
    for g, group in enumerate(model.groups):
        need = float(group.energy_kcal)
        for column, kcal in _eaten(model, g, "energy"):
            most = need * float(bounds.max_share)
            model.rows.append(Row(name, ((column, kcal),), -INF, most, need * HUNDREDTH))


def _stores(model: Model, bounds: Bounds) -> None:
    """Limits on the whole store: money, weight, volume, cycles, machine days."""

    def limit(
        name: str, bound: Decimal | None, entries: Sequence[tuple[int, float]], unit: str, step: int = 1
    ) -> None:
        if bound is not None:
            model.limits.append(Limit(name, bound, unit, 1, Decimal(step)))
            model.rows.append(Row(name, tuple(entries), -INF, float(bound), float(step)))

    offers = list(enumerate(model.offers))
    currency = model.offers[0].unit_cost.unit if offers else ""
    limit("budget", bounds.budget, model.costs["cost"], currency)
    limit("packed_weight", bounds.packed_weight_g, model.costs["weight"], "kg", GRAMS_PER_KG)
    volumes = _stored(model, [_number(offer.volume) for offer in model.offers])
    limit("packed_volume", bounds.packed_volume_ml, volumes, "L", ML_PER_L)
    limit("cycles", bounds.cycles, model.costs["cycles"], "cycle")
    machine_days = [(model.unit[j], _number(offer.unit_hours) / HOURS_PER_DAY) for j, offer in offers]
    limit("machine_days", bounds.machine_days, machine_days, "day")


def _variety(model: Model, least: int) -> None:
    """At least so many offers count; one counts where everyone who may eat it gets a serving."""
    counted = []
    for j in range(len(model.offers)):
        counts = model.column(1.0, whole=True)
        counted.append((counts, 1.0))
        for g, group in enumerate(model.groups):
            if j in group.offers:
                entries = ((model.eaten[j, g], 1.0), (counts, -float(len(group.names))))
                model.rows.append(Row("", entries, 0.0, INF))
    model.limits.append(Limit("min_offers", Decimal(least), "offer", -1, whole=True))
    model.rows.append(Row("min_offers", tuple(counted), float(least), INF, 1.0))
