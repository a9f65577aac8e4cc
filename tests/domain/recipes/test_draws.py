"""What a line draws on a label, and what its money bought. Arithmetic by hand from the invented chili:
150 g a serving, 2.5 servings, 370 g and 420 kcal a can, 170 kcal and 13 g protein a serving."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from nutricost.domain.documents import Ingredient, Label, Printed
from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.records import Food
from nutricost.domain.labels import LabelReading, read_label
from nutricost.domain.quantities import Figure
from nutricost.domain.recipes.draws import as_bought, is_cups_of_a_cup, label_amount, used_and_bought
from nutricost.domain.recipes.lines import LineContent, label_content

D = Decimal
WHERE = "batch.toml: ingredients[1]"

# NIST Handbook 44, appendix C.
LB, OZ, CUP = D("453.59237"), D("28.349523125"), D("236.5882365")


def chili(**changes: Any) -> LabelReading:
    fields: dict[str, Any] = {
        "serving_g": D(150), "servings_per_container": D("2.5"),
        "printed": {key: Printed(D(n)) for key, n in {
            "energy": "170", "fat": "6", "carbohydrate": "15", "protein": "13", "sodium": "590"}.items()},
        "container_printed": {"energy": Printed(D(420))},
        "net_weight": Figure.exact(370, "g", "net weight"),
    }  # fmt: skip
    return read_label(Label("chili", "batch.toml: labels.chili", "150 g", **{**fields, **changes}))


def drawn(text: str, reading: LabelReading | None = None, **changes: Any) -> Figure:
    return label_amount(
        Ingredient(text, WHERE, label="chili", **changes), read_line(text), reading or chili()
    )


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("8 cans turkey chili", "8", "package"),
        ("2 kits chili", "2", "package"),
        ("3 chili", "3", "package"),
        ("1/2 can chili", "0.5", "package"),
        ("2 cans (15 oz each) chili", "2", "package"),
        ("4 pouches chili", "4", "package"),
        ("2 blocks chili", "2", "package"),
        ("3 servings chili", "3", "serving"),
        ("1 serving chili", "1", "serving"),
        ("500 g chili", "500", "g"),
        ("2 kg chili", "2000", "g"),
    ],
)
def test_amounts_by_their_unit(text: str, value: str, unit: str) -> None:
    amount = drawn(text)
    assert (amount.box, amount.unit) == ((D(value), D(value)), unit)
    assert (amount.source, amount.standing) == (f"{WHERE}.line", "given")
    assert amount.name == f"amount in '{text}'"


def test_pounds_and_ounces() -> None:
    assert drawn("2 lb chili").value == 2 * LB
    assert drawn("12 oz chili").value == 12 * OZ


def test_ranges_keep_both_ends() -> None:
    assert drawn("2-3 cans chili").box == (D(2), D(3))
    assert drawn("1 to 2 servings chili").box == (D(1), D(2))
    assert drawn("400 to 500 g chili").box == (D(400), D(500))


def test_what_is_poured_off_is_negative() -> None:
    assert drawn("-100 g chili").box == (D(-100), D(-100))
    assert drawn("-2 cans chili").box == (D(-2), D(-2))
    assert drawn("-1 to 2 servings chili").box == (D(-2), D(-1))


def test_cups_need_a_serving_size_with_volume_and_grams() -> None:
    # 1 cup on a label is 240 mL, 21 CFR 101.9(b)(5)(viii); in the kitchen 236.588 mL.
    both = chili(serving_g=D(240), serving_ml=D(240))
    assert drawn("2 cups chili", both).must() == pytest.approx(2 * CUP, rel=D("1e-20"))
    dense = chili(serving_g=D(264), serving_ml=D(240))  # 1.1 g/mL
    assert drawn("2 cups chili", dense).must() == pytest.approx(2 * CUP * D("1.1"), rel=D("1e-20"))
    assert drawn("2 cups chili", dense).unit == "g"
    without = drawn("2 cups chili")
    assert without.value is None
    assert "does not give both a volume and grams" in without.why


def test_pinned_grams_win_over_the_line() -> None:
    pinned = Figure.exact(900, "g", "grams")
    assert drawn("8 cans chili", grams=pinned) is pinned


def test_a_line_without_an_amount_is_one_package_and_says_so() -> None:
    amount = drawn("turkey chili")
    assert (amount.value, amount.unit, amount.standing) == (D(1), "package", "assumed")
    assert amount.source == f"{WHERE}.line: no amount, taken as one package"
    assert amount.name == "amount in 'turkey chili'"


@pytest.mark.parametrize(
    ("text", "label", "either"),
    [
        ("2 cups soup", "lentil soup cup", True),
        ("2 cups soup", "Noodle Cups", True),
        ("2 cups soup", "lentil soup", False),
        ("2 cups soup", "hiccups", False),
        ("2 cans soup", "lentil soup cup", False),
        ("2 soup", "lentil soup cup", False),
    ],
)
def test_cups_of_what_is_sold_as_a_cup(text: str, label: str, either: bool) -> None:
    assert is_cups_of_a_cup(read_line(text), label) is either


def content(text: str, reading: LabelReading | None = None) -> LineContent:
    label = reading or chili()
    return label_content(label, drawn(text, label), text)


def test_packages_take_the_containers_own_column() -> None:
    # Energy 8 x 420 as printed for the can; protein 8 x 13 x 370 / 150, for it is not printed for the can.
    eight = content("8 cans chili")
    assert eight.nutrients["energy"].value == 3360
    assert eight.nutrients["protein"].must() == pytest.approx(D(8 * 13 * 370) / 150, rel=D("1e-20"))
    assert eight.weight.value == 2960
    assert eight.nutrients["energy"].formula == "amount x content of one"
    assert eight.weight.name == "weight of 8 cans chili"
    assert eight.nutrients["sugar"].value is None


def test_servings_take_the_panel() -> None:
    three = content("3 servings chili")
    assert three.nutrients["energy"].value == 510
    assert three.nutrients["protein"].value == 39
    assert three.weight.value == 450
    # Water by difference: 150 - 6 - 15 - 13 - salt 0.590 x 2.54 = 114.5014 g a serving.
    assert three.water.value == 3 * D("114.5014")
    assert three.solids.value == 3 * (150 - D("114.5014"))
    # 165 to 175 kcal is printed as 170 (21 CFR 101.9(c)(1)).
    assert three.nutrients["energy"].box == (D(495), D(525))


def test_weights_take_the_panel_by_weight_and_the_container_where_it_is_weighed() -> None:
    half = content("185 g chili")  # half a can
    assert half.nutrients["energy"].must() == pytest.approx(D(210), rel=D("1e-20"))
    assert half.nutrients["protein"].must() == pytest.approx(D(13 * 185) / 150, rel=D("1e-20"))
    assert half.weight.value == 185
    assert half.water.must() == pytest.approx(D("114.5014") * 185 / 150, rel=D("1e-20"))


def test_the_parts_of_a_can_add_up_to_the_can() -> None:
    whole, parts = content("1 can chili"), content("370 g chili")
    for key in ("energy", "protein", "fat", "sodium"):
        assert parts.nutrients[key].must() == pytest.approx(whole.nutrients[key].must(), rel=D("1e-20"))
    assert parts.water.must() == pytest.approx(whole.water.must(), rel=D("1e-20"))


def test_a_printed_serving_counts_once_in_weight_and_water() -> None:
    # Weight is exact, the macros are rounded: solids = weight - water may not get wider than water.
    three = content("3 servings chili")
    assert three.solids.high - three.solids.low == three.water.high - three.water.low


def compared(line: str, bought: str, weight: Figure | None = None) -> tuple[Figure, Figure] | None:
    ingredient = Ingredient(line, WHERE, shared_for=bought)
    return used_and_bought(ingredient, weight or Figure.exact(700, "g", "weight of the line"))


def range_of(low: str, high: str, unit: str) -> Figure:
    return Figure.between(D(low), D(high), unit, "weight of the line")


@pytest.mark.parametrize(
    ("line", "bought", "weight"),
    [
        # A cup that weighs 134 g: 268 to 402 g. 2 to 3 lb by NIST Handbook 44. Cans of 370 g.
        ("2-3 cups frozen peas", "4 cups", range_of("268", "402", "g")),
        ("2-3 lb corn", "5 lb", range_of("907.18474", "1360.77711", "g")),
        ("2-3 cans chili", "12 cans", range_of("2", "3", "package") * Figure.exact(370, "g/package")),
    ],
)
def test_a_range_counts_once_in_what_is_eaten_and_what_is_charged(
    line: str, bought: str, weight: Figure
) -> None:
    # Was: eaten over used spread from 2 / 3 to 3 / 2 of its value, as if they were two amounts.
    pair = compared(line, bought, weight)
    assert pair is not None
    used, _ = pair
    assert not used.is_exact
    each = weight / used
    assert each.low == pytest.approx(each.high, rel=D("1e-20"))


def test_a_weight_that_is_uncertain_by_itself_stays_apart() -> None:
    pair = compared("2-3 cups frozen peas", "4 cups", range_of("200", "500", "g"))
    assert pair is not None
    assert pair[0].box == (2 * CUP, 3 * CUP)
    assert pair[0].parts == ()


@pytest.mark.parametrize(
    ("line", "bought", "used", "whole", "unit"),
    [
        ("3 lb frozen sweet corn", "5 lb", 3 * LB, 5 * LB, "g"),
        ("500 g corn", "2 kg", D(500), D(2000), "g"),
        ("24 oz corn", "2 lb", 24 * OZ, 2 * LB, "g"),
        ("2 cups milk", "1 gallon", 2 * CUP, D("3785.411784"), "mL"),
        ("8 cans chili", "12 cans", D(8), D(12), "package"),
        ("8 cans chili", "12", D(8), D(12), "package"),
        ("3 onions", "10", D(3), D(10), "package"),
        # Was: a counting word alone was refused as another kind of package.
        ("2 sticks butter", "4 sticks", D(2), D(4), "package"),
        ("4 servings chili", "7 servings", D(4), D(7), "package"),
        ("3 slices bread", "20 slices", D(3), D(20), "package"),
        ("1 bunch kale", "2 bunches", D(1), D(2), "package"),
        ("2-3 cans chili", "12 cans", D(2), D(12), "package"),
    ],
)
def test_used_and_bought(line: str, bought: str, used: Decimal, whole: Decimal, unit: str) -> None:
    pair = compared(line, bought)
    assert pair is not None
    assert (pair[0].low, pair[1].low) == (used, whole)
    assert pair[0].unit == pair[1].unit == unit
    assert (pair[0].source, pair[1].source) == (f"{WHERE}.line", f"{WHERE}.for")
    assert (pair[0].name, pair[1].name) == ("used", f"bought: {bought}")
    assert pair[0].standing == "given"


@pytest.mark.parametrize(
    ("line", "bought", "used", "whole"),
    [
        ("3 lb corn", "2 bags (5 lb)", (3 * LB, 3 * LB), (10 * LB, 10 * LB)),
        ("3 lb corn", "2-3 bags (5 lb)", (3 * LB, 3 * LB), (10 * LB, 15 * LB)),
        ("corn", "2 bags (500 g)", (D(700), D(700)), (D(1000), D(1000))),  # the weight of the line
        ("5 onions", "2 bags (500 g)", (D(700), D(700)), (D(1000), D(1000))),
    ],
)
def test_packages_of_a_stated_weight_are_bought_by_weight(
    line: str, bought: str, used: tuple[Decimal, Decimal], whole: tuple[Decimal, Decimal]
) -> None:
    pair = compared(line, bought)
    assert pair is not None
    assert (pair[0].box, pair[1].box, pair[1].unit) == (used, whole, "g")
    assert (pair[1].name, pair[1].source) == (f"bought: {bought}", f"{WHERE}.for")


def test_packages_used_of_the_same_packages_are_counted_whatever_they_weigh() -> None:
    pair = compared("1 bag corn", "2 bags (5 lb)")
    assert pair is not None
    assert (pair[0].value, pair[1].value, pair[1].unit) == (D(1), D(2), "package")
    # A volume in each says nothing of a weight used.
    assert compared("3 lb milk", "2 bottles (500 mL)") is None


def test_counts_are_alike_by_the_words_of_the_line() -> None:
    pair = compared("3 onions", "10 onions")
    assert pair is not None and (pair[0].value, pair[1].value) == (D(3), D(10))
    assert compared("3 onions", "10 carrots") is None


BANANA = Food("ndb:09040", "sr28", "bananas, raw", release="SR28", refuse_fraction=D("0.36"))
"""36 % of a banana as bought is skin: USDA SR28, NDB 09040."""


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        # 640 g of flesh were 640 / 0.64 = 1000 g of bananas, where the line counts them.
        ("5 bananas", "1000"),
        ("5 medium bananas", "1000"),
        ("5 bananas, sliced", "1000"),
        ("2 slices banana", "1000"),
        # Stated, measured by the cup, or bought without it.
        ("640 g bananas", "640"),
        ("3 cups bananas", "640"),
        ("bananas", "640"),
        ("5 bananas (640 g)", "640"),
        ("5 (128 g) bananas", "640"),
        ("5 peeled bananas", "640"),
        ("5 bananas, without skin", "640"),
    ],
)
def test_what_counted_pieces_weighed_when_they_were_bought(text: str, grams: str) -> None:
    flesh = Figure.exact(640, "g", "edible weight")
    bought = as_bought(Ingredient(text, WHERE), flesh, BANANA)
    assert (bought.value, bought.unit) == (D(grams), "g")
    assert (bought is flesh) is (grams == "640")
    if bought is not flesh:
        assert bought.parts[1].source == "refuse, SR28"
    assert as_bought(Ingredient(text, WHERE), flesh, replace(BANANA, refuse_fraction=D(0))) is flesh


def test_a_count_used_of_a_weight_bought_goes_by_the_weight_of_the_line() -> None:
    weight = Figure.exact(700, "g", "weight of 5 onions")
    pair = compared("5 onions", "3 lb", weight)
    assert pair is not None
    assert pair[0] is weight
    assert pair[1].value == 3 * LB
    assert compared("2 cups corn", "3 lb", weight) is not None
    assert compared("onions", "3 lb", weight) is not None


@pytest.mark.parametrize(
    ("line", "bought"),
    [
        ("8 cans chili", "12 bags"),  # other packages
        ("3 onions", "2 bags"),
        ("3 lb corn", "2 cups"),  # a weight out of a volume
        ("8 cans chili", "1 gallon"),
        ("corn", "12 cans"),  # no amount used
        ("8 cans chili", "some"),  # no amount bought
    ],
)
def test_what_cannot_be_compared(line: str, bought: str) -> None:
    assert compared(line, bought) is None


def test_nothing_is_compared_without_for() -> None:
    assert used_and_bought(Ingredient("3 lb corn", WHERE), Figure.exact(1, "g")) is None
