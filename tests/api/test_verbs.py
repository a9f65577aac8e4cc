"""The Python verbs: the same figures as the commands, in DataFrames whose columns carry units."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

import nutricost
from nutricost.api.demo import write_demo
from nutricost.errors import InputError
from nutricost.faces.cli import app


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    write_demo(folder)
    return folder


def test_every_verb_of_the_contract_is_there() -> None:
    for name in nutricost.__all__:
        assert getattr(nutricost, name) is not None
    with pytest.raises(AttributeError):
        nutricost.no_such_verb  # noqa: B018


def test_compare_gives_the_figures_of_the_command(demo: Path) -> None:
    batch, pouches = (
        nutricost.read_batch(demo / "lentil-kits.toml"),
        nutricost.read_pouches(demo / "pouches.csv"),
    )
    table = nutricost.compare(batch, pouches, basis="100kcal")
    ran = CliRunner().invoke(
        app,
        [
            "compare",
            str(demo / "lentil-kits.toml"),
            "--pouches",
            str(demo / "pouches.csv"),
            "--basis",
            "100kcal",
            "--json",
        ],
    )
    told = json.loads(ran.stdout)
    assert list(table["name"]) == [offer["name"] for offer in told["offers"]]
    column = (
        "kcal_per_usd [kcal/USD]"
        if "kcal_per_usd [kcal/USD]" in table
        else next(name for name in table.columns if "kcal/USD" in name)
    )
    expected = [offer["measures"]["kcal_per_usd"]["value"] for offer in told["offers"]]
    assert list(table[column]) == pytest.approx(expected, rel=1e-9)
    assert table.attrs["statements"] == told["statements"]


def test_bags_and_pouches_share_their_columns(demo: Path) -> None:
    batch, pouches = (
        nutricost.read_batch(demo / "lentil-kits.toml"),
        nutricost.read_pouches(demo / "pouches.csv"),
    )
    table = nutricost.compare([batch], pouches, basis="pouch")
    costs = [name for name in table.columns if name.startswith("cost [")]
    assert len(costs) == 1
    assert table[costs[0]].notna().all()


def test_lines_may_be_one_text(demo: Path) -> None:
    table = nutricost.match_lines("2 lb boneless chicken breast\n\n1 cup glimzorp\n", "sr28")
    assert list(table["line"]) == ["2 lb boneless chicken breast", "1 cup glimzorp"]
    assert table["grams [g]"][0] == pytest.approx(907.18474)
    assert pd.isna(nutricost.match_lines(["salt to taste"])["grams [g]"][0])
    assert len(nutricost.find_foods("sweet corn", "sr28", limit=3)) == 3


def test_decisions_from_documents(demo: Path) -> None:
    batch, pouches = (
        nutricost.read_batch(demo / "lentil-kits.toml"),
        nutricost.read_pouches(demo / "pouches.csv"),
    )
    machine = nutricost.read_machine(demo / "machine.toml")
    paid = nutricost.payback(batch, pouches, machine)
    assert len(paid) == len(pouches)
    assert (paid["batches_to_break_even [batch]"] > 0).all()
    # Was: an UnboundLocalError.
    with pytest.raises(InputError, match="accepted: kcal, serving, protein"):
        nutricost.payback(batch, pouches, machine, equal="calories")  # type: ignore[arg-type]
    assert nutricost.deal(batch, pouches, machine, space="6 kg").packages_per_load.value is not None
    ranked = nutricost.rank("calories per dollar", batch, pouches)
    assert ranked["value [kcal/USD]"].is_monotonic_decreasing
    tree = nutricost.trace(nutricost.recipe_card(batch), "per_serving.cost")
    # Was: a batch, as the other verbs take it, ended in an AttributeError, and no measure had a path.
    assert nutricost.trace(batch, "per_serving.cost")["figure"].value == tree["figure"].value
    ratio = nutricost.trace(batch, "offers[1].measures.kcal_per_usd", pouches)
    table = nutricost.compare(batch, pouches)
    assert float(ratio["figure"].value) == pytest.approx(table["energy per USD [kcal/USD]"][1])
    assert set(tree) >= {"name", "figure", "formula", "source", "parts"}
    assert nutricost.plan(nutricost.read_plan(demo / "plan.toml")).view()["feasible"] is True
