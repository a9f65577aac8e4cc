"""A declared label as a block of a batch file, read back by the batch reader."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from typing import Any

import pytest
from published_samples import sample

from nutricost.sources.documents import read_batch
from nutricost.sources.fdc_labels import DeclaredLabel
from nutricost.sources.fdc_reading import read_food
from nutricost.sources.label_block import label_block


def read_back(block: str, name: str) -> Any:
    head = 'title = "t"\nservings = 1\n[[ingredients]]\nline = "1 package"\n'
    label = f"label = {json.dumps(name)}\n\n"
    return read_batch((head + label + block, "made")).labels[name]


def test_a_declared_label_becomes_the_printed_one() -> None:
    """FDC 2643119: declared 35.1 mg sodium, 11.0 g fat, 0.999 g sugars ('less than 1 g'), 140 kcal."""
    label = read_food(sample("trimmed_branded_2643119")).label
    assert label is not None
    block = label_block(label, "candy")
    assert tomllib.loads(block)["labels"]["candy"] == {
        "serving_size": "3 Peanut Butter Cups (27 g)",
        "calories": 140,
        "fat_g": 11,
        "saturated_fat_g": 4,
        "carbohydrate_g": 11,
        "fiber_g": 4,
        "sugar_g": "< 1",
        "protein_g": 4,
        "sodium_mg": 35,
        "net_weight": "133 g",
    }
    back = read_back(block, "candy")
    assert back.serving_g == 27
    assert back.printed["sugar"].less_than
    assert back.net_weight.value == 133


def test_a_liquid_with_an_awkward_name() -> None:
    label = DeclaredLabel(
        description='SOUP "HOT", 100% [x]',
        gtin="0012345678905",
        serving_amount=Decimal("240.0"),
        serving_unit="mL",
        household_text="1 cup",
        package_text="32 fl oz (946 mL)",
        ingredients_text='WATER,\n"SEA" SALT\\',
        per_serving={"energy": Decimal("87.6"), "fat": Decimal("2.52"), "sodium": Decimal("0.5")},
    )
    block = label_block(label)
    back = read_back(block, label.description.lower())
    assert (back.serving_text, back.serving_ml) == ("1 cup (240 mL)", 240)
    assert {key: printed.amount for key, printed in back.printed.items()} == {
        "energy": 90,
        "fat": Decimal("2.5"),
        "sodium": 0,
    }
    assert back.net_volume.value == 946
    assert back.ingredients_text == 'WATER, "SEA" SALT\\'
    assert "0012345678905" in block


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("15 oz/425 g", "425 g"),
        ("1.5 lbs", "1.5 lb"),
        ("12 OZ", "12 oz"),
        ("about a dozen", None),
        ("", None),
    ],
)
def test_net_weight_of_package_texts(text: str, expected: str | None) -> None:
    label = DeclaredLabel("food", "", Decimal(30), "g", package_text=text)
    assert tomllib.loads(label_block(label))["labels"]["food"].get("net_weight") == expected
