"""When each caution shows. The guidance behind every rule is named in its `source`."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest

from nutricost.domain.cautions import RAW_TEXT, Facts, FoodFact, cautions
from nutricost.domain.cautions.animal_foods import animal_foods
from nutricost.domain.cautions.rules import CODES
from nutricost.domain.quantities import Figure

CHICKEN = FoodFact(
    "Chicken, broilers or fryers, breast, meat only, raw", "Poultry Products", (), "2 lb chicken breast"
)
COOKED_CHICKEN = FoodFact(
    "Chicken, breast, roasted", "Poultry Products", ("cooked",), "2 cups cooked chicken"
)
CORN = FoodFact(
    "Corn, sweet, yellow, frozen", "Vegetables and Vegetable Products", (), "3 lb frozen sweet corn"
)


@pytest.fixture(autouse=True)
def read_anew() -> Iterator[None]:
    animal_foods.cache_clear()
    yield


def codes(facts: Facts) -> set[str]:
    return {caution.code for caution in cautions(facts)}


def text_of(facts: Facts, code: str) -> str:
    return next(caution.text for caution in cautions(facts) if caution.code == code)


def moisture(value: str) -> Figure:
    return Figure.exact(Decimal(value), "", "residual moisture")


def test_codes_are_stable() -> None:
    assert CODES == (
        "raw_poultry",
        "raw_meat",
        "raw_fish",
        "raw_egg",
        "moist_oxygen_free",
        "old_leftovers",
        "honey_infants",
        "allergens",
        "coconut",
        "cook_temperatures",
        "cooling",
        "reheat",
        "thawed_refrozen",
        "oxygen_free_dry",
        "fat_rancidity",
        "date_labels",
        "not_sterile",
        "local_rules",
    )


def test_every_caution_has_a_source_and_never_promises_safety() -> None:
    facts = Facts(
        foods=(CHICKEN, FoodFact("Honey")),
        leftover_age_days=Decimal(6),
        fat_fraction_of_solids=Decimal("0.6"),
        residual_moisture=moisture("0.12"),
        oxygen_free=True,
        thawed_refrozen=True,
        has_date_labels=True,
    )
    for caution in cautions(facts):
        assert caution.source
        assert caution.severity in ("danger", "warning", "notice")
        assert "safe to eat" not in caution.text
        assert "makes it safe" not in caution.text


@pytest.mark.parametrize(
    ("food", "code"),
    [
        (CHICKEN, "raw_poultry"),
        (FoodFact("Beef, ground, 80% lean meat / 20% fat, raw", "Beef Products"), "raw_meat"),
        (FoodFact("Fish, cod, Atlantic, raw", "Finfish and Shellfish Products"), "raw_fish"),
        (FoodFact("Egg, whole, raw, fresh", "Dairy and Egg Products", (), "12 eggs"), "raw_egg"),
        (FoodFact("", line="1 lb ground turkey"), "raw_poultry"),
        (FoodFact("", line="2 lb beef for chili"), "raw_meat"),
    ],
)
def test_raw_animal_food(food: FoodFact, code: str) -> None:
    facts = Facts(foods=(food,))
    assert code in codes(facts)
    assert text_of(facts, code).startswith(RAW_TEXT)
    assert "thermometer" in text_of(facts, code)
    assert code not in codes(Facts(foods=(food,), cooked=True))


@pytest.mark.parametrize(
    "food",
    [
        COOKED_CHICKEN,
        CORN,
        FoodFact("", line="8 cans turkey chili"),
        FoodFact("turkey chili", line="1 kit turkey chili"),
        FoodFact("Eggplant, raw", "Vegetables and Vegetable Products", (), "1 eggplant"),
        FoodFact("Noodles, egg, dry, enriched", "Cereal Grains and Pasta"),
        FoodFact("Beans, kidney, red, mature seeds, raw", "Legumes and Legume Products"),
        FoodFact("Soup, stock, chicken, home-prepared", "Soups, Sauces, and Gravies"),
        FoodFact("Mushrooms, oyster, raw", "Vegetables and Vegetable Products"),
        FoodFact("Fish, tuna, light, canned in water", "Finfish and Shellfish Products", (), "2 cans tuna"),
        FoodFact("Cheese, goat, soft type", "Dairy and Egg Products"),
    ],
)
def test_not_raw(food: FoodFact) -> None:
    assert not {code for code in codes(Facts(foods=(food,), cooked=False)) if code.startswith("raw_")}


def test_what_nobody_said_is_told() -> None:
    unstated = FoodFact("Turkey", "Poultry Products", (), "1 lb turkey")
    assert "nobody said" in text_of(Facts(foods=(unstated,)), "raw_poultry")
    assert "nobody said" not in text_of(Facts(foods=(unstated,), cooked=False), "raw_poultry")


def test_what_can_kill_is_a_danger() -> None:
    facts = Facts(
        foods=(CHICKEN, FoodFact("Beef, raw"), FoodFact("Cod, raw"), FoodFact("Egg, raw"), FoodFact("Honey")),
        leftover_age_days=Decimal(6), residual_moisture=moisture("0.12"), oxygen_free=True,
    )  # fmt: skip
    dangers = {caution.code for caution in cautions(facts) if caution.severity == "danger"}
    assert dangers == {
        "raw_poultry", "raw_meat", "raw_fish", "raw_egg", "moist_oxygen_free", "old_leftovers",
        "honey_infants",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("food", "code", "temperatures"),
    [
        # USDA FSIS Safe Minimum Internal Temperature Chart [F]
        (CHICKEN, "raw_poultry", ("165",)),
        (FoodFact("Sausage, turkey, raw", "Sausages and Luncheon Meats"), "raw_poultry", ("165",)),
        (FoodFact("ground pork and chicken, raw"), "raw_poultry", ("165",)),
        (FoodFact("Beef, raw"), "raw_meat", ("160", "145", "3 minutes")),
        (FoodFact("Cod, raw"), "raw_fish", ("145",)),
        (FoodFact("Egg, raw"), "raw_egg", ("160",)),
    ],
)
def test_each_kind_is_cooked_to_its_temperature(
    food: FoodFact, code: str, temperatures: tuple[str, ...]
) -> None:
    raw, any_state = text_of(Facts((food,)), code), text_of(Facts((food,)), "cook_temperatures")
    assert food.name in raw
    assert all(number in raw and number in any_state for number in temperatures)


def test_raw_foods_are_told_by_kind_each_once() -> None:
    beef = FoodFact("Beef, raw")
    text = text_of(Facts((CHICKEN, beef, beef)), "raw_meat")
    assert text.count("Beef, raw") == 1
    assert "chicken" not in text
    one_unstated = Facts((FoodFact("Turkey"), CHICKEN))
    assert "nobody said" in text_of(one_unstated, "raw_poultry")
    assert "nobody said" not in text_of(Facts((CHICKEN,)), "raw_poultry")


def test_cooling_goes_by_what_was_said_of_the_batch() -> None:
    assert "cooling" in codes(Facts((CORN,), cooked=True))
    assert "cooling" not in codes(Facts((COOKED_CHICKEN,), cooked=False))
    assert "reheat" in codes(Facts((CORN,), cooked=True))
    assert "reheat" not in codes(Facts((COOKED_CHICKEN, CHICKEN)))
    assert "reheat" not in codes(Facts((CORN,)))


def test_cooked_food_is_cooled_and_reheated() -> None:
    # FDA Food Code 3-501.14: 135 to 70 F in 2 h, to 41 F in 4 more; leftovers to 165 F.
    facts = Facts(foods=(COOKED_CHICKEN, CORN))
    assert {"cooling", "reheat", "cook_temperatures"} <= codes(facts)
    cooling = text_of(facts, "cooling")
    assert all(number in cooling for number in ("2 hours", "135", "70", "41"))
    assert "165" in text_of(facts, "reheat")
    assert "cooling" not in codes(Facts(foods=(CORN,)))


@pytest.mark.parametrize(("days", "shown"), [(None, False), ("3", False), ("4", False), ("5", True)])
def test_leftovers_older_than_four_days(days: str | None, shown: bool) -> None:
    # USDA National Agricultural Library: use leftovers within 3 to 4 days.
    age = None if days is None else Decimal(days)
    assert ("old_leftovers" in codes(Facts(leftover_age_days=age))) is shown


@pytest.mark.parametrize(
    ("wet", "code"), [("0.03", "oxygen_free_dry"), ("0.10", "oxygen_free_dry"), ("0.12", "moist_oxygen_free")]
)
def test_oxygen_free_packing_by_moisture(wet: str, code: str) -> None:
    shown = codes(Facts(oxygen_free=True, residual_moisture=moisture(wet)))
    assert shown & {"oxygen_free_dry", "moist_oxygen_free"} == {code}
    assert code not in codes(Facts(oxygen_free=False, residual_moisture=moisture(wet)))


def test_a_moisture_without_an_upper_limit_is_all_of_it_at_most() -> None:
    """Found by fuzzing: a dry weight that may be nothing leaves the moisture without an upper end."""
    water = Figure.exact(Decimal(1), "g", "water")
    boundless = water / Figure.between(Decimal(0), Decimal(4), "g", "dry weight")
    assert not boundless.high.is_finite()
    facts = Facts(oxygen_free=True, residual_moisture=boundless)
    text = next(caution.text for caution in cautions(facts) if caution.code == "moist_oxygen_free")
    assert "up to 100.0 % moisture" in text


def test_upper_end_of_the_moisture_decides() -> None:
    doubtful = Figure.between(Decimal("0.06"), Decimal("0.12"), "", "residual moisture")
    assert "moist_oxygen_free" in codes(Facts(oxygen_free=True, residual_moisture=doubtful))


def test_unknown_moisture_is_told() -> None:
    assert "nobody weighed" in text_of(Facts(oxygen_free=True), "oxygen_free_dry")
    unknown = Figure.unknown("", "not weighed", "residual moisture")
    assert "nobody weighed" in text_of(Facts(oxygen_free=True, residual_moisture=unknown), "oxygen_free_dry")
    weighed = Facts(oxygen_free=True, residual_moisture=moisture("0.03"))
    assert "nobody weighed" not in text_of(weighed, "oxygen_free_dry")


@pytest.mark.parametrize(("share", "shown"), [(None, False), ("0.5", False), ("0.62", True)])
def test_fat(share: str | None, shown: bool) -> None:
    fat = None if share is None else Decimal(share)
    assert ("fat_rancidity" in codes(Facts(fat_fraction_of_solids=fat))) is shown


def test_allergens_are_a_reading_aid_even_where_none_is_named() -> None:
    assert "no guarantee" in text_of(Facts(foods=(CORN,)), "allergens")
    cheese = FoodFact("Cheese, cheddar", "Dairy and Egg Products", (), "1 lb cheddar")
    assert "milk (1 lb cheddar)" in text_of(Facts(foods=(cheese,)), "allergens")


def test_labels_whose_ingredients_nobody_read_are_named() -> None:
    sauces = tuple(FoodFact(f"{name} sauce", unread_label=name) for name in ("red", "green", "red"))
    text = text_of(Facts(foods=(*sauces, CORN)), "allergens")
    assert "'red', 'green':" in text and "not seen" in text
    assert "not seen" not in text_of(Facts(foods=(CORN,)), "allergens")


def test_flags_and_what_is_always_said() -> None:
    assert codes(Facts()) == {"not_sterile", "local_rules"}
    flagged = Facts(foods=(FoodFact("Honey"),), thawed_refrozen=True, has_date_labels=True)
    assert {"honey_infants", "thawed_refrozen", "date_labels"} <= codes(flagged)
