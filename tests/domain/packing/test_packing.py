"""Oxygen, bags, keeping and the bag label."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.packing import absorbers, bags, keeping
from nutricost.domain.packing.bag_label import RAW_WORDS, bag_label
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError


def figure(value: str, unit: str, name: str = "") -> Figure:
    return Figure.exact(Decimal(value), unit, name)


DENSITY = figure("1.4", "g/mL", "true density")


def test_oxygen_in_a_quart_jar() -> None:
    # 0.2095 x (946 - 100 / 1.4) = 183.2 mL (arithmetic of the gas balance, derived); empty litre 209.5 mL.
    oxygen = absorbers.oxygen_to_absorb(figure("946", "mL"), figure("100", "g"), DENSITY)
    assert float(oxygen.must()) == pytest.approx(183.2, abs=0.05)
    free = absorbers.free_volume(figure("946", "mL"), figure("100", "g"), DENSITY)
    assert float(free.must()) == pytest.approx(874.6, abs=0.05)
    empty = absorbers.oxygen_to_absorb(figure("1000", "mL"), figure("0", "g"), DENSITY)
    assert float(empty.must()) == pytest.approx(209.5)


@pytest.mark.parametrize(
    ("altitude_m", "pascal"),
    [(0, 101325.3), (304.8, 97733.2), (1524.0, 84322.9), (2133.6, 78193.4), (3048.0, 69692.2)],
)
def test_pressure_of_the_standard_atmosphere(altitude_m: float, pascal: float) -> None:
    # US Standard Atmosphere 1976, table of an engineering handbook (feet rounded to metres, within 0.05 %).
    assert absorbers.pressure_ratio(altitude_m) * 101325 == pytest.approx(pascal, rel=5e-4)


def test_altitude_lowers_the_oxygen() -> None:
    # 5,000 ft: x 0.83.
    high = absorbers.oxygen_to_absorb(figure("1000", "mL"), figure("0", "g"), DENSITY, Decimal(1524))
    assert float(high.must()) == pytest.approx(209.5 * 0.832, rel=1e-3)
    with pytest.raises(InputError, match="altitude"):
        absorbers.pressure_ratio(20000)


def test_unknown_true_density_gives_an_interval() -> None:
    oxygen = absorbers.oxygen_to_absorb(figure("946", "mL"), figure("100", "g"))
    assert oxygen.low < Decimal("183.2") < oxygen.high


def test_overfull_bag_has_no_negative_air() -> None:
    assert absorbers.free_volume(figure("50", "mL"), figure("100", "g"), DENSITY).value == 0


@pytest.mark.parametrize(
    ("oxygen", "sizes", "size", "pieces"),
    [
        ("183.2", (100, 200, 300), 300, 1),
        ("183.2", (), 300, 1),
        ("100", (300, 50), 300, 1),
        ("600", (100, 300), 300, 3),
        ("560", (100, 240, 300), 240, 3),
        ("0", (100, 300), 100, 1),
        # With the margin of a fifth, 250 mL are 300 cc exactly, and 500 mL two of them.
        ("250", (100, 300, 500), 300, 1),
        ("500", (100, 300), 300, 2),
        ("0.5", (1,), 1, 1),
    ],
)
def test_absorber_rounded_up_to_listed_sizes(
    oxygen: str, sizes: tuple[int, ...], size: int, pieces: int
) -> None:
    chosen = absorbers.absorbers_for(figure(oxygen, "mL"), tuple(Decimal(each) for each in sizes))
    assert (chosen.size_cc, chosen.pieces) == (Decimal(size), pieces)
    assert chosen.size_cc * chosen.pieces >= chosen.needed.high


def test_impossible_absorber_sizes_are_refused() -> None:
    with pytest.raises(InputError, match="absorber size"):
        absorbers.absorbers_for(figure("100", "mL"), (Decimal(0),))
    with pytest.raises(InputError, match="margin"):
        absorbers.absorbers_for(figure("100", "mL"), margin=Decimal("0.99"))
    with pytest.raises(InputError, match="not told"):
        absorbers.absorbers_for(Figure.unknown("mL", "not told"))
    bare = absorbers.absorbers_for(figure("300", "mL"), margin=Decimal(1))
    assert (bare.size_cc, bare.pieces, bare.needed.value) == (Decimal(300), 1, Decimal(300))


def test_the_upper_end_of_the_oxygen_counts() -> None:
    # 200 to 260 mL with a fifth more: up to 312 cc.
    oxygen = Figure.between(Decimal(200), Decimal(260), "mL", "oxygen")
    assert absorbers.absorbers_for(oxygen, (Decimal(300), Decimal(400))).size_cc == 400


def test_ends_of_the_standard_atmosphere() -> None:
    # US Standard Atmosphere 1976: 22632 Pa at 11 km, 113929 Pa 1 km below the sea (from memory).
    assert absorbers.pressure_ratio(11000) * 101325 == pytest.approx(22632, rel=1e-4)
    assert absorbers.pressure_ratio(-1000) * 101325 == pytest.approx(113929, rel=1e-4)
    for beyond in (11000.5, -1000.5, float("nan")):
        with pytest.raises(InputError, match="altitude"):
            absorbers.pressure_ratio(beyond)


def test_air_is_cut_at_nothing_where_the_food_may_fill_the_bag() -> None:
    # 100 mL less 147 to 70 g / 1.4 g/mL: 0 to 50 mL of air, 0 to 10.475 mL of oxygen.
    food = Figure.between(Decimal(70), Decimal(147), "g", "food")
    assert absorbers.free_volume(figure("100", "mL"), food, DENSITY).box == (Decimal(0), Decimal(50))
    oxygen = absorbers.oxygen_to_absorb(figure("0.1", "L"), food, DENSITY)
    assert (oxygen.box, oxygen.unit) == ((Decimal(0), Decimal("10.475")), "mL")
    unknown = Figure.unknown("mL", "not told")
    assert not absorbers.oxygen_to_absorb(unknown, food, DENSITY).is_known


def test_two_bags_may_differ_by_their_scale() -> None:
    # 100 of 400 g; the other bag, read as 290 to 310 g, moves the share from 100/410 to 100/390.
    weights = [figure("0.1", "kg"), Figure.between(Decimal(290), Decimal(310), "g", "bag")]
    first, second = bags.bags_as_filled(weights, {"energy": figure("2000", "kcal")})
    assert [(bag.number, bag.weight) for bag in (first, second)] == [(1, weights[0]), (2, weights[1])]
    assert [float(end) for end in first.share.box] == pytest.approx([100 / 410, 100 / 390])
    assert first.holds["energy"].value == 500
    assert [float(end) for end in second.share.box] == pytest.approx([290 / 390, 310 / 410])
    assert first.holds["energy"].unit == "kcal"


def test_a_gram_fills_a_bag_and_an_unknown_weight_leaves_shares_unknown() -> None:
    assert len(bags.bags_as_filled([figure("0.5", "g")], {})) == 1
    filled = bags.bags_as_filled([figure("5", "g"), Figure.unknown("g", "not weighed")], {})
    assert [bag.share.value for bag in filled] == [None, None]
    with pytest.raises(InputError, match="bag 1"):
        bags.bags_as_filled([Figure.between(Decimal(0), Decimal(5), "g", "bag")], {})


def test_bulk_of_each_equal_bag() -> None:
    # 5 L in 4 bags.
    each = bags.bulk_volume_per_bag(figure("5", "L"), figure("4", "bag"))
    assert (each.value, each.unit) == (Decimal(1250), "mL")


def test_bags_needed_between_roomy_and_tight() -> None:
    # 900 mL in bags of 900 mL: one; 1800 mL in bags of 450 mL: four; exact multiples need no more.
    volume = Figure.between(Decimal(900), Decimal(1800), "mL", "volume")
    needed = bags.bags_needed(volume, Figure.between(Decimal(450), Decimal(900), "mL", "usable"))
    assert (needed.box, needed.unit) == ((Decimal(1), Decimal(4)), "bag")
    assert bags.bags_needed(figure("1.8", "L"), figure("0.5", "mL")).value == 3600
    assert not bags.bags_needed(volume, Figure.unknown("mL", "not told")).is_known


def test_weight_of_the_bags_is_judged_beyond_the_intervals_alone() -> None:
    dry = Figure.between(Decimal(1000), Decimal(1100), "g", "dry")
    heavy = [Figure.between(Decimal(1100), Decimal(1300), "g", "bag")]
    assert bags.filled_weight_problem(heavy, dry) is None
    problem = bags.filled_weight_problem([figure("1.101", "kg")], dry, "chili.toml: ")
    assert problem is not None
    assert problem.where == "chili.toml: packing.bag_weights"
    # Was: the dry weight with all its 28 digits, where losses had made it a quotient.
    third = Figure.exact(1000, "g", "dry") / 3
    long = bags.filled_weight_problem([figure("400", "g")], third)
    assert long is not None
    assert long.what == "the bags hold 400 g, more than the dry weight of 333 g"
    unknown = Figure.unknown("g", "not weighed")
    assert bags.filled_weight_problem(heavy, unknown) is None
    assert bags.filled_weight_problem([unknown], dry) is None
    assert bags.filled_weight_problem([], dry) is None


def test_uneven_bags_share_by_weight() -> None:
    weights = [figure("100", "g"), figure("300", "g")]
    filled = bags.bags_as_filled(weights, {"energy": figure("2000", "kcal"), "water": figure("1200", "mL")})
    assert [bag.holds["energy"].value for bag in filled] == [500, 1500]
    assert [bag.holds["water"].value for bag in filled] == [300, 900]
    assert bags.bags_as_filled([], {}) == []
    with pytest.raises(InputError, match="bag 2"):
        bags.bags_as_filled([weights[0], figure("0", "g")], {})


@settings(max_examples=40)
@given(
    st.decimals(min_value=0, max_value=500, places=2),
    st.lists(st.decimals(min_value=1, max_value=900, places=1), min_size=1, max_size=12),
)
def test_bag_prices_add_up_to_the_cent(cost: Decimal, weights: list[Decimal]) -> None:
    prices = bags.bag_prices(cost, [Figure.exact(weight, "g", "bag") for weight in weights], "USD")
    assert sum(prices) == cost


def test_bags_needed_and_bulk_volume() -> None:
    volume = bags.bulk_volume(figure("1000", "g"), figure("0.2", "g/mL"))
    assert (volume.value, volume.unit) == (Decimal(5000), "mL")
    assert bags.bags_needed(volume, figure("900", "mL")).value == 6
    with pytest.raises(InputError):
        bags.bags_needed(volume, figure("0", "mL"))


def test_bags_heavier_than_the_batch_are_warned_of() -> None:
    weights = [figure("600", "g"), figure("600", "g")]
    problem = bags.filled_weight_problem(weights, figure("1000", "g"))
    assert problem is not None
    assert problem.severity == "warning"
    assert "1200 g" in problem.what
    assert "1000 g" in problem.what
    assert bags.filled_weight_problem(weights, figure("1200", "g")) is None


def test_fat_and_air_shorten_the_range() -> None:
    day = date(2026, 1, 31)
    lean = keeping.keeping(day, oxygen_free=True)
    fatty = keeping.keeping(day, oxygen_free=True, fat_fraction_of_solids=Decimal("0.6"))
    in_air = keeping.keeping(day, oxygen_free=False)
    assert lean is not None
    assert fatty is not None
    assert in_air is not None
    assert lean.months > fatty.months > in_air.months
    assert fatty.best_by == date(2026, 7, 31)
    assert "best by 2026-07-31" in fatty.text
    assert "fat" in fatty.text
    assert "safe" not in fatty.text
    assert "no source" in fatty.source


def test_moist_food_gets_no_date() -> None:
    wet = Figure.exact(Decimal("0.12"), "", "r")
    assert keeping.keeping(date(2026, 1, 1), oxygen_free=True, residual_moisture=wet) is None


@pytest.mark.parametrize(("low", "high", "keeps"), [("0.02", "0.1", True), ("0.02", "0.101", False)])
def test_moisture_of_ten_percent_is_the_most_that_keeps(low: str, high: str, keeps: bool) -> None:
    # About 10 % (second-hand guidance), by the upper end of the interval; unknown moisture bars nothing.
    moisture = Figure.between(Decimal(low), Decimal(high), "", "r")
    assert (keeping.keeping(None, oxygen_free=True, residual_moisture=moisture) is not None) == keeps
    unknown = Figure.unknown("", "not weighed")
    assert keeping.keeping(None, oxygen_free=True, residual_moisture=unknown) is not None


@pytest.mark.parametrize(
    ("oxygen_free", "fat", "months", "best_by", "latest"),
    [
        # Common practice, no source. Half of the solids is not above half.
        (True, "0.5", (24, 120), date(2028, 3, 15), date(2036, 3, 15)),
        (True, "0.501", (6, 12), date(2026, 9, 15), date(2027, 3, 15)),
        (False, None, (3, 12), date(2026, 6, 15), date(2027, 3, 15)),
        (False, "0.501", (1, 3), date(2026, 4, 15), date(2026, 6, 15)),
    ],
)
def test_range_by_packing_and_fat(
    oxygen_free: bool, fat: str | None, months: tuple[int, int], best_by: date, latest: date
) -> None:
    share = None if fat is None else Decimal(fat)
    kept = keeping.keeping(date(2026, 3, 15), oxygen_free=oxygen_free, fat_fraction_of_solids=share)
    assert kept is not None
    assert (kept.months, kept.best_by, kept.latest) == (months, best_by, latest)
    assert ("without oxygen" in kept.text) == oxygen_free
    assert ("ordinary bags" in kept.text) == (not oxygen_free)
    assert ("fat" in kept.text) == (fat == "0.501")


def test_without_a_day_there_are_months_but_no_dates() -> None:
    kept = keeping.keeping(None, oxygen_free=False)
    assert kept is not None
    assert (kept.months, kept.best_by, kept.latest) == ((3, 12), None, None)
    assert "best by" not in kept.text


def test_months_end_on_a_day_that_exists() -> None:
    assert keeping.months_later(date(2026, 1, 31), 1) == date(2026, 2, 28)
    assert keeping.months_later(date(2026, 11, 30), 3) == date(2027, 2, 28)
    assert keeping.months_later(date(2026, 12, 31), 0) == date(2026, 12, 31)
    assert keeping.months_later(date(2026, 1, 31), 11) == date(2026, 12, 31)
    assert keeping.months_later(date(2027, 2, 28), 12) == date(2028, 2, 28)


def test_a_date_at_the_end_of_the_calendar_is_refused() -> None:
    assert keeping.months_later(date(9999, 11, 30), 1) == date(9999, 12, 30)
    with pytest.raises(InputError, match="9999-12-01"):
        keeping.months_later(date(9999, 12, 1), 1)


def test_bag_label_holds_what_a_bag_must_tell() -> None:
    label = bag_label(
        "Demo chili",
        raw=False,
        cooked=True,
        servings=figure("2.5", "serving"),
        energy_per_serving=figure("312.4", "kcal/serving"),
        water_to_add=figure("473.176473", "mL"),
        allergens=("milk", "soybeans"),
        packed_on=date(2026, 3, 1),
        lot="A7",
        best_by=date(2026, 9, 1),
        weight=figure("120", "g"),
    )
    assert label.lines == (
        "Demo chili",
        "Cooked before drying. Eat at once after adding water, heated to 165 °F (74 °C).",
        "Servings: 2.5",
        "312 kcal a serving",
        "Add 475 mL (2 cups) of water",
        "Dry weight: 120 g",
        "Allergens by name: milk, soybeans. A reading aid, no guarantee.",
        "Packed 2026-03-01",
        "Best by 2026-09-01 (quality)",
        "Lot A7",
    )


def test_raw_bag_says_so_even_where_called_cooked() -> None:
    assert bag_label("Demo", raw=True, cooked=True).lines[1] == RAW_WORDS
    assert "Not stated" in bag_label("Demo", raw=False, cooked=None).cooked_words
    unknown = bag_label("Demo", raw=False, cooked=False, servings=Figure.unknown("serving", "not told"))
    assert unknown.lines == (
        "Demo",
        "Not cooked before drying.",
        "Allergens by name: none named. A reading aid, no guarantee.",
    )


def test_bag_label_tells_that_a_list_of_ingredients_was_missing() -> None:
    # Allergens in it may be missed, so the label must not read as a full list.
    partly = bag_label("Demo", raw=False, cooked=True, allergens=("milk",), lists_missing=True)
    assert "milk; not every ingredient list was read" in partly.lines[-1]
    assert "not every" not in bag_label("Demo", raw=False, cooked=True, allergens=("milk",)).lines[-1]
