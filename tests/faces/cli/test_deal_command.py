"""`nutricost deal`: the demo by hand, what limits the number, several deals, bad input (invented)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

KEYS = {
    "cost_per_serving", "kcal_per_usd", "tie_price_per_package", "packages_per_load", "loads_before_date",
    "packages_to_buy", "limited_by", "warnings",
}  # fmt: skip

SOUP = """title = "Bean soup"
servings = 12
[[ingredients]]
line = "8 cans black beans"
paid = 8
[drying]
trays = 5
hours = 40
cost = 4
"""


def deal(run: Run, demo: Path, *options: str, batches: tuple[str, ...] = ("lentil-kits.toml",)) -> Any:
    documents = ("--pouches", demo / "pouches.csv", "--machine", demo / "machine.toml")
    return run("deal", *(demo / name for name in batches), *documents, *options)


def test_demo_by_hand(run: Run, demo: Path) -> None:
    found = deal(run, demo, "--days-to-date", "5", "--json").data
    assert set(found) >= KEYS
    # As in the payback: 6 kits and 2 lb of peas cooked, 3.6 of 3.9 kg dried.
    dried = 3600 / 3900
    energy = (6 * 520 + 907.18474 * 0.77) * dried
    paid = 11.94 * dried
    rest = 2.58 * dried + 29 * 0.17 + 8 * (0.55 + 0.12) + 0.80
    assert found["cost_per_serving"]["value"] == pytest.approx((paid + rest) / 16, abs=0.0005)
    assert found["kcal_per_usd"]["value"] == pytest.approx(energy / (paid + rest), rel=1e-3)
    assert found["packages_per_load"]["value"] == pytest.approx(6 * dried)
    # 5 days, 54 h + 6 h a load: floor(120 / 60) + 1 loads; whole kits of 5.54 a load.
    assert found["loads_before_date"]["value"] == 3
    assert found["packages_to_buy"]["value"] == int(3 * 6 * dried) == 16
    # The dal gives most energy for its money: 580 kcal for 10.50.
    assert found["against"] == "Heron Creek lentil dal"
    tie = (10.50 * energy / 580 - rest) / (6 * dried)
    assert found["tie_price_per_package"]["value"] == pytest.approx(tie, abs=0.001)
    saving = 10.50 * energy / 580 - paid - rest
    assert found["money_saved"]["value"] == pytest.approx(saving * 16 / (6 * dried), rel=1e-3)
    assert found["limited_by"] == "date, cycle time"


def test_at_the_tie_price_the_deal_costs_what_the_pouch_does(run: Run, demo: Path) -> None:
    tie = deal(run, demo, "--json").data["tie_price_per_package"]["value"]
    batch = demo / "lentil-kits.toml"
    batch.write_text(batch.read_text().replace("paid = 11.94", f"paid = {6 * tie:.6f}"))
    found = deal(run, demo, "--json").data
    assert found["kcal_per_usd"]["value"] == pytest.approx(found["against_kcal_per_usd"]["value"], rel=1e-3)


@pytest.mark.parametrize(
    ("price", "said"),
    # By hand as above: a load wins up to a tie of 9.09 a kit (7.56 to 13.32 by the labels).
    [("2", "Worth it: a load costs "), ("40", "Not worth it: a load costs "), (None, "Too close to call: ")],
)
def test_the_answer_says_whether_the_price_is_worth_a_load(
    run: Run, demo: Path, price: str | None, said: str
) -> None:
    # Was: so many packages to buy, though every one of them loses money, and no word of it.
    kit = deal(run, demo, "--json").data["tie_price_per_package"]["value"] if price is None else float(price)
    batch = demo / "lentil-kits.toml"
    batch.write_text(batch.read_text().replace("paid = 11.94", f"paid = {6 * kit:.6f}"))
    text = deal(run, demo, "--days-to-date", "5").out
    assert text.splitlines()[1].startswith(said)
    found = deal(run, demo, "--json").data
    assert found["verdict"].startswith(said)
    assert (found["saving_per_load"]["low"] > 0) == said.startswith("Worth")
    assert "-" not in found["verdict"] or said.startswith("Too close")


def test_no_date_and_freezer_space(run: Run, demo: Path) -> None:
    free = deal(run, demo, "--json").data
    assert free["packages_to_buy"]["value"] is None and "no date" in free["packages_to_buy"]["why"]
    held = deal(run, demo, "--days-to-date", "0", "--space", "1.3 kg", "--json").data
    # One load of 5.54 kits, and 1.3 kg at 650 g a kit (3.9 kg of food from 6): 2; 7 whole ones in all.
    assert (held["loads_before_date"]["value"], held["packages_to_buy"]["value"]) == (1, 7)
    assert "freezer space" in held["limited_by"]


def test_several_deals_are_ranked_and_chosen(run: Run, demo: Path) -> None:
    (demo / "soup.toml").write_text(SOUP)
    names = ("lentil-kits.toml", "soup.toml")
    dates = ("--days-to-date", "5", "--days-to-date", "2")
    found = deal(run, demo, *dates, "--hours", "200", "--json", batches=names).data
    assert all(set(one) >= KEYS | {"name", "saving_per_machine_hour"} for one in found["deals"])
    by_hour = [one["saving_per_machine_hour"]["value"] for one in found["deals"]]
    assert by_hour == sorted(by_hour, reverse=True)
    # 200 h hold three loads of 60 h. The soup's first load must start within 48 h: one load of it, as the
    # second would start at 60 h; then two of the kits.
    assert found["choice"]["loads"] == [
        {"name": "Bean soup", "loads": 1},
        {"name": "Lentil curry with peas", "loads": 2},
    ]
    assert found["choice"]["hours"]["value"] == 180
    saved = sum(
        one["saving_per_load"]["value"] * count for one, count in zip(found["deals"], (1, 2), strict=True)
    )
    assert found["choice"]["saving"]["value"] == pytest.approx(saved)
    text = deal(run, demo, *dates, "--hours", "200", batches=names).out
    assert "What to dry first" in text and "Bean soup: 1 load" in text
    assert "--hours H" in deal(run, demo, batches=names).out


@pytest.mark.parametrize(
    "options",
    [
        ("--days-to-date", "-1"), ("--days-to-date", "soon"), ("--days-to-date", "nan"), ("--space", "6 h"),
        ("--space", "-2 kg"), ("--hours", "0"), ("--hours", "1e9"), ("--against", "no such pouch"),
        ("--days-to-date", "1", "--days-to-date", "2"),
    ],
)  # fmt: skip
def test_bad_options_are_refused(run: Run, demo: Path, options: tuple[str, ...]) -> None:
    ran = deal(run, demo, *options)
    assert (ran.code, ran.out) == (1, "")
    assert "accepted" in ran.err


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("line = \"6 kits lentil curry\"", "line = \"3 kg lentil curry\"", "no line counts packages"),
        ("servings = 16", "servings = 0", "servings"),
        ("servings = 16", "servings = nan", "servings"),
        ("paid = 11.94", "paid = -1", "paid"),
        ("calories = 260", "calroies = 260", "calories"),
        ("hours = 50", 'hours = "50 kg"', "hours"),
    ],
)  # fmt: skip
def test_bad_batches_are_refused_in_a_line(run: Run, demo: Path, old: str, new: str, says: str) -> None:
    batch = demo / "lentil-kits.toml"
    batch.write_text(batch.read_text().replace(old, new, 1))
    ran = deal(run, demo, "--json")
    assert (ran.code, ran.out) == (1, "")
    assert says in ran.err


@pytest.mark.parametrize("gone", ["lentil-kits.toml", "pouches.csv", "machine.toml"])
def test_missing_and_empty_files_are_named(run: Run, demo: Path, gone: str) -> None:
    (demo / gone).write_text("")
    empty = deal(run, demo)
    (demo / gone).unlink()
    missing = deal(run, demo)
    for ran in (empty, missing):
        assert (ran.code, ran.out) == (1, "")
        assert gone in ran.err
