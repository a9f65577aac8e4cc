"""Who cannot eat what, by the words of lines, foods and ingredient lists.

The major allergens are those of 21 U.S.C. 321(qq); gluten's grains 21 CFR 101.91(a).
"""

from __future__ import annotations

import pytest

from nutricost.api.diets import diet
from nutricost.domain.cautions import FoodFact
from nutricost.domain.documents import Person


def food(line: str, description: str = "", group: str = "Some Group", ingredients: str = "") -> FoodFact:
    return FoodFact(description or line, group, (), line, ingredients)


@pytest.mark.parametrize(
    ("excluded", "line", "unfit"),
    [
        ("milk", "1 cup buttermilk", True),
        ("dairy", "2 oz cheddar cheese", True),
        ("milk", "1 cup coconut milk", False),
        ("eggs", "3 eggs", True),
        ("peanut", "2 tbsp peanut butter", True),
        ("nuts", "1 cup walnuts", True),
        ("nuts", "2 tbsp peanut butter", True),
        ("tree-nuts", "2 tbsp peanut butter", False),
        ("gluten", "1 cup pearl barley", True),
        ("gluten", "1 lb spaghetti", True),
        ("gluten", "1 lb white rice", False),
        ("wheat", "1 cup pearl barley", False),
        ("shellfish", "1 can clams", True),
        ("soy", "1 lb tofu", True),
        ("mushrooms", "1 cup sliced mushroom", True),
        ("cilantro", "1 lb white rice", False),
    ],
)
def test_words_of_a_line(excluded: str, line: str, unfit: bool) -> None:
    found = diet("Pot", [food(line)], [Person("Ann", "plan", excludes=(excluded,)), Person("Ben", "plan")])
    assert found.unfit_for == (frozenset({"Ann"}) if unfit else frozenset())
    assert bool(found.reasons) == unfit


def test_the_food_group_counts_for_plain_words_only() -> None:
    steak = food("1 lb sirloin", "Beef, loin", "Beef Products")
    butter = food("1 cup whipped spread", "Spread", "Dairy and Egg Products")
    ann = Person("Ann", "plan", excludes=("beef",))
    assert diet("Pot", [steak], [ann]).unfit_for == {"Ann"}
    assert not diet("Pot", [butter], [Person("Ann", "plan", excludes=("egg",))]).unfit_for


def test_unread_ingredients_are_said_to_be_unread() -> None:
    unread = FoodFact("Grey Fen oat bowl")
    ann = Person("Ann", "plan", excludes=("milk",))
    assert diet("Grey Fen oat bowl", [unread], [ann]).untold
    assert not diet("Bowl", [FoodFact("Bowl", label_ingredients="oats, water")], [ann]).untold
    assert not diet("Bowl", [unread], [Person("Ben", "plan")]).untold
