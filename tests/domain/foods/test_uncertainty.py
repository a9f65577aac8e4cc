"""Intervals of table values: USDA's own error bounds, and scipy's Student t."""

from __future__ import annotations

from decimal import Decimal

import pytest
from scipy.stats import t as student

from nutricost.domain.foods.records import Food, NutrientValue
from nutricost.domain.foods.uncertainty import confidence_interval, food_figure

D = Decimal


def published(
    amount: str, error: str | None, points: int | None, degrees: int | None = None
) -> NutrientValue:
    return NutrientValue(D(amount), "measured", None if error is None else D(error), points, degrees)


@pytest.mark.parametrize(
    ("food", "amount", "points", "error", "low", "high"),
    # USDA SR28 (2016), NUT_DATA: NDB number and nutrient number; Nutr_Val, Num_Data_Pts, Std_Error, and
    # the 95 % error bounds Low_EB and Up_EB that the table prints itself, of rows whose DF is points - 1.
    [
        ("01123 egg 203 protein", "12.56", 12, "0.102", "12.333", "12.782"),
        ("01123 egg 204 fat", "9.51", 12, "0.115", "9.254", "9.759"),
        ("05062 chicken breast 203 protein", "22.50", 6, "0.238", "21.887", "23.112"),
        ("05062 chicken breast 307 sodium", "45", 6, "2.309", "39.415", "51.284"),
        ("11821 red pepper 203 protein", "0.99", 4, "0.035", "0.880", "1.105"),
        ("11821 red pepper 255 water", "92.21", 4, "0.399", "90.940", "93.480"),
        ("10060 pork tenderloin 204 fat", "2.17", 12, "0.132", "1.879", "2.460"),
        ("20137 quinoa 203 protein", "4.40", 3, "0.823", "0.855", "7.936"),
        ("11143 celery 255 water", "95.43", 18, "0.124", "95.170", "95.692"),
        ("11143 celery 307 sodium", "80", 56, "3.462", "72.863", "86.741"),
    ],
)
def test_error_bounds_that_sr28_prints(
    food: str, amount: str, points: int, error: str, low: str, high: str
) -> None:
    ours = confidence_interval(published(amount, error, points))
    # The table rounds the value (sodium to 1 mg, the rest to 0.01 g) and the error (to 0.001, times t).
    slack = (D("0.5") if "." not in amount else D("0.005")) + D("0.003")
    assert abs(ours[0] - D(low)) <= slack, food
    assert abs(ours[1] - D(high)) <= slack, food


def test_samples_from_few_places_are_less_sure_than_their_number_says() -> None:
    # SR28 09040 banana, 203 protein: 1.09, 12 points, error 0.022, DF 1, Low_EB 0.810, Up_EB 1.379.
    # Was: read as eleven degrees of freedom, 1.042 to 1.138.
    low, high = confidence_interval(published("1.09", "0.022", 12, 1))
    # The error is rounded to 0.001, times t = 12.706; the value to 0.01.
    assert abs(low - D("0.810")) <= D("0.0115")
    assert abs(high - D("1.379")) <= D("0.0115")
    # SR28 11124 carrot, 255 water: 88.29, 33 points, error 0.429, DF 6, 87.238 to 89.338.
    low, high = confidence_interval(published("88.29", "0.429", 33, 6))
    assert abs(low - D("87.238")) <= D("0.007")
    assert abs(high - D("89.338")) <= D("0.007")
    assert confidence_interval(published("1", "0.1", 12, 0)) == (D(1), D(1))


@pytest.mark.parametrize("points", [*range(2, 40), 50, 78, 120, 600])
def test_quantiles_agree_with_scipy(points: int) -> None:
    low, high = confidence_interval(published("100000", "1", points))
    assert float(high - 100000) == pytest.approx(student.ppf(0.975, points - 1), abs=1.1e-3)
    assert high - 100000 == 100000 - low


@pytest.mark.parametrize(("error", "points"), [(None, 12), ("0", 12), ("0.5", None), ("0.5", 0), ("0.5", 1)])
def test_without_a_usable_error_the_value_stands_as_published(error: str | None, points: int | None) -> None:
    assert confidence_interval(published("3.5", error, points)) == (D("3.5"), D("3.5"))


def test_two_points_are_enough() -> None:
    # One degree of freedom, t = 12.706 (NIST/SEMATECH e-Handbook, table 1.3.6.7.2).
    assert confidence_interval(published("50", "1", 2)) == (D("37.294"), D("62.706"))


def test_no_food_holds_less_than_none() -> None:
    # SR28 15083 pink salmon 204 fat: 4.40, 3 points, error 2.091; Low_EB is printed as -4.597.
    low, high = confidence_interval(published("4.40", "2.091", 3))
    assert low == 0
    assert high == pytest.approx(D("13.397"), abs=D("0.01"))


EGG = Food(
    "ndb:01123", "sr28", "Egg, whole, raw, fresh", ndb_number="01123", release="release 28",
    nutrients={"protein": published("12.56", "0.102", 12), "sugar": NutrientValue(D("0.37"), "imputed")},
)  # fmt: skip


def test_a_value_as_a_figure() -> None:
    protein = food_figure(EGG, "protein")
    assert (protein.value, protein.unit) == (D("12.56"), "g/hundred_g")
    assert protein.low < D("12.56") < protein.high
    assert (protein.source, protein.standing) == ("sr28 01123 release 28", "measured")
    assert protein.name == "protein of Egg, whole, raw, fresh"
    assert food_figure(EGG, "sugar").standing == "imputed"
    assert food_figure(EGG, "sugar").is_exact


def test_a_value_the_table_lacks_is_unknown() -> None:
    fiber = food_figure(EGG, "fiber")
    assert fiber.value is None
    assert fiber.why == "no dietary fiber in the table for Egg, whole, raw, fresh"
    assert (fiber.unit, fiber.source) == ("g/hundred_g", "sr28 01123 release 28")


def test_the_source_names_the_row_by_the_number_it_has() -> None:
    by_id = Food("fdc:9", "foundation", "Invented", fdc_id=9, nutrients=EGG.nutrients)
    assert food_figure(by_id, "protein").source == "foundation 9"
    bare = Food("survey:Invented", "survey", "Invented", nutrients=EGG.nutrients)
    assert food_figure(bare, "protein").source.split() == ["survey"]


def test_the_value_is_the_published_one_though_its_interval_is_cut_at_zero() -> None:
    # SR28 15083 pink salmon 204 fat: 4.40, 3 points, error 2.091.
    salmon = Food("ndb:15083", "sr28", "Salmon", nutrients={"fat": published("4.40", "2.091", 3)})
    fat = food_figure(salmon, "fat")
    assert fat.low == 0 and fat.value == D("4.40")
    assert food_figure(salmon, "protein").name == "protein of Salmon"
