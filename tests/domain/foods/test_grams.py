"""Grams of lines. Household weights of the foods here are SR28's (file WEIGHT), copied by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricost.domain.foods.grams import line_grams
from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.records import Food, HouseholdWeight


def food(description: str, *weights: tuple[str, str, str], group: str = "", refuse: str = "0") -> Food:
    return Food(
        key="ndb:00000",
        source="sr28",
        description=description,
        group=group,
        household_weights=tuple(HouseholdWeight(Decimal(a), m, Decimal(g)) for a, m, g in weights),
        refuse_fraction=Decimal(refuse),
    )


# SR28 11282, 16018, 05006, 01096 and 01053.
ONION = food(
    "Onions, raw",
    ("1", "cup, chopped", "160"),
    ("1", "cup, sliced", "115"),
    ("1", "large", "150"),
    ("1", 'medium (2-1/2" dia)', "110"),
    ("1", "small", "70"),
    ("1", "slice, thin", "9"),
    refuse="0.10",
)
BEANS = food("Beans, black turtle, mature seeds, canned", ("1", "cup", "240"))
CHICKEN = food(
    "Chicken, broilers or fryers, meat and skin, raw",
    ("0.5", "chicken, bone removed", "460"),
    refuse="0.32",
)
MILK = food(
    "Milk, canned, evaporated, with added vitamin D",
    ("1", "fl oz", "31.5"),
    ("1", "cup", "252"),
    group="Dairy and Egg Products",
)
CREAM = food("Cream, fluid, heavy whipping", ("1", "cup, whipped", "120"), ("1", "cup, fluid", "238"))


def value(text: str, of: Food | None) -> float:
    grams = line_grams(read_line(text), of).value
    assert grams is not None
    return float(grams)


def test_exact_ounces_and_pounds() -> None:
    # NIST Handbook 44, Appendix C (from memory): 453.59237 g a pound, 28.349523125 g an ounce.
    assert line_grams(read_line("2 lb onions"), ONION).value == Decimal("907.18474")
    assert line_grams(read_line("8 oz onions"), ONION).value == Decimal("226.796185")


def test_a_range_keeps_both_ends() -> None:
    grams = line_grams(read_line("2-3 lb onions"), ONION)
    assert (grams.low, grams.high) == (Decimal("907.18474"), Decimal("1360.77711"))
    assert grams.value == (Decimal("907.18474") + Decimal("1360.77711")) / 2


def test_household_weights_by_form_and_size() -> None:
    assert value("2 cups chopped onions", ONION) == pytest.approx(320)
    assert value("1 cup onions, sliced", ONION) == pytest.approx(115)
    assert value("1 large onion", ONION) == 150
    assert value("2 medium onions, diced", ONION) == 220
    counted = line_grams(read_line("1 onion"), ONION)
    assert (counted.low, counted.value, counted.high) == tuple(map(Decimal, (70, 110, 150)))


def test_other_volumes_by_the_same_density() -> None:
    assert value("1 pint chopped onions", ONION) == pytest.approx(320)
    assert value("100 ml chopped onions", ONION) == pytest.approx(160 / 236.5882365 * 100)
    assert value("300 ml cream", CREAM) == pytest.approx(238 / 236.5882365 * 300)


def test_packages_and_draining() -> None:
    assert value("2 (15 oz) cans black beans", BEANS) == pytest.approx(850.5, abs=0.1)
    drained = line_grams(read_line("1 (15 oz) can black beans, drained"), BEANS)
    # A 15.5 oz can of chickpeas holds 253 g drained (SR28 16358): about 0.58.
    assert drained.value is not None and drained.low is not None and drained.high is not None
    assert drained.estimated and drained.low < drained.value < drained.high
    assert float(drained.value) == pytest.approx(425.24 * 0.58, rel=0.05)


def test_a_can_of_a_liquid_is_fluid_ounces() -> None:
    assert value("1 can (12 oz) evaporated milk", MILK) == pytest.approx(378, rel=0.01)


def test_refuse_only_where_the_whole_thing_is_named() -> None:
    assert value("4 lb whole chicken", CHICKEN) == pytest.approx(4 * 453.59237 * 0.68)
    assert value("2 lb onions", ONION) == pytest.approx(907.18, abs=0.01)


def test_what_is_poured_off_is_negative() -> None:
    grams = line_grams(read_line("-200 g bacon grease"), None)
    assert grams.low == grams.value == grams.high == Decimal(-200)


# SR28 05139: 'half a duck', and no weight of a breast.
DUCK = food("Duck, domesticated, meat and skin, raw", ("0.5", "duck", "634"))


def test_parts_were_weighed_as_whole_birds() -> None:
    assert value("1 duck", DUCK) == 1268
    assert 300 <= value("2 duck breasts", DUCK) <= 600  # 150 to 300 g each: common practice, no source
    assert value("2 duck legs", DUCK) < 600
    assert line_grams(read_line("2 duck tails"), DUCK).value is None
    turkey = food("Turkey, wing, from whole bird, meat only, raw", ("1", "bird", "5002"))
    assert value("2 turkey wings", turkey) < 1000


def test_a_leftover_dish_without_a_row_weighs_as_dishes_do() -> None:
    # 0.75 to 1.08 g/mL, as every dish: common practice, no source.
    assert value("2 cups leftover shepherd's pie", None) == pytest.approx(473, abs=1)


def test_a_stated_weight_needs_no_food() -> None:
    assert value("200 g frobbled snoozle", None) == 200


def test_unknown_says_what_to_give() -> None:
    for text in ("salt to taste", "2 cups frobbled snoozle", "3 snoozles"):
        grams = line_grams(read_line(text), None)
        assert grams.value is None and grams.low is None and grams.needs


@given(st.integers(1, 40), st.sampled_from(["oz", "lb", "g", "cup", "tbsp", "pint"]))
def test_grams_grow_with_the_amount(count: int, unit: str) -> None:
    assert value(f"{count + 1} {unit} chopped onion", ONION) > value(f"{count} {unit} chopped onion", ONION)


@given(st.text(max_size=120))
def test_any_line_has_an_interval_or_a_need(text: str) -> None:
    grams = line_grams(read_line(text), ONION)
    if grams.value is None:
        assert grams.needs
    else:
        assert grams.low is not None and grams.high is not None
        assert grams.low <= grams.value <= grams.high
