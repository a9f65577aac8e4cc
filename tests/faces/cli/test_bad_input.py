"""Bad input at the command line: one clear line a problem, exit 1, nothing lost, never a traceback."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

GOOD = """
title = "Bean chili"
servings = 10
[[ingredients]]
line = "1 kg cooked pinto beans"
paid = 7.96
"""

CASES = {
    "broken TOML": ("title = ", ("line 1",)),
    "empty file": ("", ("title", "servings", "ingredients")),
    "unknown key": (GOOD + "[drying]\nresidual_moistur = 0.03\n", ("residual_moistur", "residual_moisture")),
    "wrong type": (GOOD.replace("10", '"ten"'), ("servings",)),
    "NaN": (GOOD.replace("7.96", "nan"), ("ingredients[0].paid",)),
    "infinity": (GOOD.replace("7.96", "inf"), ("ingredients[0].paid",)),
    "negative price": (GOOD.replace("7.96", "-1"), ("ingredients[0].paid",)),
    "zero servings": (GOOD.replace("10", "0", 1), ("servings",)),
    "wrong dimension": (GOOD + '[drying]\nwet_weight = "3 mL"\n', ("drying.wet_weight", "mL")),
    "unknown unit": (GOOD + '[drying]\nwet_weight = "3 kgg"\n', ("kgg", "kg")),
    "no unit": (GOOD + "[drying]\nwet_weight = 3\n", ("drying.wet_weight",)),
    "other currency": (GOOD.replace("7.96", '"7.96 EUR"'), ("EUR", "USD")),
    "unknown currency": ('currency = "XQX"\n' + GOOD, ("XQX",)),
    "unknown label": (GOOD.replace("paid", 'label = "bean chilli"\npaid'), ("bean chilli",)),
    "unknown food": (GOOD.replace("paid", 'food = "ndb:99999"\npaid'), ("ndb:99999",)),
    "reversed interval": (GOOD + "[drying]\ncost = [5, 3]\n", ("drying.cost",)),
    "moisture of 1": (GOOD + "[drying]\nresidual_moisture = 1\n", ("residual_moisture",)),
    "moisture below 0": (GOOD + "[drying]\nresidual_moisture = -0.1\n", ("residual_moisture",)),
    "dry below solids": (GOOD + '[drying]\ndry_weight = "100 g"\n', ("dry", "100 g", "solids")),
    "dry above wet": (GOOD + '[drying]\nwet_weight = "900 g"\ndry_weight = "950 g"\n', ("950", "900")),
    "five weights for four trays": (
        GOOD + '[drying]\ntrays = 4\nwet_weight = ["1 kg", "1 kg", "1 kg", "1 kg", "1 kg"]\n',
        ("5", "4"),
    ),
    "more used than bought": (GOOD.replace("7.96", '7.96\nfor = "500 g"'), ("ingredients[0].for",)),
    "for in other terms": (GOOD.replace("7.96", '7.96\nfor = "3 sacks"'), ("ingredients[0].for",)),
}


@pytest.mark.parametrize("case", CASES)
def test_a_bad_batch_is_refused_in_plain_words(run: Run, tmp_path: Path, case: str) -> None:
    text, says = CASES[case]
    path = tmp_path / "chili.toml"
    path.write_text(text)
    for command in (["card", path], ["compare", path], ["trace", path, "per_batch.energy"]):
        ran = run(*command)
        assert ran.code == 1, case
        assert "Traceback" not in ran.err
        assert "chili.toml" in ran.err
        for part in says:
            assert part in ran.err, (case, ran.err)
        assert all(line.startswith("error: ") for line in ran.err.splitlines() if line)
    assert path.read_text() == text


def test_all_problems_of_all_files_in_one_go(run: Run, tmp_path: Path) -> None:
    one, two = tmp_path / "one.toml", tmp_path / "two.toml"
    one.write_text(GOOD.replace("10", "0", 1).replace("7.96", "-1"))
    two.write_text("title = 3")
    err = run("compare", one, two).err
    assert "one.toml: servings" in err and "one.toml: ingredients[0].paid" in err and "two.toml: title" in err


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("name,price,servings\nA,1,2\n", "calories"),
        ("name,price,servings,calories\nA,0,2,100\n", "price"),
        ("name,price,servings,calories\nA,1,0,100\n", "servings"),
        ("name,price,servings,calories\nA,nan,2,100\n", "price"),
        ("name,price,servings,calories\nA,1,2,-5\n", "calories"),
        ("name,price,servings,calories\nA,1,2,100\nA,1,2,100\n", "line 2"),
        ("name,price,servings,calories,net_weight\nA,1,2,100,5 mL\n", "net_weight"),
        ("", "is empty"),
    ],
    ids=["no column", "price 0", "servings 0", "NaN", "negative", "duplicate", "dimension", "empty"],
)
def test_a_bad_pouch_file_is_refused(run: Run, tmp_path: Path, demo: Path, text: str, says: str) -> None:
    path = tmp_path / "p.csv"
    path.write_text(text)
    ran = run("compare", demo / "lentil-kits.toml", "--pouches", path)
    assert ran.code == 1
    assert says in ran.err and "p.csv" in ran.err


def test_an_unknown_column_is_a_warning(run: Run, tmp_path: Path, demo: Path) -> None:
    path = tmp_path / "p.csv"
    path.write_text("name,price,servings,calories,colour\nA,1,2,100,red\n")
    table = run("compare", demo / "lentil-kits.toml", "--pouches", path, "--json").data
    assert any("colour" in warning for warning in table["warnings"])


@pytest.mark.parametrize("content", [b"\x00\x01\xff\xfe\x80binary", b"PK\x03\x04rubbish", b"\xff\xff\xff"])
def test_binary_rubbish_is_refused(run: Run, tmp_path: Path, demo: Path, content: bytes) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(content)
    assert run("card", path).code == 1
    sheet = tmp_path / "x.xlsx"
    sheet.write_bytes(content)
    assert run("compare", demo / "lentil-kits.toml", "--pouches", sheet).code == 1


def test_missing_file_folder_and_unknown_basis(run: Run, tmp_path: Path, demo: Path) -> None:
    assert "no such file" in run("card", tmp_path / "none.toml").err
    assert run("card", tmp_path).code == 1
    assert run("compare", demo / "lentil-kits.toml", "--basis", "bushel").code == 2
    assert run("card").code == 2


def test_a_document_from_standard_input(run: Run) -> None:
    assert run("card", "-", stdin=GOOD).code == 0
    assert "standard input" in run("card", "-", stdin="title = 3").err


def test_the_shell_sees_exit_codes_and_no_traceback(shell: Run, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text("title = ")
    ran = shell("card", path)
    assert ran.code == 1
    assert ran.out == ""
    assert ran.err.startswith("error: ") and "Traceback" not in ran.err
    assert shell("card").code == 2
