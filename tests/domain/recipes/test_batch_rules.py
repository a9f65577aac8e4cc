"""Rules of a batch where weights are missing, contradict each other or are hard to believe."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from nutricost.domain.documents import Batch, Drying, Ingredient, Loss, Weighing
from nutricost.domain.foods.records import Food, NutrientValue
from nutricost.domain.quantities import Figure
from nutricost.domain.recipes.batch import BatchContent, batch_content, tray_share
from nutricost.domain.recipes.lines import REPORTED, FoodFigures, RecipeLine, food_content
from nutricost.errors import DocumentError

D = Decimal

PASTE = Food(
    "ndb:00001", "sr28", "paste",
    nutrients={key: NutrientValue(D(amount)) for key, amount in {
        "energy": "100", "protein": "10", "fat": "5", "carbohydrate": "10", "water": "75",
        "saturated_fat": "0", "fiber": "0", "sugar": "0", "sodium": "0"}.items()},
)  # fmt: skip
"""100 kcal and 25 g solids in 100 g."""


def grams(low: str, high: str | None = None) -> Figure:
    return Figure.between(D(low), D(high or low), "g")


def trays(count: int) -> Figure:
    return Figure.exact(count, "tray")


def paste(weight: Figure) -> RecipeLine:
    content = food_content(PASTE, weight, FoodFigures(), "paste")
    return RecipeLine(Ingredient("paste", "x"), content, Figure.exact(1, ""), Figure.exact(1, "USD"))


def made(
    *weights: Figure, cooked: Figure | None = None, losses: tuple[Loss, ...] = (), **drying: Any
) -> BatchContent:
    batch = Batch(
        "t", "batch.toml", Figure.exact(4, "serving", "servings"), "USD", (),
        cooked_weight=cooked, losses=losses,
        drying=Drying(**{"residual_moisture": Figure.exact(0, ""), **drying}),
    )  # fmt: skip
    return batch_content(batch, [paste(weight) for weight in weights or (grams("1000"),)])


def refused(match: str, **parts: Any) -> None:
    with pytest.raises(DocumentError, match=match):
        made(**parts)


# -- wet_weight, else cooking.weight, else the sum of the lines --------------------------------------


@pytest.mark.parametrize(
    ("cooked", "wet", "scale", "loaded"),
    [
        (None, (), "1", "1000"),
        ("800", (), "1", "800"),
        (None, ("900",), "1", "900"),
        ("800", ("600",), "0.75", "600"),
        ("800", ("300", "300"), "0.75", "600"),
        ("800", ("800",), "1", "800"),
        ("800", ("816",), "1", "816"),  # scales differ: up to 2 % (common practice, no source)
    ],
)
def test_which_weight_counts(cooked: str | None, wet: tuple[str, ...], scale: str, loaded: str) -> None:
    content = made(cooked=grams(cooked) if cooked else None, wet_weight=tuple(grams(each) for each in wet))
    assert content.scale.value == D(scale)
    assert content.loaded.value == D(loaded)
    assert content.nutrients["energy"].value == 1000 * D(scale)
    assert content.loaded_solids.value == 250 * D(scale)
    assert content.water_removed.value == D(loaded) - 250 * D(scale)


def test_loaded_beyond_the_scales_is_refused_with_both_figures() -> None:
    refused(r"drying.wet_weight: 817 g loaded is more than the 800 g cooked", cooked=grams("800"),
            wet_weight=(grams("817"),))  # fmt: skip


def test_a_range_that_may_fit_is_not_refused() -> None:
    content = made(cooked=grams("780", "820"), wet_weight=(grams("830"),))
    assert content.scale.value == 1
    assert content.scale.source == "all that was cooked is dried, within the scales"


def test_a_load_that_is_the_whole_pot_is_all_of_it_however_rough_the_pot() -> None:
    # 800 g loaded of 780 to 820 g cooked: nothing says that any was kept back.
    whole = made(cooked=grams("780", "820"), wet_weight=(grams("800"),))
    assert (whole.scale.value, whole.scale.is_exact) == (D(1), True)
    # 700 g of 780 to 820 g: 0.854 to 0.897.
    part = made(cooked=grams("780", "820"), wet_weight=(grams("700"),))
    assert part.scale.box == (D(700) / 820, D(700) / 780)


def test_more_poured_off_than_the_lines_hold_is_refused_for_each_nutrient() -> None:
    # 100 g less 150 g leaves -50 g: -50 kcal, -5 g protein, -2.5 g fat, -5 g carbohydrate.
    with pytest.raises(DocumentError) as less_than_nothing:
        made(grams("100"), grams("-150"))
    problems = less_than_nothing.value.problems
    assert {problem.where for problem in problems} == {"batch.toml: ingredients"}
    assert len(problems) == 4
    assert any("(-50.0 kcal are left)" in problem.what for problem in problems)
    # Only where it is sure: 100 to 200 g less 150 g may leave something.
    assert made(grams("100", "200"), grams("-150"), wet_weight=(grams("100"),)).nutrients["energy"].value == 0


def test_a_pot_far_heavier_than_its_lines_is_questioned() -> None:
    assert made(cooked=grams("3000")).warnings == ()
    (warning,) = made(cooked=grams("3001")).warnings
    assert warning.startswith(
        "the cooked weight (3001 g) is over three times the weight of the lines (1000 g)"
    )
    # Only where it is sure.
    assert made(cooked=grams("2900", "3100")).warnings == ()


def test_an_unknown_line_weight_leaves_the_weights_unknown_but_not_the_weighed_ones() -> None:
    lost = Figure.unknown("g", "no amount")
    unweighed = made(grams("1000"), lost)
    assert (unweighed.loaded.value, unweighed.scale.value, unweighed.water_removed.value) == (
        None,
        D(1),
        None,
    )
    weighed = made(grams("1000"), lost, wet_weight=(grams("1500"),), cooked=grams("3001"))
    assert weighed.loaded.value == 1500
    assert weighed.warnings == ()


# -- dry weight --------------------------------------------------------------------------------------


def test_a_dry_weight_above_the_wet_weight_is_refused() -> None:
    refused(r"dry_weight: dry weight 1000 g is above the wet weight 900 g", wet_weight=(grams("900"),),
            dry_weight=(grams("1000"),))  # fmt: skip
    refused(
        r"drying: the dry weight \(1100 g\) is above the wet weight \(1000 g\)", dry_weight=(grams("1100"),)
    )


def test_solids_that_outweigh_what_was_loaded_are_refused() -> None:
    # 250 g of solids cannot come out of 200 g.
    refused(r"the dry weight \(250 g\) is above the wet weight \(200 g\)", cooked=grams("200"))
    assert made(cooked=grams("250")).water_removed.value == 0


def test_a_scale_in_steps_widens_the_weights() -> None:
    # A scale that shows 5 g: 1000 is 997.5 to 1002.5, 300 is 297.5 to 302.5.
    step = Figure.exact(5, "g", "scale step")
    content = made(wet_weight=(grams("1000"),), dry_weight=(grams("300"),), scale_step=step)
    assert content.dried.box == (D("297.5"), D("302.5"))
    assert content.water_removed.box == (D(695), D(705))


def test_the_moisture_that_is_assumed_when_nobody_weighed() -> None:
    # 1 to 4 % (usual range, from memory): 250 / 0.99 to 250 / 0.96.
    content = made(residual_moisture=None)
    assert content.residual_moisture.box == (D("0.01"), D("0.04"))
    assert content.residual_moisture.standing == "assumed"
    assert [round(end, 2) for end in content.dried.box] == [D("252.53"), D("260.42")]


def candy(water_g_per_100g: str, **drying: Any) -> BatchContent:
    """1000 g of something nearly dry already."""
    nutrients = {**PASTE.nutrients, "water": NutrientValue(D(water_g_per_100g))}
    dry_food = replace(PASTE, nutrients=nutrients)
    content = food_content(dry_food, grams("1000"), FoodFigures(), "candy")
    line = RecipeLine(Ingredient("candy", "x"), content, Figure.exact(1, ""), Figure.exact(1, "USD"))
    batch = Batch("t", "batch.toml", Figure.exact(4, "serving"), "USD", (), drying=Drying(**drying))
    return batch_content(batch, [line])


def test_food_drier_than_the_moisture_assumed_comes_out_as_it_went_in() -> None:
    # 980 g of solids at 1 to 4 % would weigh 989.9 to 1020.8 g; it went in with 1000.
    content = candy("2")
    assert [round(end, 2) for end in content.dried.box] == [D("989.90"), D("1000.00")]
    assert content.water_removed.low == 0
    # Moisture: 9.9 of 989.9 to 20 of 1000.
    assert [round(end, 4) for end in content.residual_moisture.box] == [D("0.0100"), D("0.0200")]
    # 995 g of solids would weigh 1005 g at least, 1000 g (no water at all) 1010 g: none comes off.
    for water, moisture in (("0.5", "0.005"), ("0", "0")):
        unchanged = candy(water)
        assert unchanged.dried.box == (D(1000), D(1000))
        assert unchanged.water_removed.box == (D(0), D(0))
        assert unchanged.residual_moisture.value == D(moisture)


def test_a_moisture_that_was_given_is_held_against_the_weight_loaded() -> None:
    # 980 g of solids at 3 % weigh 1010 g; 1000 g went in.
    with pytest.raises(DocumentError, match=r"the dry weight \(1010 g\) is above the wet weight \(1000 g\)"):
        candy("2", residual_moisture=Figure.exact(D("0.03"), ""))
    # At 1.5 to 4 % it may have been 994.9 g.
    rough = Figure.between(D("0.015"), D("0.04"), "")
    assert [round(end, 2) for end in candy("2", residual_moisture=rough).dried.box] == [
        D("994.92"),
        D("1000.00"),
    ]


def test_problems_of_the_drying_table_name_the_document() -> None:
    with pytest.raises(DocumentError) as refused_both:
        made(wet_weight=(grams("500"), grams("400")), trays=trays(3))
    assert [each.where for each in refused_both.value.problems] == ["batch.toml: drying.wet_weight"]


# -- losses ------------------------------------------------------------------------------------------


def test_losses_take_from_what_is_eaten_not_from_what_was_dried() -> None:
    lost = (Loss("tasting", Figure.exact(1, "serving")), Loss("failed bag", Figure.exact(1, "serving")))
    content = made(losses=lost)
    assert content.servings.value == 2
    assert content.nutrients["energy"].value == 500
    assert (content.weight_wet.value, content.weight_dry.value, content.solids.value) == (
        D(500),
        D(125),
        D(125),
    )
    assert (content.loaded.value, content.dried.value, content.loaded_solids.value) == (
        D(1000),
        D(250),
        D(250),
    )
    assert content.water_removed.value == 750
    # The latent heat goes with what was dried: 0.75 kg x 2838 kJ/kg / 3600 = 0.591 kWh (Murphy & Koop 2005).
    assert content.minimum_energy.must() == pytest.approx(D("0.59125"), rel=D("0.001"))


def test_more_servings_lost_than_made_are_refused() -> None:
    for lost in ("4", "5"):
        with pytest.raises(DocumentError, match=f"batch.toml: losses: {lost} servings are lost of 4"):
            made(losses=(Loss("x", Figure.exact(D(lost), "serving")),))
    assert made(losses=(Loss("x", Figure.exact(D("3.5"), "serving")),)).servings.value == D("0.5")


# -- electricity -------------------------------------------------------------------------------------


def kwh(low: str, high: str | None = None) -> Figure:
    return Figure.between(D(low), D(high or low), "kWh")


def test_less_electricity_than_the_latent_heat_is_questioned() -> None:
    # 0.75 kg of water take 0.591 kWh at least; nothing resistance-heated does with less.
    assert made(energy=kwh("5")).warnings == ()
    (warning,) = made(energy=kwh("0.5")).warnings
    assert warning.startswith(
        "the electricity, 0.50 kWh, is below the 0.59 kWh that the water takes at least"
    )
    assert made(energy=kwh("0.5", "0.6")).warnings == ()
    assert made(energy=None).warnings == ()
    # Where nothing is removed, nothing is the least: no electricity is not below it.
    assert made(cooked=grams("250"), energy=kwh("0")).warnings == ()
    # Two of five trays of 1.3 kWh are 0.52 kWh.
    shared = made(energy=kwh("1.3"), trays=trays(2), cycle_trays=trays(5))
    assert len(shared.warnings) == 1
    assert shared.measured_energy.value == D("0.52")


def test_electricity_that_is_not_given_is_unknown() -> None:
    measured = made().measured_energy
    assert (measured.value, measured.why) == (None, "drying.energy is not given")


def test_the_share_of_a_cycle() -> None:
    assert tray_share(Drying(trays=trays(2), cycle_trays=trays(5))).value == D("0.4")
    for alone in (Drying(), Drying(trays=trays(2))):
        assert (tray_share(alone).value, tray_share(alone).is_exact) == (D(1), True)
    by_tray = Drying(cycle_trays=trays(5), wet_weight=(grams("900"), grams("800")))
    assert tray_share(by_tray).value == D("0.4")
    # One weight is that of the batch, on however many trays.
    assert tray_share(Drying(cycle_trays=trays(5), wet_weight=(grams("900"),))).value is None
    # Others shared the cycle and nothing says how many trays were this batch's: not the whole cycle.
    nobody_knows = tray_share(Drying(cycle_trays=trays(5)))
    assert (nobody_knows.value, nobody_knows.why) == (
        None,
        "drying.trays is not given beside drying.cycle_trays",
    )


def test_weighings_that_cannot_be_are_told() -> None:
    def weighing(hours: str, weight: str) -> Weighing:
        return Weighing(Figure.exact(D(hours), "h"), grams(weight))

    assert made(weighings=(weighing("20", "400"), weighing("22", "399"))).warnings == ()
    (risen,) = made(weighings=(weighing("20", "400"), weighing("22", "450"))).warnings
    assert risen.startswith("batch.toml: drying.weighings, number 2: 450 g is more than 400 g before it")


# -- coverage ----------------------------------------------------------------------------------------


def test_coverage_counts_what_was_poured_off_by_its_size() -> None:
    content = made(grams("900"), grams("-100"))
    assert set(content.coverage) == set(REPORTED)
    assert set(content.coverage.values()) == {D(1)}
    assert content.nutrients["energy"].value == 800


def test_a_batch_of_nothing_has_no_coverage() -> None:
    content = batch_content(Batch("t", "batch.toml", Figure.exact(1, "serving"), "USD", ()), [])
    assert set(content.coverage.values()) == {None}
    assert content.nutrients["energy"].value == 0
