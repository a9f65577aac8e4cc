"""Serving sizes and printed figures of a label."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.documents import Printed
from nutricost.sources.documents.labels import read_count, read_printed, read_serving_size
from nutricost.sources.documents.values import Fault


# Units inside a serving size, 21 CFR 101.9(b)(5)(viii): teaspoon 5 mL, tablespoon 15 mL, cup 240 mL,
# fluid ounce 30 mL, ounce 28 g.
@pytest.mark.parametrize(
    ("text", "grams", "millilitres"),
    [
        ("150 g", 150, None),
        ("150g", 150, None),
        ("1 cup (240 g)", 240, 240),
        ("2 tbsp (30 mL)", None, 30),
        ("2 Tbsp", None, 30),
        ("1 tsp", None, 5),
        ("1 oz", 28, None),
        ("1 oz (28 g)", 28, None),
        ("1 oz (30 g)", 30, None),
        ("8 fl oz", None, 240),
        ("8 fl. oz. (237 mL)", None, 237),
        ("8 fluid ounces", None, 240),
        ("1/2 cup", None, 120),
        ("1 1/2 cups", None, 360),
        ("1½ cups (85 g)", 85, 360),
        ("1/3 cup", None, 80),
        ("1 kit (150g)", 150, None),
        ("about 15 chips (28 g)", 28, None),
        ("1 package (1.5 oz/42 g)", 42, None),
        ("0.25 L", None, 250),
    ],
)
def test_a_serving_size_as_printed(text: str, grams: int | None, millilitres: int | None) -> None:
    assert read_serving_size(text) == (grams, millilitres)


@pytest.mark.parametrize(
    "text", ["1 kit", "150", "g", "150 grms", "-150 g", "0 g", "1/0 cup", "nan g", "9" * 300]
)
def test_a_serving_size_without_an_amount_is_refused(text: str) -> None:
    with pytest.raises(Fault):
        read_serving_size(text)


@pytest.mark.parametrize("text", ["<1", "< 1 g", "less than 1 g", "Less than 1g"])
def test_less_than_is_kept(text: str) -> None:
    assert read_printed(text, "g") == Printed(Decimal(1), less_than=True)


def test_figures_as_printed() -> None:
    assert read_printed(170, "kcal") == Printed(Decimal(170))
    assert read_printed("1.5 g", "g") == Printed(Decimal("1.5"))
    for raw, unit in [
        ("5 mg", "g"),
        ("<0", "g"),
        (-1, "g"),
        (True, "g"),
        ([1, 2], "g"),
        ("", "g"),
        ("1,5", "g"),
    ]:
        with pytest.raises(Fault):
            read_printed(raw, unit)


def test_servings_in_a_container() -> None:
    assert read_count(Decimal("2.5")) == (Decimal("2.5"), False)
    assert read_count("about 2.5") == (Decimal("2.5"), True)
    assert read_count("2 1/2") == (Decimal("2.5"), False)
    for raw in (0, -1, "none", "about", True):
        with pytest.raises(Fault):
            read_count(raw)
