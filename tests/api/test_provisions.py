"""The calendar and the shopping list of a plan, by hand (invented batches)."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.api.documents import cards_of, read_batches
from nutricost.api.plan_offers import home_plan_offer
from nutricost.api.provisions import purchases, runs
from nutricost.domain.planning import Chosen, PlanOffer
from nutricost.domain.quantities import Figure

D = Decimal
at = datetime.fromisoformat
START = at("2026-12-01T08:00")


def offer(name: str, cycles: str = "1", hours: str | None = "60") -> PlanOffer:
    per = {"energy": Figure.exact(300, "kcal/serving")}
    return PlanOffer(
        name, "home", Figure.exact(10, "serving"), Figure.exact(12, "USD"), per,
        unit_cycles=Figure.exact(D(cycles), "cycle"),
        unit_hours=Figure.unknown("h", "no hours") if hours is None else Figure.exact(D(hours), "h"),
    )  # fmt: skip


def chosen(one: PlanOffer, units: int) -> Chosen:
    none = Figure.exact(0, "serving")
    return Chosen(one, D(units), none, none, none, one.unit_cost * units, Figure.exact(0, "kcal"), {})


def test_runs_follow_one_another() -> None:
    found, missing = runs([chosen(offer("chili"), 2), chosen(offer("corn", hours="30"), 1)], START)
    assert [(run.number, run.name) for run in found] == [(1, "chili"), (2, "chili"), (3, "corn")]
    assert [run.starts for run in found] == [
        START, at("2026-12-03T20:00"), at("2026-12-06T08:00"),
    ]  # fmt: skip
    assert found[-1].ends == at("2026-12-07T14:00")
    assert missing == []


def test_batches_that_share_a_load_share_its_runs() -> None:
    # 3 x 3/5 and 2 x 2/5 of a load: 13/5, three runs; 36/0.6 = 60 h, as the slower of them.
    found, _ = runs([chosen(offer("rice", "0.6", "36"), 3), chosen(offer("stew", "0.4", "20"), 2)], START)
    assert [run.name for run in found] == ["rice and stew"] * 3
    assert found[1].starts == at("2026-12-03T20:00")


def test_what_cannot_stand_on_a_calendar_is_said() -> None:
    _, missing = runs([chosen(offer("mystery", hours=None), 1)], START)
    assert missing == ["mystery is not on the calendar: its hours are not known"]
    assert "more than 5000" in runs([chosen(offer("chili"), 6000)], START)[1][0]
    assert "year 9999" in runs([chosen(offer("chili"), 20)], at("9999-12-20T00:00"))[1][0]


BATCH = """title = "Bean pot"
servings = 8
[[ingredients]]
line = "4 cans black beans"
paid = 3.20
for = "12 cans"
[[ingredients]]
line = "2 lb white rice"
paid = 4.50
for = "3 lb"
[[ingredients]]
line = "-5 g drippings"
food = "ndb:04002"
paid = 0
[drying]
trays = 4
"""


@pytest.mark.parametrize(("units", "cans", "bags"), [(1, 4, 1), (3, 12, 2), (4, 16, 3)])
def test_whole_packages(tmp_path: Path, units: int, cans: int, bags: int) -> None:
    path = tmp_path / "beans.toml"
    path.write_text(BATCH)
    (card,) = cards_of(read_batches([str(path)]), {})
    one = home_plan_offer(card, None, D(0), frozenset())
    beans, rice = purchases([chosen(one, units)], {"Bean pot": card})
    assert beans.packages.must() == cans
    assert beans.cost is not None
    assert beans.cost.must() == pytest.approx(D("3.20") * cans / 12, abs=D("0.02"))  # charged by the coin
    # 2 of 3 lb: three batches take exactly two bags.
    assert rice.packages.must() == bags
    assert rice.cost is not None and rice.cost.must() == D("4.50") * bags
