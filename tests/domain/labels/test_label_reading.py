"""What a serving, a package and a weight of a labelled food hold."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_labels import CHILI, chili, printed

from nutricost.domain.documents import LABEL_NUTRIENTS, Label, Printed
from nutricost.domain.labels import (
    LabelReading,
    content_of_weight,
    label_problems,
    label_serving,
    package_content,
    package_weight,
    per_gram,
    read_label,
    serving_ash,
    serving_solids,
    serving_water,
    serving_weight,
    servings_routes,
    water_per_gram,
    weight_of_volume,
)
from nutricost.domain.labels.reading import content_routes
from nutricost.domain.labels.rounding import RULES, round_servings
from nutricost.domain.quantities import Figure, total

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference" / "label_against_100g.csv"


def reference_rows() -> list[dict[str, str]]:
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def reference_label() -> Label:
    """The label of FDC 2643119 (source in the fixture): 27 g a serving, sugar 'less than 1 g'."""
    rows = {
        row["nutrient"]: Printed(
            Decimal(row["less_than"] or row["printed_per_serving"]), bool(row["less_than"])
        )
        for row in reference_rows()
    }
    return Label(
        "a branded food", "fixture", "27 g", serving_g=Decimal(27),
        printed={key: value for key, value in rows.items() if key in LABEL_NUTRIENTS},
        extra={key: value for key, value in rows.items() if key not in LABEL_NUTRIENTS},
    )  # fmt: skip


@pytest.mark.parametrize("row", reference_rows(), ids=lambda row: row["nutrient"])
def test_per_100_g_agrees_with_usda(row: dict[str, str]) -> None:
    """USDA FoodData Central, FDC 2643119: per 100 g as USDA derived it from the same label."""
    reading = read_label(reference_label())
    nutrient, published = row["nutrient"], Decimal(row["per_100g"])
    if nutrient in reading.extra:
        content = reading.extra[nutrient] / serving_weight(reading)
    else:
        content = per_gram(reading)[nutrient]
    assert content.low * 100 <= published <= content.high * 100
    if not row["less_than"]:  # the midpoint of '<1' is ours, not USDA's 0.999
        assert abs(content.must() * 100 - published) <= Decimal(row["tolerance"])


def test_a_gap_between_label_and_4_4_9_is_no_finding_by_itself() -> None:
    """FDC 2643119: 4-4-9 gives 159 kcal, the label 140, because of fibre; nothing is wrong with it."""
    assert label_problems(read_label(reference_label())) == []


def test_each_printed_figure_is_one_object() -> None:
    reading = read_label(chili())
    fat = label_serving(reading)["fat"]
    twice = total([fat, fat], "two servings")
    assert (twice.low, twice.high) == (Decimal(11), Decimal(13))
    assert (fat - label_serving(reading)["fat"]).box == (Decimal(0), Decimal(0))


def test_printed_figures_keep_value_interval_and_place() -> None:
    energy = read_label(chili()).per_serving["energy"]
    assert [energy.low, energy.value, energy.high] == [165, 170, 175]
    assert energy.unit == "kcal/serving"
    assert energy.standing == "as printed"
    assert "labels.chili" in energy.source and "101.9(c)(1)" in energy.source


def test_what_is_not_printed_is_unknown_not_zero() -> None:
    reading = read_label(chili({"energy": "170"}))
    assert reading.per_serving["fat"].value is None
    assert reading.per_serving["fat"].why == "fat not printed on the label 'chili'"
    assert package_content(reading)["fat"].value is None


def test_less_than_one_is_half_between_zero_and_one() -> None:
    sugar = read_label(chili({**CHILI, "sugar": "<1"})).per_serving["sugar"]
    assert [sugar.low, sugar.value, sugar.high] == [0, Decimal("0.5"), 1]


def test_a_figure_printed_more_precisely_is_noted() -> None:
    (note,) = read_label(chili({**CHILI, "fat": "6.25"})).notes
    assert "fat 6.25" in note and "101.9(c)(2)" in note


def test_best_evidence_is_decided_for_each_nutrient_apart() -> None:
    """method.md 2; by hand: 6 g x 370/150 = 14.8 g, 5.5 and 6.5 g likewise; calories from the column."""
    content = package_content(read_label(chili()))
    assert content["energy"].formula == "printed for the container"
    assert [content["energy"].low, content["energy"].value, content["energy"].high] == [415, 420, 425]
    assert content["fat"].formula == "per serving x (net weight / serving weight)"
    assert content["fat"].unit == "g/package"
    assert content["fat"].must() == pytest.approx(Decimal("14.8"))
    assert content["fat"].low == pytest.approx(Decimal(370) * Decimal("5.5") / 150)
    assert content["sodium"].unit == "mg/package"


def test_without_net_weight_the_second_column_counts_the_servings() -> None:
    """By hand: 6 g x 420/170 = 14.82 g."""
    content = package_content(read_label(chili(net_weight=None)))
    assert content["fat"].formula == "per serving x (container calories / serving calories)"
    assert content["fat"].must() == pytest.approx(Decimal(6) * 420 / 170)


def test_printed_servings_are_the_last_resort() -> None:
    """By hand: 170 x 2.5 = 425; 165 x 2.25 = 371.25; 175 x 2.75 = 481.25."""
    energy = package_content(read_label(chili(net_weight=None, container_printed={})))["energy"]
    assert energy.formula == "per serving x (printed servings)"
    assert energy.value == Decimal(425)
    assert (energy.low, energy.high) == (Decimal("371.25"), Decimal("481.25"))


def test_about_one_serving_is_rounded_and_one_is_not() -> None:
    """21 CFR 101.9(b)(6), (b)(8): 'about 1' may be 0.5 to 1.5 servings of 150 g."""
    for about, low, high in ((True, 75, 225), (False, 150, 150)):
        label = chili(servings_per_container=Decimal(1), servings_about=about, net_weight=None)
        assert package_weight(read_label(label)).box == (Decimal(low), Decimal(high))


def test_no_evidence_for_a_package_is_said() -> None:
    reading = read_label(chili(net_weight=None, container_printed={}, servings_per_container=None))
    energy = package_content(reading)["energy"]
    assert energy.value is None
    assert "does not say how much a package holds" in energy.why
    assert "no net weight" in package_weight(reading).why


def test_a_figure_of_the_second_column_alone_settles_the_package() -> None:
    figures = {key: value for key, value in CHILI.items() if key != "protein"}
    column = printed({"energy": "420", "protein": "32"})
    content = package_content(read_label(chili(figures, container_printed=column)))
    assert content["protein"].value == Decimal(32)


def test_zero_calories_count_no_servings() -> None:
    reading = read_label(chili({**CHILI, "energy": "0"}, container_printed=printed({"energy": "10"})))
    assert "container calories / serving calories" not in servings_routes(reading)
    reading = read_label(chili({**CHILI, "energy": "1"}, container_printed=printed({"energy": "5"})))
    assert servings_routes(reading)["container calories / serving calories"].value == 5


def test_net_volume_counts_by_the_volume_of_a_serving() -> None:
    """Invented broth: 960 mL, serving 1 cup (240 mL by 101.9(b)(5)(viii), 246 g): 4 servings, 984 g."""
    label = chili(
        serving_g=Decimal(246), serving_ml=Decimal(240), net_weight=None, container_printed={},
        net_volume=Figure.exact(960, "mL", "net volume"),
    )  # fmt: skip
    reading = read_label(label)
    assert package_weight(reading).value == Decimal(984)
    assert package_content(reading)["protein"].value == Decimal(52)
    assert package_content(reading)["protein"].formula == "per serving x (net volume / serving volume)"
    half = weight_of_volume(reading, Figure.exact(120, "mL", "half a cup"))
    assert (half.value, half.unit) == (Decimal(123), "g")


def test_a_printed_net_weight_is_the_package_weight() -> None:
    weight = package_weight(read_label(chili()))
    assert (weight.value, weight.unit, weight.is_exact) == (Decimal(370), "g/package", True)


def test_package_weight_from_servings_carries_their_rounding() -> None:
    weight = package_weight(read_label(chili(net_weight=None)))
    assert (weight.low, weight.value, weight.high) == (Decimal("337.5"), Decimal(375), Decimal("412.5"))


def test_serving_weight_of_a_pouch_is_net_weight_over_servings() -> None:
    reading = read_label(chili(serving_g=None, servings_per_container=Decimal(2)))
    weight = serving_weight(reading)
    assert weight.value == Decimal(185)
    assert weight.formula == "net weight / printed servings"
    nothing = serving_weight(read_label(chili(serving_g=None, net_weight=None)))
    assert nothing.value is None and "neither serving grams" in nothing.why


def test_volume_without_grams_is_unknown() -> None:
    weight = weight_of_volume(read_label(chili()), Figure.exact(240, "mL", "a cup"))
    assert weight.value is None and "volume and grams" in weight.why


def test_the_net_weight_drawn_by_weight_is_the_package() -> None:
    reading = read_label(chili())
    drawn = content_of_weight(reading, Figure.exact(370, "g", "one can"))
    for nutrient, package in package_content(reading).items():
        assert drawn[nutrient].must() == pytest.approx(package.must()), nutrient
        assert drawn[nutrient].unit == package.unit.split("/")[0]
        assert drawn[nutrient].low == pytest.approx(package.low)


def test_label_ounces_are_not_kitchen_ounces() -> None:
    """21 CFR 101.9(b)(5)(viii): 28 g an ounce in a serving; NIST Handbook 44, app. C: 28.349523125 g else.

    A 16 oz package of 1 oz servings holds 453.59/28 = 16.2 servings, not 16.
    """
    label = chili(
        {"energy": "100"},
        serving_g=Decimal(28),
        servings_per_container=Decimal(16),
        container_printed={},
        net_weight=Figure.exact(16, "oz", "net weight").to("g"),
    )
    routes = servings_routes(read_label(label))
    assert routes["net weight / serving weight"].must() == pytest.approx(
        Decimal("16.199727"), abs=Decimal("1e-6")
    )
    assert label_problems(read_label(label)) == []


def all_figures(reading: LabelReading) -> Iterator[Figure]:
    """Every figure that a label gives, known or not."""
    for group in (
        reading.per_serving, reading.per_container, reading.extra, servings_routes(reading),
        content_routes(reading, "energy"), content_routes(reading, "fat"), package_content(reading),
        per_gram(reading), content_of_weight(reading, Figure.exact(100, "g", "a portion")),
    ):  # fmt: skip
        yield from group.values()
    for figure in (
        reading.servings, reading.serving_grams, reading.serving_volume, reading.net_weight,
        reading.net_volume, reading.other_minerals, reading.unprinted_salt, serving_weight(reading),
        package_weight(reading), weight_of_volume(reading, Figure.exact(100, "mL", "a cup")),
        serving_ash(reading), serving_water(reading), serving_solids(reading), water_per_gram(reading),
    ):  # fmt: skip
        if figure is not None:
            yield figure


LABELS = {
    "all": chili(
        serving_ml=Decimal(140), net_volume=Figure.exact(345, "mL", "volume"), extra=printed({"alcohol": "1"})
    ),
    "dry": chili(serving_g=Decimal(35)),
    "no net weight": chili(net_weight=None),
    "volume": chili(net_weight=None, serving_ml=Decimal(140), net_volume=Figure.exact(345, "mL", "volume")),
    "net volume, serving grams": chili(net_weight=None, net_volume=Figure.exact(345, "mL", "volume")),
    "serving volume, no net": chili(net_weight=None, serving_ml=Decimal(140)),
    "no grams": chili(serving_g=None),
    "no column": chili(net_weight=None, container_printed={}),
    "nothing": chili({}, net_weight=None, serving_g=None, servings_per_container=None, container_printed={}),
}


@pytest.mark.parametrize("label", LABELS.values(), ids=LABELS)
def test_every_figure_names_its_label_and_where_it_is_from(label: Label) -> None:
    reading = read_label(label)
    for figure in all_figures(reading):
        assert "'chili'" in figure.name
        assert figure.formula or figure.source, figure.name
        assert figure.is_known or figure.why, figure.name
        assert all(leaf.source for leaf in figure.leaves()), figure.name


@settings(max_examples=60)
@given(
    energy=st.integers(30, 600),
    grams=st.integers(20, 400),
    servings=st.decimals(min_value="1.6", max_value=20, places=2),
)
def test_routes_of_a_consistent_label_agree(energy: int, grams: int, servings: Decimal) -> None:
    """A package made of true amounts, printed by the law: every route contains the truth, none warns."""
    rule = RULES["energy"].print_amount
    label = chili(
        serving_g=Decimal(grams),
        servings_per_container=round_servings(servings),
        printed={"energy": rule(Decimal(energy))},
        container_printed={"energy": rule(energy * servings)},
        net_weight=Figure.exact(grams * servings, "g", "net weight"),
    )
    reading = read_label(label)
    routes = content_routes(reading, "energy")
    assert len(routes) == 3
    for formula, content in routes.items():
        assert content.low <= energy * servings <= content.high, formula
    assert label_problems(reading) == []
