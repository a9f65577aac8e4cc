"""Documents on which the engine once gave a wrong figure, each with what went wrong (all invented)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]
Write = Callable[[str], Path]

PEAS = '[[ingredients]]\nline = "2 lb frozen green peas"\npaid = 4.00\n'
COMMA = "name,price,servings,net_weight,calories,protein_g\n"


@pytest.fixture
def batch(tmp_path: Path) -> Write:
    """Writes a batch of four servings around what the case is about."""

    def write(rest: str) -> Path:
        path = tmp_path / "batch.toml"
        path.write_text(f'title = "A batch"\nservings = 4\n{rest}', encoding="utf-8")
        return path

    return write


def test_a_shared_cycle_without_trays_was_charged_whole(run: Run, batch: Write) -> None:
    rest = "[drying]\ncycle_trays = 5\ncost = [3.50, 5.00]\nhours = 48\n"
    path = batch(PEAS + rest)
    costs = run("card", path, "--json").data["costs"]
    assert costs["energy"]["value"] is None
    assert "drying.trays" in costs["energy"]["why"]
    assert costs["total"]["known"]["value"] == 4
    for command in (("compare",), ("rank", "calories per machine hour"), ("again", "--servings", "8")):
        assert run(*command, path).code == 0


def test_weights_tray_by_tray_count_the_trays_of_a_shared_cycle(run: Run, batch: Write) -> None:
    rest = '[drying]\ncycle_trays = 5\nwet_weight = ["300 g", "300 g", "290 g"]\ncost = [3.50, 5.00]\n'
    energy = run("card", batch(PEAS + rest), "--json").data["costs"]["energy"]
    assert (energy["low"], energy["value"], energy["high"]) == pytest.approx((2.10, 2.55, 3.00))


@pytest.mark.parametrize(
    "line",
    [
        'line = "2 lb hard candy"\nfood = "ndb:19107"',  # 1.3 % water (SR28 19107), less than is assumed left
        'line = "2 tbsp olive oil"',  # no water at all (SR28 04053)
    ],
)
def test_food_drier_than_the_moisture_assumed_gained_weight(run: Run, batch: Write, line: str) -> None:
    card = run("card", batch(f"[[ingredients]]\n{line}\npaid = 3\n"), "--json").data
    batch_figures, drying = card["per_batch"], card["drying"]
    assert batch_figures["weight_dry"]["value"] == pytest.approx(batch_figures["weight_wet"]["value"])
    assert batch_figures["water_to_add"]["value"] == batch_figures["water_to_add"]["low"] == 0
    assert drying["minimum_energy"]["value"] == drying["minimum_energy"]["low"] == 0
    assert drying["residual_moisture"]["value"] <= 0.0131


def test_a_moisture_that_the_food_cannot_have_is_still_refused(run: Run, batch: Write) -> None:
    oil = '[[ingredients]]\nline = "2 tbsp olive oil"\n[drying]\nresidual_moisture = 0.05\n'
    ran = run("card", batch(oil))
    assert ran.code == 1 and "above the wet weight" in ran.err


def test_a_range_of_dry_food_does_not_lose_more_than_it_weighs(run: Run, batch: Write) -> None:
    candy = '[[ingredients]]\nline = "2-3 lb hard candy"\nfood = "ndb:19107"\n'
    card = run("card", batch(candy), "--json").data
    dry, wet = card["per_batch"]["weight_dry"], card["per_batch"]["weight_wet"]
    # 2 and 3 lb with at least 97.96 % solids (water 1.30 g, standard error 0.24) and no water lost or all.
    assert wet["low"] * 0.97 < dry["low"] < wet["low"]
    assert dry["high"] == pytest.approx(wet["high"])


def test_more_fat_poured_off_than_there_was_gave_negative_energy(run: Run, batch: Write) -> None:
    ran = run("card", batch(PEAS + '[[ingredients]]\nline = "-100 g pork drippings"\npaid = 0\n'))
    assert ran.code == 1
    assert "more energy is poured off than the lines hold" in ran.err


def test_fat_poured_off_without_a_price_made_all_money_unknown(run: Run, batch: Write) -> None:
    butter = '[[ingredients]]\nline = "200 g butter"\npaid = 2\n'
    dripping = '[[ingredients]]\nline = "-20 g butter"\n'
    whole, less = (run("card", batch(PEAS + butter + rest), "--json").data for rest in ("", dripping))
    # Pouring off buys nothing: the money stays, the fat of 20 g goes (SR28 row 01001: 81.11 g in 100 g).
    assert less["costs"]["ingredients"] == whole["costs"]["ingredients"]
    fat = [card["per_batch"]["fat"]["value"] for card in (whole, less)]
    assert fat[0] - fat[1] == pytest.approx(20 * 0.8111, rel=1e-6)
    assert less["lines"][-1]["cost"]["value"] == 0


def test_absorbers_without_a_price_were_free(run: Run, batch: Write) -> None:
    rest = "[packing]\nbags = 4\nbag_price = 0.50\nabsorbers = {}\n"
    card = run("card", batch(PEAS + rest.format(8)), "--json").data
    packing = card["costs"]["packing"]
    assert packing["value"] is None and packing["why"] == "packing.absorber_price is not given"
    assert packing["known"]["value"] == 2
    assert not any("absorber" in said for said in card["assumptions"])
    none = run("card", batch(PEAS + rest.format(0)), "--json").data
    assert none["costs"]["packing"]["value"] == 2


def shares(run: Run, path: Path) -> dict[str, Any]:
    share: dict[str, Any] = run("card", path, "--json").data["lines"][0]["share_of_purchase"]
    return share


def test_counted_fruit_was_charged_without_its_peel(run: Run, batch: Write) -> None:
    """SR28 09040, raw bananas: 36 % refuse, so 300 g eaten are 468.75 g of the 2 lb that were weighed."""
    line = '[[ingredients]]\nline = "3 bananas"\ngrams = 300\npaid = 2.40\nfor = "{}"\n'
    assert shares(run, batch(line.format("2 lb")))["value"] == pytest.approx(300 / 0.64 / 907.18474)
    assert shares(run, batch(line.format("6 bananas")))["value"] == 0.5
    # A pound is less than the usual weight with peel: all of it was used.
    assert shares(run, batch(line.format("1 lb")))["value"] == 1
    assert run("card", batch(line.format("0.5 lb"))).code == 1


def test_a_stated_or_trimmed_weight_is_compared_as_it_stands(run: Run, batch: Write) -> None:
    for line, share in (("4 lb whole chicken", 0.8), ("2 lb bananas", 0.4), ("1.5 lb peeled bananas", 0.3)):
        path = batch(f'[[ingredients]]\nline = "{line}"\npaid = 5\nfor = "5 lb"\n')
        assert shares(run, path)["value"] == pytest.approx(share)
    peeled = '[[ingredients]]\nline = "3 peeled bananas"\ngrams = 300\npaid = 5\nfor = "5 lb"\n'
    assert shares(run, batch(peeled))["value"] == pytest.approx(300 / 2267.96185)


@pytest.mark.parametrize(
    ("line", "bought", "share"),
    [
        ("1 lb rice", "2 bags (5 lb)", 0.1),
        ("1 lb rice", "2 x 5 lb", 0.1),
        ("30 oz black beans", "12 (15 oz) cans", 1 / 6),
        ("2 cans black beans", "12 (15 oz) cans", 1 / 6),
        ("2 bags (5 lb) rice", "4 bags (5 lb)", 0.5),
    ],
)
def test_packages_of_a_stated_size_were_no_purchase(
    run: Run, batch: Write, line: str, bought: str, share: float
) -> None:
    path = batch(f'[[ingredients]]\nline = "{line}"\npaid = 6\nfor = "{bought}"\n')
    assert shares(run, path)["value"] == pytest.approx(share)


def test_little_for_a_small_coin_was_shown_as_nothing(run: Run, tmp_path: Path, batch: Write) -> None:
    pouches = tmp_path / "pouches.csv"
    pouches.write_text(COMMA + "A,1200,2,4 oz,300,10\n")
    path = tmp_path / "yen.toml"
    path.write_text('title = "Yen"\nservings = 4\ncurrency = "JPY"\n' + PEAS.replace("4.00", "400"))
    # 20 g of protein for 1200 JPY: 0.0167 g for one.
    assert "0.0167" in run("compare", path, "--pouches", pouches).out


def test_why_names_what_is_zero_and_says_it_once(run: Run, tmp_path: Path, batch: Write) -> None:
    pouches = tmp_path / "pouches.csv"
    pouches.write_text(COMMA + "A,10,2,4 oz,0,0\n")
    path = batch(PEAS)
    table = run("compare", path, "--pouches", pouches, "--basis", "100kcal", "--json").data
    assert table["offers"][1]["servings"]["why"] == "energy of a serving is zero"
    two = batch('[[ingredients]]\nline = "2 blorps of zyxxy"\npaid = 1\n')
    reasons = run("card", two, "--json").data["per_batch"]["water_to_add"]["why"].split("; ")
    assert len(reasons) == len(set(reasons))


def test_the_markdown_was_unknown_where_only_the_electricity_was(
    run: Run, tmp_path: Path, batch: Write
) -> None:
    path = batch(PEAS + "normal = 9.98\n")
    costs = run("card", path, "--json").data["costs"]
    assert costs["usual_total"]["value"] is None
    assert costs["saved_by_markdown"]["value"] == pytest.approx(5.98)
    # The machine tells the electricity, so a payback varies the markdown too.
    pouches, machine = tmp_path / "pouches.csv", tmp_path / "machine.toml"
    pouches.write_text(COMMA + "A,10,2,4 oz,300,10\n")
    machine.write_text('price = 2000\nenergy_per_cycle = "1 kWh"\nprice_per_kwh = 0.10\n')
    [found] = run("payback", path, "--pouches", pouches, "--machine", machine, "--json").data
    [row] = [row for row in found["sensitivity"] if row["input"] == "markdown"]
    assert found["saving_per_batch"]["value"] is not None and row
