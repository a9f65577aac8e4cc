"""Import laws of composition tables."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.foods.laws import broken_laws
from nutricost.domain.foods.records import AtwaterFactors, Food, NutrientValue

Amounts = dict[str, str | None]

# Source: SR28 NDB 01001 (NUT_DATA and FOOD_DES).
SOUND: Amounts = {
    "energy": "717",
    "protein": "0.85",
    "fat": "81.11",
    "carbohydrate": "0.06",
    "sugar": "0.06",
    "water": "15.87",
    "ash": "2.11",
    "alcohol": "0.0",
}
FACTORS = AtwaterFactors(Decimal("4.27"), Decimal("8.79"), Decimal("3.87"))


def food(changes: Amounts, factors: AtwaterFactors = FACTORS) -> Food:
    amounts = SOUND | changes
    nutrients = {key: NutrientValue(Decimal(text)) for key, text in amounts.items() if text is not None}
    return Food("ndb:01001", "sr28", "Butter, salted", nutrients=nutrients, factors=factors)


def test_a_sound_row_breaks_nothing() -> None:
    assert broken_laws(food({})) == {}
    assert broken_laws(Food("survey:x", "survey", "x")) == {}


@pytest.mark.parametrize(
    ("changes", "law"),
    [
        ({"water": "17.0"}, "proximates"),
        ({"water": "14.8"}, "proximates"),
        ({"water": None, "ash": "20"}, "proximates"),
        ({"energy": "600"}, "energy"),
        ({"energy": "900"}, "energy"),
        ({"sugar": "0.07"}, "sugar"),
        ({"sodium": "-1"}, "negative"),
    ],
)
def test_each_law(changes: Amounts, law: str) -> None:
    broken = broken_laws(food(changes))
    assert set(broken) == {law}
    assert broken[law].where == "ndb:01001"


@pytest.mark.parametrize("changes", [{"water": "16.87"}, {"water": "14.87"}, {"water": None}, {"ash": None}])
def test_tolerance_of_proximates_includes_its_ends(changes: Amounts) -> None:
    assert "proximates" not in broken_laws(food(changes))


def test_alcohol_counts_in_energy_and_proximates() -> None:
    # Source: SR28 NDB 14037, distilled spirits, 80 proof: 231 kcal, alcohol 33.4 g, water 66.6 g.
    spirits: Amounts = {**dict.fromkeys(SOUND, "0"), "energy": "231", "alcohol": "33.4", "water": "66.6"}
    assert broken_laws(food(spirits, AtwaterFactors())) == {}
    without: Amounts = spirits | {"alcohol": None}
    assert set(broken_laws(food(without, AtwaterFactors()))) == {"proximates", "energy"}


def test_fibre_may_give_less_where_a_row_has_no_factors() -> None:
    # Common practice, no source: fibre gives 0 to 4 kcal/g, depending on the table.
    bran: Amounts = dict.fromkeys(SOUND)
    bran |= {"energy": "130", "protein": "10", "fat": "2", "carbohydrate": "70", "fiber": "60"}
    assert broken_laws(food(bran, AtwaterFactors())) == {}
    assert set(broken_laws(food(bran | {"fiber": "0"}, AtwaterFactors()))) == {"energy"}


@pytest.mark.parametrize(
    ("changes", "factors", "sound", "broken"),
    [
        # 100 g of carbohydrate alone. Own factor 3.87: 387 kcal, 10 % either way.
        ({}, FACTORS, ("348.3", "425.7"), ("348.2", "425.8")),
        # A factor of the fat alone is a factor of its own; the carbohydrate's is then the general 4.
        ({}, AtwaterFactors(fat=Decimal("8.79")), ("360", "440"), ("359.9", "440.1")),
        ({}, AtwaterFactors(protein=Decimal("3.47")), ("360", "440"), ("359.9", "440.1")),
        # None of its own: 4 kcal/g, 30 % either way; fibre from 0 to 4 kcal/g.
        ({}, AtwaterFactors(), ("280", "520"), ("279.9", "520.1")),
        ({"fiber": "50"}, AtwaterFactors(), ("140", "520"), ("139.9", "520.1")),
        # A small energy: 10 or 20 kcal either way.
        ({"carbohydrate": "0"}, FACTORS, ("0", "10"), ("10.1",)),
        ({"carbohydrate": "0"}, AtwaterFactors(), ("0", "20"), ("20.1",)),
    ],
)
def test_ends_of_the_energy_tolerance(
    changes: Amounts, factors: AtwaterFactors, sound: tuple[str, ...], broken: tuple[str, ...]
) -> None:
    base: Amounts = {
        "protein": "0",
        "fat": "0",
        "carbohydrate": "100",
        "water": None,
        "alcohol": None,
        "sugar": None,
    }
    for energies, fails in ((sound, False), (broken, True)):
        for energy in energies:
            row = food(base | changes | {"energy": energy, "ash": None}, factors)
            assert ("energy" in broken_laws(row)) is fails, energy


@pytest.mark.parametrize("missing", ["energy", "protein", "fat", "carbohydrate"])
def test_a_row_that_lacks_a_value_is_not_judged_by_it(missing: str) -> None:
    assert broken_laws(food({missing: None, "sugar": None})) == {}
