"""The commands of the book, as a person or a script types them."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result

from nutricost.errors import NutricostError
from nutricost.faces.cli.book import book as book_group
from nutricost.store.connection import open_book
from nutricost.store.matches import confirm_match
from nutricost.store.pouches import StoredPouch, save_pouch

CHILI = """title = "Invented chili"   # kept
servings = 8

[[ingredients]]
line = "4 cans chili"
label = "invented chili"
paid = 6.00

[labels."invented chili"]
serving_size = "150 g"
servings_per_container = 2.5
calories = 170

[packing]
bags = 4
"""


class Commands:
    """Runs `nutricost book` on one book."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def run(self, *arguments: str) -> Result:
        """The result, whatever it is."""
        return CliRunner().invoke(book_group, ["--book", str(self.path), *arguments])

    def text(self, *arguments: str) -> str:
        """What a person sees; the command succeeds."""
        result = self.run(*arguments)
        assert result.exception is None, (result.exception, result.output)
        return result.output

    def json(self, *arguments: str) -> Any:
        """The one JSON value on stdout."""
        return json.loads(self.text(*arguments, "--json"), parse_float=Decimal)

    def refused(self, *arguments: str) -> str:
        """The message of a refusal, raised for the wrapper of all commands."""
        result = self.run(*arguments)
        assert isinstance(result.exception, NutricostError), (result.exception, result.output)
        assert result.output == ""
        return str(result.exception)


@pytest.fixture
def commands(tmp_path: Path) -> Commands:
    return Commands(tmp_path / "book.sqlite")


@pytest.fixture
def chili(tmp_path: Path, commands: Commands) -> Path:
    path = tmp_path / "chili.toml"
    path.write_text(CHILI)
    commands.text("save", str(path))
    return path


def every_command(
    group: click.Group, above: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    for name, command in group.commands.items():
        if isinstance(command, click.Group):
            yield from every_command(command, (*above, name))
        else:
            yield (*above, name), command


@pytest.mark.parametrize(
    ("words", "command"), [pytest.param(*one, id=" ".join(one[0])) for one in every_command(book_group)]
)
def test_every_command_has_help_an_example_and_json(words: tuple[str, ...], command: click.Command) -> None:
    shown = CliRunner().invoke(book_group, [*words, "--help"])
    assert shown.exit_code == 0
    assert (command.epilog or "").startswith("Example: nutricost book ")
    assert f" {words[-1]}" in (command.epilog or "")
    assert command.help
    assert "--json" in shown.output


def test_a_batch_goes_in_and_out_word_for_word(commands: Commands, chili: Path) -> None:
    assert commands.text("show", "invented-chili") == CHILI
    assert commands.json("show", "invented-chili") == {"name": "invented-chili", "text": CHILI}
    chili.write_text(CHILI + "# more\n")
    assert commands.json("save", str(chili), "--name", "invented-chili")["revision"] == 2
    assert [one["title"] for one in commands.json("batches", "KEPT")] == ["Invented chili"]
    assert "invented-chili" in commands.text("batches")


def test_a_batch_that_cannot_be_read_back_is_refused(commands: Commands, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text('title = "a"\nserving = 3\n')
    assert "servings" in commands.refused("save", str(path))
    assert "no such file" in commands.refused("save", str(tmp_path / "none.toml"))


def test_export_import_check_backup(commands: Commands, chili: Path, tmp_path: Path) -> None:
    commands.text("export", str(tmp_path / "out"))
    assert "not an empty folder" in commands.refused("export", str(tmp_path / "out"))
    again = Commands(tmp_path / "again.sqlite")
    assert again.json("import", str(tmp_path / "out")) == {"folder": str(tmp_path / "out"), "warnings": []}
    assert again.text("show", "invented-chili") == CHILI
    assert "not empty" in again.refused("import", str(tmp_path / "out"))
    again.text("import", str(tmp_path / "out"), "--replace")
    assert again.json("check") == {"sound": True, "problems": []}
    assert again.text("check") == "the book is sound\n"
    copy = Commands(Path(again.json("backup", str(tmp_path / "copy.sqlite"))["file"]))
    assert copy.text("show", "invented-chili") == CHILI
    assert "is there already" in again.refused("backup", str(copy.path))


def test_check_names_what_is_wrong_and_ends_with_1(commands: Commands, chili: Path) -> None:
    with open_book(commands.path) as book, book.transaction():
        book.write("UPDATE batch SET title = 'other'")
    result = commands.run("check", "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["sound"] is False
    assert "error: batch invented-chili: its title differs" in result.stderr


def test_the_machine_and_pouches(commands: Commands, tmp_path: Path) -> None:
    machine, pouches = tmp_path / "machine.toml", tmp_path / "pouches.csv"
    machine.write_text("price = 2995   # used\ntrays = 4\n")
    assert commands.text("machine", str(machine)) == "saved: the machine\n"
    assert commands.text("machine") == machine.read_text()
    assert commands.json("load", "show")["capacity_trays"] == 4
    pouches.write_text("calories,name,price,servings,colour\n250,Invented stew,9.50,2,red\n")
    added = commands.json("pouches", "--add", str(pouches), "--on", "2026-01-02")
    assert added["kept"] == 1
    assert "colour" in added["warnings"][0]
    pouches.write_text("calories,name,price,servings\n250,Invented stew,10.25,2\n")
    assert commands.text("pouches", "--add", str(pouches), "--on", "2026-02-02") == "kept: 1 pouches\n"
    lines = list(csv.DictReader(io.StringIO(commands.text("pouches"))))
    assert [(one["name"], one["price"], one["calories"]) for one in lines] == [
        ("Invented stew", "10.25", "250")
    ]
    prices = commands.json("pouches", "--prices", "Invented stew")
    assert [one["price"] for one in prices] == [Decimal("9.50"), Decimal("10.25")]
    assert "2026-02-02" in commands.text("pouches", "--prices", "Invented stew")
    assert "no pouch 'x'" in commands.refused("pouches", "--prices", "x")
    machine.write_text("price = lots\n")
    assert "machine.toml" in commands.refused("machine", str(machine))


def test_purchases(commands: Commands) -> None:
    bought = commands.json(
        "buy",
        "frozen corn",
        "8.97",
        "--usual",
        "12",
        "--package",
        "5 lb",
        "--at",
        "market",
        "--on",
        "2026-01-02",
    )
    assert (bought["price"], bought["usual_price"], bought["bought_on"]) == (
        Decimal("8.97"),
        12,
        "2026-01-02",
    )
    commands.text("buy", "oil", "3.00 EUR", "--on", "2026-01-03", "--date-on-package", "2027-01-01")
    assert [(one["what"], one["currency"]) for one in commands.json("purchases")] == [
        ("oil", "EUR"),
        ("frozen corn", "USD"),
    ]
    assert "market" in commands.text("purchases", "corn")
    assert "usual price: in EUR" in commands.refused("buy", "corn", "1", "--usual", "2 EUR")
    assert "price: 'lots' is not money" in commands.refused("buy", "corn", "lots")


def test_the_shelf_from_packing_to_the_last_serving(commands: Commands, chili: Path) -> None:
    with open_book(commands.path) as book, book.transaction():
        pouch = StoredPouch("Invented stew", Decimal("9.50"), "USD", "2", calories="250")
        save_pouch(book, pouch, seen_on=date(2026, 1, 1))
    lot = commands.json("pack", "invented-chili", "--on", "2026-01-02", "--best-by", "2040-01-01")
    # 4 cans x 2.5 servings x 170 kcal over 8 servings
    assert (lot["bags"], lot["servings"], lot["kcal_per_serving"]) == (4, 8, Decimal("212.5"))
    commands.text("pack", "invented-chili", "--on", "2026-02-02", "--bags", "1", "--servings", "2")
    assert [one["servings_left"] for one in commands.json("shelf")] == [8, 2]
    eaten = commands.json("eat", "Invented Chili", "9", "--replaced", "pouch", "--name", "Invented stew")
    # a pouch of 2 servings for 9.50: 9 servings would have cost 42.75, 8/9 of it for the first lot
    assert [(one["lot"], one["servings"], one["replaced_cost"]) for one in eaten] == [
        (1, 8, 38),
        (2, 1, Decimal("4.75")),
    ]
    assert "1.00" not in commands.text("shelf")
    assert "lost" in str(commands.json("eat", "2", "0.5", "--replaced", "lost", "--note", "leaked"))
    assert "but 0.5 are on the shelf" in commands.refused("eat", "invented-chili")
    assert "'soup' is not on the shelf" in commands.refused("eat", "soup")
    assert "no pouch 'other'" in commands.refused("eat", "2", "0.5", "--replaced", "pouch", "--name", "other")
    assert (
        commands.text("eat", "2", "0.5", "--replaced", "meal", "--cost", "3")
        == "lot 2: 0.5 servings, 3 USD not spent\n"
    )
    assert commands.json("shelf") == []


def test_the_load_in_waiting(commands: Commands) -> None:
    commands.text(
        "load", "fill", "corn", "--trays", "2", "--weight", "1.6 kg", "--cost", "4.50", "--on", "2026-01-02"
    )
    entry = commands.json(
        "load", "fill", "peas", "--weight", "24 oz", "--servings", "3", "--on", "2026-01-01"
    )
    assert entry["weight_g"] == Decimal("680.388555")
    extra = commands.json("load", "fill", "extra")
    assert commands.text("load", "remove", str(extra["id"])) == "removed: 3\n"
    waiting = commands.json("load", "show")
    assert (waiting["trays"], waiting["capacity_trays"], waiting["full"]) == (3, None, False)
    assert [one["what"] for one in waiting["waiting"]] == ["peas", "corn"]
    assert "3 trays" in commands.text("load", "show")
    assert "trays are not known" in commands.refused("load", "start")
    assert "corn: its servings are not known" in commands.refused("load", "start", "--trays", "5")
    assert "WHAT=NUMBER" in commands.refused("load", "start", "--trays", "5", "--servings", "6")
    started = commands.json("load", "start", "--trays", "5", "--servings", "corn=6", "--on", "2026-01-03")
    assert [(one["what"], one["batch"]) for one in started["trays"]] == [("peas", "peas"), ("corn", "corn")]
    assert "cycle 1 runs" in commands.text("load", "show")
    assert "before it started" in commands.refused("load", "finish", "1", "--on", "2026-01-01")
    assert "weight" in commands.refused("load", "finish", "1", "--dry", "corn=much")
    finished = commands.json(
        "load",
        "finish",
        "1",
        "--hours",
        "38",
        "--energy",
        "31 kWh",
        "--price-per-kwh",
        "0.17",
        "--dry",
        "corn=480 g",
        "--on",
        "2026-01-05",
    )
    assert finished == {"cycle": 1, "batches": ["peas", "corn"]}
    assert 'dry_weight = "480 g"' in commands.text("show", "corn")
    assert "no running cycle" in commands.refused("load", "finish", "1")
    assert "does not wait" in commands.refused("load", "remove", "1")


def test_matches(commands: Commands) -> None:
    with open_book(commands.path) as book, book.transaction():
        confirm_match(book, "Sweet corn", "ndb:11178", on=date(2026, 1, 1))
    assert commands.json("matches", "list")[0]["food"] == "ndb:11178"
    assert "sweet corn" in commands.text("matches", "list")
    lines = list(csv.reader(io.StringIO(commands.text("matches", "export"))))
    assert lines == [["phrase", "food", "confirmed_on"], ["sweet corn", "ndb:11178", "2026-01-01"]]
    target = commands.path.with_name("matches.csv")
    commands.text("matches", "export", str(target))
    assert target.read_text().startswith("phrase,food")
    commands.text("matches", "forget", "SWEET corn")
    assert "no match" in commands.refused("matches", "forget", "sweet corn")


def test_maintenance(commands: Commands) -> None:
    commands.text("maintenance", "add", "oil", "--cost", "21", "--on", "2026-01-01")
    commands.text("maintenance", "add", "run", "--hours", "38.5", "--on", "2026-01-03")
    found = commands.json("maintenance", "list")
    assert (found["hours_since_oil"], found["spent"]) == (Decimal("38.5"), {"USD": 21})
    shown = commands.text("maintenance", "list")
    assert "last oil change: 38.5" in shown
    assert "Spent: 21 USD" in shown
    assert "a run needs its hours" in commands.refused("maintenance", "add", "run")
    assert commands.run("maintenance", "add", "polish").exit_code == 2


def test_the_tariff(commands: Commands) -> None:
    assert "no price" in commands.refused("tariff", "set", "23:00-07:00=0.12", "08:00-23:00=0.31")
    assert "flat price" in commands.refused("tariff", "set", "0.12", "0.31")
    assert "time of day" in commands.refused("tariff", "set", "25:00-7=0.12")
    assert "a span" in commands.refused("tariff", "set", "7=0.12")
    commands.text("tariff", "set", "23:00-07:00=0.12", "07:00-23:00=0.31")
    assert [one["price_per_kwh"] for one in commands.json("tariff", "show")] == [
        Decimal("0.31"),
        Decimal("0.12"),
    ]
    found = commands.json("tariff", "cost", "--hours", "8", "--energy", "31 kWh")
    # 31 kWh x 0.12, all of it at night
    assert found["cheapest"] == {"start_hour": 23, "cost": Decimal("3.72")}
    assert len(found["by_start_hour"]) == 24
    assert "Cheapest: 23:00, 3.72 USD" in commands.text("tariff", "cost", "--hours", "8 h", "--energy", "31")
    assert "hours" in commands.refused("tariff", "cost", "--hours", "8 kg", "--energy", "31")


def test_no_book_and_a_bad_date(commands: Commands) -> None:
    assert "there is no book here" in commands.refused("shelf")
    assert not commands.path.exists()
    commands.text("tariff", "set", "0.17")
    assert "no machine" in commands.refused("machine")
    wrong = commands.run("buy", "corn", "1", "--on", "yesterday")
    assert wrong.exit_code == 2
    assert "YYYY-MM-DD" in wrong.stderr
