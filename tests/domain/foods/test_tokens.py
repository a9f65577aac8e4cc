"""Tokens: how a line or a description is cut, and one spelling for each word. Plain English, by judgement."""

from decimal import Decimal

import pytest

from nutricost.domain.foods.tokens import LONGEST_LINE, merge, scan, stem, stems, unaccented, words_of


@pytest.mark.parametrize(
    ("text", "value", "fraction"),
    [
        ("3", "3", False),
        ("3.25", "3.25", False),
        (".5", "0.5", False),
        ("1,5", "1.5", False),
        ("1,50", "1.50", False),
        ("1,000", "1000", False),
        ("0,125", "0.125", False),
        ("12,500", "12500", False),
        ("½", "0.5", True),
        ("¾", "0.75", True),
        ("⅜", "0.375", True),
    ],
)
def test_numbers(text: str, value: str, fraction: bool) -> None:
    (token,) = scan(text)
    assert (token.kind, token.text, token.raw, token.fraction) == ("number", text, text, fraction)
    assert token.value == Decimal(value)


def test_kinds_spelling_and_space() -> None:
    tokens = scan("2 × Crème–fraîche, ⁄ . ٣")
    assert [(t.kind, t.text, t.raw, t.space) for t in tokens] == [
        ("number", "2", "2", False),
        ("word", "x", "×", True),
        ("word", "creme", "Crème", True),
        ("mark", "-", "–", False),
        ("word", "fraiche", "fraîche", False),
        ("mark", ",", ",", False),
        ("mark", "/", "⁄", True),
        ("mark", ".", ".", True),
        ("mark", "٣", "٣", True),
    ]
    assert all(t.value is None and not t.fraction for t in tokens[1:])
    assert [t.text for t in scan("baker’s")] == ["baker's"]
    assert unaccented("JALAPEÑO") == "jalapeno"


def test_the_end_of_a_very_long_line_is_left_out() -> None:
    assert len(scan("a " * LONGEST_LINE)) == LONGEST_LINE // 2


@pytest.mark.parametrize(
    ("word", "one"),
    [
        ("berries", "berry"),
        ("pies", "pie"),
        ("dies", "die"),
        ("carrots", "carrot"),
        ("limes", "lime"),
        ("boxes", "box"),
        ("potatoes", "potato"),
        ("buffaloes", "buffalo"),
        ("branches", "branch"),
        ("relishes", "relish"),
        ("mattresses", "mattress"),
        ("blintzzes", "blintzz"),
        ("chef's", "chef"),
        ("chefs", "chef"),
        ("bus", "bus"),
        ("peas", "pea"),
        ("gas", "gas"),
        ("watercress", "watercress"),
        ("citrus", "citrus"),
        ("couscous", "couscous"),
        ("molasses", "molasses"),
        ("yoghurts", "yogurt"),
        ("carrot", "carrot"),
    ],
)
def test_singular(word: str, one: str) -> None:
    assert stem(word) == one


def test_words_that_belong_together() -> None:
    assert merge(["half", "and", "half", "cream"]) == ["halfandhalf", "cream"]
    assert merge(["hard", "boiled", "egg"]) == ["hardboiled", "egg"]
    assert merge(["hard", "egg"]) == ["hard", "egg"]
    assert merge(["very", "low", "fat"]) == ["very", "lowfat"]
    assert merge(["cauli", "rice"]) == ["cauliflower", "rice"]
    assert merge([]) == [] and merge(["low"]) == ["low"]
    assert stems(["hard", "boiled", "eggs"]) == ["hardboiled", "egg"]
    assert words_of("Eggs, hard boiled (2)") == ["egg", "hardboiled", "2"]
