"""Shopping list and calendar, by hand."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from nutricost.domain.planning.shopping import Need, calendar, shopping_list
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal


def test_whole_packages_are_rounded_once_over_the_plan() -> None:
    corn = Need("corn", Figure.exact(3000, "g"), Figure.exact(D("2.5"), "kg"), Figure.exact(D("4.20"), "USD"))
    more = Need("corn", Figure.exact(2000, "g"), Figure.exact(D("2.5"), "kg"), Figure.exact(D("4.20"), "USD"))
    cans = Need("cans", Figure.exact(D("7.2"), "package"))
    lines = shopping_list([corn, cans, more])
    assert [line.item for line in lines] == ["corn", "cans"]
    assert lines[0].packages.must() == 2  # 5 kg in bags of 2.5 kg
    assert lines[0].cost is not None
    assert lines[0].cost.must() == D("8.40")
    assert lines[1].packages.must() == 8
    assert lines[1].cost is None


def test_edible_potatoes_from_50_lb_as_bought() -> None:
    # Course slides on yield, slideplayer.com 7840814: 50 lb at 1.86 USD/lb with 75 % yield leave 37.5 lb,
    # which cost 93.00 both ways: 2.48 USD for an edible pound.
    need = Need(
        "potatoes",
        Figure.exact(D("37.5"), "lb"),
        Figure.exact(D("0.75"), "lb"),
        Figure.exact(D("1.86"), "USD"),
    )
    (line,) = shopping_list([need])
    assert line.packages.must() == 50
    assert line.cost is not None
    assert line.cost.must() == D("93.00")
    assert line.cost.must() / D("37.5") == D("2.48")


def test_two_package_sizes_of_one_thing_are_refused() -> None:
    small, large = (Need("rice", Figure.exact(500, "g"), Figure.exact(size, "g")) for size in (500, 1000))
    with pytest.raises(InputError, match="different package sizes"):
        shopping_list([small, large])


def test_runs_follow_each_other() -> None:
    runs = calendar([("stew", 2), ("soup", 1)], datetime(2024, 5, 1, 18, tzinfo=UTC), D(40), D("4.5"))
    assert [run.name for run in runs] == ["stew", "stew", "soup"]
    assert runs[1].starts == runs[0].ends == datetime(2024, 5, 3, 14, 30, tzinfo=UTC)
    assert runs[2].ends == datetime(2024, 5, 7, 7, 30, tzinfo=UTC)
    with pytest.raises(InputError, match="above 0"):
        calendar([("stew", 1)], datetime(2024, 5, 1, tzinfo=UTC), D(0), D(0))
