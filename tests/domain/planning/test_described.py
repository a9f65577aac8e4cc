"""A solved plan in figures, by hand (invented offers)."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from nutricost.domain.planning import Bounds, Diner, PlanOffer, PlanResult, plan
from nutricost.domain.quantities import Figure

D = Decimal
MakeOffer = Callable[..., PlanOffer]
ANN, BEN = Diner("Ann", D(2000)), Diner("Ben", D(2500))


def solved(*args: object, **more: object) -> PlanResult:
    found = plan(*args, **more)  # type: ignore[arg-type]
    assert isinstance(found, PlanResult), found
    return found


def test_amounts_for_each_person_and_day_in_their_units(offer: MakeOffer) -> None:
    # 4500 kcal x 2 days = 30 servings of 300 kcal: 15 pouches, 135 USD over 4 person days.
    found = solved([offer("pouch", 9, volume=Figure.exact(200, "mL/serving"))], [ANN, BEN], D(2), Bounds())
    assert (found.days, found.people, found.objective, found.gap) == (D(2), 2, "cost", D(0))
    per = {name: (round(one.must(), 3), one.unit) for name, one in found.per_person_day.items()}
    assert per == {
        "energy": (2250, "kcal"),
        "protein": (90, "g"),  # 30 x 12 / 4
        "sodium": (4500, "mg"),
        "cost": (D("33.75"), "USD"),
    }
    assert (found.weight.must(), found.weight.unit) == (D(2100), "g")
    assert (found.volume.must(), found.volume.unit) == (D(6000), "mL")
    assert (found.cycles.must(), found.cycles.unit) == (D(0), "cycle")
    assert (found.machine_days.must(), found.machine_days.unit) == (D(0), "day")
    (pouch,) = found.offers
    assert (pouch.units, pouch.servings.unit, pouch.cost.must()) == (D(15), "serving", D(135))
    assert (round(pouch.servings.must(), 3), round(pouch.energy.must(), 2)) == (D(30), D(9000))
    assert round(pouch.left_over.must(), 3) == 0
    assert pouch.from_shelf.must() == 0
    assert found.notes == ()


def test_what_comes_from_the_shelf_is_stored_but_not_bought(offer: MakeOffer) -> None:
    # Five of 6.667 servings are there; one pouch of two servings more leaves a third of a serving.
    shelf = offer("stew", 9, on_hand=D(5), volume=Figure.exact(100, "mL/serving"))
    found = solved([shelf], [ANN], D(1), Bounds())
    (stew,) = found.offers
    assert (stew.units, found.cost.must()) == (D(1), D(9))
    assert D("4.66") < stew.from_shelf.must() <= 5
    # Nothing is lost: made + from the shelf = eaten + left over.
    assert 2 + stew.from_shelf.must() == stew.servings.must() + stew.left_over.must()
    assert found.weight.must() == (2 + stew.from_shelf.must()) * 70
    assert found.volume.must() == (2 + stew.from_shelf.must()) * 100
    plenty = solved([offer("stew", 9, on_hand=D(50))], [ANN], D(1), Bounds())
    assert (plenty.cost.must(), plenty.offers[0].units) == (D(0), D(0))
    assert round(plenty.offers[0].from_shelf.must(), 3) == D("6.667")
    assert plenty.cost.unit == "USD"


def test_batches_that_share_a_load_share_its_cycle(offer: MakeOffer) -> None:
    # Three batches of 720 kcal, each half a load: 1.5 cycles are two. 3 x 20 h = 2.5 days.
    half = offer(
        "half", 10, servings=D("2.4"), kind="home",
        unit_cycles=Figure.exact(D("0.5"), "cycle"), unit_hours=Figure.exact(20, "h"),
    )  # fmt: skip
    found = solved([half], [ANN], D(1), Bounds())
    assert found.offers[0].units == 3
    assert found.cycles.must() == 2
    assert found.machine_days.must() == D("2.5")


def test_what_is_not_known_of_the_store_is_unknown_with_its_reason(offer: MakeOffer) -> None:
    bare = offer("bare", 9, kind="home", protein=None, weight=1, unit_cycles=None, unit_hours=None)
    found = solved([bare], [ANN], D(1), Bounds())
    for figure, unit, said in (
        (found.per_person_day["protein"], "g", "protein of bare"),
        (found.volume, "mL", "volume of bare"),
        (found.cycles, "cycle", "cycles of bare"),
        (found.machine_days, "day", "machine hours of bare"),
        (found.rehydration, "g", "water to add to bare"),
    ):
        assert (figure.value, figure.unit) == (None, unit)
        assert said in figure.why
    assert found.per_person_day["sodium"].is_known


def test_home_food_from_the_shelf_needs_no_machine(offer: MakeOffer) -> None:
    shelf = offer("stew", 9, kind="home", on_hand=D(50), unit_cycles=None, unit_hours=None)
    found = solved([shelf], [ANN], D(1), Bounds())
    assert (found.cycles.must(), found.machine_days.must()) == (D(0), D(0))


def test_water_poured_back_counts_as_far_as_it_is_known(offer: MakeOffer) -> None:
    # One US gallon (3785.41 mL, NIST Handbook 44) a person and day; two people, two days.
    dry = solved([offer("bar", 9, water=Figure.exact(0, "g/serving"))], [ANN, BEN], D(2), Bounds())
    assert dry.water.must() == 4 * D("3785.41")
    assert (dry.rehydration.must(), dry.rehydration.unit, dry.water.unit) == (D(0), "g", "g")
    # Ann must eat both kinds: at most half of 20 servings from each, 10 x 900 g of water and 10 unknown.
    wet, dark = offer("wet", 9, kcal=100, water=Figure.exact(900, "g/serving")), offer("dark", 9, kcal=100)
    half = solved([wet, dark], [ANN], D(1), Bounds(max_share=D("0.5")))
    assert half.rehydration.value is None
    assert round(half.water.must()) == 9000
    unsaid = solved([offer("dark", 9)], [ANN], D(1), Bounds())
    assert unsaid.water.must() == D("3785.41")


def test_what_the_plan_does_not_use_is_not_in_it(offer: MakeOffer) -> None:
    found = solved([offer("cheap", 4), offer("dear", 40)], [ANN], D(1), Bounds())
    assert [one.offer.name for one in found.offers] == ["cheap"]
