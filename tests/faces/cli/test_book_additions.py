"""`book weigh`, `book labels` and `book settings`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

POT = """# written with floury hands
title = "Rice pot"   # kept
servings = 2

[[ingredients]]
line = "100 g white rice"  # and this
paid = 1
{drying}
[packing]
bags = 2  # last
"""

LABEL = """# from the tin
[labels."invented beans"]
serving_size = "150 g"
servings_per_container = 2.5
calories = 170
"""


@pytest.fixture
def keep(run: Run, tmp_path: Path) -> Callable[[str], str]:
    """Keeps a batch with this [drying] in the book; its document."""

    def save(drying: str) -> str:
        path, text = tmp_path / "pot.toml", POT.format(drying=drying)
        path.write_text(text, encoding="utf-8")
        assert run("book", "save", path, "--name", "rice-pot").code == 0
        return text

    return save


def stored(run: Run) -> str:
    return str(run("book", "show", "rice-pot").out)


@pytest.mark.parametrize(
    ("drying", "written"),
    [
        ("", '{hours = 54, weight = "98.0 g"}'),
        ("[drying]\nhours = 60 # so far\n", 'weighings = [{hours = 54, weight = "98.0 g"}]'),
        (
            '[drying]\nweighings = [{hours = 20, weight = "99 g"}] # wet\n',
            '[{hours = 20, weight = "99 g"}, {hours = 54, weight = "98.0 g"}] # wet',
        ),
        (
            '[drying]\nweighings = [\n    {hours = 20, weight = "99 g"}, # wet\n]\n',
            '{hours = 20, weight = "99 g"}, # wet\n    {hours = 54, weight = "98.0 g"}',
        ),
        (
            '[[drying.weighings]]\nhours = 20 # wet\nweight = "99 g"\n',
            '[[drying.weighings]]\nhours = 54\nweight = "98.0 g"\n',
        ),
        (
            "[drying]\nhours = 60\n[other_costs]\nfuel = 1\n"
            '[[drying.weighings]]\nhours = 20 # wet\nweight = "99 g"\n',
            '[[drying.weighings]]\nhours = 54\nweight = "98.0 g"\n',
        ),
    ],
    ids=["no drying", "no weighings", "on one line", "over lines", "tables", "apart"],
)
def test_a_weighing_joins_the_document_and_nothing_else_moves(
    run: Run, keep: Callable[[str], str], drying: str, written: str
) -> None:
    before = keep(drying)
    ran = run("book", "weigh", "Rice pot", "--hours", "54", "--weight", "98.0 g", "--json")
    assert ran.code == 0, ran.err
    assert ran.data["revision"] == 2
    after = stored(run)
    assert written in after
    assert all(line in after for line in before.splitlines() if "#" in line and "weighings" not in line)
    again = run("book", "weigh", "rice-pot", "--hours", "56 h", "--weight", "97.9 g")
    assert again.code == 0 and "97.9 g at 56 h" in again.out
    judged = run("drying", "book:rice-pot", "--json")
    assert judged.code == 0 and judged.data["scale_step"]["value"] == 0.1


def test_a_weighing_at_the_same_hours_is_put_right(run: Run, keep: Callable[[str], str]) -> None:
    before = keep('[drying]\nweighings = [{hours = 54, weight = "89 g"}] # misread\n')
    ran = run("book", "weigh", "rice-pot", "--hours", "54", "--weight", "98 g")
    assert ran.out == "rice-pot: 98 g at 54 h in place of 89 g; 1 weighing\n"
    assert stored(run) == before.replace("89 g", "98 g")


@pytest.mark.parametrize(
    ("hours", "weight", "words"),
    [
        ("10", "98 g", "rising hours"),
        ("54", "a lot", "weight"),
        ("soon", "98 g", "hours"),
        ("-3", "98 g", "hours"),
        ("54", "-98 g", "weight"),
        ("54", "0 g", "weight"),
    ],
)
def test_a_bad_weighing_leaves_the_document_as_it_was(
    run: Run, keep: Callable[[str], str], hours: str, weight: str, words: str
) -> None:
    before = keep('[drying]\nweighings = [{hours = 20, weight = "99 g"}]\n')
    ran = run("book", "weigh", "rice-pot", "--hours", hours, "--weight", weight)
    assert ran.code == 1 and words in ran.err
    assert stored(run) == before


def test_a_weighing_of_an_unknown_batch_names_the_nearest(run: Run, keep: Callable[[str], str]) -> None:
    keep("")
    ran = run("book", "weigh", "rice-pit", "--hours", "1", "--weight", "98 g")
    assert ran.code == 1 and "the nearest is 'rice-pot'" in ran.err


def test_labels_are_kept_word_for_word_listed_and_shown(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "beans.toml"
    path.write_text(LABEL, encoding="utf-8")
    assert run("book", "labels", "save", path).out == "saved: invented beans\n"
    assert run("book", "labels", "show", "invented beans").out == LABEL
    assert [one["name"] for one in run("book", "labels", "list", "tin", "--json").data] == ["invented beans"]
    assert run("book", "labels", "list", "peas", "--json").data == []
    assert "invented beans" in run("book", "labels", "list").out
    assert run("book", "labels", "save", path, "--json").data["revision"] == 2
    assert run("book", "labels", "show", "peas").code == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("title = 'a batch'\n", "one label"),
        (LABEL.replace("calories = 170", "calorys = 170"), "calories"),
        (LABEL.replace("150 g", "a lot"), "serving_size"),
        ("[labels", "TOML"),
    ],
)
def test_a_label_that_no_batch_could_use_is_refused(run: Run, tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "beans.toml"
    path.write_text(text, encoding="utf-8")
    ran = run("book", "labels", "save", path)
    assert ran.code == 1 and words in ran.err
    assert run("book", "labels", "save", tmp_path / "none.toml").code == 1


def test_settings_of_the_book(run: Run) -> None:
    assert run("book", "settings", "set", "currency", "eur").code == 0
    assert run("book", "settings", "--json").data == {"currency": "EUR"}
    assert run("book", "buy", "rice", "4.50").out.rstrip().endswith("4.50 EUR")
    assert run("book", "settings", "unset", "currency").code == 0
    assert run("book", "settings", "--json").data == {}
    assert run("book", "settings", "set", "currency", "euro").code == 1
    refused = run("book", "settings", "set", "colour", "red")
    assert refused.code == 1 and "currency" in refused.err
