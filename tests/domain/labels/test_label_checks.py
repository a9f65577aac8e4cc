"""A label against itself. Labels are invented; arithmetic beside each."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_labels import CHILI, chili, printed

from nutricost.domain.documents import Label
from nutricost.domain.labels import label_problems, read_label
from nutricost.domain.labels.checks import energy_from_macros_kcal, serving_size_half_step
from nutricost.domain.labels.rounding import RULES
from nutricost.domain.quantities import Figure


def findings(label: Label) -> list[str]:
    problems = label_problems(read_label(label))
    assert all(problem.severity == "warning" and problem.where == label.where for problem in problems)
    return [problem.what for problem in problems]


def test_a_sound_label_has_no_findings() -> None:
    assert findings(chili()) == []


def test_energy_by_4_4_9_spans_the_permitted_treatments_of_fibre() -> None:
    """21 CFR 101.9(c)(1)(i)(B) and (C). Low: 9 x 5.5 + 4 x 12.5 + 4 x (14.5 - 4.5); high all at 4."""
    assert energy_from_macros_kcal(read_label(chili())) == (Decimal("139.5"), Decimal("174.5"))


def test_calories_far_from_4_4_9_are_reported() -> None:
    (finding,) = findings(chili({**CHILI, "energy": "290"}, container_printed={}))
    assert "290 calories are printed" in finding and "139.5 to 174.5 kcal" in finding


def test_calories_below_4_4_9_are_reported() -> None:
    (finding,) = findings(chili({**CHILI, "energy": "100"}, container_printed={}))
    assert "100 calories are printed" in finding


def test_the_20_percent_rule_is_allowed_for() -> None:
    # 174.5 / 0.8 = 218: a printed 200 (195 at least) passes, 230 (225 at least) does not
    assert findings(chili({**CHILI, "energy": "200"}, container_printed={})) == []
    assert len(findings(chili({**CHILI, "energy": "230"}, container_printed={}))) == 1


def test_unprinted_fibre_may_be_all_of_the_carbohydrate() -> None:
    figures = {key: value for key, value in CHILI.items() if key != "fiber"}
    assert energy_from_macros_kcal(read_label(chili(figures))) == (Decimal("99.5"), Decimal("174.5"))


def test_alcohol_and_sugar_alcohol_are_allowed_for() -> None:
    """Alcohol 7 kcal/g (AH-74, from memory); sugar alcohol from 0 (erythritol, (c)(1)(i)(F))."""
    reading = read_label(chili(extra=printed({"alcohol": "5", "sugar_alcohol": "3"})))
    low, high = energy_from_macros_kcal(reading) or (None, None)
    assert low == Decimal("139.5") + 7 * Decimal("4.5") - 4 * Decimal("3.5")
    assert high == Decimal("174.5") + 7 * Decimal("5.5")


@pytest.mark.parametrize(
    ("figures", "alcohol", "fits"),
    [
        # least: protein 31.5 x 4 = 126 = 1.2 x 105; with 33 g it is 130
        ({"energy": "100", "fat": "0", "carbohydrate": "0", "fiber": "0", "protein": "32"}, "0", True),
        ({"energy": "100", "fat": "0", "carbohydrate": "0", "fiber": "0", "protein": "33"}, "0", False),
        # most: 0.5 x 9 + 0.5 x 4 + 1.5 x 4 + 4.5 x 7 = 44 = 0.8 x 55; of printed 70 it is 0.8 x 65 = 52
        ({"energy": "60", "fat": "0", "carbohydrate": "0", "protein": "1"}, "4", True),
        ({"energy": "70", "fat": "0", "carbohydrate": "0", "protein": "1"}, "4", False),
    ],
)
def test_the_20_percent_rule_holds_to_its_very_end(figures: dict[str, str], alcohol: str, fits: bool) -> None:
    """21 CFR 101.9(g)(4)(ii) and (g)(5): 80 % and 120 % themselves are lawful."""
    label = chili(figures, extra=printed({"alcohol": alcohol}), container_printed={})
    assert (findings(label) == []) is fits


@pytest.mark.parametrize("missing", ["fat", "protein", "carbohydrate"])
def test_one_macro_missing_is_no_energy_check(missing: str) -> None:
    figures = {key: value for key, value in CHILI.items() if key != missing}
    assert energy_from_macros_kcal(read_label(chili(figures))) is None


def test_without_macros_there_is_no_energy_check() -> None:
    assert energy_from_macros_kcal(read_label(chili({"energy": "170"}))) is None
    assert findings(chili({"energy": "170"})) == []


def test_a_second_column_that_does_not_fit_is_reported_with_every_route() -> None:
    """170 x 370/150 = 419 (rounding 407 to 432), 170 x 2.5 = 425; the column says 340 (335 to 345)."""
    (finding,) = findings(chili(container_printed=printed({"energy": "340"})))
    assert "calories in a package disagrees beyond rounding" in finding
    assert "340 kcal (335 to 345) printed for the container" in finding
    assert "419.3 kcal" in finding and "425 kcal" in finding


def test_servings_that_do_not_fit_the_net_weight_are_reported() -> None:
    (finding,) = findings(chili(servings_per_container=Decimal(4), container_printed={}))
    assert "net weight / serving weight" in finding and "printed servings" in finding


def test_servings_are_compared_even_without_calories() -> None:
    figures = {key: value for key, value in CHILI.items() if key != "energy"}
    (finding,) = findings(chili(figures, servings_per_container=Decimal(4), container_printed={}))
    assert finding.startswith("label 'chili': servings in a package disagrees")


def test_other_nutrients_of_the_second_column_are_compared() -> None:
    (finding,) = findings(chili(container_printed=printed({"energy": "420", "sodium": "590"})))
    assert "sodium in a package" in finding


def test_rounded_serving_grams_do_not_warn() -> None:
    """48 oz (1360.8 g) of 1 oz servings printed as 28 g: 48.6 by weight, 48 printed (47.5 to 48.5)."""
    label = chili(
        serving_g=Decimal(28), servings_per_container=Decimal(48), container_printed={},
        net_weight=Figure.exact(Decimal("1360.8"), "g", "net weight"),
        figures={"energy": "100"},
    )  # fmt: skip
    assert findings(label) == []


def test_serving_grams_rounded_up_do_not_warn() -> None:
    """1,100 g of 5.5 g servings, printed as 6 g, are 200 servings; by the printed grams 183."""
    label = chili(
        {"protein": "2"}, serving_g=Decimal(6), servings_per_container=Decimal(200), container_printed={},
        net_weight=Figure.exact(1100, "g", "net weight"),
    )  # fmt: skip
    assert findings(label) == []


def test_rounded_grams_excuse_nothing_that_does_not_rest_on_them() -> None:
    """By calories: 1,005 at most in the package; 12 servings of 95 are 11.5 x 95 = 1,092 at least."""
    label = chili(
        {"energy": "100"}, serving_g=Decimal(6), servings_per_container=Decimal(12), net_weight=None,
        container_printed=printed({"energy": "1000"}),
    )  # fmt: skip
    (finding,) = findings(label)
    assert "calories in a package" in finding


@pytest.mark.parametrize(("column", "fits"), [("150", False), ("160", True), ("180", True), ("190", False)])
def test_intervals_that_touch_agree(column: str, fits: bool) -> None:
    """A single serving of 170 calories (165 to 175): 160 is 155 to 165, 180 is 175 to 185."""
    label = chili(
        net_weight=None, servings_per_container=Decimal(1), container_printed=printed({"energy": column})
    )
    assert (findings(label) == []) is fits


def test_servings_that_do_not_fit_are_told_once() -> None:
    """590 x 370/150 = 1,455 mg fits the column; the 4 servings fit neither, which calories tell."""
    label = chili(servings_per_container=Decimal(4), container_printed=printed({"sodium": "1460"}))
    (finding,) = findings(label)
    assert "calories in a package" in finding


@pytest.mark.parametrize(
    ("amount", "half_step"),
    [("28", "0.5"), ("5", "0.5"), ("4.5", "0.25"), ("2", "0.25"), ("1.9", "0.05"), ("1.2", "0.05")],
)
def test_serving_sizes_round_by_size(amount: str, half_step: str) -> None:
    assert serving_size_half_step(Decimal(amount)) == Decimal(half_step)  # 101.9(b)(7), from memory


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"sugar": "17"}, "sugar 17 g is more than carbohydrate 15 g"),
        ({"fiber": "17"}, "fiber 17 g is more than carbohydrate 15 g"),
        ({"saturated_fat": "8"}, "saturated fat 8 g is more than fat 6 g"),
        ({"sugar": "10", "fiber": "8"}, "together are more than carbohydrate"),
        # sugar alone may be all of it (15.5 g), no fiber fits beside it
        ({"sugar": "16", "fiber": "4"}, "together are more than carbohydrate"),
    ],
)
def test_a_part_larger_than_its_whole_is_reported(change: dict[str, str], words: str) -> None:
    (finding,) = findings(chili({**CHILI, **change}))
    assert words in finding


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ({"trans_fat": "8"}, "trans fat 8 g is more than fat 6 g"),
        ({"added_sugar": "6"}, "added sugar 6 g is more than sugar 4 g"),
        ({"sugar_alcohol": "17"}, "sugar alcohol 17 g is more than carbohydrate 15 g"),
        ({"sugar_alcohol": "10"}, "together are more than carbohydrate"),  # 3.5 + 3.5 + 9.5 > 15.5
    ],
)
def test_parts_that_labels_need_not_print_are_held_too(extra: dict[str, str], words: str) -> None:
    (finding,) = findings(chili(extra=printed(extra)))
    assert words in finding


def test_parts_that_just_fit_are_fine() -> None:
    assert findings(chili(extra=printed({"sugar_alcohol": "9"}))) == []  # 3.5 + 3.5 + 8.5 = 15.5


def test_parts_equal_within_rounding_are_fine() -> None:
    assert findings(chili({**CHILI, "sugar": "16", "fiber": "0", "carbohydrate": "15"})) == []


def test_solids_heavier_than_the_serving_are_reported() -> None:
    (finding,) = findings(chili(serving_g=Decimal(30), net_weight=None, container_printed={}))
    assert "more than the serving of 30 g" in finding


@pytest.mark.parametrize(("protein", "fits"), [("29", True), ("30", False)])
def test_rounded_solids_of_a_rounded_serving_fit(protein: str, fits: bool) -> None:
    """28 g is 28.5 g at most; protein 29 g is 28.5 g at least, 30 g is 29.5 g."""
    label = chili({"protein": protein}, serving_g=Decimal(28), net_weight=None, container_printed={})
    assert (findings(label) == []) is fits


def test_salt_weighs_more_than_its_sodium() -> None:
    """9.5 + 9.5 + 4.995 x 2.54 = 31.7 g, more than 30.5 g; with the bare sodium it would be 24 g."""
    figures = {"carbohydrate": "10", "protein": "10", "sodium": "5000"}
    (finding,) = findings(chili(figures, serving_g=Decimal(30), net_weight=None, container_printed={}))
    assert "more than the serving of 30 g" in finding


def test_parts_without_their_whole_are_no_finding() -> None:
    assert findings(chili({"sugar": "10", "fiber": "8"}, container_printed={})) == []


def test_an_unknown_serving_weight_is_no_finding() -> None:
    assert findings(chili(serving_g=None, net_weight=None)) == []


@settings(max_examples=60)
@given(
    fat=st.decimals(0, 40, places=1), digested=st.decimals(0, 60, places=1),
    fibre=st.decimals(0, 15, places=1), protein=st.decimals(0, 40, places=1),
    sugar_share=st.decimals(0, 1, places=2), water=st.decimals(0, 200, places=0),
    by_difference=st.booleans(),
)  # fmt: skip
def test_lawful_rounding_alone_never_warns(
    fat: Decimal, digested: Decimal, fibre: Decimal, protein: Decimal, sugar_share: Decimal, water: Decimal,
    by_difference: bool,
) -> None:  # fmt: skip
    """A true composition with its true 4-4-9 energy, printed by the law."""
    energy = 9 * fat + 4 * protein + 4 * (digested if by_difference else digested + fibre)
    true = {
        "energy": energy, "fat": fat, "carbohydrate": digested + fibre, "fiber": fibre,
        "sugar": digested * sugar_share, "protein": protein, "saturated_fat": fat,
    }  # fmt: skip
    label = chili(
        serving_g=fat + digested + fibre + protein + water + 1,
        printed={key: RULES[key].print_amount(amount) for key, amount in true.items()},
        net_weight=None, container_printed={},
    )  # fmt: skip
    assert findings(label) == []
