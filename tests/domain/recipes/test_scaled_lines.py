"""Scaled ingredient lines, by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.recipes.scaled_lines import scaled_line

D = Decimal


@pytest.mark.parametrize(
    ("line", "factor", "scaled"),
    [
        ("6 kits lentil stew", D(7) / 6, "7 kits lentil stew"),
        ("1 1/2 cups white rice", D(2), "3 cups white rice"),
        ("1½ cups white rice", D(2), "3 cups white rice"),
        ("½ tsp salt", D(3), "1.5 tsp salt"),
        ("3/4 lb ground beef", D(2), "1.5 lb ground beef"),
        ("2-3 carrots, diced", D(2), "4-6 carrots, diced"),
        ("2 to 3 cups peas", D("0.5"), "1 to 1.5 cups peas"),
        ("500g lentils", D("1.5"), "750g lentils"),
        ("-200 g pork drippings", D("0.5"), "-100 g pork drippings"),
        ("2 (15 oz) cans black beans, drained", D(2), "4 (15 oz) cans black beans, drained"),
    ],
)
def test_the_amount_is_scaled_and_the_words_stay(line: str, factor: Decimal, scaled: str) -> None:
    assert scaled_line(line, factor) == scaled


@pytest.mark.parametrize("line", ["salt to taste", "salt, 2 tsp", "two onions", "1 cup (240 g) yogurt"])
def test_other_lines_are_left_to_their_weight(line: str) -> None:
    assert scaled_line(line, D(2)) is None


@pytest.mark.parametrize(
    "line",
    [
        "1 dozen eggs",
        "1/2 cup plus 1 tbsp oil",
        "1 lb 4 oz beef",
        "12-oz can milk",
        "1 and 1/2 cups rice",
        "1% milk, 2 cups",
    ],
)
@pytest.mark.parametrize("factor", [D("0.5"), D(2)])
def test_a_number_that_is_not_the_whole_amount_is_left_alone(line: str, factor: Decimal) -> None:
    # '6 dozen eggs' or '2-oz can milk' would be another amount, or another thing.
    assert scaled_line(line, factor) is None


def test_rounding_of_a_large_amount_is_no_other_amount() -> None:
    assert scaled_line("301 g rice", D(1) / 3) == "100.333 g rice"


def test_a_factor_beyond_every_kitchen_is_no_fault() -> None:
    """Found by fuzzing: more digits than a decimal context holds."""
    scaled = scaled_line("6 cans chili", Decimal("1e30"))
    assert scaled is None or "chili" in scaled
