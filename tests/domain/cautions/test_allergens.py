"""The nine major allergens of 21 U.S.C. 321(qq) read from food names (common practice)."""

from __future__ import annotations

import pytest

from nutricost.domain.cautions import FoodFact, allergens
from nutricost.domain.cautions.allergen_words import SIGNS
from nutricost.domain.cautions.allergens import has_coconut, has_honey


def codes(description: str, group: str = "") -> set[str]:
    return {found.code for found in allergens((FoodFact(description, group),))}


def test_the_law_names_nine() -> None:
    assert [sign.code for sign in SIGNS] == [
        "milk", "eggs", "fish", "crustacean_shellfish", "tree_nuts", "peanuts", "wheat", "soybeans", "sesame",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Milk, whole, 3.25% milkfat", {"milk"}),
        ("Cheese, cheddar", {"milk"}),
        ("Milk, buttermilk, fluid, cultured, lowfat", {"milk"}),
        ("Egg, whole, raw, fresh", {"eggs"}),
        ("3 large eggs, beaten", {"eggs"}),
        ("Fish, salmon, Atlantic, farmed, raw", {"fish"}),
        ("Crustaceans, shrimp, raw", {"crustacean_shellfish"}),
        ("Nuts, almonds", {"tree_nuts"}),
        ("1 cup chopped nuts", {"tree_nuts"}),
        ("Peanut butter, smooth style, with salt", {"peanuts"}),
        ("Wheat flour, white, all-purpose, enriched", {"wheat"}),
        ("2 cups flour", {"wheat"}),
        ("Noodles, egg, dry, enriched", {"wheat", "eggs"}),
        ("1 box macaroni and cheese", {"wheat", "milk"}),
        ("Soy sauce made from soy and wheat (shoyu)", {"wheat", "soybeans"}),
        ("Tofu, raw, regular", {"soybeans"}),
        ("Oil, soybean, salad or cooking", {"soybeans"}),
        ("Seeds, sesame butter, tahini, from roasted kernels", {"sesame"}),
        ("basil pesto", {"milk", "tree_nuts"}),
        ("milk, free-range eggs", {"milk", "eggs"}),
    ],
)
def test_found(name: str, expected: set[str]) -> None:
    assert codes(name) == expected


@pytest.mark.parametrize(
    "name",
    [
        "Eggplant, raw",
        "Squash, winter, butternut, raw",
        "Spices, nutmeg, ground",
        "1 tsp cream of tartar",
        "Nuts, coconut milk, canned",
        "Nuts, coconut meat, raw",
        "Nuts, chestnuts, european, raw, peeled",
        "Waterchestnuts, chinese, raw",
        "Buckwheat groats, roasted, cooked",
        "Buckwheat flour, whole-groat",
        "Rice noodles, cooked",
        "Rice flour, white",
        "Corn flour, masa, unenriched, white",
        "Tortillas, ready-to-bake or -fry, corn",
        "Pasta, gluten-free, corn, cooked",
        "Squash, winter, spaghetti, raw",
        "Corn, sweet, yellow, canned, cream style, regular pack",
        "butter beans",
        "Lettuce, butterhead (includes boston and bibb types), raw",
        "coconut cream",
        "rice milk",
        "Honeydew melon",
        "Sweet potato, raw",
        "Potatoes, raw, skin",
        "Beans, kidney, red, mature seeds, raw",
    ],
)
def test_look_alikes_are_not_flagged(name: str) -> None:
    assert codes(name) == set()


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("soy milk", {"soybeans"}),
        ("almond milk, unsweetened", {"tree_nuts"}),
        ("almond flour", {"tree_nuts"}),
        ("cashew butter", {"tree_nuts"}),
        ("soy flour", {"soybeans"}),
        ("vegan butter", set()),
        ("fruit yogurt", {"milk"}),
        ("almond ice cream", {"milk", "tree_nuts"}),
        ("gluten-free pasta", set()),
        ("gluten-free wheat starch", {"wheat"}),
    ],
)
def test_plant_versions(name: str, expected: set[str]) -> None:
    assert codes(name) == expected


def test_line_and_label_text_are_read_too() -> None:
    food = FoodFact(
        "label:chili", line="8 cans turkey chili", label_ingredients="Turkey, beans. CONTAINS: MILK, SOY."
    )
    found = allergens((food,))
    assert [(item.code, item.found_in) for item in found] == [
        ("milk", ("8 cans turkey chili",)),
        ("soybeans", ("8 cans turkey chili",)),
    ]


def test_fish_by_group_where_the_name_does_not_tell() -> None:
    assert codes("Cisco, smoked", group="Finfish and Shellfish Products") == {"fish"}
    assert codes("Mollusks, clam, mixed species, raw", group="Finfish and Shellfish Products") == set()


def test_coconut_and_honey_are_noted_apart() -> None:
    assert has_coconut((FoodFact("Nuts, coconut milk, canned"),))
    assert has_honey((FoodFact("Honey"),))
    assert not has_honey((FoodFact("Melons, honeydew, raw"),))
