"""Water balance against published worked examples, SR28's freeze-dried foods, and conservation."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.documents import Drying
from nutricost.domain.drying import balance
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference" / "freeze_dried.csv"


def grams(value: str, name: str = "weight") -> Figure:
    return Figure.exact(Decimal(value), "g", name)


def fraction(value: str) -> Figure:
    return Figure.exact(Decimal(value), "", "moisture")


def near(figure: Figure, value: float, digits: float) -> None:
    assert float(figure.must()) == pytest.approx(value, abs=digits)


def test_kilogram_of_food_at_75_percent_dried_to_3_percent() -> None:
    # Arithmetic of the solids balance (derived): 1000 g at 75 % to 3 %: 257.73 g, 742.27 g removed.
    dry = balance.dry_weight_from_solids(grams("250"), fraction("0.03"))
    near(dry, 257.73, 0.005)
    near(balance.water_removed(grams("1000"), dry), 742.27, 0.005)


def test_published_example_10_kg_from_80_to_15_percent() -> None:
    # A public worked example of energy for drying: 10 kg, 80 % to 15 %: 2.353 kg left, 7.647 kg removed.
    dry = balance.dry_weight_from_solids(grams("2000"), fraction("0.15"))
    near(dry, 2353, 0.5)
    near(balance.water_removed(grams("10000"), dry), 7647, 0.5)


@pytest.mark.parametrize(
    "row",
    list(csv.DictReader(REFERENCE.read_text().splitlines())),
    ids=lambda r: f"{r['food']} {r['nutrient']}",
)
def test_sr28_freeze_dried_foods(row: dict[str, str]) -> None:
    # USDA SR28 lists these foods raw and freeze-dried; the samples differ, hence the tolerance.
    computed = balance.per_100g_dry(
        Figure.exact(Decimal(row["raw_per_100g"]), "g", row["nutrient"]),
        Figure.exact(Decimal(row["water_dry_g_per_100g"]) / 100, "", "r"),
        Figure.exact(Decimal(row["water_raw_g_per_100g"]) / 100, "", "w"),
    )
    assert float(computed.must()) == pytest.approx(
        float(row["dry_per_100g"]), rel=float(row["tolerance_fraction"])
    )


def test_residual_moisture_of_a_weighing_carries_its_interval() -> None:
    solids = Figure.between(Decimal(970), Decimal(990), "g", "solids")
    moisture = balance.residual_moisture_from_weights(grams("1000"), solids)
    assert (moisture.low, moisture.value, moisture.high) == (
        Decimal("0.01"),
        Decimal("0.02"),
        Decimal("0.03"),
    )


def test_residual_moisture_is_never_negative() -> None:
    solids = Figure.between(Decimal(990), Decimal(1020), "g", "solids")
    moisture = balance.residual_moisture_from_weights(grams("1000"), solids)
    assert (moisture.low, moisture.value, moisture.high) == (Decimal(0), Decimal(0), Decimal("0.01"))


def test_unknown_solids_leave_the_moisture_unknown() -> None:
    moisture = balance.residual_moisture_from_weights(grams("1000"), Figure.unknown("g", "no water value"))
    assert moisture.value is None
    assert "no water value" in moisture.why


@pytest.mark.parametrize("moisture", ["1", "1.2", "-0.01"])
def test_impossible_moisture_is_refused(moisture: str) -> None:
    with pytest.raises(InputError, match=r"mass fraction"):
        balance.dry_weight_from_solids(grams("250"), fraction(moisture))


def test_scale_step_widens_a_weighing_and_the_moisture() -> None:
    dry, solids, step = grams("1000"), grams("970"), grams("10")
    read = balance.with_scale_step(dry, step)
    assert (read.low, read.high) == (Decimal(995), Decimal(1005))
    moisture = balance.residual_moisture_from_weights(read, solids)
    doubt = balance.moisture_doubt_from_scale(dry, solids, step)
    near(doubt, 0.0097, 1e-9)
    assert float(moisture.high - moisture.low) == pytest.approx(float(doubt.must()), rel=1e-3)


def test_water_per_serving_bag_and_100_g_in_ml_and_cups() -> None:
    water, dry = grams("3000"), grams("1000")
    servings = Figure.exact(20, "serving", "servings")
    each = balance.water_per_serving(water, servings)
    assert (each.value, each.unit) == (Decimal(150), "mL/serving")
    cups = balance.as_cups(each)
    assert (cups.unit, cups.name) == ("cup/serving", each.name)
    assert balance.as_volume(water).name == water.name
    near(cups, 150 / 236.5882365, 1e-9)  # NIST Handbook 44, appendix C
    per_100g = balance.water_per_100g_dry(water, dry)
    assert (per_100g.value, per_100g.shown_unit) == (Decimal(300), "mL/100 g")


def test_dry_below_solids_is_an_error_with_both_figures() -> None:
    problem = balance.solids_problem(grams("900"), grams("970"), "chili.toml")
    assert problem is not None
    assert problem.severity == "error"
    assert "900 g" in problem.what
    assert "970 g" in problem.what


def test_dry_below_solids_within_the_interval_is_no_error() -> None:
    solids = Figure.between(Decimal(890), Decimal(990), "g", "solids")
    assert balance.solids_problem(grams("900"), solids) is None


def test_bad_drying_tables_are_named_with_both_figures() -> None:
    trays = Figure.exact(4, "tray", "trays")
    five = tuple(grams("850") for _ in range(5))
    heavier = Drying(
        trays=trays, wet_weight=five, dry_weight=(grams("9000"),), residual_moisture=fraction("1")
    )
    texts = [str(problem) for problem in balance.drying_problems(heavier)]
    assert "5 weights for 4 trays" in texts[0]
    assert "9000 g is above the wet weight 4250 g" in texts[1]
    assert "drying.residual_moisture" in texts[2]
    assert balance.drying_problems(Drying(trays=trays, wet_weight=five[:4], dry_weight=(grams("900"),))) == []


def test_heavier_dry_tray_is_named() -> None:
    drying = Drying(wet_weight=(grams("800"), grams("850")), dry_weight=(grams("200"), grams("860")))
    assert [problem.what for problem in balance.drying_problems(drying)] == [
        "tray 2: dry weight 860 g is above the wet weight 850 g"
    ]


def test_water_by_tray() -> None:
    removed = balance.water_by_tray((grams("800"), grams("850")), (grams("200"), grams("210")))
    assert [tray.value for tray in removed] == [600, 640]
    assert [tray.name[-6:] for tray in removed] == ["tray 1", "tray 2"]
    with pytest.raises(InputError, match="2 wet weights but 1"):
        balance.water_by_tray((grams("800"), grams("850")), (grams("200"),))


weights = st.decimals(min_value=1, max_value=20000, places=2)
moistures = st.decimals(min_value=0, max_value=Decimal("0.95"), places=4)


@settings(max_examples=60)
@given(weights, moistures)
def test_mass_and_water_close(solids: Decimal, moisture: Decimal) -> None:
    residual = Figure.exact(moisture, "", "r")
    held = Figure.exact(solids, "g", "solids")
    dry = balance.dry_weight_from_solids(held, residual)
    wet = Figure.exact(solids * 20, "g", "wet")
    removed = balance.water_removed(wet, dry)
    assert abs(removed.must() + dry.must() - wet.must()) < Decimal("1e-9")
    back = balance.residual_moisture_from_weights(dry, held)
    assert abs(back.must() - moisture) < Decimal("1e-9")


@settings(max_examples=60)
@given(weights, moistures, moistures)
def test_more_moisture_never_weighs_less(solids: Decimal, one: Decimal, other: Decimal) -> None:
    held = Figure.exact(solids, "g", "solids")
    low, high = sorted((one, other))
    lighter = balance.dry_weight_from_solids(held, Figure.exact(low, "", "r")).must()
    assert lighter <= balance.dry_weight_from_solids(held, Figure.exact(high, "", "r")).must()


def test_one_wet_weight_goes_with_a_dry_weight_a_tray() -> None:
    # Only a list beside a list of another length is a contradiction; one weight in all is none.
    two = (grams("200"), grams("210"))
    assert balance.drying_problems(Drying(wet_weight=(grams("2000"),), dry_weight=two)) == []
    uneven = balance.drying_problems(Drying(wet_weight=(grams("900"),) * 3, dry_weight=two))
    assert [problem.what for problem in uneven] == ["2 dry weights for 3 wet weights"]


def test_refusals_show_weights_as_a_person_writes_them() -> None:
    problem = balance.solids_problem(grams("0.25"), grams("250"), "here")
    assert problem is not None
    assert "0.25 g" in problem.what and "250 g" in problem.what


def between(low: str, high: str, unit: str = "g") -> Figure:
    return Figure.between(Decimal(low), Decimal(high), unit, "weight")


def test_moisture_assumed_where_nobody_weighed() -> None:
    # 1 to 4 % (textbook range, from memory).
    usual = balance.assumed_residual_moisture()
    assert (*usual.box, usual.unit, usual.standing) == (Decimal("0.01"), Decimal("0.04"), "", "assumed")


def test_masses_by_difference_are_cut_at_zero_where_the_intervals_overlap() -> None:
    # 995 to 1005 g before and 990 to 1000 g after: from nothing to 15 g, for the load and for each tray.
    wet, dry = between("995", "1005"), between("990", "1000")
    for lost in (
        balance.water_removed(wet, dry),
        balance.water_over_solids(wet, dry),
        *balance.water_by_tray((wet,), (dry,)),
    ):
        assert (lost.box, lost.unit) == ((Decimal(0), Decimal(15)), "g")
    apart = balance.water_over_solids(grams("1000"), between("400", "999.5"))
    assert apart.box == (Decimal("0.5"), Decimal(600))
    assert not balance.water_over_solids(Figure.unknown("g", "not weighed"), dry).is_known


@pytest.mark.parametrize("ends", [("-0.01", "0.1"), ("0.5", "1")])
def test_moisture_reaching_out_of_its_range_is_refused(ends: tuple[str, str]) -> None:
    with pytest.raises(InputError, match=ends[1]):
        balance.check_fraction(between(*ends, ""), "residual moisture")
    balance.check_fraction(between("0", "0.99", ""), "residual moisture")
    balance.check_fraction(Figure.unknown("", "not told"), "residual moisture")
    for r, w in ((between(*ends, ""), fraction("0.8")), (fraction("0.03"), between(*ends, ""))):
        with pytest.raises(InputError):
            balance.per_100g_dry(grams("3"), r, w)


def test_scale_step_counts_in_any_unit_and_only_where_known() -> None:
    # 10 g either unit: half a step is 5 g.
    step = Figure.exact(Decimal("0.01"), "kg", "step")
    read = balance.as_weighed((grams("800", "tray"), grams("850")), step)
    assert [end for weight in read for end in weight.box] == [795, 805, 845, 855]
    assert read[0].name == "tray"
    assert [weight.is_exact for weight in balance.as_weighed((grams("800"),), None)] == [True]
    near(balance.moisture_doubt_from_scale(grams("1000"), grams("970"), step), 0.0097, 1e-9)


def test_solids_may_reach_the_dry_weight_but_not_pass_it() -> None:
    assert balance.solids_problem(between("880", "900"), between("900", "990")) is None
    problem = balance.solids_problem(between("880", "899"), Figure.exact(Decimal("0.9"), "kg"), "chili.toml")
    assert problem is not None
    assert (problem.where, problem.severity) == ("chili.toml", "error")
    assert "900 g" in problem.what
    unknown = Figure.unknown("g", "no water value")
    assert balance.solids_problem(grams("900"), unknown) is None
    assert balance.solids_problem(unknown, grams("970")) is None


TWO = Figure.exact(2, "tray", "trays")


@pytest.mark.parametrize(
    ("drying", "keys"),
    [
        (Drying(trays=TWO, wet_weight=(grams("9"),) * 3), ["wet_weight"]),
        (Drying(trays=TWO, dry_weight=(grams("9"),) * 3), ["dry_weight"]),
        (Drying(trays=Figure.exact(3, "tray"), wet_weight=(grams("9"),) * 2), ["wet_weight"]),
        (Drying(trays=TWO, wet_weight=(grams("9"),)), []),
        (Drying(wet_weight=(grams("9"),) * 3), []),
        (Drying(wet_weight=(grams("9"),) * 2, dry_weight=(grams("3"),) * 3), ["dry_weight"]),
        # Each tray by itself, although 1000 g in all is less than 1100 g.
        (
            Drying(wet_weight=(grams("500"), grams("600")), dry_weight=(grams("501"), grams("499"))),
            ["dry_weight"],
        ),
        (
            Drying(wet_weight=(grams("5"), grams("6")), dry_weight=(grams("7"), grams("8"))),
            ["dry_weight", "dry_weight"],
        ),
        # Nothing lost is possible; a gram gained is not.
        (Drying(wet_weight=(grams("500"),), dry_weight=(grams("500"),)), []),
        (Drying(wet_weight=(grams("500"),), dry_weight=(grams("501"),)), ["dry_weight"]),
        (Drying(wet_weight=(grams("500"),), dry_weight=(between("500", "501"),)), []),
        (Drying(wet_weight=(grams("500"),), dry_weight=(between("500.5", "501"),)), ["dry_weight"]),
        (Drying(wet_weight=(grams("500"),), dry_weight=(Figure.unknown("g", "lost"),)), []),
        (Drying(wet_weight=(Figure.unknown("g", "lost"),), dry_weight=(grams("500"),)), []),
        (Drying(dry_weight=(grams("500"),)), []),
        (Drying(residual_moisture=fraction("0")), []),
        (Drying(residual_moisture=fraction("1")), ["residual_moisture"]),
        (Drying(), []),
    ],
)
def test_each_impossible_drying_table_is_an_error_at_its_key(drying: Drying, keys: list[str]) -> None:
    problems = balance.drying_problems(drying, "chili.toml: ")
    assert [problem.where for problem in problems] == [f"chili.toml: drying.{key}" for key in keys]
    assert all(problem.severity == "error" for problem in problems)


def test_refusals_show_long_weights_in_full_and_what_moisture_was_refused() -> None:
    wet = fraction("1.2")
    heavy = Drying(wet_weight=(grams("1234567"),), dry_weight=(grams("1234567.8"),), residual_moisture=wet)
    shown = [problem.what for problem in balance.drying_problems(heavy)]
    assert "1234567.8 g is above the wet weight 1234567 g" in shown[0]
    assert "residual moisture: 1.2 (" in shown[1]
