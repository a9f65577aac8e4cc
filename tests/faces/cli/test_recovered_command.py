"""`nutricost book recovered`: meals from the shelf against the forecast, by hand (invented)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]
NAME = "lentil-curry-with-peas"


@pytest.fixture
def eaten(run: Run, demo: Path) -> Path:
    """The demo's folder; its lentil batch is in the book and six servings of it were eaten."""
    assert run("book", "save", demo / "lentil-kits.toml").code == 0
    assert run("book", "pack", NAME, "--on", "2026-03-01").code == 0
    pouch = ("--replaced", "pouch", "--cost", "21")
    assert run("book", "eat", NAME, "4", *pouch, "--on", "2026-03-10").code == 0
    assert run("book", "eat", NAME, "2", "--on", "2026-04-10").code == 0
    return demo


def recovered(run: Run, folder: Path, *options: str) -> Any:
    documents = ("--machine", folder / "machine.toml", "--pouches", folder / "pouches.csv")
    return run("book", "recovered", *documents, "--on", "2026-05-01", *options)


def test_by_hand(run: Run, eaten: Path) -> None:
    found = recovered(run, eaten, "--json").data
    card = run("card", eaten / "lentil-kits.toml", "--json").data
    each = card["per_serving"]["cost"]["value"]
    # Four servings for two pouches at 10.50; two for nothing.
    assert found["recovered"]["value"] == pytest.approx(21 - 6 * each)
    assert found["left"]["value"] == pytest.approx(2675 - 21 + 6 * each)
    # 61 days from March 1 to May 1, months of 730.5 h, 7 batches a month.
    documents = ("--pouches", eaten / "pouches.csv", "--machine", eaten / "machine.toml")
    against = ("--against", "Heron Creek lentil dal")
    (promised,) = run("payback", eaten / "lentil-kits.toml", *documents, *against, "--json").data
    forecast = promised["saving_per_batch"]["value"] * 7 * 61 / 30.4375
    assert found["forecast"]["value"] == pytest.approx(forecast)
    assert found["ahead"]["value"] == pytest.approx(21 - 6 * each - forecast)
    assert found["against"] == "Heron Creek lentil dal"
    assert (found["meals_counted"], found["meals_replacing_nothing"]) == (2, 1)


def test_days_that_count(run: Run, eaten: Path) -> None:
    found = recovered(run, eaten, "--since", "2026-04-01", "--json").data
    assert [meal["eaten_on"] for meal in found["meals"]] == ["2026-04-10"]
    text = recovered(run, eaten).out
    assert "2 meals counted, of which 1 replaced nothing" in text


def test_a_replaced_meal_of_unknown_cost_stays_unknown(run: Run, eaten: Path) -> None:
    assert run("book", "eat", NAME, "1", "--replaced", "meal", "--on", "2026-04-11").code == 0
    found = recovered(run, eaten, "--json").data
    assert found["recovered"]["value"] is None and "no cost in the book" in found["recovered"]["why"]


def test_the_books_own_machine_and_pouches(run: Run, eaten: Path) -> None:
    ran = run("book", "recovered")
    assert (ran.code, ran.out) == (1, "") and "--machine TOML" in ran.err
    assert run("book", "machine", eaten / "machine.toml").code == 0
    found = run("book", "recovered", "--json").data
    assert found["forecast"]["value"] is None and found["warnings"]


def test_nothing_packed_no_book_and_bad_options(run: Run, demo: Path) -> None:
    assert recovered(run, demo).code == 1
    run("book", "save", demo / "lentil-kits.toml")
    assert "nothing was ever packed" in recovered(run, demo).err
    assert run("book", "recovered", "--since", "then").code == 2
