"""What a plan asks: who eats what, and about which offers enough is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from nutricost.domain.documents import Limits
from nutricost.domain.planning import Bounds, Diner, PlanOffer
from nutricost.domain.planning.problem import Group, Objective, groups, limit_of_nutrient, usable
from nutricost.domain.quantities import Figure

D = Decimal
MakeOffer = Callable[..., PlanOffer]


def test_bounds_are_what_the_document_says() -> None:
    limits = Limits(
        budget=Figure.between(D(90), D(110), "USD"),
        sodium_mg_per_day=D(2300),
        protein_g_per_day=D(60),
        max_share_per_offer=D("0.4"),
        packed_weight_g=D(9000),
        packed_volume_ml=D(30000),
        cycles=D(5),
        machine_days=D(12),
        min_offers=3,
    )
    assert Bounds.of(limits) == Bounds(
        budget=D(90),  # the low end: what is surely there
        least={"protein": D(60)},
        most={"sodium": D(2300)},
        max_share=D("0.4"),
        packed_weight_g=D(9000),
        packed_volume_ml=D(30000),
        cycles=D(5),
        machine_days=D(12),
        min_offers=3,
    )
    assert Bounds.of(Limits()) == Bounds()


def test_limits_of_nutrients_are_named_as_the_document_writes_them() -> None:
    names = [limit_of_nutrient(one) for one in ("protein", "sodium", "fiber")]
    assert names == ["protein_g_per_day", "sodium_mg_per_day", "fiber_per_day"]


def test_people_who_may_eat_the_same_are_pooled(offer: MakeOffer) -> None:
    offers = [offer("nuts", 4, unfit_for=frozenset({"Ben"})), offer("plain", 9)]
    diners = [Diner("Ann", D(2000)), Diner("Ben", D(2500)), Diner("Cay", D(1800))]
    # Ann and Cay: (2000 + 1800) x 3 days
    assert groups(offers, diners, D(3)) == [
        Group(("Ann", "Cay"), D(11400), D(6), (0, 1)),
        Group(("Ben",), D(7500), D(3), (1,)),
    ]


UNKNOWN = Figure.unknown("", "nobody said")


@pytest.mark.parametrize(
    ("missing", "bounds", "objective", "counts"),
    [
        ("weight", Bounds(), "cost", False),
        ("weight", Bounds(packed_weight_g=D(500)), "cost", True),
        ("weight", Bounds(), "weight", True),
        ("volume", Bounds(packed_weight_g=D(500)), "weight", False),
        ("volume", Bounds(packed_volume_ml=D(500)), "cost", True),
        ("unit_cycles", Bounds(machine_days=D(9)), "cost", False),
        ("unit_cycles", Bounds(cycles=D(9)), "cost", True),
        ("unit_cycles", Bounds(), "cycles", True),
        ("unit_hours", Bounds(cycles=D(9)), "cycles", False),
        ("unit_hours", Bounds(machine_days=D(9)), "cost", True),
        ("unit_servings", Bounds(), "cost", True),
        ("unit_cost", Bounds(), "weight", True),
    ],
)
@pytest.mark.parametrize("given", [None, UNKNOWN])
def test_only_what_the_limits_ask_for_must_be_known(
    offer: MakeOffer, missing: str, bounds: Bounds, objective: Objective, counts: bool, given: Figure | None
) -> None:
    whole = offer("stew", 30, kind="home", volume=Figure.exact(200, "mL/serving"))
    lacking = replace(whole, **{missing: given})  # type: ignore[arg-type]
    kept, notes = usable([whole, lacking], bounds, objective)
    assert kept == ([whole] if counts else [whole, lacking])
    assert len(notes) == (1 if counts else 0)


def test_a_pouch_needs_no_machine(offer: MakeOffer) -> None:
    kept, notes = usable([offer("pouch", 9)], Bounds(cycles=D(1), machine_days=D(1)), "cycles")
    assert len(kept) == 1
    assert notes == []


def test_each_limited_nutrient_must_be_known_and_is_named(offer: MakeOffer) -> None:
    bare = offer("bare", 9, protein=None, sodium=None)
    _, notes = usable([bare], Bounds(least={"protein": D(1)}, most={"sodium": D(1)}), "cost")
    assert notes == ["bare is left out: unknown protein, sodium"]
    assert usable([bare], Bounds(), "cost") == ([bare], [])
    nothing = replace(bare, per_serving={})
    assert usable([nothing], Bounds(), "cost")[1] == ["bare is left out: unknown energy"]
