"""What a batch holds: sums, scale, dry weight, coverage; laws by property tests."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.costs import batch_costs
from nutricost.domain.documents import Batch, Drying, Ingredient, Loss, Packing
from nutricost.domain.foods.records import Food, NutrientValue
from nutricost.domain.quantities import Figure
from nutricost.domain.recipes.batch import BatchContent, batch_content
from nutricost.domain.recipes.lines import REPORTED, FoodFigures, RecipeLine, food_content, unknown_content
from nutricost.errors import DocumentError

D = Decimal


def food(name: str, **per_100g: str) -> Food:
    values = {key: NutrientValue(D(amount)) for key, amount in per_100g.items()}
    return Food(f"ndb:{len(name):05d}", "sr28", name, nutrients=values)


def full_food(
    name: str, energy: str, protein: str, fat: str, carbohydrate: str, water: str, **more: str
) -> Food:
    base = {"saturated_fat": "0", "fiber": "0", "sugar": "0", "sodium": "0"}
    return food(
        name,
        energy=energy,
        protein=protein,
        fat=fat,
        carbohydrate=carbohydrate,
        water=water,
        **{**base, **more},
    )


def line(item: Food, grams: str, paid: str = "1", figures: FoodFigures | None = None) -> RecipeLine:
    weight = Figure.exact(D(grams), "g", f"weight of {item.description}")
    content = food_content(item, weight, figures or FoodFigures(), item.description)
    one = Figure.exact(1, "", "share")
    return RecipeLine(Ingredient(item.description, "x"), content, one, Figure.exact(D(paid), "USD", "paid"))


def batch(servings: str = "4", **more: object) -> Batch:
    return Batch("t", "batch.toml", Figure.exact(D(servings), "serving"), "USD", (), **more)  # type: ignore[arg-type]


def grams(text: str) -> Figure:
    return Figure.exact(D(text), "g")


PASTE = full_food("paste", "100", "10", "5", "10", "75")


def test_one_kilogram_at_75_percent_water_dried_to_3_percent() -> None:
    # Mass balance worked by hand (checks of a drying textbook example): solids 250.00, dry 257.73,
    # water removed 742.27 g.
    content = batch_content(
        batch(drying=Drying(residual_moisture=Figure.exact(D("0.03"), ""))), [line(PASTE, "1000")]
    )
    assert content.solids.value == 250
    assert round(content.weight_dry.must(), 2) == D("257.73")
    assert round(content.water_removed.must(), 2) == D("742.27")


def test_baked_banana_of_the_survey_table() -> None:
    # USDA FNDDS 2021-2023, "Banana, baked" (FDC 2709225): 90 g banana, 7 g brown sugar, 3 g butter,
    # moisture change -15 %. Banana macros as published; water of all and sugar and butter from memory.
    banana = full_food("banana", "97", "0.74", "0.29", "23.0", "75.3", fiber="1.7")
    sugar = full_food("brown sugar", "380", "0.12", "0", "98.09", "1.34")
    butter = full_food("butter", "717", "0.85", "81.11", "0.06", "16.17")
    content = batch_content(
        batch(cooked_weight=grams("85")), [line(banana, "90"), line(sugar, "7"), line(butter, "3")]
    )
    published = {"protein": "0.820", "carbohydrate": "32.4", "fiber": "1.80", "fat": "3.21", "energy": "161"}
    for key, value in published.items():
        per_100g = content.nutrients[key].must() / D("0.85")
        assert per_100g == pytest.approx(D(value), rel=D("0.02")), key
    water_per_100g = (85 - content.solids.must()) / D("0.85")
    assert water_per_100g == pytest.approx(D("62.8"), rel=D("0.02"))


def test_more_cooked_than_dried_scales_everything() -> None:
    whole = batch_content(batch(), [line(PASTE, "1000")])
    half = batch_content(
        batch(cooked_weight=grams("1000"), drying=Drying(wet_weight=(grams("500"),))), [line(PASTE, "1000")]
    )
    for key in REPORTED:
        assert half.nutrients[key].must() * 2 == whole.nutrients[key].must()
    assert half.solids.must() * 2 == whole.solids.must()
    costs = batch_costs(batch(), [line(PASTE, "1000", "10.00")], half.scale)
    assert costs.ingredients.value == 5


def test_measured_dry_weight_wins_and_gives_the_moisture() -> None:
    content = batch_content(batch(drying=Drying(dry_weight=(grams("260"),))), [line(PASTE, "1000")])
    assert content.weight_dry.value == 260
    assert round(content.residual_moisture.must(), 6) == round(D(10) / 260, 6)


def test_dry_weight_below_the_solids_is_refused_with_both_figures() -> None:
    with pytest.raises(DocumentError, match=r"240 g.*250 g"):
        batch_content(batch(drying=Drying(dry_weight=(grams("240"),))), [line(PASTE, "1000")])


def test_loading_more_than_was_cooked_is_refused() -> None:
    with pytest.raises(DocumentError, match="1100 g loaded"):
        batch_content(
            batch(cooked_weight=grams("1000"), drying=Drying(wet_weight=(grams("1100"),))),
            [line(PASTE, "1000")],
        )


def test_unknown_nutrient_is_unknown_with_coverage_and_what_is_known() -> None:
    no_sugar = food("plain", energy="100", protein="1", fat="1", carbohydrate="20", water="77", sodium="1")
    content = batch_content(batch(), [line(PASTE, "300"), line(no_sugar, "100")])
    sugar = content.nutrients["sugar"]
    assert sugar.value is None
    assert sugar.known is not None and sugar.known.value == 0
    assert content.coverage["sugar"] == D("0.75")
    assert content.coverage["energy"] == 1


def test_unweighed_salt_does_not_hide_the_energy() -> None:
    # A food that holds none of a nutrient adds exactly none, whatever its weight.
    salt = full_food("salt", "0", "0", "0", "0", "0.2", sodium="38758")
    unweighed = unknown_weight(salt)
    content = batch_content(batch(), [line(PASTE, "1000"), unweighed])
    assert content.nutrients["energy"].value == 1000
    assert content.nutrients["sodium"].value is None
    assert content.coverage["energy"] is None


def unknown_weight(item: Food) -> RecipeLine:
    weight = Figure.unknown("g", "no amount", "weight")
    content = food_content(item, weight, FoodFigures(), item.description)
    return RecipeLine(Ingredient(item.description, "x"), content, Figure.exact(1, ""), Figure.exact(0, "USD"))


def test_a_line_without_a_food_makes_its_figures_unknown() -> None:
    missing = RecipeLine(
        Ingredient("glimzorp", "x"),
        unknown_content("no food", "glimzorp"),
        Figure.exact(1, ""),
        Figure.exact(1, "USD"),
    )
    content = batch_content(batch(), [line(PASTE, "1000"), missing])
    assert content.nutrients["energy"].value is None
    assert content.nutrients["energy"].known is not None
    assert content.nutrients["energy"].known.value == 1000


def test_losses_lower_the_servings_and_what_they_hold() -> None:
    lost = Loss("tasting", Figure.exact(1, "serving"))
    content = batch_content(batch("4", losses=(lost,)), [line(PASTE, "1000")])
    assert content.servings.value == 3
    assert content.nutrients["energy"].value == 750


def test_all_servings_lost_is_refused() -> None:
    lost = Loss("all gone", Figure.exact(4, "serving"))
    with pytest.raises(DocumentError, match="are lost"):
        batch_content(batch("4", losses=(lost,)), [line(PASTE, "1000")])


def test_poured_off_fat_is_taken_away() -> None:
    fat = full_food("drippings", "900", "0", "100", "0", "0")
    content = batch_content(batch(), [line(PASTE, "1000"), line(fat, "-10")])
    assert content.nutrients["fat"].value == 50 - 10
    assert content.nutrients["energy"].value == 1000 - 90


def test_shared_cycle_shares_electricity_by_trays() -> None:
    drying = Drying(
        trays=Figure.exact(2, "tray"), cycle_trays=Figure.exact(5, "tray"), energy=Figure.exact(30, "kWh"),
        price_per_kwh=Figure.exact(D("0.20"), "USD/kWh"),
    )  # fmt: skip
    shared = batch(drying=drying, packing=Packing(), other_costs={"oil": Figure.exact(D("0.5"), "USD")})
    content = batch_content(shared, [line(PASTE, "1000")])
    assert content.measured_energy.value == 12
    costs = batch_costs(shared, [line(PASTE, "1000", "3.00")], content.scale)
    assert costs.energy.value == D("2.4")  # 30 kWh x 0.20 x 2/5
    assert costs.total.value == D("3") + D("2.4") + D("0.5")


def test_unknown_electricity_makes_the_total_unknown_beside_what_is_known() -> None:
    plain = batch()
    costs = batch_costs(plain, [line(PASTE, "1000", "3.00")], Figure.exact(1, ""))
    assert costs.total.value is None
    assert costs.total.known is not None and costs.total.known.value == 3
    assert "drying.energy" in costs.total.why


def total_of(content: BatchContent) -> list[Decimal]:
    return [content.nutrients[key].must() for key in REPORTED]


amounts = st.integers(1, 5000).map(lambda value: str(D(value) / 2))


@settings(max_examples=40)
@given(st.lists(amounts, min_size=1, max_size=5), st.integers(2, 7))
def test_scaling_a_batch_scales_everything(weights: list[str], factor: int) -> None:
    items = [full_food(f"f{i}", "120", "3", "2", "11", "80", sodium="55") for i in range(len(weights))]
    one = batch_content(batch(), [line(f, w) for f, w in zip(items, weights, strict=True)])
    many = batch_content(batch(), [line(f, str(D(w) * factor)) for f, w in zip(items, weights, strict=True)])
    assert total_of(many) == [value * factor for value in total_of(one)]
    assert many.weight_dry.must() == pytest.approx(one.weight_dry.must() * factor, rel=D("1e-20"))
    assert many.minimum_energy.must() == pytest.approx(one.minimum_energy.must() * factor, rel=D("1e-20"))


@settings(max_examples=40)
@given(st.lists(amounts, min_size=2, max_size=5), st.integers(0, 60))
def test_mass_and_water_close(weights: list[str], moisture: int) -> None:
    lines = [line(full_food(f"f{i}", "1", "1", "1", "8", "90"), w) for i, w in enumerate(weights)]
    r = Figure.exact(D(moisture) / 1000, "")
    content = batch_content(batch(drying=Drying(residual_moisture=r)), lines)
    assert content.weight_wet.must() - content.weight_dry.must() == pytest.approx(
        content.water_removed.must(), abs=D("1e-9")
    )
    assert content.weight_dry.must() * (1 - r.must()) == pytest.approx(content.solids.must(), abs=D("1e-9"))


@settings(max_examples=30)
@given(st.lists(amounts, min_size=2, max_size=5))
def test_the_order_of_lines_does_not_matter(weights: list[str]) -> None:
    lines = [line(full_food(f"f{i}", "11", "1", "1", "8", "90"), w) for i, w in enumerate(weights)]
    assert total_of(batch_content(batch(), lines)) == total_of(batch_content(batch(), lines[::-1]))
