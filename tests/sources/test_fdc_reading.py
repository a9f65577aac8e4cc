"""Real answers of FoodData Central (beside the checkout, CC0) and the facts of checks.md section 9."""

from __future__ import annotations

import copy
import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published_samples import sample

from nutricost.domain.foods.records import NUTRIENTS, HouseholdWeight
from nutricost.errors import NutricostError, SourceError
from nutricost.sources.fdc_keys import read_json
from nutricost.sources.fdc_labels import described_portion, portion_weight
from nutricost.sources.fdc_reading import read_food, read_foods, read_search


def nutrient(number: str, amount: object, unit: str = "g", **more: object) -> dict[str, object]:
    return {"nutrient": {"number": number, "name": "Energy", "unitName": unit}, "amount": amount, **more}


def made(**more: object) -> dict[str, object]:
    """An invented food; no row of the service."""
    return {"fdcId": 1, "dataType": "Foundation", "description": "Invented food", **more}


def test_an_amount_below_zero_is_not_known() -> None:
    """Found by fuzzing."""
    food = read_food(made(foodNutrients=[nutrient("205", -0.4), nutrient("203", 20.1)])).food
    assert food.per_100g("carbohydrate") is None
    assert food.per_100g("protein") == Decimal("20.1")


@pytest.mark.parametrize(
    ("name", "key", "expected"),
    [
        ("search_2023_foundation", "energy", "157"),  # FDC 746766: 208 in kcal, not 268 in kJ (657)
        ("search_2023_foundation", "protein", "7.81"),
        ("search_2023_foundation", "sodium", "105"),
        ("search_2023_foundation", "water", "72.9"),
        ("search_2023_surveyfndds", "energy", "61"),
        ("search_2023_surveyfndds", "sugar", "4.81"),
        ("search_2023_surveyfndds", "alcohol", "0"),
        ("search_2023_surveyfndds", "vitamin_d", "1.1"),
    ],
)
def test_search_hits_are_read_by_number_and_unit(name: str, key: str, expected: str) -> None:
    page = read_search(sample(name))
    (found,) = page.foods
    assert found.food.per_100g(key) == Decimal(expected)
    assert page.total_hits > 1
    assert page.pages == page.total_hits


def test_every_value_of_a_search_hit_is_the_published_one() -> None:
    (raw,) = sample("search_2023_srlegacy")["foods"]
    published = {row["nutrientNumber"]: row["value"] for row in raw["foodNutrients"]}
    food = read_search(sample("search_2023_srlegacy")).foods[0].food
    assert food.ndb_number == "18223"
    for key, value in food.nutrients.items():
        assert value.amount_per_100g == Decimal(str(published[NUTRIENTS[key].number])), key
    assert {key for key, known in NUTRIENTS.items() if known.number in published} == set(food.nutrients)


def test_foundation_energy_without_208_takes_the_specific_factors() -> None:
    # FDC 2262072 has 957 (631.65) and 958 (589.383006) and no 208.
    found = read_food(sample("trimmed_foundation_2262072"))
    assert found.food.per_100g("energy") == Decimal("589.383006")
    assert found.food.source == "foundation"
    value = found.food.nutrients["fat"]
    assert (value.amount_per_100g, value.data_points) == (Decimal("49.43"), 8)


def test_energy_choice() -> None:
    rows = [nutrient("957", 200, "kcal"), nutrient("268", 900, "kJ")]
    assert read_food(made(foodNutrients=rows)).food.per_100g("energy") == 200
    macros = [nutrient("203", 10), nutrient("204", 5), nutrient("205", 20), nutrient("268", 900, "kJ")]
    value = read_food(made(foodNutrients=macros)).food.nutrients["energy"]
    assert value.amount_per_100g == 165  # 4 x 10 + 9 x 5 + 4 x 20
    assert value.standing == "estimated"
    assert read_food(made(foodNutrients=[nutrient("268", 900, "kJ")])).food.per_100g("energy") is None
    kilojoules = [nutrient("208", 900, "kJ")]
    assert read_food(made(foodNutrients=kilojoules)).food.per_100g("energy") is None


def test_ids_are_not_numbers() -> None:
    # 1093 is the id of sodium (number 307), 2047 that of energy by general factors (number 957).
    rows = [
        {"nutrient": {"id": 1093, "unitName": "mg"}, "amount": 130},
        {"nutrient": {"id": 2047, "unitName": "kcal"}, "amount": 77},
        {"nutrient": {"id": 307, "unitName": "mg"}, "amount": 1},
    ]
    food = read_food(made(foodNutrients=rows)).food
    assert food.per_100g("sodium") == 130
    assert food.per_100g("energy") == 77


def test_missing_is_not_zero_and_zero_is_zero() -> None:
    header = {"nutrient": {"id": 2045, "number": "951", "name": "Proximates", "unitName": "g"}}
    text = json.dumps(made(foodNutrients=[header, {"nutrient": {"number": "204", "unitName": "g"}}, "ZERO"]))
    zero = '{"nutrient": {"number": "203", "unitName": "g"}, "amount": 0E-8}'
    food = read_food(read_json(text.replace('"ZERO"', zero), "test")).food
    assert food.per_100g("fat") is None
    assert str(food.per_100g("protein")) == "0"


@pytest.mark.parametrize("unit", ["µg", "μg", "UG", "mcg", "ug"])
def test_micrograms_in_every_spelling(unit: str) -> None:
    assert read_food(made(foodNutrients=[nutrient("328", 3, unit)])).food.per_100g("vitamin_d") == 3


def test_vitamin_d_in_international_units() -> None:
    # FDC 168149 gives 324 only: 1006 IU, 40 IU to the microgram.
    food = read_food(sample("trimmed_srlegacy_168149")).food
    assert food.per_100g("vitamin_d") == Decimal("25.150")


def test_abridged_rows() -> None:
    row = {
        "number": 303,
        "name": "Iron, Fe",
        "amount": Decimal("0.53"),
        "unitName": "mg",
        "derivationCode": "LCCD",
    }
    (found,) = read_foods([made(dataType="Branded", foodNutrients=[row])])
    value = found.food.nutrients["iron"]
    assert (value.amount_per_100g, value.standing) == (Decimal("0.53"), "declared")


def test_a_branded_label_and_its_values_per_100_g() -> None:
    # FDC 2643119: every non-zero label figure / 27 g x 100 is the value per 100 g, as USDA rounds it.
    answer = sample("trimmed_branded_2643119")
    found = read_food(answer)
    label = found.label
    assert label is not None
    assert label.serving_amount == 27
    assert label.serving_unit == "g"  # servingSizeUnit "GRM"
    pairs = 0
    for key, printed in label.per_serving.items():
        per_100g = found.food.per_100g(key)
        assert per_100g is not None
        if printed:
            pairs += 1
            places = Decimal(1).scaleb(int(per_100g.normalize().as_tuple().exponent))
            assert abs(printed / 27 * 100 - per_100g) <= max(places, Decimal("0.01")), key
    assert pairs == 8
    assert label.less_than == {"sugar"}  # 0.999 g with code LCSL
    assert found.food.nutrients["sugar"].standing == "declared"
    assert found.food.household_weights == (
        HouseholdWeight(Decimal(3), "Peanut Butter Cups", Decimal("27.0")),
    )


def test_a_search_hit_of_a_branded_food_gives_its_label_too() -> None:
    hit = made(
        dataType="Branded",
        gtinUpc="0012345678905",
        servingSize=50,
        servingSizeUnit="g",
        foodNutrients=[{"nutrientNumber": "208", "unitName": "KCAL", "value": 300}],
    )
    label = read_food(hit).label
    assert label is not None
    assert label.per_serving == {"energy": 150}
    assert label.gtin == "0012345678905"


def test_a_branded_liquid_has_no_values_per_100_g() -> None:
    liquid = made(
        dataType="Branded",
        servingSize=240,
        servingSizeUnit="MLT",
        foodNutrients=[nutrient("208", 45, "kcal")],
    )
    found = read_food(liquid)
    assert (found.basis, dict(found.food.nutrients)) == ("100 mL", {})
    assert found.label is not None
    assert found.label.serving_unit == "mL"
    assert found.label.per_serving["energy"] == 108


def test_portions_of_sr_legacy() -> None:
    food = read_food(sample("trimmed_srlegacy_168149")).food
    assert food.household_weights == (
        HouseholdWeight(Decimal("1.0"), 'piece (5-1/2" x 1-1/2" x 1/2")', Decimal("80.0")),
        HouseholdWeight(Decimal("1.0"), "cubic inch, boneless", Decimal("17.0")),
        HouseholdWeight(Decimal("1.0"), "cup, cooked", Decimal("136.0")),
    )
    assert portion_weight(None, "", "cup", Decimal(140)) == HouseholdWeight(Decimal(1), "cup", Decimal(140))


def test_portions_of_survey_foods() -> None:
    food = read_food(sample("trimmed_fndds_2709225")).food
    assert food.household_weights[0] == HouseholdWeight(Decimal(1), "banana", Decimal(140))
    assert all("specified" not in weight.measure for weight in food.household_weights)


def test_portions_of_foundation_foods() -> None:
    portion = {
        "measureUnit": {"id": 1000, "name": "cup"},
        "modifier": "chopped",
        "amount": Decimal("0.5"),
        "gramWeight": 70,
    }
    food = read_food(made(foodPortions=[portion, {"measureUnit": {"id": 1000, "name": "cup"}}])).food
    assert food.household_weights == (HouseholdWeight(Decimal("0.5"), "cup, chopped", Decimal(70)),)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1 banana", ("1", "banana")),
        ("1/2 cup, diced", ("0.5", "cup, diced")),
        ("1 fl oz (no ice)", ("1", "fl oz (no ice)")),
        ("cup", ("1", "cup")),
        ("Quantity not specified", None),
        ("", None),
    ],
)
def test_portions_in_words(text: str, expected: tuple[str, str] | None) -> None:
    weight = described_portion(text, Decimal(100))
    assert (weight and (str(weight.amount), weight.measure)) == expected


def test_keys_may_be_missing_or_unknown() -> None:
    food = read_food({"fdcId": 5, "description": "Invented food", "somethingNew": {"a": 1}}).food
    assert (food.key, food.source, dict(food.nutrients)) == ("fdc:5", "live", {})


@pytest.mark.parametrize(
    "change",
    [
        {"foodNutrients": "none"},
        {"foodNutrients": [3]},
        {"foodNutrients": [nutrient("203", "1.5")]},
        {"foodNutrients": [nutrient("203", True)]},
        {"foodNutrients": [nutrient("203", 1, "slug")]},
        {"foodPortions": {"gramWeight": 3}},
        {"foodPortions": [{"gramWeight": "3"}]},
        {"description": ["a"]},
        {"ndbNumber": 1.5},
        {"dataType": "Branded", "servingSize": 30, "servingSizeUnit": "g", "labelNutrients": []},
    ],
    ids=str,
)
def test_a_changed_type_names_the_food(change: dict[str, object]) -> None:
    with pytest.raises(SourceError, match="fdc:1: "):
        read_food(made(**change))


@pytest.mark.parametrize("answer", [None, [], "x", {}, {"fdcId": "7"}, {"fdcId": True}, {"fdcId": 3}])
def test_what_is_no_food_is_refused(answer: object) -> None:
    with pytest.raises(SourceError):
        read_food(answer)


@pytest.mark.parametrize("text", ["<!doctype html>", '{"foods": [', "", "NaN", "[" * 5000, b"\xff\xfe"])
def test_what_is_no_json_is_refused(text: str | bytes) -> None:
    with pytest.raises(SourceError, match="search answer"):
        read_json(text, "search answer")


_json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 2000) | st.floats() | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=150)
@given(st.data())
def test_any_value_in_any_place_is_read_or_refused(data: st.DataObject) -> None:
    """Whatever the service changes, the answer is a food or a SourceError, never another exception."""
    name = data.draw(
        st.sampled_from(["trimmed_srlegacy_168149", "trimmed_branded_2643119", "trimmed_fndds_2709225"])
    )
    answer: Any = copy.deepcopy(sample(name))
    place: Any = answer
    key: Any = data.draw(st.sampled_from(sorted(answer)))
    while isinstance(place[key], dict | list) and place[key] and data.draw(st.booleans()):
        place = place[key]
        key = data.draw(st.sampled_from(sorted(place) if isinstance(place, dict) else range(len(place))))
    place[key] = data.draw(_json_values)
    try:
        read_food(answer)
    except NutricostError as error:
        assert str(error)
