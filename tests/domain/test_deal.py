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


def test_the_verdict_carries_units_and_the_exact_interval() -> None:
    # A load of 28 to 34 USD, 12 of them for the packages, against 60 USD of pouches:
    # saved 26 to 32 a load, five loads; a package may cost (60 - 22) / 8 = 4.75 to (60 - 16) / 8 = 5.50.
    unsure = replace(LOAD, cost=Figure.between(D(28), D(34), "USD", value=D(30)))
    found = deal(unsure, MACHINE, RIVAL, days_to_date=D(7))
    assert (found.saving_per_load.low, found.saving_per_load.must(), found.saving_per_load.high) == (
        D(26),
        D(30),
        D(32),
    )
    assert (found.money_saved.low, found.money_saved.high) == (D(130), D(160))
    assert (found.tie_price_per_package.low, found.tie_price_per_package.high) == (D("4.75"), D("5.5"))
    assert (found.saving_per_load.unit, found.money_saved.unit) == ("USD", "USD")
    assert (found.packages_per_load.unit, found.packages_to_buy.unit) == ("package", "package")
    assert (found.loads_before_date.unit, found.hours_per_load.unit) == ("cycle", "h")
    assert found.hours_per_load.must() == 40
    assert (found.name, found.against, found.warnings) == ("stew", "pouch", ())


def test_a_dearer_load_than_the_pouch_saves_less_than_nothing() -> None:
    assert deal(replace(LOAD, cost=usd("70")), MACHINE, RIVAL, days_to_date=D(0)).money_saved.must() == -10


@pytest.mark.parametrize(("cost", "tie"), [("72", "0"), ("68", "0.5")])
def test_a_package_may_have_to_be_free_or_nearly_so(cost: str, tie: str) -> None:
    # (60 - (cost - 12)) / 8
    assert tie_price(replace(LOAD, cost=usd(cost)), RIVAL).must() == D(tie)


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


@pytest.mark.parametrize(
    ("wet_g", "packages", "bind"),
    # 5000 g of trays, 8 packages: full exactly; one more of 555.6 g fits exactly, or does not.
    [("5000", 8, True), ("5001", 7, True), ("4444", 8, False), ("4445", 8, True), ("40000", 1, True)],
)
def test_trays_bind_where_one_more_package_would_not_fit(wet_g: str, packages: int, bind: bool) -> None:
    found = deal(replace(LOAD, wet_weight=Figure.exact(D(wet_g), "g")), MACHINE, RIVAL, days_to_date=D(1))
    assert found.packages_per_load.must() == packages
    assert ("trays" in found.limited_by) is bind
    assert bool(found.warnings) is (packages < 8)


def test_one_more_package_that_fits_exactly_is_not_bound_by_the_trays() -> None:
    # 8 x 500 g; nine are 4500 g.
    exact = replace(MACHINE, trays=Figure.exact(3, "tray"), tray_capacity=Figure.exact(D("1.5"), "kg"))
    assert "trays" not in deal(LOAD, exact, RIVAL, days_to_date=D(1)).limited_by


def test_an_uncertain_weight_widens_what_the_trays_hold() -> None:
    # 5000 g over 500 to 1000 g a package: 8 as in the batch, down to 5; 6 at 800 g.
    heavy = replace(LOAD, wet_weight=Figure.between(D(4000), D(8000), "g", value=D(6400)))
    found = deal(heavy, MACHINE, RIVAL, days_to_date=D(1)).packages_per_load
    assert (found.low, found.must(), found.high) == (D(5), D(6), D(8))


@pytest.mark.parametrize(
    ("load", "machine"),
    [
        (replace(LOAD, wet_weight=None), MACHINE),
        (replace(LOAD, wet_weight=Figure.unknown("g", "not weighed")), MACHINE),
        (replace(LOAD, wet_weight=Figure.exact(9000, "g")), replace(MACHINE, trays=None)),
        (replace(LOAD, wet_weight=Figure.exact(9000, "g")), replace(MACHINE, tray_capacity=None)),
    ],
)
def test_without_weight_or_trays_the_load_is_taken_as_the_batch_has_it(load: Load, machine: Machine) -> None:
    found = deal(load, machine, RIVAL, days_to_date=D(7))
    assert (found.packages_per_load.must(), found.packages_to_buy.must()) == (D(8), D(40))
    assert found.limited_by == ("date", "cycle time")
    assert found.warnings == ()


def test_full_trays_are_not_named_where_the_number_is_unknown() -> None:
    full = replace(LOAD, wet_weight=Figure.exact(5000, "g"))
    assert deal(full, MACHINE, RIVAL).limited_by == ("none known",)


def test_part_of_a_package_is_not_bought_and_rounding_takes_none_away() -> None:
    # 72/13 packages a load, 13 loads: 72, although 72/13 has no end; and 2.5 a load, 3 loads: 7.
    daily = replace(MACHINE, trays=None, cycle_hours=Figure.exact(24, "h"), turnaround_hours=None)
    parts = replace(LOAD, packages=Figure.exact(D(72) / 13, "package"))
    assert deal(parts, daily, RIVAL, days_to_date=D(12)).packages_to_buy.must() == 72
    halves = replace(LOAD, packages=Figure.exact(D("2.5"), "package"))
    assert deal(halves, daily, RIVAL, days_to_date=D(2)).packages_to_buy.must() == 7


def test_part_of_a_package_stays_in_a_load_that_just_fits() -> None:
    halves = replace(LOAD, packages=Figure.exact(D("2.5"), "package"), wet_weight=Figure.exact(5000, "g"))
    assert deal(halves, MACHINE, RIVAL, days_to_date=D(1)).packages_per_load.must() == D("2.5")


def test_every_uncertain_input_widens_the_counts() -> None:
    # Trays hold 4000 to 5000 g, a load of 8 packages weighs 4000 to 8000 g: 4000 / 1000 to 8.
    heavy = replace(LOAD, wet_weight=Figure.between(D(4000), D(8000), "g", value=D(6400)))
    machine = replace(MACHINE, tray_capacity=Figure.between(D(800), D(1000), "g"))
    held = deal(heavy, machine, RIVAL, days_to_date=D(1)).packages_per_load
    assert (held.low, held.high) == (D(4), D(8))
    # The freezer: 2000 to 4000 g of packages of 500 to 1000 g, and no trays in the way: 2 to 8, and one load.
    space = Figure.between(D(2000), D(4000), "g")
    bought = deal(heavy, replace(MACHINE, trays=None), RIVAL, space=space).packages_to_buy
    assert (bought.low, bought.high) == (D(8 + 2), D(8 + 8))


def test_a_figure_keeps_its_name_where_it_is_not_known() -> None:
    known, unknown = deal(LOAD, MACHINE, RIVAL, days_to_date=D(7)), deal(LOAD, MACHINE, None)
    dear = tie_price(replace(LOAD, cost=usd("80")), RIVAL)
    assert (dear.name, dear.unit) == (known.tie_price_per_package.name, "USD/package")
    for name in ("tie_price_per_package", "loads_before_date", "packages_to_buy", "saving_per_load"):
        assert getattr(unknown, name).name == getattr(known, name).name
    assert "no date" in unknown.packages_to_buy.why
    space = Figure.exact(1800, "g")
    assert deal(LOAD, MACHINE, RIVAL, space=space).packages_to_buy.name == known.packages_to_buy.name


def test_freezer_space_without_a_weight_is_unknown_not_none() -> None:
    space = Figure.exact(1800, "g")
    found = deal(replace(LOAD, wet_weight=None), MACHINE, RIVAL, days_to_date=D(7), space=space)
    assert found.packages_to_buy.value is None
    assert "wet weight" in found.packages_to_buy.why
    assert found.limited_by == ("none known",)


def test_an_uncertain_space_widens_what_the_freezer_holds() -> None:
    space = Figure.between(D(1), D("2.2"), "kg")
    found = deal(LOAD, MACHINE, RIVAL, days_to_date=D(7), space=space).packages_to_buy
    assert (found.low, found.must(), found.high) == (D(42), D(43), D(44))  # 1000, 1600, 2200 g at 500 g


@pytest.mark.parametrize("grams", ["0", "0.5", "499"])
def test_a_freezer_too_small_for_a_package_holds_none(grams: str) -> None:
    found = deal(LOAD, MACHINE, RIVAL, days_to_date=D(7), space=Figure.exact(D(grams), "g"))
    assert found.packages_to_buy.must() == 40


def test_unknown_space_leaves_the_number_unknown() -> None:
    found = deal(LOAD, MACHINE, RIVAL, days_to_date=D(7), space=Figure.unknown("g", "not measured"))
    assert found.packages_to_buy.value is None
    assert "not measured" in found.packages_to_buy.why


def test_a_load_takes_the_cycle_and_the_turnaround() -> None:
    found = deal(LOAD, replace(MACHINE, turnaround_hours=None), RIVAL, days_to_date=D(3))
    assert found.hours_per_load.must() == 36
    assert found.loads_before_date.must() == 3  # floor(72 / 36) + 1: the third starts just on the date
    both = deal(replace(LOAD, cycle_hours=Figure.exact(99, "h")), MACHINE, RIVAL)
    assert both.hours_per_load.must() == 40  # the machine's own hours win
    unknown = deal(LOAD, replace(MACHINE, cycle_hours=None), RIVAL, days_to_date=D(7))
    assert (unknown.hours_per_load.value, unknown.hours_per_load.unit) == (None, "h")


def test_loads_that_take_no_time_are_refused() -> None:
    for hours in (Figure.exact(0, "h"), Figure.between(D(0), D(40), "h"), Figure.exact(-1, "h")):
        with pytest.raises(InputError, match="above 0"):
            deal(LOAD, replace(MACHINE, cycle_hours=hours, turnaround_hours=None), RIVAL, days_to_date=D(7))
    quick = replace(MACHINE, cycle_hours=Figure.exact(D("0.5"), "h"), turnaround_hours=None)
    assert deal(LOAD, quick, RIVAL, days_to_date=D(1)).loads_before_date.must() == 49


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
    assert found.against is None
    assert (found.tie_price_per_package.unit, found.saving_per_load.unit) == ("USD/package", "USD")
    assert found.saving_per_load.why == "no pouch is given to compare with"
    assert found.money_saved.value is None


# -- several deals --------------------------------------------------------------------------------


def test_value_per_hour_ranks_and_the_choice_is_exact() -> None:
    greedy = Candidate("quick", D(60), D(20), 1)
    best = Candidate("long", D(100), D(40), 1)
    assert [one.name for one in ranked([best, greedy])] == ["quick", "long"]
    assert what_to_dry([greedy, best], D(40)).loads == (("long", 1),)
    assert what_to_dry([greedy, best], D(60)).saving == 160


def test_deals_that_bring_the_same_an_hour_go_by_name() -> None:
    # 2 an hour each, whatever the load takes; 1.5 an hour comes last.
    deals = [
        Candidate("b", D(40), D(20), 1),
        Candidate("c", D(90), D(60), 1),
        Candidate("a", D(80), D(40), 1),
    ]
    assert [one.name for one in ranked(deals)] == ["a", "b", "c"]
    assert deals[0].saving_per_hour == 2


def test_the_loads_come_in_the_order_to_dry_them() -> None:
    # Within 100 h: 'late' has no date; 'soon' must start by 24 h, 'then' by 48 h.
    late, then, soon = (
        Candidate(name, D(10), D(30), 1, days)
        for name, days in (("late", None), ("then", D(2)), ("soon", D(1)))
    )
    found = what_to_dry([late, then, soon], D(100))
    assert found.loads == (("soon", 1), ("then", 1), ("late", 1))
    assert (found.saving, found.hours) == (D(30), D(90))


def test_without_end_of_the_machine_all_that_can_be_bought_is_dried() -> None:
    found = what_to_dry([Candidate("cans", D(10), D(30), 7)], D("Infinity"))
    assert (found.loads, found.hours) == ((("cans", 7),), D(210))
    assert what_to_dry([Candidate("cans", D("0.5"), D(30), 2)], D(60)).saving == 1
    assert what_to_dry([], D(60)).loads == ()


def test_of_choices_that_save_the_same_the_shortest_is_taken() -> None:
    slow, fast = Candidate("slow", D(10), D(40), 1), Candidate("fast", D(10), D(20), 1)
    for order in ([slow, fast], [fast, slow]):
        found = what_to_dry(order, D(45))
        assert (found.loads, found.hours) == ((("fast", 1),), D(20))


def test_loads_that_cannot_be_are_refused() -> None:
    for hours, most in ((D(0), 1), (D(-1), 1), (D(10), -1)):
        with pytest.raises(InputError, match="cans: hours"):
            what_to_dry([Candidate("cans", D(10), hours, most)], D(100))
    assert what_to_dry([Candidate("cans", D(10), D("0.5"), 1)], D(1)).loads == (("cans", 1),)
    assert what_to_dry([Candidate("cans", D(10), D(5), 0)], D(100)).loads == ()


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


@settings(max_examples=40)
@given(st.lists(candidates, max_size=3, unique_by=lambda one: one.name), st.integers(0, 160).map(D))
def test_the_choice_of_loads_against_brute_force(some: list[Candidate], hours: Decimal) -> None:
    found = what_to_dry(some, hours)
    assert found.saving == _by_hand(some, hours)
    assert found.hours <= hours
