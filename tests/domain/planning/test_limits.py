"""Every limit of a plan by hand: where it clashes, what relaxes it, what one step of it is worth."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from nutricost.domain.planning import Bounds, Diner, Infeasible, PlanOffer, PlanResult, plan
from nutricost.domain.quantities import Figure

D = Decimal
MakeOffer = Callable[..., PlanOffer]
ANN, BEN = Diner("Ann", D(2000)), Diner("Ben", D(2500))

# Ann's day of 2000 kcal takes four pouches of 600 kcal, or two batches of 1200 kcal: 36 or 40 USD,
# 560 g, 1600 mL; 2 cycles of 48 h. She eats 6.667 servings of them: 80 g protein, 4000 mg sodium.
# Without the last unit she eats 1800 kcal (90 %) of pouches or 1200 kcal (60 %) of batches.
STORE = [
    ("pouch", Bounds(budget=D(30)), "budget", "30", "36", "USD", "90"),
    ("pouch", Bounds(packed_weight_g=D(500)), "packed_weight", "500", "560", "kg", "90"),
    ("pouch", Bounds(packed_volume_ml=D(1500)), "packed_volume", "1500", "1600", "L", "90"),
    ("batch", Bounds(cycles=D(1)), "cycles", "1", "2", "cycle", "60"),
    ("batch", Bounds(machine_days=D(3)), "machine_days", "3", "4", "day", "60"),
    (
        "pouch",
        Bounds(most={"sodium": D(3000)}),
        "sodium_mg_per_day",
        "3000",
        "4000",
        "mg per person and day",
        "75",
    ),
    ("pouch", Bounds(max_share=D("0.8")), "max_share_per_offer", "0.8", "1", "0.01", "80"),
]


@pytest.mark.parametrize(("kind", "bounds", "name", "bound", "to", "unit", "fed"), STORE)
def test_a_limit_that_starves_gives_way_by_the_least(
    offer: MakeOffer, kind: str, bounds: Bounds, name: str, bound: str, to: str, unit: str, fed: str
) -> None:
    volume = Figure.exact(200, "mL/serving")
    pouch, batch = (
        offer("pouch", 9, volume=volume),
        offer("batch", 20, servings=4, kind="home", volume=volume),
    )
    found = plan([pouch if kind == "pouch" else batch], [ANN], D(1), bounds)
    assert isinstance(found, Infeasible)
    assert found.clash == ("energy need", name)
    need, limit = found.relaxations
    assert (limit.limit, limit.bound, limit.unit) == (name, D(bound), unit)
    assert float(limit.to) == pytest.approx(float(to), rel=1e-5)
    assert limit.change == limit.to - limit.bound
    assert (need.limit, need.bound, need.unit) == ("energy need", D(100), "% of the need")
    assert float(need.to) == pytest.approx(float(fed), rel=1e-5)
    assert need.change == need.bound - need.to


def test_a_share_of_everyones_own_need(offer: MakeOffer) -> None:
    # Ben may not eat nuts: a share of half leaves him half hungry, Ann has two foods.
    offers = [offer("nuts", 4, unfit_for=frozenset({"Ben"})), offer("plain", 9)]
    found = plan(offers, [ANN, BEN], D(2), Bounds(max_share=D("0.5")))
    assert isinstance(found, Infeasible)
    assert [round(one.to, 4) for one in found.relaxations] == [50, 1]


def test_too_little_protein_is_not_mended_by_eating_less(offer: MakeOffer) -> None:
    # Two people, three days: 13,500 kcal are 45 servings of 12 g: 540 g over 6 person days.
    found = plan([offer("pouch", 9)], [ANN, BEN], D(3), Bounds(least={"protein": D(100)}))
    assert isinstance(found, Infeasible)
    assert found.clash == ("energy need", "protein_g_per_day")
    (only,) = found.relaxations
    assert (only.limit, only.bound, only.unit) == ("protein_g_per_day", D(100), "g per person and day")
    assert float(only.to) == pytest.approx(90, rel=1e-5)
    assert only.to <= 90  # as printed it must really do
    assert only.change == only.bound - only.to


def test_more_kinds_than_there_are(offer: MakeOffer) -> None:
    found = plan([offer("pouch", 9), offer("other", 9)], [ANN], D(1), Bounds(min_offers=4))
    assert isinstance(found, Infeasible)
    assert found.clash == ("min_offers",)
    (only,) = found.relaxations
    assert (only.bound, only.to, only.change, only.unit) == (D(4), D(2), D(2), "offer")


def test_what_is_left_out_is_said_in_a_clash_too(offer: MakeOffer) -> None:
    offers = [offer("pouch", 9), offer("bare", 1, sodium=None)]
    bounds = Bounds(budget=D(20), most={"sodium": D(9000)})
    found = plan(offers, [ANN], D(1), bounds)
    assert isinstance(found, Infeasible)
    assert found.notes == ("bare is left out: unknown sodium",)
    none = plan(offers[1:], [ANN], D(1), bounds)
    assert isinstance(none, Infeasible)
    assert (none.clash[0], none.notes) == ("energy need", found.notes)
    assert none.relaxations == ()


@pytest.mark.parametrize(
    "bounds",
    [
        Bounds(budget=D(36)),
        Bounds(packed_weight_g=D(560)),
        Bounds(packed_volume_ml=D(1600)),
        Bounds(least={"protein": D(80)}),
        Bounds(most={"sodium": D(4000)}),
        Bounds(max_share=D(1)),
        Bounds(min_offers=1),
    ],
)
def test_a_limit_just_met_is_kept(offer: MakeOffer, bounds: Bounds) -> None:
    found = plan([offer("pouch", 9, volume=Figure.exact(200, "mL/serving"))], [ANN], D(1), bounds)
    assert isinstance(found, PlanResult)
    assert found.cost.must() == 36
    assert len(found.binding) == 1


# A pouch of 160 g for 9 USD, one of 120 g for 12 USD; Ann needs four.
@pytest.mark.parametrize(
    ("weight_g", "cost", "worth"),
    # 4 heavy are 640 g; 3 heavy and a light 600 g for 39; a kilogram more saves the 3 USD.
    # At 610 g the limit is not reached, and still costs the 3 USD; 2 and 2 are 560 g for 42.
    [("640", "36", None), ("600", "39", "3"), ("610", "39", "3"), ("560", "42", "6")],
)
def test_a_kilogram_is_worth_what_it_saves(
    offer: MakeOffer, weight_g: str, cost: str, worth: str | None
) -> None:
    offers = [offer("light", 12, weight=60), offer("heavy", 9, weight=80)]
    found = plan(offers, [ANN], D(1), Bounds(packed_weight_g=D(weight_g)), gap=0.0)
    assert isinstance(found, PlanResult)
    assert found.cost.must() == D(cost)
    (binding,) = found.binding
    assert (binding.limit, binding.unit) == ("packed_weight", "kg")
    if worth is not None:
        assert (binding.worth, binding.from_linear) == (D(worth), False)
    loose = plan(offers, [ANN], D(1), Bounds(packed_weight_g=D(700)), gap=0.0)
    assert isinstance(loose, PlanResult)
    assert loose.binding == ()


def test_a_step_too_small_for_a_whole_pouch_is_told_by_the_linear_form(offer: MakeOffer) -> None:
    # Least weight for 37 USD: four heavy, 36 USD. 38 USD buy no light one, 3 USD dearer. In fractions 10/3
    # pouches do, and each USD turns a third of a pouch from 160 g to 120 g: 40 / 3 g.
    offers = [offer("light", 12, weight=60), offer("heavy", 9, weight=80)]
    found = plan(offers, [ANN], D(1), Bounds(budget=D(37)), objective="weight", gap=0.0)
    assert isinstance(found, PlanResult)
    assert found.weight.must() == 640
    (binding,) = found.binding
    assert (binding.limit, binding.unit, binding.from_linear) == ("budget", "USD", True)
    assert float(binding.worth) == pytest.approx(40 / 3, abs=1e-5)


def test_a_kind_more_or_less(offer: MakeOffer) -> None:
    # Ann's four pouches of 'a' cost 16; with one 'b' of 9 among them 21; one kind less saves 5.
    found = plan([offer("a", 4), offer("b", 9)], [ANN], D(1), Bounds(min_offers=2), gap=0.0)
    assert isinstance(found, PlanResult)
    assert found.cost.must() == 21
    (binding,) = found.binding
    assert (binding.limit, binding.worth, binding.unit) == ("min_offers", D(5), "offer")


def test_everyone_gets_a_serving_of_what_counts(offer: MakeOffer) -> None:
    # Both eat both kinds: two servings of 'b', one pouch. Ben alone may eat 'c': it counts by him.
    offers = [offer("a", 4), offer("b", 9), offer("c", 20, unfit_for=frozenset({"Ann"}))]
    found = plan(offers, [ANN, BEN], D(1), Bounds(min_offers=3), gap=0.0)
    assert isinstance(found, PlanResult)
    eaten = {one.offer.name: one.eaten_by for one in found.offers}
    assert eaten["b"]["Ann",] >= D("0.9999")
    assert eaten["b"]["Ben",] >= D("0.9999")
    assert eaten["c"]["Ben",] >= D("0.9999")
    assert set(eaten["c"]) == {("Ben",)}


def test_only_so_many_can_be_had(offer: MakeOffer) -> None:
    found = plan([offer("sale", 4, most_units=1), offer("pouch", 9)], [ANN], D(1), Bounds())
    assert isinstance(found, PlanResult)
    assert {one.offer.name: one.units for one in found.offers} == {"sale": 1, "pouch": 3}


def test_the_linear_form_takes_fractions(offer: MakeOffer) -> None:
    # 2000 / 600 pouches
    found = plan([offer("pouch", 9)], [ANN], D(1), Bounds(), continuous=True)
    assert isinstance(found, PlanResult)
    assert found.offers[0].units == D("3.333333")
    assert float(found.cost.must()) == pytest.approx(30, rel=1e-5)
