"""Which foods are animal, and whether they are raw. Kinds as in the USDA FSIS temperature chart."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from nutricost.domain.cautions import Facts, FoodFact
from nutricost.domain.cautions.animal_foods import AnimalFood, State, animal_foods, raw_foods


@pytest.fixture(autouse=True)
def read_anew() -> Iterator[None]:
    animal_foods.cache_clear()
    yield


def kind(description: str, group: str = "", line: str = "") -> str | None:
    found = animal_foods((FoodFact(description, group, (), line),))
    return found[0].kind if found else None


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Chicken thighs", "poultry"),
        ("ground turkey", "poultry"),
        ("Beef stew", "meat"),
        ("pork chops", "meat"),
        ("Shrimp", "fish"),
        ("eggs", "egg"),
        ("sweet corn", None),
        ("chicken broth", None),
        ("beef stock, with beef", "meat"),
        ("oyster mushrooms", None),
        ("oyster mushrooms with bacon", "meat"),
        ("vegan sausage", None),
        ("meatless meatballs", None),
    ],
)
def test_kind_by_name(name: str, expected: str | None) -> None:
    assert kind(name) == expected
    assert kind("", line=f"2 lb {name}") == expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("ground pork and turkey", "poultry"),
        ("shrimp and chicken jambalaya", "poultry"),
        ("bacon and eggs", "meat"),
    ],
)
def test_a_mixture_is_what_needs_the_most_heat(name: str, expected: str) -> None:
    """165 F for poultry, 160 F for ground meat and egg, 145 F for fish."""
    assert kind(name, line=name) == expected


def test_the_name_that_comes_first_decides_between_egg_and_bird() -> None:
    assert kind("Egg, duck, whole", "Dairy and Egg Products", "2 duck eggs") == "egg"


@pytest.mark.parametrize(
    ("name", "group", "expected"),
    [
        ("Cisco", "Finfish and Shellfish Products", "fish"),
        ("Bologna", "Sausages and Luncheon Meats", "meat"),
        ("Sausage, turkey, fresh", "Sausages and Luncheon Meats", "poultry"),
        ("Fish oil, cod liver", "Fats and Oils", None),
        ("Chicken, meatless", "Legumes and Legume Products", None),
        ("Soup, with beef", "Soups, Sauces, and Gravies", "meat"),
        ("Vegetarian patties", "Beef Products", None),
    ],
)
def test_a_group_tells_where_the_name_does_not(name: str, group: str, expected: str | None) -> None:
    """Groups of SR28, FD_GROUP."""
    assert kind(name, group) == expected


@pytest.mark.parametrize(
    ("food", "state"),
    [
        (FoodFact("Chicken, raw"), "raw"),
        (FoodFact("Chicken"), "unstated"),
        (FoodFact("Chicken, roasted"), "cooked"),
        (FoodFact("Chicken, roasted", line="1 lb uncooked chicken"), "raw"),
        (FoodFact("Chicken, raw", line="1 can chicken"), "cooked"),
        (FoodFact("Chicken, raw", states=("cooked",)), "cooked"),
        (FoodFact("Chicken, roasted", states=("raw",)), "raw"),
        (FoodFact("Chicken soup"), "cooked"),
        (FoodFact("Chicken", line="chicken for soup"), "unstated"),
    ],
)
def test_the_line_tells_the_state_before_the_table_does(food: FoodFact, state: State) -> None:
    assert animal_foods((food,)) == (AnimalFood("poultry", state, food.name),)


def test_raw_is_all_that_nobody_said_was_cooked() -> None:
    foods = (FoodFact("Chicken"), FoodFact("Beef, raw"), FoodFact("Cod, baked"), FoodFact("Corn, raw"))
    assert [food.name for food in raw_foods(Facts(foods=foods))] == ["Chicken", "Beef, raw"]
    assert [food.name for food in raw_foods(Facts(foods=foods, cooked=False))] == ["Chicken", "Beef, raw"]
    assert raw_foods(Facts(foods=foods, cooked=True)) == ()
