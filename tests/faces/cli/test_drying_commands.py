"""drying, log, share, again and the drying part of card, through the command line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

POT = """
title = "{title}"
servings = 10
[[ingredients]]
line = "2000 g raw shallots"
food = "ndb:11677"
paid = 10.00
[drying]
{drying}
"""
"""Invented. USDA SR28, NDB 11677, Shallots, raw: 79.80 g water in 100 g, so 404 g solids in 2000 g."""

WEIGHED = 'trays = 4\nwet_weight = "2000 g"\n'


@pytest.fixture
def pot(tmp_path: Path) -> Callable[..., Path]:
    """Writes a batch with this [drying] table."""

    def write(drying: str, title: str = "Invented pot", name: str = "pot.toml") -> Path:
        path = tmp_path / name
        path.write_text(POT.format(title=title, drying=drying), encoding="utf-8")
        return path

    return write


def weighings(*pairs: tuple[str, str]) -> str:
    items = ", ".join(f'{{hours = {hours}, weight = "{weight}"}}' for hours, weight in pairs)
    return f"weighings = [{items}]"


# -- drying: is it dry ---------------------------------------------------------------------------


def test_dry_by_a_fine_scale(run: Run, pot: Callable[..., Path]) -> None:
    """0.24 % lost in 2 h on a scale with a step of 0.1 g: dry (rule of the trade: under 0.5 %)."""
    report = run("drying", pot(WEIGHED + weighings(("40", "416.0 g"), ("42", "415.0 g"))), "--json").data
    assert report["state"] == "dry"
    # By hand: (415 - 404) / 415 = 2.65 %, half a step of 0.05 g either way.
    assert report["residual_moisture"]["value"] == pytest.approx(11 / 415, abs=1e-6)
    assert report["residual_moisture"]["low"] == pytest.approx(1 - 404 / 414.95, abs=1e-6)
    assert report["water_left"]["value"] == pytest.approx(11, abs=1e-6)
    assert report["scale_step"] == {"value": 0.1, "low": 0.1, "high": 0.1, "unit": "g"}
    assert report["if_packed_now"]["state"] == "below"


def test_the_last_digit_typed_is_the_step_of_the_scale(run: Run, pot: Callable[..., Path]) -> None:
    """'0.42 kg' tells of a step of 10 g, 2.4 % of the weight: such a scale can't tell."""
    path = pot(WEIGHED + weighings(("40", "0.42 kg"), ("42", "0.42 kg")))
    report = run("drying", path, "--json").data
    assert report["state"] == "can't tell"
    assert report["scale_step"]["value"] == 10
    text = run("drying", path).out
    assert "Step of the scale: 10.0 g (last digit of the weighings as typed)" in text
    given = run("drying", path, "--json", "--set", 'drying.scale_step="0.1 g"').data
    assert given["state"] == "dry" and given["scale_step"]["value"] == 0.1


def test_not_yet_says_for_how_long(run: Run, pot: Callable[..., Path]) -> None:
    report = run("drying", pot(WEIGHED + weighings(("40", "520 g"), ("42", "500 g"))), "--json").data
    assert report["state"] == "not yet" and report["hours_are"] == "at least"
    assert report["further_hours"]["value"] >= 2
    # (500 - 404) / 500 = 19 % would be water, above about 10 %.
    assert report["if_packed_now"]["state"] == "above"
    assert report["if_packed_now"]["limit"] == 0.1


def test_rising_weights_are_warned_of_with_both(run: Run, pot: Callable[..., Path]) -> None:
    path = pot(WEIGHED + weighings(("40", "430 g"), ("42", "432 g")))
    ran = run("drying", path, "--json")
    assert ran.code == 0 and ran.data["state"] == "can't tell"
    assert any("432 g is more than 430 g" in text for text in ran.data["warnings"])
    assert any("432 g is more than 430 g" in text for text in run("card", path, "--json").data["warnings"])


@pytest.mark.parametrize(
    ("drying", "figures"),
    [
        (WEIGHED + weighings(("42", "430 g"), ("40", "428 g")), ("40", "42")),
        (WEIGHED + weighings(("40", "430 g"), ("42", "380 g")), ("380", "404")),
        (WEIGHED, ("drying.weighings", "missing")),
    ],
    ids=["hours out of order", "lighter than its solids", "no weighings"],
)
def test_weighings_that_cannot_be(
    run: Run, pot: Callable[..., Path], drying: str, figures: tuple[str, str]
) -> None:
    ran = run("drying", pot(drying))
    assert ran.code == 1 and ran.out == ""
    assert all(figure in ran.err for figure in figures)


# -- card: what cannot be -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("drying", "figures"),
    [
        ('wet_weight = "2000 g"\ndry_weight = "2100 g"', ("2100", "2000")),
        ('trays = 2\nwet_weight = ["1000 g", "1000 g"]\ndry_weight = ["150 g", "1001 g"]', ("1001", "1000")),
        ('wet_weight = "2000 g"\ndry_weight = "380 g"', ("380", "404")),
        ('trays = 4\nwet_weight = ["1 kg", "1 kg", "1 kg", "1 kg", "1 kg"]', ("5 weights", "4 trays")),
        ("residual_moisture = 1", ("residual_moisture", "1")),
    ],
    ids=["dry heavier", "one tray dry heavier", "dry lighter than solids", "five for four", "moisture of 1"],
)
def test_weights_that_cannot_be(
    run: Run, pot: Callable[..., Path], drying: str, figures: tuple[str, str]
) -> None:
    ran = run("card", pot(drying), "--json")
    assert ran.code == 1 and ran.out == ""
    assert all(figure in ran.err for figure in figures)


def test_card_shows_packing_and_fuel(run: Run, demo: Path) -> None:
    ran = run("card", demo / "lentil-kits.toml", "--gas-per-litre", "12 g")
    for text in ("Packing", "each of 8", "Keeping:", "g of gas by your figure", "Adding water"):
        assert text in " ".join(ran.out.split())
    view = run("card", demo / "lentil-kits.toml", "--json").data
    assert {"packing", "advice", "reheating", "rehydration", "boiling"} <= set(view)
    assert {"trays", "freezing_duty", "energy_ratio", "energy_per_kg_water"} <= set(view["drying"])
    assert view["lines"][0]["solids"]["unit"] == "g"
    refused = run("card", demo / "lentil-kits.toml", "--gas-per-litre", "12 mL")
    assert refused.code == 1 and "12 mL" in refused.err


# -- log, share, again ------------------------------------------------------------------------------


def test_log_of_three_cycles_forecasts(run: Run, pot: Callable[..., Path], demo: Path) -> None:
    runs = ((410, "40", 20), (420, "39", 19.5), (430, "38.5", 19.2))
    paths = []
    for dry, hours, kwh in runs:
        drying = f'{WEIGHED}dry_weight = "{dry} g"\nhours = {hours}\nenergy = "{kwh} kWh"'
        paths.append(pot(drying, f"Pot {hours}", f"{hours}.toml"))
    asked = ("log", *paths, "--machine", demo / "machine.toml", "--load", "2 kg", "--trays", 4)
    log = run(*asked, "--json").data
    assert [each["batches"] for each in log["cycles"]] == [["Pot 40"], ["Pot 39"], ["Pot 38.5"]]
    assert log["cycles"][0]["water_per_tray"] == {
        "value": 397.5,
        "low": 397.5,
        "high": 397.5,
        "unit": "g/tray",
    }
    hours = log["forecast"]["hours"]
    assert hours["low"] < hours["value"] < hours["high"] and hours["unit"] == "h"
    assert log["fit"]["hours"]["cycles"] == 3
    assert log["cycles_per_week"]["value"] > 3
    text = run(*asked).out
    assert "A load of 2000 g on 4 trays" in text and "Cycles a week" in text


def test_log_wants_a_load_for_its_trays(run: Run, demo: Path) -> None:
    assert run("log", demo / "lentil-kits.toml", "--trays", 4).code == 2
    refused = run("log", demo / "lentil-kits.toml", "--load", "two pots", "--trays", 4)
    assert refused.code == 1 and "two pots" in refused.err
    assert run("log").code == 2


def test_share_of_the_demo_cycle(run: Run, demo: Path) -> None:
    both = (demo / "chicken-rice.toml", demo / "leftover-stew.toml")
    shares = run("share", *both, "--json").data["shares"]
    # 3 and 2 of 5 trays; the cycle cost 3.80 to 4.60 USD and ran for 48 h.
    assert [share["cost"]["value"] for share in shares] == [2.52, 1.68]
    assert [share["hours"]["value"] for share in shares] == [28.8, 19.2]
    assert [share["cost"]["low"] for share in shares] == [2.28, 1.52]
    water = run("share", *both, "--by", "water", "--json").data["shares"]
    assert sum(share["cost"]["value"] for share in water) == pytest.approx(4.20, abs=1e-9)
    assert "the cycle" in run("share", *both).out


def test_again_writes_a_batch_that_can_be_read(run: Run, demo: Path, tmp_path: Path) -> None:
    new = tmp_path / "seven.toml"
    ran = run("again", demo / "lentil-kits.toml", "--packages", 7, "--write", new, "--json")
    assert ran.code == 0 and "wrote" in ran.err
    assert ran.data["lines"][0]["line"] == "7 kits lentil curry"
    assert ran.data["load"]["weight_dry"]["low"] < ran.data["load"]["weight_dry"]["value"]
    card = run("card", new, "--json").data
    assert card["per_batch"]["cost"]["value"] == pytest.approx(ran.data["costs"]["total"]["value"], abs=0.03)
    again = run("again", demo / "lentil-kits.toml", "--packages", 7, "--write", new)
    assert again.code == 1 and "is there already" in again.err


def test_again_wants_one_size(run: Run, demo: Path) -> None:
    path = demo / "lentil-kits.toml"
    assert run("again", path).code == 2
    assert run("again", path, "--trays", 2, "--servings", 3).code == 2
    assert run("again", path, "--trays", 0).code == 2
    assert run("again", path, "--trays", 2, "--of", "curry").code == 2
    text = run("again", path, "--servings", 32).out
    assert "2.000 times the past batch" in text and "12 kits lentil curry" in text


@pytest.mark.parametrize("command", ["drying", "log", "share", "again", "card"])
def test_help_has_an_example(run: Run, command: str) -> None:
    ran = run(command, "--help")
    assert ran.code == 0 and f"nutricost {command} " in ran.out and "--json" in ran.out
