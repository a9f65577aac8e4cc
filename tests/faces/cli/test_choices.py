"""Confirmed choices: kept, listed, used by every command, removed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., Any]


def test_a_choice_follows_the_food_in_another_amount_and_order(run: Run) -> None:
    assert run("match", "-", "--choose", "1 cup white rice=ndb:20044", stdin="").code == 0
    found = run("match", "-", "--json", stdin="rice, white, 300 g\n").data
    assert found[0]["food"]["ndb_number"] == "20044"
    assert (found[0]["status"], found[0]["confidence"]) == ("matched", 1)


def test_choices_are_listed_and_removed(run: Run) -> None:
    run("match", "-", "--choose", "1 cup white rice=ndb:20044", stdin="")
    listed = run("match", "--remembered", "--json").data
    assert list(listed.values()) == ["ndb:20044"]
    assert run("match", "--forget", "2 lb white rice").code == 0
    assert run("match", "--remembered", "--json").data == {}
    assert run("match", "--forget", "white rice").code == 1


def test_a_choice_wins_in_a_card(run: Run, tmp_path: Path) -> None:
    batch = tmp_path / "b.toml"
    batch.write_text('title = "t"\nservings = 1\n[[ingredients]]\nline = "100 g white rice"\npaid = 1\n')
    run("match", "-", "--choose", "white rice=ndb:20045", stdin="")
    assert run("card", batch, "--json").data["lines"][0]["food"]["ndb_number"] == "20045"


def test_a_choice_wins_in_other_commands_too(run: Run, tmp_path: Path) -> None:
    """Beside the card: the same again, the verdict on dryness, and groceries in rank."""
    batch, prices = tmp_path / "b.toml", tmp_path / "prices.csv"
    batch.write_text(
        'title = "t"\nservings = 1\n[[ingredients]]\nline = "100 g white rice"\npaid = 1\n'
        '[drying]\ntrays = 1\nwet_weight = "100 g"\ndry_weight = "99 g"\nhours = 5\n',
        encoding="utf-8",
    )
    prices.write_text("line,paid\n100 g white rice,1\n", encoding="utf-8")
    commands = (
        ("again", batch, "--servings", "2"),
        ("rank", "calories per dollar", "--prices", prices),
        ("drying", batch, "--set", 'drying.weighings=[{hours=1,weight="99.5 g"},{hours=3,weight="99.4 g"}]'),
    )
    before = [run(*command, "--json") for command in commands]
    # USDA SR28 gives ndb:11677, raw shallots, far less energy and solids than rice.
    run("match", "-", "--choose", "white rice=ndb:11677", stdin="")
    after = [run(*command, "--json") for command in commands]
    for command, one, other in zip(commands, before, after, strict=True):
        assert one.code == other.code == 0, (command, one.err, other.err)
        assert one.out != other.out, command


def test_a_choice_of_a_food_that_no_table_has_is_refused(run: Run) -> None:
    for pair in ("rice=ndb:99999", "rice", "=ndb:20044", "rice="):
        assert run("match", "-", "--choose", pair, stdin="").code == 1, pair


def test_confirming_asks_and_remembers(run: Run, tmp_path: Path) -> None:
    lines = tmp_path / "lines.txt"
    lines.write_text("2 cups glimzorp berries\n")
    assert run("match", lines, "--json").data[0]["status"] == "unsure"
    assert run("match", lines, "--confirm", "--json", stdin="1\n").code == 0
    assert run("match", lines, "--json").data[0]["status"] == "matched"
