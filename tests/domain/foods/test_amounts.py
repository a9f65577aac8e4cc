"""Amounts of lines: what is counted, where it ends, and whether it is only about so much.

The readings are the writer's judgement of plain English; the numbers are hand arithmetic.
"""

from decimal import Decimal

import pytest

from nutricost.domain.foods.amounts import read_amount
from nutricost.domain.foods.tokens import scan


def read(text: str) -> tuple[Decimal, Decimal, bool, str] | None:
    """Low, high, whether approximate, and the text that is left."""
    tokens = scan(text)
    found = read_amount(tokens, 0)
    if found is None:
        return None
    amount, end = found
    return amount.low, amount.high, amount.approximate, " ".join(token.raw for token in tokens[end:])


@pytest.mark.parametrize(
    ("text", "number", "left"),
    [
        ("3 eggs", "3", "eggs"),
        ("3/4 cup", "0.75", "cup"),
        ("1 3/4 cups", "1.75", "cups"),
        ("1-3/4 cups", "1.75", "cups"),
        ("1 and 3/4 cups", "1.75", "cups"),
        ("1 & 3/4 cups", "1.75", "cups"),
        ("1 ¾ cups", "1.75", "cups"),
        ("7/4 cups", "1.75", "cups"),
        ("1/100 kg", "0.01", "kg"),
        ("2 14 oz cans", "2", "14 oz cans"),
        ("2 ½ oz cans", "2.5", "oz cans"),
        ("½ 3/4 cup", "0.5", "3 / 4 cup"),
        ("1.5 1/2 inch slices", "1.5", "1 / 2 inch slices"),
        ("2 7/4 inch slices", "2", "7 / 4 inch slices"),
        # No fractions of an amount: a share without parts, a percentage of fat, a date, a decimal.
        ("3/0 lb", "3", "/ 0 lb"),
        ("2/1 mix", "2", "/ 1 mix"),
        ("85/101 beef", "85", "/ 101 beef"),
        ("1.5/2 lb", "1.5", "/ 2 lb"),
        ("3/½ lb", "3", "/ ½ lb"),
        ("2 and salt", "2", "and salt"),
        ("3-2 lb", "3", "- 2 lb"),
        ("2-2 lb", "2", "- 2 lb"),
        ("3 to taste", "3", "to taste"),
        ("2 or more", "2", "or more"),
        ("2", "2", ""),
        ("1/2", "0.5", ""),
        ("one egg", "1", "egg"),
        ("an egg", "1", "egg"),
        ("a half lemon", "0.5", "lemon"),
        ("half a lemon", "0.5", "lemon"),
        ("half an onion", "0.5", "onion"),
        ("half cup milk", "0.5", "cup milk"),
        ("quarter of a cabbage", "0.25", "of a cabbage"),
        ("quarter lb butter", "0.25", "lb butter"),
        ("quarter-pound butter", "0.25", "- pound butter"),
        ("two and a half cups", "2.5", "cups"),
        ("two and one half cups", "2.5", "cups"),
        ("two and eggs", "2", "and eggs"),
        ("two half pints", "2", "half pints"),
        ("three quarters cup", "0.75", "cup"),
        ("a pair of kippers", "2", "of kippers"),
        ("couple carrots", "2", "carrots"),
        ("a dozen. eggs", "12", "eggs"),
        ("2 - dozen eggs", "24", "eggs"),
        ("one and a half dozen eggs", "18", "eggs"),
    ],
)
def test_one_number_and_what_is_left(text: str, number: str, left: str) -> None:
    assert read(text) == (Decimal(number), Decimal(number), False, left)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("one-half cup", "0.5"),
        ("one half cup", "0.5"),
        ("three-quarters cup", "0.75"),
        ("three-fourths cup", "0.75"),
        ("three eighths cup", "0.375"),
        ("an eighth cup", "0.125"),
        ("one and one-half cup", "1.5"),
        ("one and three quarters cup", "1.75"),
        ("a quarter cup", "0.25"),
    ],
)
def test_fractions_in_words_were_read_as_whole_numbers(text: str, number: str) -> None:
    assert read(text) == (Decimal(number), Decimal(number), False, "cup")
    assert read("a quarter onion") == (Decimal("0.25"), Decimal("0.25"), False, "onion")


@pytest.mark.parametrize(
    "text", ["two thirds cup", "two-thirds cup", "one third cup", "a third cup", "third cup"]
)
def test_thirds(text: str) -> None:
    found = read(text)
    assert found is not None and found[0] == found[1] and found[3] == "cup"
    assert found[0] * 3 == pytest.approx(Decimal(2 if "two" in text else 1))


@pytest.mark.parametrize(
    ("text", "low", "high", "about", "left"),
    [
        ("2-3 lb", "2", "3", False, "lb"),
        ("2 to 3 1/2 lb", "2", "3.5", False, "lb"),
        ("2 or 3 carrots", "2", "3", False, "carrots"),
        ("½-¾ cup", "0.5", "0.75", False, "cup"),
        ("two to three carrots", "2", "3", False, "carrots"),
        ("2 or three carrots", "2", "3", False, "carrots"),
        ("one-half to three-quarters cup", "0.5", "0.75", False, "cup"),
        ("2-3 dozen eggs", "24", "36", False, "eggs"),
        ("two or three dozen eggs", "24", "36", False, "eggs"),
        ("about 2 cups", "2", "2", True, "cups"),
        ("~ 2 cups", "2", "2", True, "cups"),
        ("about approximately 2 cups", "2", "2", True, "cups"),
        ("roughly 2-3 cups", "2", "3", True, "cups"),
        ("about a dozen eggs", "12", "12", True, "eggs"),
        ("about two eggs", "2", "2", True, "eggs"),
        # A few as 2 to 4, several as 3 to 5: common practice, no source.
        ("a few eggs", "2", "4", True, "eggs"),
        ("few eggs", "2", "4", True, "eggs"),
        ("several eggs", "3", "5", True, "eggs"),
        ("a few dozen eggs", "24", "48", True, "eggs"),
        ("about a few eggs", "2", "4", True, "eggs"),
    ],
)
def test_ranges_and_what_is_only_about(text: str, low: str, high: str, about: bool, left: str) -> None:
    assert read(text) == (Decimal(low), Decimal(high), about, left)


@pytest.mark.parametrize(
    "text",
    ["", "eggs", "about", "some salt", "half and half", "quarter horse", "third helping", "/ 2", "a", "an"],
)
def test_no_amount(text: str) -> None:
    assert read(text) is None


def test_twelve_times_an_amount_is_as_rough_as_the_amount() -> None:
    found = read_amount(scan("about 2 eggs"), 0)
    assert found is not None
    dozen = found[0].times(Decimal(12))
    assert dozen.low == dozen.middle == dozen.high == 24 and dozen.approximate
    few = read_amount(scan("few"), 0)
    assert few is not None and few[0].middle == 3
