"""A solved plan as figures: what to make, buy and take, and what the whole store amounts to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.planning.model import Model
from nutricost.domain.planning.problem import Objective, PlanOffer
from nutricost.domain.quantities import ZERO, Figure, Monotone, apply, ceiling, dec, total

GALLON_G = Decimal("3785.41")
"""One US gallon of water, 3785.41 mL (NIST Handbook 44), taken as 1 g/mL."""

WATER_PER_PERSON_DAY_G = GALLON_G
"""Stored water a person and day: one US gallon covers drinking and cooking.

Southern Nevada Health District, 'How much water should I store?'.
"""

SERVING_STEP = Decimal("0.000001")


@dataclass(frozen=True, slots=True)
class BindingLimit:
    """A limit that holds the plan back; `worth`: improvement of the objective by one `unit` of relief.

    `from_linear`: taken from the linear form, one step being too small to tell in whole units.
    """

    limit: str
    worth: Decimal
    unit: str
    from_linear: bool = False


@dataclass(frozen=True, slots=True)
class Relaxation:
    """How far one limit alone must give way: from `bound` to `to`, by `change`, in the bound's unit."""

    limit: str
    bound: Decimal
    to: Decimal
    change: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class Solved:
    """What the solver found, before it is put into figures."""

    values: Sequence[float]
    gap: float
    binding: tuple[BindingLimit, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Chosen:
    """An offer of the plan. `units`: whole batches or pouches to make or buy (a fraction in the linear form).

    `servings` eaten and `from_shelf` of them [serving], `left_over` of what was made [serving], `cost`
    [money], `energy` eaten [kcal], `eaten_by`: names of a group -> servings.
    """

    offer: PlanOffer
    units: Decimal
    servings: Figure
    from_shelf: Figure
    left_over: Figure
    cost: Figure
    energy: Figure
    eaten_by: Mapping[tuple[str, ...], Decimal]


@dataclass(frozen=True, slots=True)
class PlanResult:
    """A plan that keeps every limit. Weight and water [g], volume [mL], times in cycle and day.

    `water` to store covers drinking, cooking and `rehydration`, which is poured back into the food.

    `per_person_day`: energy [kcal], protein [g], sodium [mg], cost [money]. `gap`: relative distance
    from the best possible that is not proven away.
    """

    objective: Objective
    days: Decimal
    people: int
    offers: tuple[Chosen, ...]
    cost: Figure
    per_person_day: Mapping[str, Figure]
    cycles: Figure
    machine_days: Figure
    weight: Figure
    volume: Figure
    water: Figure
    rehydration: Figure
    binding: tuple[BindingLimit, ...]
    gap: Decimal
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Infeasible:
    """No plan keeps every limit. `clash`: of these none can be left out; `relaxations`: what would do."""

    clash: tuple[str, ...]
    relaxations: tuple[Relaxation, ...]
    notes: tuple[str, ...]


def described(model: Model, solved: Solved, days: Decimal, people: int) -> PlanResult:
    """The solver's answer as figures; costs come exactly from whole units and prices."""
    chosen = [one for j in range(len(model.offers)) if (one := _chosen(model, solved.values, j)) is not None]
    currency = model.offers[0].unit_cost.unit
    person_days = Figure.exact(days * people, "", f"{people} people x {days} days")
    cost = total([one.cost for one in chosen], "cost", unit=currency)
    rehydration = _rehydration(chosen)
    amounts = {
        "energy": total([one.energy for one in chosen], "energy", unit="kcal"),
        "protein": _sum(chosen, "protein", "g"),
        "sodium": _sum(chosen, "sodium", "mg"),
        "cost": cost,
    }
    return PlanResult(
        objective=model.objective,
        days=days,
        people=people,
        offers=tuple(chosen),
        cost=cost,
        per_person_day={
            name: (amount / person_days).named(f"{name} per person and day")
            for name, amount in amounts.items()
        },
        cycles=_cycles(chosen),
        machine_days=_machine_days(chosen),
        weight=_store(chosen, "weight", "g"),
        volume=_store(chosen, "volume", "mL"),
        water=_water(rehydration, days * people),
        rehydration=rehydration,
        binding=solved.binding,
        gap=dec(f"{solved.gap:.6f}"),
        notes=solved.notes,
    )


def _amount(value: float) -> Decimal:
    """A count of the solver without its rounding noise."""
    return dec(f"{max(value, 0.0):.6f}").normalize() + ZERO


def _chosen(model: Model, values: Sequence[float], j: int) -> Chosen | None:
    offer = model.offers[j]
    units = _amount(values[model.unit[j]])
    if model.whole[model.unit[j]]:
        units = units.to_integral_value()
    by = {
        group.names: _amount(values[model.eaten[j, g]])
        for g, group in enumerate(model.groups)
        if (j, g) in model.eaten
    }
    eaten = sum(by.values(), ZERO)
    if not units and eaten <= SERVING_STEP:
        return None
    made = offer.unit_servings * units
    shelf = min(offer.on_hand, max(eaten - made.must(), _amount(values[model.shelf[j]])), eaten)
    servings = Figure.exact(eaten, "serving", f"servings of {offer.name}", source="chosen by the plan")
    from_shelf = Figure.exact(
        shelf, "serving", f"from the shelf of {offer.name}", source="chosen by the plan"
    )
    left = max(made.must() + shelf - eaten, ZERO)
    return Chosen(
        offer=offer,
        units=units,
        servings=servings,
        from_shelf=from_shelf,
        left_over=Figure.exact(left, "serving", f"left over of {offer.name}"),
        cost=(offer.unit_cost * units).named(f"cost of {offer.name}", formula="whole units x cost of one"),
        energy=(servings * offer.per_serving["energy"]).named(f"energy of {offer.name}"),
        eaten_by=by,
    )


def _sum(chosen: Sequence[Chosen], nutrient: str, unit: str) -> Figure:
    parts = []
    for one in chosen:
        each = one.offer.per_serving.get(nutrient)
        if each is None:
            each = Figure.unknown(f"{unit}/serving", f"{nutrient} of {one.offer.name} is not known")
        parts.append(one.servings * each)
    return total(parts, nutrient, unit=unit)


def _store(chosen: Sequence[Chosen], what: str, unit: str) -> Figure:
    """Weight or volume of every stored serving: those made or bought, and those used from the shelf."""
    parts = []
    for one in chosen:
        each = one.offer.weight if what == "weight" else one.offer.volume
        if each is None:
            each = Figure.unknown(f"{unit}/serving", f"packed {what} of {one.offer.name} is not known")
        parts.append((one.offer.unit_servings * one.units + one.from_shelf) * each)
    return total(parts, f"packed {what}", unit=unit)


def _cycles(chosen: Sequence[Chosen]) -> Figure:
    """Whole cycles; batches that share a load share its cycle."""
    parts = [
        (one.offer.unit_cycles or Figure.unknown("cycle", f"cycles of {one.offer.name} are not known"))
        * one.units
        for one in chosen
        if one.offer.kind == "home" and one.units
    ]
    shared = total(parts, "cycles", unit="cycle")
    return apply(Monotone(ceiling, (1,)), [shared], "cycle", "cycles", formula="rounded up to whole cycles")


def _machine_days(chosen: Sequence[Chosen]) -> Figure:
    parts = [
        (one.offer.unit_hours or Figure.unknown("h", f"machine hours of {one.offer.name} are not known"))
        * one.units
        for one in chosen
        if one.offer.kind == "home" and one.units
    ]
    return total(parts, "machine days", unit="h").to("day")


def _rehydration(chosen: Sequence[Chosen]) -> Figure:
    """Water to pour back into all that is eaten [g]."""
    parts = []
    for one in chosen:
        each = one.offer.water
        if each is None:
            each = Figure.unknown("g/serving", f"water to add to {one.offer.name} is not known")
        parts.append(one.servings * each)
    return total(parts, "water to pour back", unit="g")


def _water(rehydration: Figure, person_days: Decimal) -> Figure:
    """Water to store [g]: a gallon a person and day, or what is poured back, as far as known, if more."""
    gallon = Figure.exact(
        WATER_PER_PERSON_DAY_G * person_days, "g", "drinking and cooking",
        source="one US gallon a person and day (Southern Nevada Health District)",
    )  # fmt: skip
    poured = rehydration if rehydration.is_known else rehydration.known
    poured = poured or Figure.exact(0, "g", "water to pour back, as far as known")
    return apply(Monotone(max, (1, 1)), [gallon, poured], "g", "water to store")
