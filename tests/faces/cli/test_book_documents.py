"""Every command on what the book keeps: book:TITLE, book: and --book FILE."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]
POT = 'title = "{title}"\nservings = {servings}\n[[ingredients]]\nline = "100 g white rice"\npaid = 1\n'


@pytest.fixture
def stocked(run: Run, demo: Path) -> Path:
    """The demo's documents, kept in the book as well."""
    for name in ("lentil-kits", "chicken-rice"):
        run("book", "save", demo / f"{name}.toml")
    run("book", "machine", demo / "machine.toml")
    run("book", "pouches", "--add", demo / "pouches.csv")
    return demo


def test_every_command_answers_alike_from_the_book(run: Run, stocked: Path) -> None:
    batch, pouches, machine = (stocked / name for name in ("lentil-kits.toml", "pouches.csv", "machine.toml"))
    for command, *options in (
        ("card", "BATCH"),
        ("compare", "BATCH", "--pouches", "POUCHES"),
        ("rank", "calories per dollar", "BATCH", "--pouches", "POUCHES"),
        ("trace", "BATCH", "per_serving.energy"),
        ("deal", "BATCH", "--pouches", "POUCHES", "--machine", "MACHINE"),
        ("payback", "BATCH", "--pouches", "POUCHES", "--machine", "MACHINE"),
        ("labels", "BATCH"),
        ("log", "BATCH", "--machine", "MACHINE"),
        ("share", "BATCH"),
        ("again", "BATCH", "--servings", "8"),
    ):
        answers = []
        for names in (
            {"BATCH": batch, "POUCHES": pouches, "MACHINE": machine},
            {"BATCH": "book:Lentil curry with peas", "POUCHES": "book:", "MACHINE": "book:"},
            {"BATCH": "book:lentil-curry-with-peas", "POUCHES": "book:", "MACHINE": "book:"},
        ):
            ran = run(command, *(names.get(word, word) for word in options), "--json")
            assert ran.code == 0, (command, ran.err)
            answers.append(ran.out.replace("book:lentil-curry-with-peas", str(batch)))
        assert answers[0] == answers[1] == answers[2], command


def test_drying_reads_the_weighings_of_the_book(run: Run, tmp_path: Path) -> None:
    batch = tmp_path / "pot.toml"
    weighings = '[drying]\nweighings = [{hours = 20, weight = "98 g"}, {hours = 22, weight = "96 g"}]\n'
    batch.write_text(POT.format(title="Rice pot", servings=1) + weighings, encoding="utf-8")
    run("book", "save", batch)
    from_file, from_book = run("drying", batch, "--json"), run("drying", "book:rice-pot", "--json")
    assert from_file.code == 0 and from_file.data == from_book.data


def test_a_plan_may_name_documents_of_the_book(run: Run, stocked: Path, tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(
        'days = 3\nbatches = ["book:chicken-and-rice"]\npouches = "book:"\nmachine = "book:"\n'
        "[[people]]\nname = 'A'\nenergy_kcal_per_day = 2000\n",
        encoding="utf-8",
    )
    ran = run("plan", plan, "--json")
    assert ran.code == 0, ran.err
    assert "Chicken and rice" in ran.out


def test_another_book_with_its_choices(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    batch, other = tmp_path / "b.toml", tmp_path / "other.sqlite"
    batch.write_text(POT.format(title="Rice", servings=1), encoding="utf-8")
    with monkeypatch.context() as changed:
        changed.setenv("NUTRICOST_BOOK", str(other))
        run("book", "save", batch)
        run("match", "-", "--choose", "white rice=ndb:20045", stdin="")
        assert run("card", "book:rice", "--json").data["lines"][0]["food"]["ndb_number"] == "20045"
    assert run("card", "book:rice").code == 1
    asked = run("card", "book:rice", "--book", other, "--json").data
    assert asked["lines"][0]["food"]["ndb_number"] == "20045"
    assert run("card", batch, "--json").data["lines"][0]["food"]["ndb_number"] != "20045"
    assert run("card", batch, "--book", tmp_path / "none.sqlite").code == 2
    assert run("match", "--remembered", "--book", other, "--json").data != {}
    assert run("match", "--remembered", "--json").data == {}


def test_a_title_that_is_not_there_names_the_nearest(run: Run, stocked: Path) -> None:
    ran = run("card", "book:lentil-cury-with-peas")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == (
        "error: there is no batch 'lentil-cury-with-peas' in the book; "
        "the nearest is 'lentil-curry-with-peas'\n"
    )


def test_two_batches_of_one_title_are_told_apart_by_name(run: Run, tmp_path: Path) -> None:
    for servings in (1, 2):
        batch = tmp_path / f"{servings}.toml"
        batch.write_text(POT.format(title="Rice", servings=servings), encoding="utf-8")
        run("book", "save", batch)
    ran = run("card", "book:Rice")
    assert ran.code == 1 and "rice, rice-2" in ran.err
    assert run("card", "book:rice-2", "--json").data["servings"] == 2


def test_what_the_book_does_not_keep_is_refused(run: Run, stocked: Path) -> None:
    asked = ("compare", "book:chicken-and-rice")
    for options, words in (
        (("--pouches", "book:stew"), "'book:' alone"),
        (("--rivals", "book:"), "the book keeps batches, pouches and the machine"),
    ):
        ran = run(*asked, *options)
        assert ran.code == 1 and words in ran.err
    assert "Traceback" not in run("plan", "book:").err


def test_an_empty_book_and_none_at_all(run: Run, demo: Path) -> None:
    assert "there is no book here" in run("card", "book:chili").err
    run("book", "machine", demo / "machine.toml")
    assert "the book has none" in run("card", "book:chili").err


def test_a_pouch_in_another_currency_is_not_taken_for_this_one(run: Run, demo: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "p.csv"
    sheet.write_text("name,price,servings,calories\nInvented stew,9.50 EUR,2,400\n", encoding="utf-8")
    run("book", "settings", "set", "currency", "EUR")
    run("book", "pouches", "--add", sheet)
    ran = run("compare", demo / "lentil-kits.toml", "--pouches", "book:")
    assert ran.code == 1 and "EUR" in ran.err
