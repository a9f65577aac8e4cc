"""Other ways to keep the food in compare and rank, and groceries at a price (invented prices)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

RIVALS = """price_per_kwh = 0.20
[[ways]]
name = "chest freezer"
calories = 4000
servings = 16
protein_g = 200
weight = "3 kg"
food = 10
energy_per_month = "0.5 kWh"
lasts_years = 1
[[ways]]
name = "canned at home"
calories = 4000
food = 10
[ways.once]
lids = 1.20
"jars, a twentieth of their price" = 0.80
"""

PRICES = """line,paid,for
5 lb white rice,4.15,
"2 lb dried lentils",3.20,
1 lb frozen sweet corn,2.50,2 lb
"""


@pytest.fixture
def rivals(tmp_path: Path) -> Path:
    """A document of two other ways."""
    path = tmp_path / "rivals.toml"
    path.write_text(RIVALS)
    return path


def test_compare_counts_the_keeping(run: Run, demo: Path, rivals: Path) -> None:
    batch = demo / "lentil-kits.toml"
    found = run("compare", batch, "--rivals", rivals, "--years", "5", "--basis", "1000kcal", "--json").data
    freezer, canned = (offer for offer in found["offers"] if offer["kind"] == "other")
    assert freezer["cost"]["value"] == pytest.approx(4)  # (10 + 60 months x 0.5 kWh x 0.20) / 4
    assert canned["cost"]["value"] == pytest.approx(3)  # (10 + 1.20 + 0.80) / 4
    assert freezer["protein"]["value"] == pytest.approx(50)
    assert canned["protein"]["value"] is None and "not given" in canned["protein"]["why"]
    assert any("chest freezer keeps 1 years, not 5" in said for said in found["warnings"])
    assert any("against chest freezer" in said or "chest freezer" in said for said in found["statements"])


def test_rank_puts_them_beside_the_batch(run: Run, demo: Path, rivals: Path) -> None:
    batch = demo / "lentil-kits.toml"
    found = run("rank", "dollars per 1000 calories", batch, "--rivals", rivals, "--years", "5", "--json").data
    ranked = [(offer["name"], offer["kind"]) for offer in found["offers"]]
    assert [kind for _, kind in ranked].count("other") == 2
    by_name = {offer["name"]: offer["value"]["value"] for offer in found["offers"]}
    assert by_name["canned at home"] == pytest.approx(3)
    assert [offer["value"]["value"] for offer in found["offers"]] == sorted(by_name.values())
    assert found["warnings"] == ["chest freezer keeps 1 years, not 5: it would have to be replaced"]
    assert "Mind" in run("rank", "calories per dollar", "--rivals", rivals, "--years", "5").out


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (RIVALS, "", "ways: missing"),
        ("calories = 4000\nserv", "serv", "calories: missing"),
        ("food = 10\nenergy", "energy", "food: missing"),
        ("calories = 4000\nserv", "calories = 0\nserv", "too small"),
        ("food = 10\nenergy", "food = -1\nenergy", "too small"),
        ("food = 10\nenergy", "food = nan\nenergy", "food"),
        ('"0.5 kWh"', '"0.5 kg"', "energy_per_month"),
        ("lasts_years", "last_years", "'lasts_years'"),
        ('"canned at home"', '"Chest freezer"', "stands twice"),
        ("price_per_kwh = 0.20", 'currency = "EUR"', "EUR"),
    ],
)  # fmt: skip
def test_bad_documents_are_refused_in_a_line(
    run: Run, demo: Path, rivals: Path, old: str, new: str, says: str
) -> None:
    rivals.write_text(RIVALS.replace(old, new, 1))
    ran = run("compare", demo / "lentil-kits.toml", "--rivals", rivals, "--json")
    assert (ran.code, ran.out) == (1, "")
    assert says in ran.err


def test_years_and_missing_file(run: Run, rivals: Path) -> None:
    for options in (("--years", "-1"), ("--years", "x"), ("--rivals", "gone.toml")):
        ran = run("rank", "calories per dollar", "--rivals", rivals, *options)
        assert (ran.code, ran.out) == (1, "")
        assert options[1] in ran.err


def test_what_feeds_most_for_ten_dollars(run: Run, tmp_path: Path) -> None:
    prices = tmp_path / "prices.csv"
    prices.write_text(PRICES)
    found = run("rank", "calories per 10 dollars", "--prices", prices, "--json").data
    assert found["unit"] == "kcal/10 USD"
    values = {offer["name"]: offer["value"]["value"] for offer in found["offers"]}
    # White rice, raw: 365 kcal/100 g (SR28 20044); lentils, raw: 352 (SR28 16069); 453.59237 g a lb.
    assert values["5 lb white rice"] == pytest.approx(5 * 453.59237 * 3.65 / 4.15 * 10, rel=0.01)
    assert values["2 lb dried lentils"] == pytest.approx(2 * 453.59237 * 3.52 / 3.20 * 10, rel=0.01)
    # Half of the 2 lb bag that cost 2.50.
    corn = next(offer for offer in found["offers"] if "corn" in offer["name"])
    assert corn["value"]["value"] == pytest.approx(453.59237 * 0.88 / 1.25 * 10, rel=0.03)
    assert list(values) == ["5 lb white rice", "2 lb dried lentils", "1 lb frozen sweet corn"]
    assert {offer["kind"] for offer in found["offers"]} == {"food"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"), ("line,cost\nrice,1\n", "paid"), ("line,paid\n,1\n", "line 2"),
        ("line,paid\n1 lb rice,-1\n", "too small"), ("line,paid\n1 lb rice,free\n", "free"),
        ("line,paid\n", "no grocery"),
    ],
)  # fmt: skip
def test_bad_prices_are_refused_in_a_line(run: Run, tmp_path: Path, text: str, says: str) -> None:
    prices = tmp_path / "prices.csv"
    prices.write_text(text)
    ran = run("rank", "calories per dollar", "--prices", prices, "--json")
    assert (ran.code, ran.out) == (1, "")
    assert says in ran.err
