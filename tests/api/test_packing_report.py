"""Packing of a batch: bags, oxygen, keeping, by hand calculation and published figures."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from nutricost.api.cards import Card
from nutricost.api.packing import packing_report, packing_view
from nutricost.api.public_form import plain

MakeCard = Callable[..., Card]
D = Decimal


def test_equal_bags_share_the_batch(make_card: MakeCard) -> None:
    report = packing_report(make_card())
    bag = report.bags[0]
    # By hand: 420 g, 10 servings, 1440 kcal, 1580 g water and 10 + 4 + 3 USD over 4 bags.
    assert (bag.weight.must(), bag.servings.must(), bag.energy.must()) == (D(105), D("2.5"), D(360))
    assert (bag.water.must(), bag.cost.must()) == (D(395), D("4.25"))
    assert bag.water.unit == "mL"


def test_uneven_bags_hold_by_weight_and_cost_to_the_cent(make_card: MakeCard) -> None:
    card = make_card(packing='bags = 3\nbag_price = 0.50\nbag_weights = ["100 g", "140 g", "180 g"]')
    report = packing_report(card)
    # By hand: 420 g in all; 10 servings x 100/420 and so on.
    assert [bag.weight.must() for bag in report.bags] == [100, 140, 180]
    assert sum(bag.servings.must() for bag in report.bags) == pytest.approx(10, abs=D("1e-20"))
    assert report.bags[1].servings.must() == pytest.approx(D(10) / 3, abs=D("1e-20"))
    # 15.50 USD: 3.690, 5.167, 6.643 -> cents by largest remainder.
    assert [bag.cost.must() for bag in report.bags] == [D("3.69"), D("5.17"), D("6.64")]
    assert sum(bag.cost.must() for bag in report.bags) == card.costs.total.must()


def test_oxygen_of_a_quart_bag(make_card: MakeCard) -> None:
    """946 mL with 100 g at 1.4 g/mL: 183.2 mL, 20.95 % oxygen in dry air (method, checks: packing)."""
    card = make_card(
        drying='trays = 4\nwet_weight = "2000 g"\ndry_weight = "420 g"\nhours = 40',
        packing='bags = 4.2\nbag_price = 0.50\nabsorber_price = 0.25\nbag_volume = "946 mL"\n'
        "absorber_sizes_cc = [300, 100]",
    )
    report = packing_report(card)
    assert float(report.oxygen.must()) == pytest.approx(183.2, abs=0.05)
    absorbers = report.absorbers
    assert absorbers is not None
    # Upper end: 946 - 100 / 1.6 = 883.5 mL of air, 185.1 mL oxygen, 222.1 with the margin: one of 300.
    assert (absorbers.size_cc, absorbers.pieces) == (D(300), 1)
    assert report.sizes_given


def test_less_oxygen_at_altitude(make_card: MakeCard) -> None:
    """US Standard Atmosphere 1976: 84,556 Pa at 1500 m against 101,325 Pa."""
    packing = 'bags = 4\nbag_price = 0.5\nbag_volume = "1 L"'
    low = packing_report(make_card(packing=packing)).oxygen
    high = packing_report(make_card(packing=f"{packing}\naltitude_m = 1500")).oxygen
    assert float(high.must() / low.must()) == pytest.approx(84556 / 101325, abs=1e-4)


def test_lightest_bag_holds_the_most_air(make_card: MakeCard) -> None:
    packing = 'bag_price = 0.5\nbags = 2\nbag_volume = "1 L"\nbag_weights = ["120 g", "300 g"]'
    report = packing_report(make_card(packing=packing))
    # 1000 - 120 / 1.6 = 925 mL of air at most; 1000 - 300 / 1.3 = 769.2 mL at least.
    assert float(report.free_volume.high) == pytest.approx(925, abs=1e-6)
    assert float(report.free_volume.low) == pytest.approx(769.23, abs=0.01)


def test_what_is_not_given_is_unknown_and_says_why(make_card: MakeCard) -> None:
    view = plain(packing_view(packing_report(make_card(packing="bag_price = 0.5"))))
    assert view["bags"]["value"] is None and "packing.bags" in view["bags"]["why"]
    assert view["each_bag"][0]["water_to_add"]["value"] is None
    assert "packing.bag_volume is not given" in view["oxygen_per_bag"]["why"]
    assert view["absorber"] is None


def test_bags_too_small_or_too_few_absorbers_are_said(make_card: MakeCard) -> None:
    packing = (
        'bags = 4\nbag_price = 0.5\nabsorber_price = 0.1\nbag_volume = "1.5 L"\nbulk_volume = "7 L"\n'
        "absorber_sizes_cc = [100]"
    )
    report = packing_report(make_card(packing=packing))
    assert report.bulk_volume.must() == 1750
    assert report.bags_needed.must() == 5
    said = " | ".join(report.warnings)
    assert "5 bags" in said and "4 given" in said
    # 1500 - 105 / 1.6 = 1434.4 mL x 0.2095 x 1.2 = 360.6 cc: four of 100.
    assert "1 absorbers a bag are counted, but its air asks for 4 of 100 cc" in said


def test_bags_heavier_or_much_lighter_than_the_batch_are_said(make_card: MakeCard) -> None:
    heavy = packing_report(make_card(packing='bags = 1\nbag_price = 1\nbag_weights = ["500 g"]'))
    assert any("500" in text and "420" in text for text in heavy.warnings)
    light = packing_report(make_card(packing='bags = 1\nbag_price = 1\nbag_weights = ["300 g"]'))
    assert any("300" in text and "420" in text for text in light.warnings)


def test_too_moist_to_keep(make_card: MakeCard) -> None:
    drying = 'trays = 4\nwet_weight = "2000 g"\ndry_weight = "500 g"'
    report = packing_report(make_card(drying=drying))
    # 1 - 404 / 500 = 19 % moisture, above about 10 %.
    assert report.keeping is None
    assert packing_view(report)["best_by"] is None


def test_best_by_dates_from_the_day_of_packing(make_card: MakeCard) -> None:
    packing = "bags = 4\nbag_price = 0.5\nabsorber_price = 0.1\npacked_on = 2026-03-31"
    best_by = packing_view(packing_report(make_card(packing=packing)))["best_by"]
    assert best_by["months"] == [24, 120]
    assert (best_by["earliest"], best_by["latest"]) == ("2028-03-31", "2036-03-31")


def test_no_absorbers_means_not_oxygen_free(make_card: MakeCard) -> None:
    packing = "bags = 4\nbag_price = 0.5\nabsorber_price = 0.1\nabsorbers = 0"
    best_by = packing_view(packing_report(make_card(packing=packing)))["best_by"]
    assert best_by["months"] == [3, 12]
