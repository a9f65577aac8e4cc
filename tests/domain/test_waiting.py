"""The load in waiting: oldest first, and nothing gained or lost when it is split."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.waiting import (
    TrayEntry,
    energy_shares,
    next_load,
    together,
    trays_of,
    water_removed,
)
from nutricost.errors import InputError

DAY = date(2026, 1, 1)

amounts = st.none() | st.decimals("0.1", "5000", places=2)
entries = st.builds(
    TrayEntry,
    filled_on=st.integers(0, 9).map(lambda days: DAY + timedelta(days)),
    what=st.sampled_from(["corn", "peas"]),
    trays=st.integers(1, 6),
    weight_g=amounts,
    cost=amounts,
    servings=amounts,
)


def numbered(some: list[TrayEntry]) -> list[TrayEntry]:
    return [
        TrayEntry(one.filled_on, one.what, one.trays, one.weight_g, one.cost, servings=one.servings, id=i)
        for i, one in enumerate(some)
    ]


@settings(max_examples=60)
@given(st.lists(entries, max_size=6).map(numbered), st.integers(1, 12))
def test_the_load_is_full_and_oldest_first(some: list[TrayEntry], capacity: int) -> None:
    taken, left = next_load(some, capacity)
    assert trays_of(taken) == min(capacity, trays_of(some))
    assert trays_of(taken) + trays_of(left) == trays_of(some)
    assert all(now.filled_on <= later.filled_on for now in taken for later in left)
    for name in ("weight_g", "cost", "servings"):
        before = together([getattr(one, name) for one in some])
        assert together([getattr(one, name) for one in [*taken, *left]]) == before


def test_an_entry_is_split_by_trays() -> None:
    # 10.00 over 3 trays, one of them now: largest remainder gives 3.33 and 6.67
    entry = TrayEntry(DAY, "corn", 3, Decimal(1000), Decimal("10.00"), servings=Decimal(10), id=4)
    taken, left = next_load([entry], 1)
    assert (taken[0].weight_g, taken[0].cost, taken[0].servings) == (
        Decimal("333.3"),
        Decimal("3.33"),
        Decimal("3.33"),
    )
    assert (left[0].weight_g, left[0].cost, left[0].servings) == (
        Decimal("666.7"),
        Decimal("6.67"),
        Decimal("6.67"),
    )
    assert taken[0].id == left[0].id == 4


def test_trays_of_one_document_stay_together() -> None:
    corn = TrayEntry(DAY, "corn", 3, id=1)
    chili = TrayEntry(DAY, "chili", 3, batch="chili", id=2)
    assert next_load([corn, chili], 5) == ([corn], [chili])
    with pytest.raises(InputError, match="fit one load"):
        next_load([chili], 2)
    with pytest.raises(InputError, match="0 trays"):
        next_load([chili], 0)


def test_a_batch_that_just_fits_goes_in() -> None:
    chili = TrayEntry(DAY, "chili", 3, batch="chili", id=2)
    assert next_load([chili], 3) == ([chili], [])
    assert next_load([TrayEntry(DAY, "corn")], 1)[0][0].trays == 1


def test_of_one_day_the_first_written_goes_first() -> None:
    later, first, unsaved = (TrayEntry(DAY, "corn", id=number) for number in (7, 3, None))
    assert next_load([later, first, unsaved], 3)[0] == [unsaved, first, later]


def test_what_belongs_together_as_one_batch() -> None:
    assert TrayEntry(DAY, "Sweet  Corn").group == TrayEntry(DAY, "sweet corn").group == (False, "sweet corn")
    assert TrayEntry(DAY, "corn", batch="chili").group == (True, "chili")
    assert TrayEntry(DAY, "chili").group != TrayEntry(DAY, "corn", batch="chili").group


def test_a_sum_with_an_unknown_part_is_unknown() -> None:
    assert together([Decimal(1), Decimal("2.5")]) == Decimal("3.5")
    assert together([Decimal(1), None]) is None
    assert together([]) == 0


def test_water_removed() -> None:
    # Hand: 1800 - 600, 2400 - 480
    wet, dry = {"a": Decimal(1800), "b": Decimal(2400)}, {"a": Decimal(600), "b": Decimal(480)}
    assert water_removed(dict(wet), dict(dry)) == {"a": 1200, "b": 1920}
    for bad in ({"a": Decimal(600)}, {**dry, "b": Decimal(2401)}, {**dry, "b": Decimal(0)}):
        with pytest.raises(InputError):
            water_removed(dict(wet), dict(bad))


def test_little_food_is_still_food_and_less_than_none_is_not() -> None:
    assert water_removed({"a": Decimal(2)}, {"a": Decimal(1)}) == {"a": Decimal(1)}
    assert water_removed({"a": Decimal(2)}, {"a": Decimal(2)}) == {"a": Decimal(0)}
    with pytest.raises(InputError, match="zero or more"):
        energy_shares(Decimal(10), [Decimal(5), Decimal(-1)])
    assert energy_shares(Decimal(10), [Decimal("0.5"), Decimal(0)]) == [Decimal(10), Decimal(0)]


@settings(max_examples=60)
@given(st.decimals("0", "99", places=3), st.lists(st.decimals("0", "5000", places=1), min_size=1, max_size=6))
def test_energy_shares_sum_to_the_whole(energy: Decimal, weights: list[Decimal]) -> None:
    if sum(weights) == 0:
        with pytest.raises(InputError):
            energy_shares(energy, weights)
        return
    shares = energy_shares(energy, weights)
    assert sum(shares) == energy
    for share, weight in zip(shares, weights, strict=True):
        assert abs(share - energy * weight / sum(weights)) <= Decimal("0.001")
