"""Descriptions of table rows read. The forms are SR28's ('noun, qualifier, qualifier'); no brand is named."""

import pytest

from nutricost.domain.foods.descriptions import (
    ASIDE,
    CLASS,
    HEAD,
    LATER,
    LINK,
    SECOND,
    STATE,
    read_description,
)


def test_places_of_words() -> None:
    read = read_description("Carrots, baby, orange, raw (peeled), with skin")
    assert dict(zip(read.words, read.places, strict=True)) == {
        "carrot": HEAD, "baby": SECOND, "orange": LATER, "raw": STATE, "peeled": ASIDE, "with": LINK,
        "skin": LATER,
    }  # fmt: skip
    assert (read.head, read.penalty_words) == ("carrot", ())
    assert read.states == {"raw"} and read.penalty == 0


def test_a_class_need_not_be_named() -> None:
    read = read_description("Nuts, almonds, sliced; roasted")
    assert dict(zip(read.words, read.places, strict=True)) == {
        "nut": CLASS, "almond": HEAD, "sliced": LATER, "roasted": STATE,
    }  # fmt: skip
    assert read.head == "almond"


def test_words_before_the_first_comma_are_nouns_together() -> None:
    read = read_description("Hard boiled eggs and rice, cold")
    assert read.places == (HEAD, HEAD, LINK, HEAD, SECOND)
    assert read.head == "hardboiled egg rice"


@pytest.mark.parametrize(
    ("description", "group", "states"),
    [
        ("Peas, frozen, cooked, boiled", "", {"frozen", "cooked", "boiled"}),
        # A state word that is the whole noun names the food ('Powder'), beside another noun it is a state.
        ("Roast, cold", "", set()),
        ("Roast beef, cold", "", {"roasted"}),
        ("Beef (roast), cold", "", {"roasted"}),
        ("Beef, roast", "", {"roasted"}),
        ("(Dried) beef", "", {"dried"}),
        ("Beans, canned, drained solids", "", {"canned", "drained"}),
        ("Beans, canned, solids and liquids, drained", "", {"canned", "undrained", "liquid"}),
        ("Beans, canned, total can contents, drained", "", {"canned", "undrained"}),
        ("Beans, canned, drained, total can", "", {"canned", "drained"}),
        ("Beans, canned, drained, liquid", "", {"canned", "drained", "liquid"}),
        ("Beans, drained, undrained", "", {"undrained"}),
        # Raw legumes and grains are dry ones.
        ("Lentils, raw", "Legumes and Legume Products", {"raw", "dried"}),
        ("Oats, dry", "Cereal Grains and Pasta", {"raw", "dried"}),
        ("Lentils, cooked", "Legumes and Legume Products", {"cooked"}),
        ("Lentils, raw, canned", "Legumes and Legume Products", {"raw", "canned"}),
        ("Carrots, raw", "Vegetables and Vegetable Products", {"raw"}),
    ],
)
def test_states(description: str, group: str, states: set[str]) -> None:
    assert read_description(description, group).states == states


@pytest.mark.parametrize(
    ("description", "group"),
    [
        ("Babyfood, carrots", ""),
        ("Carrots, SNOOZLE, cooked", ""),
        ("SNOOZLE'S Carrots", ""),
        ("SNOOZLE’S Carrots", ""),
        ("Carrots with sauce", "Restaurant Foods"),
        ("Carrots, stewed", "Baby Foods"),
        ("Fast foods, carrots", "Fast Foods"),
        ("Carrots, school lunch", ""),
        ("Carrots, canned, with salt", ""),
        ("Carrots, low calorie", ""),
    ],
)
def test_rows_that_nobody_asks_for_by_a_plain_name(description: str, group: str) -> None:
    read = read_description(description, group)
    assert read.penalty > 0 and len(read.penalty_words) == 1


@pytest.mark.parametrize(
    "description",
    [
        "Carrots, USDA",
        "Carrots, NLEA",
        "Carrots, NFSMI",
        "Carrots, ABC",
        "Carrots, A12B4",
        "Carrots, low",
        "Carrots, fast",
    ],
)
def test_plain_rows(description: str) -> None:
    assert read_description(description, "Vegetables and Vegetable Products").penalty == 0


def test_a_baby_food_costs_more_than_salt_and_all_costs_have_an_end() -> None:
    def cost(description: str, group: str = "") -> float:
        return read_description(description, group).penalty

    assert cost("Babyfood, carrots") > cost("Carrots, SNOOZLE") > cost("Carrots, with salt") > 0
    # The group's cost is taken once: a word that already tells the group is not charged twice.
    assert cost("Babyfood, carrots", "Baby Foods") == cost("Babyfood, carrots")
    assert cost("Restaurant, carrots", "Restaurant Foods") < cost("Carrots", "Restaurant Foods") + 0.1
    assert cost("Carrots, lowfat, SNOOZLE") > cost("Carrots, SNOOZLE")
    assert cost("Babyfood, infant formula, imitation, meatless, SNOOZLE") == 2.5


def test_no_description_no_words() -> None:
    read = read_description("")
    assert (read.words, read.places, read.head, read.penalty) == ((), (), "", 0)
    assert read_description("Carrots) raw, baby").places[-1] == LATER  # a stray bracket hides nothing
