"""One cycle shared among batches: by hand calculation, money to the cent."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.api.cards import Card
from nutricost.api.public_form import plain
from nutricost.api.sharing import shared_cycle
from nutricost.errors import DocumentError

D = Decimal
MakeCards = Callable[[Sequence[Mapping[str, Any]]], list[Card]]


def batch(title: str, trays: int, wet: int, cycle: str, whole: int | None = None) -> dict[str, Any]:
    load = f'trays = {trays}\nwet_weight = "{wet} g"\ndry_weight = "{wet * 22 // 100} g"\n'
    shared = f"cycle_trays = {whole}\n" if whole else ""
    return {"title": title, "drying": f"{load}{shared}{cycle}", "more": '[cooking]\nweight = "2000 g"'}


RUN = 'hours = 40\nextra_hours = 5\nenergy = "30 kWh"\nprice_per_kwh = 0.17'


def test_by_trays(make_cards: MakeCards) -> None:
    cycle = shared_cycle(make_cards([batch("A", 3, 1200, RUN, 5), batch("B", 2, 1000, RUN, 5)]))
    # By hand: 45 h, 30 kWh and 5.10 USD, 3 : 2.
    assert [each.hours.must() for each in cycle.shares] == [27, 18]
    assert [each.energy.must() for each in cycle.shares] == [18, 12]
    assert [each.cost.must() for each in cycle.shares] == [D("3.06"), D("2.04")]
    assert cycle.rest is None


def test_by_water_on_request(make_cards: MakeCards) -> None:
    cycle = shared_cycle(make_cards([batch("A", 3, 1200, RUN, 5), batch("B", 2, 1000, RUN, 5)]), "water")
    # By hand: 936 and 780 g of water, 6 : 5.
    assert [each.part.must() for each in cycle.shares] == [936, 780]
    assert float(cycle.shares[0].share.must()) == pytest.approx(6 / 11, rel=1e-12)
    # 5.10 x 6/11 = 2.7818, 5.10 x 5/11 = 2.3182.
    assert [each.cost.must() for each in cycle.shares] == [D("2.78"), D("2.32")]


def test_trays_of_others_keep_their_share(make_cards: MakeCards) -> None:
    cycle = shared_cycle(make_cards([batch("A", 3, 1200, "cost = 5.00", 5)]))
    assert cycle.shares[0].cost.must() == 3
    assert cycle.rest is not None and cycle.rest.part.must() == 2 and cycle.rest.cost.must() == 2
    assert not cycle.hours.is_known and not cycle.energy.is_known


def test_one_batch_may_tell_for_all(make_cards: MakeCards) -> None:
    cycle = shared_cycle(make_cards([batch("A", 3, 1200, "cost = [3.80, 4.60]"), batch("B", 2, 1000, "")]))
    assert [each.cost.box for each in cycle.shares] == [
        (D("2.28"), D("2.76")), (D("1.52"), D("1.84"))
    ]  # fmt: skip


@settings(max_examples=15)
@given(
    trays=st.lists(st.integers(1, 9), min_size=2, max_size=3),
    cents=st.integers(1, 100_000),
    by=st.sampled_from(["trays", "water"]),
)
def test_shares_add_up_to_the_cent(trays: list[int], cents: int, by: Any, make_cards: MakeCards) -> None:
    cost = D(cents).scaleb(-2)
    cards = make_cards([batch(str(n), count, 100 * count, f"cost = {cost}") for n, count in enumerate(trays)])
    cycle = shared_cycle(cards, by)
    assert sum((each.cost.must() for each in cycle.shares), D(0)) == cost
    assert float(sum(each.share.must() for each in cycle.shares)) == pytest.approx(1, abs=1e-20)


def test_batches_that_contradict_each_other_are_refused(make_cards: MakeCards) -> None:
    with pytest.raises(DocumentError, match=r"drying.hours: 42 h here, 40 h in"):
        shared_cycle(make_cards([batch("A", 3, 1200, "hours = 40"), batch("B", 2, 1000, "hours = 42")]))
    with pytest.raises(DocumentError, match=r"fill 6 .*whole load has 5"):
        shared_cycle(make_cards([batch("A", 3, 1200, "", 5), batch("B", 3, 1000, "", 5)]))
    with pytest.raises(DocumentError, match=r"drying.trays: missing"):
        shared_cycle(make_cards([{"title": "A", "drying": "hours = 40"}]))


def test_json_has_a_figure_for_every_share(make_cards: MakeCards) -> None:
    view = plain(shared_cycle(make_cards([batch("A", 3, 1200, RUN, 5)])).view())
    assert view["shares"][0]["cost"] == {
        "value": D("3.06"),
        "low": D("3.06"),
        "high": D("3.06"),
        "unit": "USD",
    }
    assert view["rest"]["title"] == "trays of others"
