"""Solving a plan with HiGHS through scipy: the best choice, what limits it, or which limits clash."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from decimal import Decimal
from functools import partial

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
from nutricost.domain.planning.solver import Outcome, solve_model
from nutricost.domain.quantities import dec
from nutricost.errors import InputError

Progress = Callable[[str], None]
Ask = Callable[..., Outcome]
"""`solve_model` with the model, the gap and the time of a follow-up question filled in."""

DEFAULT_GAP = 0.001
DEFAULT_TIME_S = 60.0
TIGHT = 1e-6
"""A row is at its bound within this part of it; HiGHS keeps rows to 1e-7 (its documented default)."""


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
    ask = partial(solve_model, model, gap=gap, time_limit_s=max(time_limit_s / 10, 1.0))
    progress(f"choosing among {len(known)} offers")
    best = solve_model(model, model.costs[objective], gap=gap, time_limit_s=time_limit_s)
    if best.infeasible:
        progress("no plan keeps every limit: looking for the ones that clash")
        return _clash(model, ask, notes)
    if best.values is None:
        raise InputError(f"no plan was found within {time_limit_s:g} s (accepted: more time, fewer offers)")
    values = best.values
    if best.gap > gap:
        notes.append(f"stopped after {time_limit_s:g} s: the best plan may be up to {best.gap:.1%} better")
    if objective != "cost":
        progress("the cheapest among equally good plans")
        values = _cheapest(model, ask, best) or values
    progress("what each limit is worth")
    binding = _binding(model, ask, values, best)
    return described(model, Solved(values, best.gap, binding, tuple(notes)), days, len(diners))


def _cheapest(model: Model, ask: Ask, best: Outcome) -> Sequence[float] | None:
    """The cheapest plan that is as good in the objective as the best one."""
    most = best.objective * (1 + TIGHT) + TIGHT
    keep = Row("", tuple(model.costs[model.objective]), -math.inf, most)
    return ask(model.costs["cost"], extra=[keep]).values


def _binding(model: Model, ask: Ask, values: Sequence[float], best: Outcome) -> tuple[BindingLimit, ...]:
    """Limits at their bound, or whose relief by one step improves the objective by more than the gap.

    The worth of a step is found by solving again: an integer program has no shadow prices. Where the
    improvement is too small to tell from what the solver left unproven, or one step is too small to save a
    whole batch or pouch though the limit costs something, the linear form answers.
    """
    costs = model.costs[model.objective]
    tight = {row.limit for row in model.rows if row.limit and _is_tight(row, values)}
    unproven = abs(best.objective) * max(best.gap, TIGHT)
    smooth = ask(costs, linear=True).objective
    found = []
    for limit in model.limits:
        if limit.name == ENERGY_NEED:
            continue
        relief = {limit.name: 1.0}
        worth = best.objective - ask(costs, relief=relief).objective
        from_linear = False
        if worth <= unproven and (limit.name not in tight or best.gap > TIGHT):
            from_linear = True
            worth = smooth - ask(costs, relief=relief, linear=True).objective
            if limit.name not in tight and not (
                worth > TIGHT and best.objective - ask(costs, dropped={limit.name}).objective > unproven
            ):
                continue
        worth = worth if math.isfinite(worth) and worth > TIGHT else 0.0
        found.append(BindingLimit(limit.name, dec(f"{worth:.6f}"), limit.unit, from_linear))
    return tuple(found)


def _is_tight(row: Row, values: Sequence[float]) -> bool:
    sums = sum(value * values[column] for column, value in row.entries)
    return any(
        math.isfinite(end) and abs(sums - end) <= TIGHT * max(1.0, abs(end)) for end in (row.low, row.high)
    )


def _clash(model: Model, ask: Ask, notes: Sequence[str]) -> Infeasible:
    """A smallest clashing set, by the deletion filter, and what would resolve it.

    Each limit is left out in turn and stays out where the rest still clashes (Chinneck and Dravnieks
    1991, from memory): of what remains, none can be left out. The energy need comes last, so that it
    stays where the limits do not clash among themselves: being fed is what they stand in the way of.
    """
    names = [limit.name for limit in model.limits]
    out: set[str] = set()
    for name in reversed(names):
        if ask([], dropped=out | {name}).infeasible:
            out.add(name)
    clash = [name for name in names if name not in out]
    unfed = [person for group in model.groups if not group.offers for person in group.names]
    relaxations = [] if unfed else [_least_relaxation(model, ask, name) for name in clash]
    why = [f"no offer is fit for {', '.join(unfed)}"] if unfed else []
    if clash == [ENERGY_NEED] and not unfed:
        why.append("the offers at hand")
    return Infeasible(
        clash=(*clash, *why),
        relaxations=tuple(one for one in relaxations if one is not None),
        notes=tuple(notes),
    )


def _least_relaxation(model: Model, ask: Ask, name: str) -> Relaxation | None:
    """How far one limit alone must give way, every other kept; None where that alone is not enough."""
    found = ask([], elastic=name)
    if found.values is None:
        return None
    limit = next(one for one in model.limits if one.name == name)
    # Rounded away from the clash, so that the limit as printed really does.
    steps = dec(f"{found.objective:.6f}") + (0 if limit.whole else Decimal("0.000001"))
    change = steps * limit.step
    return Relaxation(name, limit.bound, limit.bound + limit.sign * change, change, limit.unit)
