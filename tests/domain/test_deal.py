"""The deal at the shelf: hand calculations, and the choice of loads against brute force."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.deal import Candidate, Load, Rival, deal, ranked, tie_price, what_to_dry
from nutricost.domain.documents import Machine
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal


def usd(amount: str) -> Figure:
    return Figure.exact(D(amount), "USD")


# Invented: 8 cans at 1.50 in a load of 20 servings, 3000 kcal, that costs 30 USD in all.
LOAD = Load(
    name="stew",
    servings=Figure.exact(20, "serving"),
    energy=Figure.exact(3000, "kcal"),
    cost=usd("30"),
    packages=Figure.exact(8, "package"),
    paid=usd("12"),
    wet_weight=Figure.exact(4000, "g"),
)
RIVAL = Rival("pouch", usd("10"), Figure.exact(500, "kcal"))
MACHINE = Machine(
    where="machine.toml",
    currency="USD",
    price=usd("2500"),
    trays=Figure.exact(5, "tray"),
    tray_capacity=Figure.exact(1000, "g"),
    cycle_hours=Figure.exact(36, "h"),
    turnaround_hours=Figure.exact(4, "h"),
)


def test_verdict_by_hand() -> None:
    found = deal(LOAD, MACHINE, RIVAL, days_to_date=D(7))
    assert found.cost_per_serving.must() == D("1.5")
    assert found.cost_per_serving.unit == "USD/serving"
    assert found.kcal_per_money.must() == 100
    assert found.rival_kcal_per_money is not None
    assert found.rival_kcal_per_money.must() == 50
    # 3000 kcal of pouches cost 60; the rest of the load 18: (60 - 18) / 8
    assert found.tie_price_per_package.must() == D("5.25")
    assert found.tie_price_per_package.unit == "USD/package"
    assert found.packages_per_load.must() == 8
    assert found.loads_before_date.must() == 5  # floor(168 / 40) + 1
    assert found.packages_to_buy.must() == 40
    assert found.limited_by == ("date", "cycle time")
    assert found.money_saved.must() == 150


def test_at_the_tie_price_the_load_costs_what_the_pouch_does_per_kcal() -> None:
    tie = tie_price(LOAD, RIVAL).must()
    cost = LOAD.cost.must() - LOAD.paid.must() + tie * LOAD.packages.must()
    assert cost / LOAD.energy.must() == RIVAL.cost.must() / RIVAL.energy.must()


def test_no_price_wins_where_the_rest_of_the_load_costs_more_than_the_pouch() -> None:
    found = tie_price(replace(LOAD, cost=usd("80")), RIVAL)
    assert found.value is None
    assert found.why.startswith("no price wins")


@pytest.mark.parametrize(("days", "loads"), [("0", 1), ("1", 1), ("1.6", 1), ("1.7", 2), ("5", 4)])
def test_a_load_must_have_started_before_the_date(days: str, loads: int) -> None:
    assert deal(LOAD, MACHINE, RIVAL, days_to_date=D(days)).loads_before_date.must() == loads


def test_freezer_space_adds_whole_packages() -> None:
    space = Figure.exact(1800, "g")
    found = deal(LOAD, MACHINE, RIVAL, days_to_date=D(7), space=space)
    assert found.packages_to_buy.must() == 40 + 3  # 1800 g / 500 g a package
    assert found.limited_by == ("date", "cycle time", "freezer space")
    undated = deal(LOAD, MACHINE, RIVAL, space=space)
    assert undated.packages_to_buy.must() == 8 + 3
    assert undated.limited_by == ("freezer space",)


def test_no_date_binds_on_shelf_stable_cans() -> None:
    found = deal(LOAD, MACHINE, RIVAL)
    assert found.loads_before_date.value is None
    assert found.packages_to_buy.value is None
    assert found.limited_by == ("none known",)


def test_trays_limit_the_load_by_weight() -> None:
    found = deal(replace(LOAD, wet_weight=Figure.exact(6400, "g")), MACHINE, RIVAL, days_to_date=D(1))
    assert found.packages_per_load.must() == 6  # 5000 g / 800 g a package
    assert found.limited_by == ("date", "cycle time", "trays")
    assert "6 packages fit" in found.warnings[0]
    full = deal(replace(LOAD, wet_weight=Figure.exact(4800, "g")), MACHINE, RIVAL, days_to_date=D(1))
    assert full.packages_per_load.must() == 8
    assert "trays" in full.limited_by
    assert full.warnings == ()


def test_unknown_hours_leave_the_number_unknown() -> None:
    found = deal(LOAD, replace(MACHINE, cycle_hours=None), RIVAL, days_to_date=D(7))
    assert found.packages_to_buy.value is None
    assert found.limited_by == ("none known",)
    own = replace(LOAD, cycle_hours=Figure.exact(52, "h"))
    slower = deal(own, replace(MACHINE, cycle_hours=None), RIVAL, days_to_date=D(7))
    assert slower.loads_before_date.must() == 4  # floor(168 / 56) + 1


def test_uncertain_hours_widen_the_number_of_loads() -> None:
    found = deal(
        LOAD, replace(MACHINE, cycle_hours=Figure.between(D(30), D(60), "h")), RIVAL, days_to_date=D(7)
    )
    assert found.loads_before_date.low == 3
    assert found.loads_before_date.high == 5


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="below 0"):
        deal(LOAD, MACHINE, RIVAL, days_to_date=D(-1))
    with pytest.raises(InputError, match="freezer space"):
        deal(LOAD, MACHINE, RIVAL, space=Figure.exact(-1, "g"))


def test_without_a_pouch_there_is_no_tie() -> None:
    found = deal(LOAD, MACHINE, None, days_to_date=D(7))
    assert found.tie_price_per_package.why == "no pouch is given to compare with"
    assert found.packages_to_buy.must() == 40
    assert found.rival_kcal_per_money is None


# -- several deals --------------------------------------------------------------------------------


def test_value_per_hour_ranks_and_the_choice_is_exact() -> None:
    greedy = Candidate("quick", D(60), D(20), 1)
    best = Candidate("long", D(100), D(40), 1)
    assert [one.name for one in ranked([best, greedy])] == ["quick", "long"]
    assert what_to_dry([greedy, best], D(40)).loads == (("long", 1),)
    assert what_to_dry([greedy, best], D(60)).saving == 160


def _by_hand(candidates: list[Candidate], hours: Decimal) -> Decimal:
    """The best saving over every number of loads and every order of them."""
    best = D(0)
    for counts in product(*(range(one.most_loads + 1) for one in candidates)):
        loads = [one for one, count in zip(candidates, counts, strict=True) for _ in range(count)]
        for order in set(permutations(loads)):
            clock, good = D(0), True
            for one in order:
                good = good and (one.days_to_date is None or clock <= one.days_to_date * 24)
                clock += one.hours
            if good and clock <= hours:
                best = max(best, sum((one.saving for one in order), D(0)))
    return best


candidates = st.builds(
    Candidate,
    name=st.sampled_from("abcdef"),
    saving=st.integers(-5, 60).map(D),
    hours=st.integers(10, 50).map(D),
    most_loads=st.integers(0, 2),
    days_to_date=st.one_of(st.none(), st.integers(0, 4).map(D)),
)


@settings(max_examples=40, deadline=None)
@given(st.lists(candidates, max_size=3, unique_by=lambda one: one.name), st.integers(0, 160).map(D))
def test_the_choice_of_loads_against_brute_force(some: list[Candidate], hours: Decimal) -> None:
    found = what_to_dry(some, hours)
    assert found.saving == _by_hand(some, hours)
    assert found.hours <= hours
