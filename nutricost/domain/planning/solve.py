"""Solving a plan with HiGHS through scipy: the best choice, what limits it, or which limits clash."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.planning.model import Model, Row, build
from nutricost.domain.planning.problem import (
    ENERGY_NEED,
    Bounds,
    Diner,
    Objective,
    PlanOffer,
    groups,
    usable,
)
from nutricost.domain.planning.result import (
    BindingLimit,
    Infeasible,
    PlanResult,
    Relaxation,
    Solved,
    described,
)
from nutricost.domain.quantities import dec
from nutricost.errors import InputError

Progress = Callable[[str], None]

DEFAULT_GAP = 0.001
DEFAULT_TIME_S = 60.0
TIGHT = 1e-6
"""A row is at its bound within this part of it; HiGHS keeps rows to 1e-7 (its documented default)."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the solver said: `values` of the columns (None: none found), and whether none exists."""

    values: Sequence[float] | None
    objective: float
    gap: float
    infeasible: bool


def plan(
    offers: Sequence[PlanOffer],
    diners: Sequence[Diner],
    days: Decimal,
    bounds: Bounds,
    *,
    objective: Objective = "cost",
    continuous: bool = False,
    gap: float = DEFAULT_GAP,
    time_limit_s: float = DEFAULT_TIME_S,
    progress: Progress = lambda step: None,
) -> PlanResult | Infeasible:
    """What to make, buy and take from the shelf for people and days, at least cost, weight or cycles.

    `gap`: relative distance from the optimum that may stay unproven. `time_limit_s`: of the first
    solve [s]; each solve after it (what limits are worth, which clash) gets a tenth. `progress` is told
    each step. Raises InputError for no people, no days, or where the time ends before any plan is found.
    """
    if not diners:
        raise InputError("a plan needs at least one person")
    if days <= 0:
        raise InputError(f"days: {days} is not above 0")
    known, notes = usable(offers, bounds, objective)
    if not known:
        return Infeasible((ENERGY_NEED, "no offer to choose from"), (), tuple(notes))
    model = build(known, groups(known, diners, days), bounds, objective=objective, continuous=continuous)
    solver = _Solver(model, gap, time_limit_s)
    progress(f"choosing among {len(known)} offers")
    best = solver.run(model.costs[objective], time_s=time_limit_s)
    if best.infeasible:
        progress("no plan keeps every limit: looking for the ones that clash")
        return _clash(solver, notes)
    if best.values is None:
        raise InputError(f"no plan was found within {time_limit_s:g} s (accepted: more time, fewer offers)")
    values = best.values
    if objective != "cost":
        progress("the cheapest among equally good plans")
        values = _cheapest(solver, best) or values
    progress("what each limit is worth")
    binding = _binding(solver, values, best)
    return described(model, Solved(values, best.gap, binding, tuple(notes)), days, len(diners))


class _Solver:
    """One model and its settings; every question is the model with some rows moved or dropped."""

    def __init__(self, model: Model, gap: float, time_limit_s: float) -> None:
        self.model = model
        self.gap = gap
        self.time_limit_s = time_limit_s

    def run(
        self,
        costs: Sequence[tuple[int, float]],
        *,
        time_s: float | None = None,
        dropped: AbstractSet[str] = frozenset(),
        relief: Mapping[str, float] | None = None,
        elastic: str | None = None,
        extra: Sequence[Row] = (),
    ) -> Outcome:
        """The least of `costs`. `relief`: steps given to limits; `elastic`: the limit to relax least."""
        import numpy as np
        from scipy.optimize import Bounds as Box
        from scipy.optimize import LinearConstraint, milp
        from scipy.sparse import csr_matrix

        model, given = self.model, relief or {}
        low, high, whole = list(model.low), list(model.high), list(model.whole)
        target = dict.fromkeys(range(model.columns), 0.0)
        for column, value in costs:
            target[column] += value
        if elastic is not None:
            low.append(0.0)
            high.append(math.inf)
            whole.append(any(limit.whole for limit in model.limits if limit.name == elastic))
            target = {**dict.fromkeys(target, 0.0), model.columns: 1.0}
        rows = [row for row in (*model.rows, *extra) if row.limit not in dropped]
        values: list[float] = []
        at: list[int] = []
        starts = [0]
        for row in rows:
            at += [column for column, _ in row.entries]
            values += [value for _, value in row.entries]
            if elastic is not None and row.limit == elastic:
                at.append(model.columns)
                values.append(row.relief if math.isfinite(row.low) else -row.relief)
            starts.append(len(at))
        moved = [row.relief * given.get(row.limit, 0.0) for row in rows]
        ends = LinearConstraint(
            csr_matrix((values, at, starts), shape=(len(rows), len(low))),
            np.array([row.low - by for row, by in zip(rows, moved, strict=True)]),
            np.array([row.high + by for row, by in zip(rows, moved, strict=True)]),
        )
        found = milp(
            np.array(list(target.values())),
            integrality=np.array(whole, dtype=int),
            bounds=Box(np.array(low), np.array(high)),
            constraints=ends,
            options={
                "time_limit": time_s if time_s is not None else max(self.time_limit_s / 10, 1.0),
                "mip_rel_gap": self.gap,
            },
        )
        # scipy's status: 0 optimal, 1 time limit, 2 infeasible, 3 unbounded, 4 other.
        if found.x is None:
            return Outcome(None, math.inf, math.inf, found.status == 2)
        proven = getattr(found, "mip_gap", None)
        return Outcome([float(value) for value in found.x], float(found.fun), proven or 0.0, False)


def _cheapest(solver: _Solver, best: Outcome) -> Sequence[float] | None:
    """The cheapest plan that is as good in the objective as the best one."""
    model = solver.model
    most = best.objective * (1 + TIGHT) + TIGHT
    keep = Row("", tuple(model.costs[model.objective]), -math.inf, most)
    return solver.run(model.costs["cost"], extra=[keep]).values


def _binding(solver: _Solver, values: Sequence[float], best: Outcome) -> tuple[BindingLimit, ...]:
    """Limits at their bound, or whose relief by one step improves the objective by more than the gap.

    The worth of a step is found by solving again: an integer program has no shadow prices.
    """
    model = solver.model
    tight = {row.limit for row in model.rows if row.limit and _is_tight(row, values)}
    unproven = abs(best.objective) * best.gap
    found = []
    for limit in model.limits:
        if limit.name == ENERGY_NEED:
            continue
        eased = solver.run(model.costs[model.objective], relief={limit.name: 1.0})
        worth = max(best.objective - eased.objective, 0.0) if eased.values is not None else 0.0
        if worth <= max(unproven, TIGHT * abs(best.objective)):
            worth = 0.0
        if worth or limit.name in tight:
            found.append(BindingLimit(limit.name, dec(f"{worth:.6f}"), limit.unit))
    return tuple(found)


def _is_tight(row: Row, values: Sequence[float]) -> bool:
    sums = sum(value * values[column] for column, value in row.entries)
    return any(
        math.isfinite(end) and abs(sums - end) <= TIGHT * max(1.0, abs(end)) for end in (row.low, row.high)
    )


def _clash(solver: _Solver, notes: Sequence[str]) -> Infeasible:
    """A smallest clashing set, by the deletion filter, and what would resolve it.

    Each limit is left out in turn and stays out where the rest still clashes (Chinneck and Dravnieks
    1991, from memory): of what remains, none can be left out.
    """
    model = solver.model
    names = [limit.name for limit in model.limits]
    out: set[str] = set()
    for name in names:
        if solver.run([], dropped=out | {name}).infeasible:
            out.add(name)
    clash = [name for name in names if name not in out]
    unfed = [person for group in model.groups if not group.offers for person in group.names]
    relaxations = [] if unfed else [_least_relaxation(solver, name) for name in clash]
    why = [f"no offer is fit for {', '.join(unfed)}"] if unfed else []
    if clash == [ENERGY_NEED] and not unfed:
        why.append("the offers at hand")
    return Infeasible(
        clash=(*clash, *why),
        relaxations=tuple(one for one in relaxations if one is not None),
        notes=tuple(notes),
    )


def _least_relaxation(solver: _Solver, name: str) -> Relaxation | None:
    """How far one limit alone must give way, every other kept; None where that alone is not enough."""
    found = solver.run([], elastic=name)
    if found.values is None:
        return None
    limit = next(one for one in solver.model.limits if one.name == name)
    # Rounded away from the clash, so that the limit as printed really does.
    steps = dec(f"{found.objective:.6f}") + (0 if limit.whole else Decimal("0.000001"))
    change = steps * limit.step
    return Relaxation(name, limit.bound, limit.bound + limit.sign * change, change, limit.unit)
