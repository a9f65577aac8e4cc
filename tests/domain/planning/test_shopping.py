"""Shopping list and calendar, by hand."""

from __future__ import annotations

from dataclasses import replace
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


def test_a_package_size_given_once_only_is_refused() -> None:
    bag = Need("rice", Figure.exact(500, "g"), Figure.exact(500, "g"))
    loose = Need("rice", Figure.exact(1, "package"))
    for needs in ([bag, loose], [loose, bag]):
        with pytest.raises(InputError, match="different package sizes"):
            shopping_list(needs)


def test_one_package_size_in_two_units_is_one_size() -> None:
    grams = Need("rice", Figure.exact(300, "g"), Figure.exact(500, "g"))
    kilograms = Need("rice", Figure.exact(300, "g"), Figure.exact(D("0.5"), "kg"))
    (line,) = shopping_list([grams, kilograms])
    assert line.packages.must() == 2
    assert line.packages.unit == "package"


def test_uncertain_amounts_reach_the_packages_and_their_cost() -> None:
    # 900 to 1100 g in bags of 500 g: 2 to 3 bags at 4 USD.
    need = Need("rice", Figure.between(D(900), D(1100), "g"), Figure.exact(500, "g"), Figure.exact(4, "USD"))
    (line,) = shopping_list([need])
    assert (line.packages.low, line.packages.must(), line.packages.high) == (D(2), D(2), D(3))
    assert line.cost is not None
    assert (line.cost.low, line.cost.high, line.cost.unit) == (D(8), D(12), "USD")
    lost = replace(need, amount=Figure.unknown("g", "not weighed"))
    (line,) = shopping_list([need, lost])
    assert line.packages.value is None
    assert line.packages.why == "not weighed"


def test_counted_packages_are_rounded_up_and_priced() -> None:
    cans = Need("cans", Figure.exact(D("7.2"), "package"), price=Figure.exact(D("1.50"), "USD"))
    (line,) = shopping_list([cans])
    assert line.cost is not None
    assert (line.packages.must(), line.cost.must()) == (D(8), D(12))


def test_runs_are_numbered_and_kept_to_the_minute() -> None:
    # 1 h 20 min: 1.3333 h are 79.998 minutes.
    start = datetime(2024, 5, 1, 8, tzinfo=UTC)
    runs = calendar([("stew", 1), ("none", 0), ("soup", 1)], start, D("1.3333"), D(0))
    assert [(run.number, run.name) for run in runs] == [(1, "stew"), (2, "soup")]
    assert (runs[0].starts, runs[0].ends) == (start, datetime(2024, 5, 1, 9, 20, tzinfo=UTC))
    assert calendar([("stew", 1)], start, D("0.5"), D(0))[0].ends == datetime(2024, 5, 1, 8, 30, tzinfo=UTC)


def test_runs_follow_each_other() -> None:
    runs = calendar([("stew", 2), ("soup", 1)], datetime(2024, 5, 1, 18, tzinfo=UTC), D(40), D("4.5"))
    assert [run.name for run in runs] == ["stew", "stew", "soup"]
    assert runs[1].starts == runs[0].ends == datetime(2024, 5, 3, 14, 30, tzinfo=UTC)
    assert runs[2].ends == datetime(2024, 5, 7, 7, 30, tzinfo=UTC)
    with pytest.raises(InputError, match="above 0"):
        calendar([("stew", 1)], datetime(2024, 5, 1, tzinfo=UTC), D(0), D(0))
