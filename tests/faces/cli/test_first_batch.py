"""What a cook's first own batch ran into: cups that are packages, lists not typed in, small ratios."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

CHOWDER = """
title = "Corn chowder with rice"
servings = 9

[[ingredients]]
line = "{line}"
label = "corn chowder cup"
paid = 9

[[ingredients]]
line = "1 lb rice"
paid = 1.89

[packing]
bags = 5

[labels."corn chowder cup"]
serving_size = "1 cup (245 g)"
servings_per_container = "about 2"
calories = 210
net_weight = "15.8 oz"
"""


@pytest.fixture
def chowder(tmp_path: Path) -> Callable[..., Path]:
    """Writes the batch with its first line, and more after the label."""

    def write(line: str, more: str = "") -> Path:
        path = tmp_path / "chowder.toml"
        path.write_text(CHOWDER.replace("{line}", line) + more, encoding="utf-8")
        return path

    return write


def test_cups_of_food_sold_in_cups_are_measuring_cups_and_said_so(
    run: Run, chowder: Callable[..., Path]
) -> None:
    # 6 x 236.588 mL (US customary cup) of food with 245 g in the label's 240 mL (21 CFR 101.9(b)(5)(viii)).
    measured = run("card", chowder("6 cups corn chowder"), "--json").data
    assert float(measured["lines"][0]["grams"]["value"]) == pytest.approx(6 * 236.588 * 245 / 240, rel=1e-4)
    assert any("taken as measuring cups" in text for text in measured["warnings"])
    packages = run("card", chowder("6 packages corn chowder"), "--json").data
    assert float(packages["lines"][0]["grams"]["value"]) == pytest.approx(6 * 15.8 * 28.349523125, rel=1e-6)
    assert not any("measuring cups" in text for text in packages["warnings"])


def test_a_bone_that_the_table_does_not_state_is_said(run: Run, tmp_path: Path) -> None:
    # SR28 gives row 10036 (pork chop, bone-in) 25 % refuse and row 05091 (chicken thigh, raw) none.
    batch = tmp_path / "meat.toml"
    batch.write_text(
        'title = "Meat"\nservings = 4\n[[ingredients]]\nline = "2 kg bone-in chicken thighs"\n'
        '[[ingredients]]\nline = "1 kg bone-in pork chops"\n',
        encoding="utf-8",
    )
    card = run("card", batch, "--json").data
    assert [line["grams"]["value"] for line in card["lines"]] == [2000, 750]
    [bone] = [text for text in card["warnings"] if "states no bone" in text]
    assert "thighs" in bone
    batch.write_text(
        batch.read_text(encoding="utf-8").replace('thighs"', 'thighs"\ngrams = 1680'), encoding="utf-8"
    )
    assert not any("states no bone" in text for text in run("card", batch, "--json").data["warnings"])


def test_a_label_without_its_ingredient_list_is_no_word_on_allergens(
    run: Run, chowder: Callable[..., Path]
) -> None:
    untyped = chowder("6 packages corn chowder")
    cautions = run("card", untyped, "--json").data["cautions"]
    allergens = next(one["text"] for one in cautions if one["code"] == "allergens")
    assert "No ingredient list is typed in for 'corn chowder cup'" in allergens
    assert "not every ingredient list was read" in run("labels", untyped).out
    typed = chowder("6 packages corn chowder", 'ingredients = "corn, water, cream. Contains: milk."\n')
    cautions = run("card", typed, "--json").data["cautions"]
    allergens = next(one["text"] for one in cautions if one["code"] == "allergens")
    assert "milk" in allergens
    assert "No ingredient list" not in allergens
    assert "not every ingredient list" not in run("labels", typed).out


def test_match_takes_a_batch(run: Run, chowder: Callable[..., Path]) -> None:
    found = run("match", chowder("6 packages corn chowder"), "--json").data
    assert [one["line"] for one in found] == ["1 lb rice"]


def test_a_small_ratio_is_shown_with_three_digits(run: Run, demo: Path) -> None:
    table = run("rank", "sodium per serving", demo / "lentil-kits.toml").out
    # 1 / 535 mg per serving
    assert "0.00187" in table


def test_tables_have_no_blanks_at_the_end_of_a_line(run: Run, demo: Path) -> None:
    out = run("compare", demo / "chicken-rice.toml", "--pouches", demo / "pouches.csv").out
    assert [line for line in out.splitlines() if line != line.rstrip()] == []


def test_labels_of_food_too_moist_to_keep_come_with_the_caution(
    run: Run, chowder: Callable[..., Path]
) -> None:
    drying = '[drying]\nwet_weight = "4.1 kg"\ndry_weight = "1.5 kg"\n'
    batch = chowder("6 packages corn chowder", drying)
    text = batch.read_text(encoding="utf-8").replace("bags = 5", "bags = 5\nabsorber_price = 0.15")
    text = text.replace('net_weight = "15.8 oz"', 'net_weight = "15.8 oz"\nfat_g = 11\ncarbohydrate_g = 23\n'
                        "protein_g = 5\nsodium_mg = 790")  # fmt: skip
    batch.write_text(text, encoding="utf-8")
    ran = run("labels", batch)
    assert ran.code == 0
    assert "caution: Too moist to pack without oxygen" in ran.err
