"""One run of HiGHS through scipy over a plan's program, with limits moved, dropped or made elastic."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from nutricost.domain.planning.model import Model, Row


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the solver said: `values` of the columns (None: none found), and whether none exists."""

    values: Sequence[float] | None
    objective: float
    gap: float
    infeasible: bool


def solve_model(
    model: Model,
    costs: Sequence[tuple[int, float]],
    *,
    gap: float,
    time_limit_s: float,
    dropped: AbstractSet[str] = frozenset(),
    relief: Mapping[str, float] | None = None,
    elastic: str | None = None,
    extra: Sequence[Row] = (),
    linear: bool = False,
) -> Outcome:
    """The columns at which `costs` are least.

    `gap`: relative distance from the optimum that may stay unproven; `time_limit_s` [s].
    `dropped`: limits left out; `relief`: steps given to limits; `elastic`: the limit to relax least, in
    which case the steps of relief are what is minimised; `extra`: further rows;
    `linear`: fractions of whole things are allowed.
    """
    import numpy as np
    from scipy.optimize import Bounds as Box
    from scipy.optimize import LinearConstraint, milp
    from scipy.sparse import csr_matrix

    given = relief or {}
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
        integrality=np.array([one and not linear for one in whole], dtype=int),
        bounds=Box(np.array(low), np.array(high)),
        constraints=ends,
        options={
            "time_limit": time_limit_s,
            "mip_rel_gap": gap,
        },
    )
    # scipy's status: 0 optimal, 1 time limit, 2 infeasible, 3 unbounded, 4 other.
    if found.x is None:
        return Outcome(None, math.inf, math.inf, found.status == 2)
    proven = getattr(found, "mip_gap", None)
    return Outcome([float(value) for value in found.x], float(found.fun), proven or 0.0, False)
