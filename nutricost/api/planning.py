"""The plan for people and days, from documents."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, TypeVar

from nutricost.api.breakdown import cash_curves
from nutricost.api.cards import Card
from nutricost.api.cautions import batch_facts
from nutricost.api.comparing import Comparison, compare_offers
from nutricost.api.decisions import alternative, home_batch
from nutricost.api.diets import READING_AID, Diet, diet
from nutricost.api.documents import cards_of, pouches_file, read_batches
from nutricost.api.inputs import input_of
from nutricost.api.plan_offers import estimates_volume, home_plan_offer, is_leftover, pouch_plan_offer
from nutricost.api.provisions import purchases, runs
from nutricost.domain.cautions import FoodFact
from nutricost.domain.comparison import pouch_offer
from nutricost.domain.documents import Batch, Machine, Plan, Pouch
from nutricost.domain.payback import CashPoint, payback
from nutricost.domain.planning import (
    BindingLimit,
    Bounds,
    Diner,
    Infeasible,
    PlanOffer,
    PlanResult,
    Relaxation,
    energy_need,
    plan,
)
from nutricost.domain.planning.problem import Objective
from nutricost.domain.planning.shopping import Purchase, Run
from nutricost.domain.planning.solve import DEFAULT_GAP, DEFAULT_TIME_S, Progress
from nutricost.domain.quantities import ONE, ZERO, Figure
from nutricost.errors import DocumentError, InputError, Problem
from nutricost.sources.documents import read_machine, read_plan
from nutricost.sources.documents.tables import nearest

T = TypeVar("T")

BASIS = "1000kcal"
"""A plan feeds people by energy, so its offers are compared on it."""

LOADING_HOUR = 8
"""The first load of a calendar goes in at eight in the morning."""

_SHOWN_IN: Mapping[str, Decimal] = {"kg": Decimal(1000), "L": Decimal(1000)}
"""Limits that the program keeps in g or mL -> how many of these make the unit a person reads."""


@dataclass(frozen=True, slots=True)
class PlanReport:
    """A plan, or why there is none.

    `purchases`: the shopping list; `runs`: cycles, from `start` at 8 in the morning (None: any day one);
    `comparison`: every offer of the plan; `curves`: money over time, where the plan names a machine.
    """

    document: Plan
    result: PlanResult | Infeasible
    purchases: tuple[Purchase, ...]
    runs: tuple[Run, ...]
    start: date | None
    comparison: Comparison
    curves: Mapping[str, Sequence[CashPoint]]
    warnings: tuple[str, ...]

    @property
    def is_feasible(self) -> bool:
        """Whether a plan keeps every limit."""
        return isinstance(self.result, PlanResult)

    def view(self) -> dict[str, Any]:
        """The public form of the plan."""
        if isinstance(self.result, Infeasible):
            return {
                "feasible": False,
                "clash": list(self.result.clash),
                "relaxations": [_relaxation_view(one) for one in self.result.relaxations],
                "warnings": list(self.warnings),
            }
        found = self.result
        return {
            "feasible": True,
            "cost": found.cost,
            "days": found.days,
            "offers": [
                {
                    "name": one.offer.name,
                    "kind": one.offer.kind,
                    "servings": one.servings,
                    **_units_view(one.offer, one.units),
                    "cost": one.cost,
                    "energy": one.energy,
                    "from_shelf": one.from_shelf,
                    "left_over": one.left_over,
                    "eaten_by": [
                        {"people": list(names), "servings": servings}
                        for names, servings in one.eaten_by.items()
                    ],
                }
                for one in found.offers
            ],
            "per_person_day": dict(found.per_person_day),
            "cycles": found.cycles,
            "machine_days": found.machine_days,
            "weight": found.weight,
            "volume": found.volume,
            "water": found.water,
            "water_to_pour_back": found.rehydration,
            "binding": [_binding_view(one, found) for one in found.binding],
            "objective": found.objective,
            "gap": found.gap,
            "shopping": [
                {"item": one.item, "packages": one.packages, "cost": one.cost} for one in self.purchases
            ],
            "calendar": [self.run_view(run) for run in self.runs],
            "warnings": list(self.warnings),
        }

    def run_view(self, run: Run) -> dict[str, Any]:
        """A cycle on the calendar: the day it starts on, and its times where the first day was given."""
        first = self.runs[0].starts.date()
        dated = self.start is not None
        return {
            "cycle": run.number,
            "batch": run.name,
            "day": (run.starts.date() - first).days + 1,
            "starts": run.starts.isoformat(timespec="minutes") if dated else None,
            "ends": run.ends.isoformat(timespec="minutes") if dated else None,
        }


def _units_view(offer: PlanOffer, units: Decimal) -> dict[str, Figure]:
    if offer.kind == "home":
        return {"batches": Figure.exact(units, "batch", f"batches of {offer.name}")}
    return {"pouches": Figure.exact(units, "package", f"packages of {offer.name}")}


_OBJECTIVE_UNIT = {"weight": "g", "cycles": "cycle"}


def _binding_view(one: BindingLimit, found: PlanResult) -> dict[str, Any]:
    unit = f"{_OBJECTIVE_UNIT.get(found.objective, found.cost.unit)} per {one.unit}"
    worth = {"value": one.worth, "low": one.worth, "high": one.worth, "unit": unit}
    return {"limit": one.limit, "worth": worth, "from_linear_form": one.from_linear}


def _relaxation_view(one: Relaxation) -> dict[str, Any]:
    size = _SHOWN_IN.get(one.unit, ONE)
    unit = "" if one.limit == "max_share_per_offer" else one.unit
    return {
        "limit": one.limit, "bound": one.bound / size, "to": one.to / size, "change": one.change / size,
        "unit": unit,
    }  # fmt: skip


def plan_file(
    path: str,
    *,
    objective: Objective = "cost",
    gap: float = DEFAULT_GAP,
    time_limit_s: float = DEFAULT_TIME_S,
    start: date | None = None,
    progress: Progress = lambda step: None,
) -> PlanReport:
    """What to make, buy and keep for a plan document. Raises DocumentError with every problem of it."""
    document = read_plan(input_of(path))
    return plan_documents(
        document, objective=objective, gap=gap, time_limit_s=time_limit_s, start=start, progress=progress
    )


def plan_documents(
    document: Plan,
    *,
    objective: Objective = "cost",
    gap: float = DEFAULT_GAP,
    time_limit_s: float = DEFAULT_TIME_S,
    start: date | None = None,
    progress: Progress = lambda step: None,
) -> PlanReport:
    """What to make, buy and keep for people and days; `start`: first day of the calendar.

    `objective`: what is least: cost, weight or cycles. `gap`: relative distance from the best possible
    that may stay unproven; `time_limit_s` [s]. `progress` is told each step.
    Raises DocumentError with every problem of the plan and of the documents it names.
    """
    progress("reading the documents")
    material = _read(document)
    people = document.people
    diets = {name: diet(name, facts, people) for name, facts in material.facts().items()}
    offers = material.offers(document.on_hand, diets)
    result = plan(
        offers,
        material.diners,
        document.days,
        Bounds.of(document.limits),
        objective=objective,
        gap=gap,
        time_limit_s=time_limit_s,
        progress=progress,
    )
    warnings = [*material.warnings, *result.notes]
    if any(person.excludes for person in people):
        warnings += [reason for one in diets.values() for reason in one.reasons]
        if untold := [name for name, one in diets.items() if one.untold]:
            warnings.append(
                "not all ingredients are written down, so nothing tells whether an excluded food is in: "
                + ", ".join(untold)
            )
        warnings.append(READING_AID)
    for card in material.cards:
        if is_leftover(card):
            warnings.append(f"{card.batch.title} is made of leftovers: the plan makes it at most once")
    bought: list[Purchase] = []
    cycles: list[Run] = []
    if isinstance(result, PlanResult):
        cards = {card.batch.title: card for card in material.cards}
        bought = purchases(result.offers, cards)
        if guessed := estimates_volume([one.offer for one in result.offers]):
            warnings.append(
                "packed volume is estimated from the dry weight at 0.15 to 0.45 g/mL (common practice, no "
                f"source) for {', '.join(guessed)}"
            )
        day_one = datetime.combine(start or date(2000, 1, 1), time(LOADING_HOUR))
        cycles, missing = runs(result.offers, day_one)
        warnings += missing
    return PlanReport(
        document=document,
        result=result,
        purchases=tuple(bought),
        runs=tuple(cycles),
        start=start,
        comparison=compare_offers(material.cards, material.pouches, BASIS, material.warnings),
        curves=material.curves(),
        warnings=tuple(dict.fromkeys(warnings)),
    )


@dataclass(frozen=True, slots=True)
class _Material:
    """The documents of a plan, read and found fit for each other."""

    cards: list[Card]
    pouches: list[Pouch]
    machine: Machine | None
    diners: list[Diner]
    warnings: list[str]

    def facts(self) -> dict[str, tuple[FoodFact, ...]]:
        """What is in each offer, as far as it is written down."""
        home = {
            card.batch.title: batch_facts(card.batch, card.lines, card.content).foods for card in self.cards
        }
        bought = {
            pouch.name: (FoodFact(pouch.name, label_ingredients=pouch.label.ingredients_text),)
            for pouch in self.pouches
        }
        return {**home, **bought}

    def offers(self, on_hand: Mapping[str, Decimal], diets: Mapping[str, Diet]) -> list[PlanOffer]:
        """Every offer, with what is on hand and who cannot eat it."""
        there = {name.strip().casefold(): servings for name, servings in on_hand.items()}
        home = [
            home_plan_offer(
                card,
                self.machine,
                there.get(card.batch.title.casefold(), ZERO),
                diets[card.batch.title].unfit_for,
            )
            for card in self.cards
        ]
        bought = [
            pouch_plan_offer(
                pouch_offer(pouch, pouch.price.unit),
                there.get(pouch.name.casefold(), ZERO),
                diets[pouch.name].unfit_for,
            )
            for pouch in self.pouches
        ]
        return home + bought

    def curves(self) -> Mapping[str, Sequence[CashPoint]]:
        """Money over time against each pouch; none without a machine and a batch."""
        if self.machine is None or not self.cards:
            return {}
        homes = [home_batch(card) for card in self.cards]
        rivals = [alternative(pouch_offer(pouch, pouch.price.unit)) for pouch in self.pouches]
        return cash_curves([payback(homes, rival, self.machine) for rival in rivals])


def _read(document: Plan) -> _Material:
    """Everything the plan names, all problems of all documents in one DocumentError."""
    problems = _twice(document)

    def attempt(read: Callable[[], T], otherwise: T) -> T:
        try:
            return read()
        except DocumentError as error:
            problems.extend(error.problems)
        except InputError as error:
            problems.append(Problem("", str(error)))
        return otherwise

    currency = document.currency
    files = list(dict.fromkeys(document.batch_files))
    batches: list[Batch] = attempt(lambda: read_batches(files), [])
    cards: list[Card] = attempt(lambda: cards_of(batches), [])
    nothing: tuple[list[Pouch], list[str]] = ([], [])
    pouches, warnings = attempt(lambda: pouches_file(document.pouches_file, currency), nothing)
    machine = None
    if (machine_file := document.machine_file) is not None:
        machine = attempt(lambda: read_machine(input_of(machine_file, "machine")), None)
    needs = [attempt(lambda person=person: energy_need(person), ONE) for person in document.people]  # type: ignore[misc]
    for where, other in [
        *((batch.where, batch.currency) for batch in batches),
        *([(machine.where, machine.currency)] if machine is not None else []),
    ]:
        if other != currency:
            problems.append(
                Problem(
                    where, f"in {other}, the plan in {currency}", f"one currency; {document.where}: currency"
                )
            )
    if not problems:
        problems += _names(document, cards, pouches)
    if problems:
        raise DocumentError(problems)
    diners = [Diner(person.name, need) for person, need in zip(document.people, needs, strict=True)]
    warnings += [f"{card.batch.title}: {warning}" for card in cards for warning in card.warnings]
    return _Material(cards, pouches, machine, diners, warnings)


def _twice(document: Plan) -> list[Problem]:
    """Batch files and people that stand twice in the plan."""
    found = []
    seen: set[str] = set()
    for number, path in enumerate(document.batch_files):
        real = os.path.realpath(path)
        if real in seen:
            found.append(
                Problem(
                    f"{document.where}: batches[{number}]",
                    f"{path!r} is listed twice",
                    "each file once; a plan makes as many of it as it takes",
                )
            )
        seen.add(real)
    names: set[str] = set()
    for person in document.people:
        if person.name.casefold() in names:
            found.append(Problem(person.where, f"{person.name!r} is named twice", "a name of its own each"))
        names.add(person.name.casefold())
    return found


def _names(document: Plan, cards: Sequence[Card], pouches: Sequence[Pouch]) -> list[Problem]:
    """Offers that share a name, and names on hand that no offer has."""
    offered = [(card.batch.where, card.batch.title) for card in cards]
    offered += [(pouch.where, pouch.name) for pouch in pouches]
    found = []
    known: dict[str, str] = {}
    for where, name in offered:
        if name.casefold() in known:
            found.append(Problem(where, f"{name!r} is the name of two offers", "a title of its own each"))
        known.setdefault(name.casefold(), name)
    for name in document.on_hand:
        if name.strip().casefold() not in known:
            like = f"; the nearest is {nearest(name, list(known.values()))!r}" if known else ""
            found.append(
                Problem(
                    f"{document.where}: on_hand.{name!r}",
                    "no batch or pouch of the plan has this name",
                    f"the title of a batch or the name of a pouch{like}",
                )
            )
    return found
