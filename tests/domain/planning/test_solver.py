"""One run of the solver on a program small enough for the head, and what `plan` does with its answers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from nutricost.domain.planning import Bounds, Diner, Infeasible, PlanOffer, PlanResult, plan, solve
from nutricost.domain.planning.model import Limit, Model, Row
from nutricost.domain.planning.solver import Outcome, solve_model
from nutricost.errors import InputError

D = Decimal
INF = math.inf
MakeOffer = Callable[..., PlanOffer]
ANN = Diner("Ann", D(2000))
COSTS = [(0, 3.0), (1, 2.0)]


def program(*rows: Row) -> Model:
    """Whole x and y of 0 to 10 with x + y >= 3.5, the least of 3 x + 2 y: y = 4, 8 in all."""
    model = Model([], [], "cost")
    model.column(10.0, whole=True)
    model.column(10.0, whole=True)
    model.limits.append(Limit("need", D("3.5"), "", -1))
    model.rows += [Row("need", ((0, 1.0), (1, 1.0)), 3.5, INF, 0.5), *rows]
    return model


def least(model: Model, **more: Any) -> Outcome:
    return solve_model(model, COSTS, gap=0.0, time_limit_s=60.0, **more)


CAP = Row("cap", ((0, 1.0), (1, 1.0)), -INF, 2.0, 0.25)


def test_the_least_in_whole_numbers_and_in_fractions() -> None:
    found = least(program())
    assert found.values == pytest.approx([0, 4])
    assert found.objective == pytest.approx(8)
    assert (found.gap, found.infeasible) == (0.0, False)
    assert least(program(), linear=True).objective == pytest.approx(7)


def test_rows_are_added_dropped_and_moved() -> None:
    few_y = Row("", ((1, 1.0),), -INF, 2.0)
    assert least(program(), extra=[few_y]).values == pytest.approx([2, 2])
    assert least(program(), dropped={"need"}).objective == pytest.approx(0)
    assert least(program(), relief={"need": 3.0}).objective == pytest.approx(4)  # 3.5 - 3 x 0.5 = 2
    assert least(program(), relief={"other": 3.0}).objective == pytest.approx(8)
    # y at most 2 - and with two steps of 0.5 at most 3: x = 1
    low_y = replace(few_y, limit="y", relief=0.5)
    assert least(program(low_y), relief={"y": 2.0}).values == pytest.approx([1, 3])


def test_limits_that_clash_and_the_least_that_mends_it() -> None:
    clash = least(program(CAP))
    assert (clash.values, clash.infeasible, clash.objective) == (None, True, INF)
    # Four at least, two at most: eight steps of 0.25 for the one; for the other 3.5 - 3 x 0.5 = 2.
    cap = least(program(CAP), elastic="cap")
    assert cap.objective == pytest.approx(8)
    assert sum(list(cap.values or [])[:2]) == pytest.approx(4)
    assert least(program(CAP), elastic="need").objective == pytest.approx(3)
    # In fractions x + y = 2.75 does, which is 1.5 steps down from 3.5.
    part = Row("part", ((0, 1.0), (1, 1.0)), -INF, 2.75)
    assert least(program(part), linear=True, elastic="need").objective == pytest.approx(1.5)


def test_relief_of_whole_things_is_whole() -> None:
    # x + y <= 3.2 in fractions: 0.6 of a step of 0.5 does, and in whole steps one.
    some = Model([], [], "cost")
    some.column(10.0)
    for whole, steps in ((False, 0.6), (True, 1.0)):
        some.limits = [Limit("need", D("3.5"), "", -1, whole=whole)]
        some.rows = [Row("need", ((0, 1.0),), 3.5, INF, 0.5), Row("", ((0, 1.0),), -INF, 3.2)]
        assert solve_model(some, [], gap=0.0, time_limit_s=60.0, elastic="need").objective == pytest.approx(
            steps
        )


# -- what `plan` makes of it ----------------------------------------------------------------------


def test_no_answer_in_time_is_said(offer: MakeOffer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solve, "solve_model", lambda *_, **__: Outcome(None, INF, INF, False))
    with pytest.raises(InputError, match="within 7 s"):
        plan([offer("pouch", 9)], [ANN], D(1), Bounds(), time_limit_s=7.0)


def test_what_is_not_proven_is_said(offer: MakeOffer, monkeypatch: pytest.MonkeyPatch) -> None:
    def unproven(*args: Any, **more: Any) -> Outcome:
        return replace(solve_model(*args, **more), gap=0.05)

    monkeypatch.setattr(solve, "solve_model", unproven)
    found = plan([offer("pouch", 9)], [ANN], D(1), Bounds(), time_limit_s=7.0)
    assert isinstance(found, PlanResult)
    assert found.gap == D("0.05")
    assert len(found.notes) == 1
    assert "7 s" in found.notes[0]
    assert "5.0%" in found.notes[0]
    asked = plan([offer("pouch", 9)], [ANN], D(1), Bounds(), gap=0.05)
    assert isinstance(asked, PlanResult)
    assert asked.notes == ()


def test_questions_after_the_plan_get_a_tenth_of_its_time(
    offer: MakeOffer, monkeypatch: pytest.MonkeyPatch
) -> None:
    times: list[float] = []

    def timed(*args: Any, **more: Any) -> Outcome:
        times.append(more["time_limit_s"])
        return solve_model(*args, **more)

    monkeypatch.setattr(solve, "solve_model", timed)
    plan([offer("pouch", 9)], [ANN], D(1), Bounds(budget=D(100)), time_limit_s=30.0)
    assert times[0] == 30
    assert set(times[1:]) == {3.0}
    times.clear()
    plan([offer("pouch", 9)], [ANN], D(1), Bounds(budget=D(100)), time_limit_s=5.0)
    assert set(times[1:]) == {1.0}  # never less than a second


def test_each_step_is_told(offer: MakeOffer) -> None:
    def steps(bounds: Bounds, **more: Any) -> int:
        told: list[str] = []
        plan([offer("pouch", 9)], [ANN], D(1), bounds, progress=told.append, **more)
        return len(told)

    assert steps(Bounds()) == 2  # the choice, what limits are worth
    assert steps(Bounds(), objective="weight") == 3  # and the cheapest of equals
    assert steps(Bounds(budget=D(1))) == 2  # the choice, the clash


def test_a_fraction_of_a_day_is_a_plan(offer: MakeOffer) -> None:
    found = plan([offer("pouch", 9)], [ANN], D("0.25"), Bounds())  # 500 kcal: one pouch
    assert isinstance(found, PlanResult)
    assert found.cost.must() == 9
    with pytest.raises(InputError, match="not above 0"):
        plan([offer("pouch", 9)], [ANN], D(-1), Bounds())


def test_two_who_can_eat_nothing_are_named(offer: MakeOffer) -> None:
    nuts = offer("nuts", 4, unfit_for=frozenset({"Ann", "Ben"}))
    found = plan([nuts], [ANN, Diner("Ben", D(2000))], D(1), Bounds(budget=D(1)))
    assert isinstance(found, Infeasible)
    assert found.clash == ("energy need", "no offer is fit for Ann, Ben")
    assert found.relaxations == ()
