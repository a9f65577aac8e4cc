"""One line as figures, and intervals that hold every value the printed figures allow."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.costs import batch_costs
from nutricost.domain.documents import Batch, Drying, Ingredient, Label, Packing, Printed
from nutricost.domain.foods.records import Food, NutrientValue
from nutricost.domain.labels import printed_interval, read_label
from nutricost.domain.quantities import Figure
from nutricost.domain.recipes.batch import batch_content
from nutricost.domain.recipes.lines import (
    REPORTED,
    FoodFigures,
    RecipeLine,
    food_content,
    label_content,
    unknown_content,
)

D = Decimal


def corn(**nutrients: NutrientValue) -> Food:
    known = {
        "energy": NutrientValue(D(88)),
        "protein": NutrientValue(D("3.02"), standard_error=D("0.05"), data_points=6),
    }
    return Food("ndb:11178", "sr28", "corn", ndb_number="11178", nutrients={**known, **nutrients})


def test_weight_times_the_value_per_100_g() -> None:
    # 250 g at 88 kcal and 3.02 g protein per 100 g.
    content = food_content(corn(), Figure.exact(250, "g", "weight"), FoodFigures(), "corn")
    assert content.nutrients["energy"].value == 220
    assert content.nutrients["energy"].unit == "kcal"
    assert content.nutrients["protein"].value == D("7.55")
    assert content.nutrients["protein"].name == "protein of corn"
    assert content.nutrients["protein"].formula == "weight x value per 100 g"
    assert list(content.nutrients) == list(REPORTED)
    assert content.nutrients["fiber"].value is None
    assert "no dietary fiber in the table for corn" in content.nutrients["fiber"].why


def test_a_food_used_in_two_lines_counts_once() -> None:
    # Its protein per 100 g is one unknown number: 100 g less 100 g of it leaves exactly none.
    figures = FoodFigures()
    one = food_content(corn(), Figure.exact(100, "g"), figures, "corn")
    two = food_content(corn(), Figure.exact(100, "g"), figures, "corn")
    apart = food_content(corn(), Figure.exact(100, "g"), FoodFigures(), "corn")
    assert (one.nutrients["protein"] - two.nutrients["protein"]).box == (D(0), D(0))
    assert (one.nutrients["protein"] - apart.nutrients["protein"]).high > 0
    assert figures.of(corn(), "protein") is figures.of(corn(), "protein")
    assert figures.of(corn(), "protein") is not figures.of(corn(), "energy")


def test_water_by_difference_where_the_table_has_none() -> None:
    # 100 - 3.02 - 1 - 20 - 0.5 (ash) = 75.48; flagged.
    macros = {
        "fat": NutrientValue(D(1)),
        "carbohydrate": NutrientValue(D(20)),
        "ash": NutrientValue(D("0.5")),
    }
    water = FoodFigures().of(corn(**macros), "water")
    assert (water.value, water.standing) == (D("75.48"), "estimated")
    stated = FoodFigures().of(corn(**macros, water=NutrientValue(D("75.7"))), "water")
    assert (stated.value, stated.standing) == (D("75.7"), "measured")
    assert FoodFigures().of(corn(), "water").value is None  # no fat, no carbohydrate


def test_none_of_it_in_the_food_needs_no_weight() -> None:
    none = corn(fiber=NutrientValue(D(0), "assumed zero"))
    content = food_content(none, Figure.unknown("g", "no amount"), FoodFigures(), "corn")
    assert content.nutrients["fiber"].box == (D(0), D(0))
    assert (content.nutrients["fiber"].unit, content.nutrients["fiber"].name) == (
        "g",
        "dietary fiber of corn",
    )
    assert content.nutrients["energy"].value is None
    # A measured zero with an error is no certain zero.
    doubtful = corn(fiber=NutrientValue(D(0), standard_error=D("0.1"), data_points=3))
    weighed = food_content(doubtful, Figure.exact(100, "g"), FoodFigures(), "corn")
    assert weighed.nutrients["fiber"].high == D("0.4303")


def test_solids_are_weight_less_water() -> None:
    content = food_content(
        corn(water=NutrientValue(D("75.7"))), Figure.exact(200, "g"), FoodFigures(), "corn"
    )
    assert content.water.value == D("151.4")
    assert content.solids.value == D("48.6")
    assert content.solids.formula == "weight - water"


def test_alcohol_leaves_with_the_water() -> None:
    # 200 g of a wine with 86.5 g water and 10.4 g alcohol in 100 g: 200 - 173 - 20.8 = 6.2 g solids.
    wine = corn(water=NutrientValue(D("86.5")), alcohol=NutrientValue(D("10.4")))
    content = food_content(wine, Figure.exact(200, "g"), FoodFigures(), "wine")
    assert content.solids.value == D("6.2")
    assert content.solids.formula == "weight - water - alcohol"


def test_the_energy_of_alcohol_leaves_with_it() -> None:
    # SR28 row 14096 (table wine, red): 85 kcal, 10.6 g alcohol, 2.61 g carbohydrate, 0.07 g protein in
    # 100 g. Without the alcohol its macronutrients alone are left: 4 x 2.68 = 10.7 kcal; the row says
    # 85 - 10.6 x 6.93 = 11.542, or 85 - 10.6 x 7 = 10.8 by the general factor.
    wine = corn(energy=NutrientValue(D(85)), alcohol=NutrientValue(D("10.6")))
    energy = food_content(wine, Figure.exact(200, "g"), FoodFigures(), "wine").nutrients["energy"]
    assert (energy.value, energy.box, energy.unit) == (D("23.084"), (D("21.6"), D("23.084")), "kcal")
    # SR28 row 14037 (distilled, 80 proof): 231 kcal and 33.4 g alcohol; nothing of it stays.
    spirit = corn(energy=NutrientValue(D(231)), alcohol=NutrientValue(D("33.4")))
    gone = food_content(spirit, Figure.between(D(10), D(20), "g"), FoodFigures(), "spirit").nutrients[
        "energy"
    ]
    assert (gone.value, gone.box) == (D(0), (D(0), D(0)))
    # What nobody knows stays unknown.
    unknown = replace(wine, nutrients={"alcohol": wine.nutrients["alcohol"]})
    lost = food_content(unknown, Figure.exact(1, "g"), FoodFigures(), "x")
    assert lost.nutrients["energy"].value is None


def test_a_line_without_a_food_knows_at_most_its_weight() -> None:
    nothing = unknown_content("no food", "glimzorp")
    assert all(figure.why == "no food" for figure in nothing.nutrients.values())
    assert list(nothing.nutrients) == list(REPORTED)
    assert (nothing.weight.value, nothing.water.value, nothing.solids.value) == (None, None, None)
    assert (nothing.weight.why, nothing.water.why) == ("no food", "no food")
    assert nothing.nutrients["sodium"].unit == "mg"
    weighed = unknown_content("no food", "glimzorp", Figure.exact(10, "g"))
    assert weighed.weight.value == 10
    assert weighed.solids.value is None


PANEL = {"energy": 170, "fat": 6, "saturated_fat": 1, "carbohydrate": 15, "fiber": 4, "sugar": 4,
         "protein": 13, "sodium": 590}  # fmt: skip


def kit(scale: int) -> Label:
    """An invented label; `scale` makes the figures of its servings larger."""
    return Label(
        "kit", "batch.toml: labels.kit", "300 g", serving_g=D(300), servings_per_container=D("2.5"),
        printed={key: Printed(D(amount * scale)) for key, amount in PANEL.items()},
    )  # fmt: skip


Draw = Callable[[float, float], npt.NDArray[np.float64]]


def sampler(seed: int, size: int) -> Draw:
    generator = np.random.default_rng(seed)

    def draw(low: float, high: float) -> npt.NDArray[np.float64]:
        samples: npt.NDArray[np.float64] = generator.uniform(low, high, size)
        samples[:2] = low, high
        return samples

    return draw


@settings(max_examples=25)
@given(
    packages=st.integers(1, 12), scale=st.integers(1, 3), corn_g=st.integers(100, 2000),
    moisture=st.integers(0, 40), cooked=st.integers(0, 500), seed=st.integers(0, 2**31),
)  # fmt: skip
def test_every_sample_of_a_dried_batch_lies_in_its_intervals(
    packages: int, scale: int, corn_g: int, moisture: int, cooked: int, seed: int
) -> None:
    """Monte Carlo with numpy, written apart from the engine: labels as printed, a table value with its
    error, an energy bill, a residual moisture; through recipe, drying and measures."""
    label = kit(scale)
    reading = read_label(label)
    sweet = corn(
        fat=NutrientValue(D("0.78")), carbohydrate=NutrientValue(D("20.71")),
        water=NutrientValue(D("74.92"), standard_error=D("0.27"), data_points=12),
        sodium=NutrientValue(D(3)), fiber=NutrientValue(D("2.1")), sugar=NutrientValue(D("2.5")),
        saturated_fat=NutrientValue(D("0.1")),
    )  # fmt: skip
    one = Figure.exact(1, "", "share")
    lines = [
        RecipeLine(
            Ingredient("kits", "x"),
            label_content(reading, Figure.exact(packages, "package", "kits"), "kits"),
            one,
            Figure.exact(D("3.50"), "USD", "kits"),
        ),
        RecipeLine(
            Ingredient("corn", "x"),
            food_content(sweet, Figure.exact(corn_g, "g", "corn"), FoodFigures(), "corn"),
            one,
            Figure.exact(D("1.25"), "USD", "corn"),
        ),
    ]
    r_low, r_high = D(moisture) / 1000, D(moisture) / 1000 + D("0.03")
    pot = packages * 750 + corn_g + cooked
    loaded = D(pot) * D("0.8")
    drying = Drying(
        wet_weight=(Figure.exact(loaded, "g", "loaded"),),
        residual_moisture=Figure.between(r_low, r_high, "", "moisture"),
        cost=Figure.between(D("3.50"), D("5.00"), "USD", "cycle"),
    )
    batch = Batch("t", "b.toml", Figure.exact(10, "serving", "servings"), "USD", (), drying=drying,
                  packing=Packing(), cooked_weight=Figure.exact(pot, "g", "pot"))  # fmt: skip
    content = batch_content(batch, lines)
    costs = batch_costs(batch, lines, content.scale)
    per_gram = content.nutrients["energy"] / content.weight_dry
    per_kcal = costs.total / content.nutrients["energy"]

    draw = sampler(seed, 300)
    servings = draw(2.25, 2.75)  # 2.5 printed, 21 CFR 101.9(b)(8)
    panel = {key: draw(*map(float, printed_interval(key, printed))) for key, printed in label.printed.items()}
    minerals = draw(0.0, float(reading.other_minerals.high))
    kits = packages * servings
    water_kit = 300 - panel["fat"] - panel["carbohydrate"] - panel["protein"]
    water_kit = np.maximum(water_kit - panel["sodium"] / 1000 * 2.54 - 300 * minerals, 0)
    # Student t of 5 and 11 degrees: 2.571, 2.201 (NIST/SEMATECH e-Handbook, table 1.3.6.7.2).
    water_corn = draw(74.92 - 2.201 * 0.27, 74.92 + 2.201 * 0.27)
    protein_corn = draw(3.02 - 2.571 * 0.05, 3.02 + 2.571 * 0.05)
    share = float(loaded) / pot
    solids = share * (kits * (300 - water_kit) + corn_g * (1 - water_corn / 100))
    energy = share * (kits * panel["energy"] + corn_g * 0.88)
    dry = solids / (1 - draw(float(r_low), float(r_high)))
    protein = share * (kits * panel["protein"] + corn_g * protein_corn / 100)
    money = share * 4.75 + draw(3.50, 5.00)
    sampled = {
        "protein": (content.nutrients["protein"], protein),
        "energy": (content.nutrients["energy"], energy),
        "solids": (content.solids, solids),
        "dry": (content.weight_dry, dry),
        "removed": (content.water_removed, float(loaded) - dry),
        "kcal per gram": (per_gram, energy / dry),
        "money per kcal": (per_kcal, money / energy),
    }  # fmt: skip
    for name, (figure, values) in sampled.items():
        assert float(figure.low) <= values.min() * (1 + 1e-12), name
        assert float(figure.high) >= values.max() * (1 - 1e-12), name
        assert figure.low <= figure.must() <= figure.high, name


def test_energy_per_gram_dry_is_no_wider_than_the_number_of_servings_makes_it() -> None:
    # Only the kit: servings cancel, so 170 kcal (165 to 175) over its solids a serving bounds it.
    reading = read_label(kit(1))
    line = RecipeLine(
        Ingredient("kit", "x"), label_content(reading, Figure.exact(4, "package"), "kit"),
        Figure.exact(1, ""), Figure.exact(1, "USD"),
    )  # fmt: skip
    none_left = Drying(residual_moisture=Figure.exact(0, ""))
    batch = Batch("t", "b.toml", Figure.exact(10, "serving"), "USD", (), drying=none_left)
    content = batch_content(batch, [line])
    ratio = content.nutrients["energy"] / content.weight_dry
    widest = D(175) / (D("5.5") + D("14.5") + D("12.5") + D("0.585") * D("2.54"))
    assert ratio.high == pytest.approx(widest, rel=D("1e-9"))
