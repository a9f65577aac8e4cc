"""Plans against brute force, Stigler's diet problem, and what must hold for any plan."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from itertools import product
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nutricost.domain.planning import Bounds, Diner, Infeasible, PlanOffer, PlanResult, plan
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal
MakeOffer = Callable[..., PlanOffer]
ANN, BEN = Diner("Ann", D(2000)), Diner("Ben", D(2500))
REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference"
FEW = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def solved(*args: object, **more: object) -> PlanResult:
    found = plan(*args, **more)  # type: ignore[arg-type]
    assert isinstance(found, PlanResult), found
    return found


def test_stiglers_diet_problem_through_the_same_engine() -> None:
    # G. J. Stigler, The Cost of Subsistence, Journal of Farm Economics 27 (1945) 303-314. The optimum of
    # the linear form as published: 39.69 USD of 1939 a year (G. B. Dantzig, Linear Programming and
    # Extensions, 1963, ch. 27, from memory); common open data give 39.66, so 0.1 % is allowed.
    with (REFERENCE / "stigler_1939.csv").open() as file:
        foods = list(csv.DictReader(line for line in file if not line.startswith("#")))
    names = [key for key in foods[0] if key not in ("food", "unit", "price_cents", "energy_1000kcal")]
    # Daily allowances of the National Research Council, 1943, in the units of the columns.
    allowance = [D(amount) for amount in ("70", "0.8", "12", "5", "1.8", "2.7", "18", "75")]
    offers = [
        PlanOffer(
            name=food["food"],
            kind="food",
            unit_servings=Figure.exact(1, "serving"),
            unit_cost=Figure.exact(1, "USD"),  # the table is per dollar
            per_serving={
                "energy": Figure.exact(D(food["energy_1000kcal"]) * 1000, "kcal/serving"),
                **{name: Figure.exact(D(food[name]), "") for name in names},
            },
        )
        for food in foods
    ]
    assert len(offers) == 77
    bounds = Bounds(least=dict(zip(names, allowance, strict=True)))
    found = solved(offers, [Diner("man", D(3000))], D(365), bounds, continuous=True)
    assert float(found.cost.must()) == pytest.approx(39.69, rel=0.001)
    # The five foods of the optimum (same source).
    assert {one.offer.name for one in found.offers} == {
        "Wheat Flour (Enriched)", "Liver (Beef)", "Cabbage", "Spinach", "Navy Beans, Dried",
    }  # fmt: skip


def test_a_small_plan_by_hand(offer: MakeOffer) -> None:
    # One person, one day, 2000 kcal; a batch of 20 x 300 kcal for 30 USD or pouches of 600 kcal for 9:
    # four pouches cost 36, one batch 30.
    offers = [offer("stew", 30, servings=20, kind="home"), offer("pouch", 9)]
    found = solved(offers, [ANN], D(1), Bounds())
    (chosen,) = found.offers
    assert chosen.offer.name == "stew"
    assert chosen.units == 1
    assert found.cost.must() == 30
    assert round(found.per_person_day["energy"].must(), 3) == 2000
    assert found.cycles.must() == 1
    assert found.machine_days.must() == 2
    assert found.weight.must() == 1400
    assert round(chosen.left_over.must(), 3) == round(D(20) - D(2000) / 300, 3)
    assert found.water.must() == D("3785.41")


def test_least_weight_and_least_cycles(offer: MakeOffer) -> None:
    offers = [
        offer("stew", 30, servings=20, kind="home"),
        offer("light", 12, weight=60),
        offer("heavy", 9, weight=80),
    ]
    light = solved(offers, [ANN], D(1), Bounds(), objective="weight")
    assert {one.offer.name: one.units for one in light.offers} == {"light": 4}
    idle = solved(offers, [ANN], D(1), Bounds(), objective="cycles")
    assert idle.cycles.must() == 0
    assert {one.offer.name: one.units for one in idle.offers} == {"heavy": 4}  # the cheapest of them


def test_what_is_on_the_shelf_costs_nothing_more(offer: MakeOffer) -> None:
    offers = [offer("stew", 30, servings=20, kind="home", on_hand=D(5)), offer("pouch", 9)]
    found = solved(offers, [ANN], D(1), Bounds())
    assert found.cost.must() == 9  # 1500 kcal from the shelf, one pouch for the other 500
    stew = next(one for one in found.offers if one.offer.name == "stew")
    assert round(stew.from_shelf.must(), 4) == round(stew.servings.must(), 4)
    assert stew.units == 0
    assert stew.servings.must() <= 5


def test_nobody_eats_what_is_not_fit_for_them(offer: MakeOffer) -> None:
    offers = [offer("nuts", 4, unfit_for=frozenset({"Ben"})), offer("plain", 9)]
    found = solved(offers, [ANN, BEN], D(2), Bounds())
    eaten = {one.offer.name: one.eaten_by for one in found.offers}
    assert set(eaten["nuts"]) == {("Ann",)}
    assert round(eaten["plain"]["Ben",] * 300, 2) == 5000


def test_share_and_variety(offer: MakeOffer) -> None:
    offers = [offer("a", 4), offer("b", 6), offer("c", 9)]
    half = solved(offers, [ANN], D(3), Bounds(max_share=D("0.5")))
    assert all(one.energy.must() <= D("3000.01") for one in half.offers)
    varied = solved(offers, [ANN], D(3), Bounds(min_offers=3))
    assert {one.offer.name for one in varied.offers} == {"a", "b", "c"}
    assert all(one.servings.must() >= D("0.9999") for one in varied.offers)


def test_a_binding_limit_is_worth_what_solving_again_gains(offer: MakeOffer) -> None:
    # 2000 kcal are 6.67 servings; each needs 60 g protein in all: 'lean' 20 g, 'plain' 5 g a serving.
    offers = [offer("lean", 20, protein=20), offer("plain", 4, protein=5)]
    bounds = Bounds(least={"protein": D(60)})
    found = solved(offers, [ANN], D(1), bounds, continuous=True)
    eased = solved(offers, [ANN], D(1), Bounds(least={"protein": D(59)}), continuous=True)
    (binding,) = found.binding
    assert binding.limit == "protein_g_per_day"
    assert float(binding.worth) == pytest.approx(float(found.cost.must() - eased.cost.must()), abs=1e-5)
    assert binding.worth > 0
    assert solved(offers, [ANN], D(1), Bounds(least={"protein": D(10)}), continuous=True).binding == ()


def test_clashing_limits_are_the_smallest_set_with_the_least_relaxation(offer: MakeOffer) -> None:
    offers = [offer("pouch", 9), offer("stew", 30, servings=20, kind="home")]
    found = plan(offers, [ANN], D(1), Bounds(budget=D(20), cycles=D(4), packed_weight_g=D(9000)))
    assert isinstance(found, Infeasible)
    assert found.clash == ("energy need", "budget")
    relaxed = {one.limit: one for one in found.relaxations}
    assert round(relaxed["budget"].to, 2) == 30
    # 20 USD buy two pouches, 1200 kcal of 2000: 60 % of the need.
    assert round(relaxed["energy need"].to, 2) == 60
    assert isinstance(plan(offers, [ANN], D(1), Bounds(budget=relaxed["budget"].to, cycles=D(4))), PlanResult)


def test_two_limits_can_clash_with_each_other(offer: MakeOffer) -> None:
    offers = [offer("pouch", 9), offer("stew", 30, servings=20, kind="home")]
    found = plan(offers, [ANN], D(1), Bounds(budget=D(32), cycles=D(0), max_share=D(1)))
    assert isinstance(found, Infeasible)
    assert found.clash == ("energy need", "budget", "cycles")
    relaxed = {one.limit: one for one in found.relaxations}
    assert round(relaxed["budget"].to, 2) == 36
    assert round(relaxed["cycles"].to, 2) == 1


def test_a_clash_without_any_limit_names_what_is_missing(offer: MakeOffer) -> None:
    few = plan([offer("pouch", 9, most_units=1)], [ANN], D(1), Bounds())
    assert isinstance(few, Infeasible)
    assert few.clash == ("energy need", "the offers at hand")
    unfit = plan([offer("nuts", 4, unfit_for=frozenset({"Ben"}))], [ANN, BEN], D(1), Bounds())
    assert isinstance(unfit, Infeasible)
    assert unfit.clash == ("energy need", "no offer is fit for Ben")
    nothing = plan([], [ANN], D(1), Bounds())
    assert isinstance(nothing, Infeasible)


def test_unknown_amounts_never_count_as_zero(offer: MakeOffer) -> None:
    offers = [offer("unlabelled", 1, sodium=None), offer("labelled", 9)]
    found = solved(offers, [ANN], D(1), Bounds(most={"sodium": D(5000)}))
    assert [one.offer.name for one in found.offers] == ["labelled"]
    assert found.notes == ("unlabelled is left out: unknown sodium",)
    free = solved(offers, [ANN], D(1), Bounds())
    assert free.per_person_day["sodium"].value is None


def test_intervals_reach_the_cost_of_the_plan(offer: MakeOffer) -> None:
    unsure = replace(offer("pouch", 9), unit_cost=Figure.between(D(8), D(11), "USD", value=D(9)))
    found = solved([unsure], [ANN], D(1), Bounds())
    assert (found.cost.low, found.cost.must(), found.cost.high) == (D(32), D(36), D(44))


def test_rehydration_water_counts_where_it_is_more_than_the_gallon(offer: MakeOffer) -> None:
    wet = offer("soup", 9, kcal=100, water=Figure.exact(400, "g/serving"))
    assert round(solved([wet], [ANN], D(1), Bounds()).water.must()) == 8000


def test_progress_is_told_and_nonsense_refused(offer: MakeOffer) -> None:
    steps: list[str] = []
    plan([offer("pouch", 9)], [ANN], D(1), Bounds(), progress=steps.append)
    assert steps[0] == "choosing among 1 offers"
    with pytest.raises(InputError, match="at least one person"):
        plan([offer("pouch", 9)], [], D(1), Bounds())
    with pytest.raises(InputError, match="not above 0"):
        plan([offer("pouch", 9)], [ANN], D(0), Bounds())


# -- for any plan ---------------------------------------------------------------------------------

prices = st.integers(3, 20)
offer_numbers = st.lists(
    st.tuples(prices, st.integers(1, 4), st.integers(100, 500), st.integers(2, 30)), min_size=2, max_size=3
)


def made(offer: MakeOffer, numbers: list[tuple[int, int, int, int]]) -> list[PlanOffer]:
    return [
        offer(f"o{i}", cost, servings, kcal, protein)
        for i, (cost, servings, kcal, protein) in enumerate(numbers)
    ]


@FEW
@given(offer_numbers)
def test_small_plans_against_brute_force(offer: MakeOffer, numbers: list[tuple[int, int, int, int]]) -> None:
    need = D(1500)
    found = solved(made(offer, numbers), [Diner("x", need)], D(1), Bounds(), gap=0.0)
    most = [int(need / (servings * kcal)) + 2 for _, servings, kcal, _ in numbers]
    best = min(
        sum(count * one[0] for count, one in zip(counts, numbers, strict=True))
        for counts in product(*(range(top) for top in most))
        if sum(count * one[1] * one[2] for count, one in zip(counts, numbers, strict=True)) >= need
    )
    assert found.cost.must() == best


@FEW
@given(offer_numbers, st.integers(0, 2), st.integers(5, 60), st.integers(0, 4))
def test_limited_plans_against_brute_force(
    offer: MakeOffer, numbers: list[tuple[int, int, int, int]], cycles: int, budget: int, shelf: int
) -> None:
    # The first offer is made at home, a cycle a batch, and `shelf` servings of it are there already.
    need = D(1500)
    offers = made(offer, numbers)
    one_cycle = Figure.exact(1, "cycle")
    offers[0] = replace(offers[0], kind="home", unit_cycles=one_cycle, on_hand=D(shelf))
    found = plan(offers, [Diner("x", need)], D(1), Bounds(budget=D(budget), cycles=D(cycles)), gap=0.0)
    most = [int(need / (servings * kcal)) + 2 for _, servings, kcal, _ in numbers]
    costs = [
        cost
        for counts in product(*(range(top) for top in most))
        if counts[0] <= cycles
        and (cost := sum(count * one[0] for count, one in zip(counts, numbers, strict=True))) <= budget
        and shelf * numbers[0][2]
        + sum(count * one[1] * one[2] for count, one in zip(counts, numbers, strict=True))
        >= need
    ]
    if costs:
        assert isinstance(found, PlanResult)
        assert found.cost.must() == min(costs)
    else:
        assert isinstance(found, Infeasible)
        assert set(found.clash) <= {"energy need", "budget", "cycles"}


@FEW
@given(offer_numbers, st.integers(0, 2), st.integers(1, 10))
def test_a_dearer_offer_never_raises_its_share(
    offer: MakeOffer, numbers: list[tuple[int, int, int, int]], which: int, by: int
) -> None:
    which %= len(numbers)
    bounds = Bounds(max_share=D("0.7"))
    dearer = [(cost + by * (i == which), *rest) for i, (cost, *rest) in enumerate(numbers)]

    def share(some: list[tuple[int, int, int, int]]) -> Decimal:
        found = solved(made(offer, some), [ANN], D(5), bounds, continuous=True)
        return sum((one.energy.must() for one in found.offers if one.offer.name == f"o{which}"), D(0))

    assert share(dearer) <= share(numbers) + D("0.01")  # type: ignore[arg-type]


@FEW
@given(offer_numbers, st.sampled_from(["budget", "max_share", "packed_weight_g"]))
def test_relaxing_a_limit_never_raises_the_cost(
    offer: MakeOffer, numbers: list[tuple[int, int, int, int]], which: str
) -> None:
    offers = made(offer, numbers)
    strict = Bounds(budget=D(150), max_share=D("0.6"), packed_weight_g=D(3000))
    loose = {
        "budget": replace(strict, budget=D(300)),
        "max_share": replace(strict, max_share=D(1)),
        "packed_weight_g": replace(strict, packed_weight_g=D(6000)),
    }[which]
    first, second = (plan(offers, [ANN], D(1), bounds, gap=0.0) for bounds in (strict, loose))
    if isinstance(first, PlanResult):
        assert isinstance(second, PlanResult)
        assert second.cost.must() <= first.cost.must()


@FEW
@given(offer_numbers)
def test_doubling_everything_doubles_the_cost_of_the_linear_form(
    offer: MakeOffer, numbers: list[tuple[int, int, int, int]]
) -> None:
    def cost(times: int) -> float | None:
        offers = [replace(one, on_hand=D(times)) for one in made(offer, numbers)]
        bounds = Bounds(budget=D(80 * times), packed_weight_g=D(2500 * times), max_share=D("0.7"))
        diners = [Diner(f"p{i}", D(2000)) for i in range(times)]
        found = plan(offers, diners, D(1), bounds, continuous=True)
        return float(found.cost.must()) if isinstance(found, PlanResult) else None

    once, twice = cost(1), cost(2)
    assert (once is None) == (twice is None)
    if once is not None:
        assert twice == pytest.approx(2 * once, abs=1e-4)
