"""A year's plan for a family: time to build the program beside the solver's own time."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

import scipy.optimize

from nutricost.domain.planning import Bounds, Diner, PlanOffer, PlanResult, plan
from nutricost.domain.planning.model import build
from nutricost.domain.planning.problem import groups
from nutricost.domain.planning.solver import solve_model
from nutricost.domain.quantities import Figure

PEOPLE, DAYS, OFFERS, GAP = 4, 365, 60, 0.01
LIMIT_S = 60.0
SEED = 20240101


def offers(count: int = OFFERS) -> list[PlanOffer]:
    """Invented offers: a third home batches, the rest pouches; every fifth is unfit for one person."""
    rng = random.Random(SEED)
    made = []
    for i in range(count):
        home = i % 3 == 0
        servings = rng.randint(14, 24) if home else rng.choice([1, 2, 2, 2.5])
        kcal = rng.randint(180, 420)
        price = servings * kcal * (rng.uniform(0.006, 0.016) if home else rng.uniform(0.014, 0.035))
        per = {"energy": (kcal, "kcal"), "protein": (kcal * rng.uniform(0.02, 0.07), "g")}
        per["sodium"] = (kcal * rng.uniform(0.6, 3.2), "mg")
        made.append(
            PlanOffer(
                name=f"offer {i}",
                kind="home" if home else "pouch",
                unit_servings=Figure.exact(Decimal(str(servings)), "serving"),
                unit_cost=Figure.exact(Decimal(f"{price:.2f}"), "USD"),
                per_serving={
                    name: Figure.exact(Decimal(f"{amount:.1f}"), f"{unit}/serving")
                    for name, (amount, unit) in per.items()
                },
                weight=Figure.exact(Decimal(f"{kcal / rng.uniform(3.6, 5):.0f}"), "g/serving"),
                volume=Figure.exact(Decimal(rng.randint(250, 500)), "mL/serving"),
                unit_cycles=Figure.exact(1, "cycle") if home else None,
                unit_hours=Figure.exact(rng.randint(36, 60), "h") if home else None,
                on_hand=Decimal(rng.choice([0, 0, 0, 12])),
                unfit_for=frozenset({"person 3"}) if i % 5 == 0 else frozenset(),
            )
        )
    return made


BOUNDS = Bounds(
    budget=Decimal(60000),
    least={"protein": Decimal(56)},
    most={"sodium": Decimal(3200)},
    max_share=Decimal("0.08"),
    packed_weight_g=Decimal(900000),
    cycles=Decimal(90),
    machine_days=Decimal(200),
    min_offers=20,
)


@contextmanager
def _solver_timed() -> Iterator[list[float]]:
    """Collects the seconds spent inside the solver's own call."""
    inside: list[float] = []
    original = scipy.optimize.milp

    def timed(*args: Any, **more: Any) -> Any:
        started = time.perf_counter()
        try:
            return original(*args, **more)
        finally:
            inside.append(time.perf_counter() - started)

    scipy.optimize.milp = timed
    try:
        yield inside
    finally:
        scipy.optimize.milp = original


def run() -> list[tuple[str, float, float]]:
    """Rows of (measure, ours [s], reference [s]); raises RuntimeError where the gap stays unproven."""
    diners = [Diner(f"person {i}", Decimal(1800 + 200 * i)) for i in range(PEOPLE)]
    some, days = offers(), Decimal(DAYS)
    started = time.perf_counter()
    model = build(some, groups(some, diners, days), BOUNDS, objective="cost", continuous=False)
    built = time.perf_counter()
    solve_model(model, model.costs["cost"], gap=GAP, time_limit_s=LIMIT_S)  # loads the solver
    warm = time.perf_counter()
    with _solver_timed() as inside:
        outcome = solve_model(model, model.costs["cost"], gap=GAP, time_limit_s=LIMIT_S)
    ended = time.perf_counter()
    answer = plan(some, diners, days, BOUNDS, gap=GAP)
    told = time.perf_counter()
    if outcome.gap > GAP or not isinstance(answer, PlanResult):
        raise RuntimeError(f"the plan was not solved to a gap of {GAP}")
    size = f"plan, {PEOPLE} people, {DAYS} days, {OFFERS} offers"
    return [
        (f"{size}, building the model : solving it", built - started, ended - warm),
        (f"{size}, solving to a 1 % gap : {LIMIT_S:g} s", ended - warm, LIMIT_S),
        (f"{size}, solving : the solver itself", ended - warm, sum(inside)),
        (f"{size}, with what each limit is worth : {LIMIT_S:g} s", told - ended, LIMIT_S),
    ]
