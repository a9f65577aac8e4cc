"""`nutricost payback`: the demo recomputed by hand, present value, never, pictures, bad input (invented)."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy_financial
import pytest

Run = Callable[..., Any]

# The demo's lentil batch: 6 kits of 520 kcal and 2 lb (907.18474 g) of peas at 77 kcal/100 g (SR28 11312),
# of which 3.6 kg of 3.9 kg were dried.
DRIED = 3600 / 3900
ENERGY = (6 * 520 + 907.18474 * 0.77) * DRIED
# 11.94 for the kits and 2/5 of 6.45; 29 kWh at 0.17; 8 bags at 0.55 with an absorber at 0.12; pump oil.
COST = (11.94 + 2.58) * DRIED + 29 * 0.17 + 8 * (0.55 + 0.12) + 0.80
OUTLAY = 2495 + 60 + 120
# Against the lentil dal: 10.50 for 2 servings of 290 kcal.
SAVING = 10.50 * ENERGY / 580 - COST
AGAINST = ("--against", "heron creek lentil dal")


def payback(run: Run, demo: Path, *options: str) -> Any:
    documents = ("--pouches", demo / "pouches.csv", "--machine", demo / "machine.toml")
    return run("payback", demo / "lentil-kits.toml", *documents, *options)


def test_demo_by_hand(run: Run, demo: Path) -> None:
    (found,) = payback(run, demo, *AGAINST, "--json").data
    assert found["outlay"]["value"] == OUTLAY == 2675
    assert found["batch_cost"]["value"] == pytest.approx(COST, abs=0.005)  # coins: the peas' share
    assert found["saving_per_batch"]["value"] == pytest.approx(SAVING, abs=0.005)
    assert found["batches_to_break_even"]["value"] == math.ceil(OUTLAY / SAVING) == 69
    assert found["months_to_break_even"]["value"] == pytest.approx(69 / 7)
    assert (found["against"], found["equal"]) == ("Heron Creek lentil dal", "kcal")
    # The machine's share stands apart: outlay over 7 batches a month for 10 years.
    assert found["machine_share_per_cycle"]["value"] == pytest.approx(OUTLAY / (7 * 120))


@pytest.mark.parametrize(
    ("equal", "share"),
    # 16 servings against 2; protein: 6 kits of 2 x 13 g, peas at 5.21 g/100 g (SR28 11312) against 2 x 14 g.
    [("serving", 16 / 2), ("protein", (6 * 26 + 907.18474 * 0.0522) * DRIED / 28)],
)
def test_on_equal_servings_or_protein(run: Run, demo: Path, equal: str, share: float) -> None:
    (found,) = payback(run, demo, *AGAINST, "--equal", equal, "--json").data
    assert found["equal"] == equal
    assert found["saving_per_batch"]["value"] == pytest.approx(10.50 * share - COST, rel=2e-3)


def test_each_pouch_in_turn_with_the_contracts_keys(run: Run, demo: Path) -> None:
    found = payback(run, demo, "--json").data
    assert len(found) == 3
    for one in found:
        for key in ("outlay", "saving_per_batch", "batches_to_break_even", "months_to_break_even"):
            assert {"value", "low", "high", "unit"} <= set(one[key])
        assert {"against", "equal"} <= set(one)


def test_present_value_against_numpy_financial(run: Run, demo: Path) -> None:
    (found,) = payback(run, demo, *AGAINST, "--rate", "0.05", "--years", "8", "--json").data
    yearly = found["saving_per_batch"]["value"] * 7 * 12
    flows = [-OUTLAY, *[yearly] * 8]
    assert found["net_present_value"]["value"] == pytest.approx(numpy_financial.npv(0.05, flows))
    flows[-1] += 1200  # the demo's resale value
    assert found["net_present_value_if_sold"]["value"] == pytest.approx(numpy_financial.npv(0.05, flows))
    years = numpy_financial.nper(0.05, yearly, -OUTLAY)
    assert found["discounted_payback"]["value"] == pytest.approx(float(years))
    left = OUTLAY - 1200 / 1.05**8
    assert found["batches_to_break_even_if_sold"]["value"] == math.ceil(left / SAVING)


def test_without_a_rate_no_present_value(run: Run, demo: Path) -> None:
    (found,) = payback(run, demo, *AGAINST, "--json").data
    assert found["rate"] is None and found["net_present_value"] is None and found["years"] == 10


def test_never_with_the_reason(run: Run, demo: Path) -> None:
    pouches = demo / "pouches.csv"
    pouches.write_text(pouches.read_text().replace("10.50", "2.50"))
    (found,) = payback(run, demo, *AGAINST, "--rate", "0.05", "--json").data
    assert found["batches_to_break_even"]["value"] is None
    assert found["batches_to_break_even"]["why"].startswith("never: a batch costs")
    assert found["months_to_break_even"]["value"] is None
    assert found["discounted_payback"]["why"].startswith("never")
    text = payback(run, demo, *AGAINST).out
    assert "never: a batch costs" in text and "not known" in text


def test_a_saving_that_may_be_nothing_has_no_upper_end(run: Run, demo: Path) -> None:
    # At 4.10 the dal's energy, as its label allows, makes the saving about nothing.
    pouches = demo / "pouches.csv"
    pouches.write_text(pouches.read_text().replace("10.50", "4.10"))
    (found,) = payback(run, demo, *AGAINST, "--json").data
    assert found["saving_per_batch"]["low"] < 0 < found["saving_per_batch"]["value"]
    assert found["batches_to_break_even"]["high"] is None
    assert "no limit" in payback(run, demo, *AGAINST).out


def test_several_batches_are_averaged(run: Run, demo: Path) -> None:
    documents = ("--pouches", demo / "pouches.csv", "--machine", demo / "machine.toml", *AGAINST, "--json")
    names = ("lentil-kits.toml", "chicken-rice.toml")
    both = run("payback", *(demo / name for name in names), *documents).data[0]["saving_per_batch"]["value"]
    each = [run("payback", demo / name, *documents).data[0]["saving_per_batch"]["value"] for name in names]
    assert both == pytest.approx(sum(each) / 2)


def test_text_says_what_the_saving_is_worth(run: Run, demo: Path) -> None:
    out = payback(run, demo, *AGAINST, "--rate", "0.05").out
    assert "only for pouches that would really have been" in " ".join(out.split())
    for part in ("net present value at 0.05", "20 % lower", "pouch price", "if sold then"):
        assert part in out


@pytest.mark.parametrize(("ending", "starts"), [("svg", b"<?xml"), ("png", b"\x89PNG")])
def test_picture(run: Run, demo: Path, ending: str, starts: bytes) -> None:
    path = demo / f"cash.{ending}"
    assert payback(run, demo, "--picture", str(path)).code == 0
    assert path.read_bytes().startswith(starts)
    refused = payback(run, demo, "--picture", str(demo / "cash.bmp"))
    assert refused.code == 1 and ".svg" in refused.err


MACHINES = {
    "no price": ("price = 2495\n", "", "price: missing"),
    "negative": ("price = 2495", "price = -1", "too small"),
    "not a number": ("price = 2495", "price = nan", "price"),
    "misspelt": ("oil_per_cycle", "oil_per_cycel", "oil_per_cycle"),
    "wrong unit": ('"30 kWh"', '"30 kg"', "energy_per_cycle"),
    "no hours": ('"54 h"', '"0 h"', "cycle_hours"),
    "other money": ("price = 2495", 'currency = "EUR"\nprice = 2495', "EUR"),
}


@pytest.mark.parametrize("case", MACHINES)
def test_bad_machines_are_refused_in_a_line(run: Run, demo: Path, case: str) -> None:
    old, new, says = MACHINES[case]
    machine = demo / "machine.toml"
    machine.write_text(machine.read_text().replace(old, new))
    ran = payback(run, demo, "--json")
    assert (ran.code, ran.out) == (1, "")
    assert says in ran.err


@pytest.mark.parametrize(
    "options",
    [
        ("--rate", "5"), ("--rate", "-0.1"), ("--rate", "nan"), ("--years", "0"), ("--years", "1e6"),
        ("--against", "no such pouch"),
    ],
)  # fmt: skip
def test_bad_options_are_refused(run: Run, demo: Path, options: tuple[str, str]) -> None:
    ran = payback(run, demo, *options)
    assert (ran.code, ran.out) == (1, "")
    assert "accepted" in ran.err


@pytest.mark.parametrize("gone", ["lentil-kits.toml", "pouches.csv", "machine.toml"])
def test_missing_and_empty_files_are_named(run: Run, demo: Path, gone: str) -> None:
    (demo / gone).write_text("")
    empty = payback(run, demo)
    (demo / gone).unlink()
    missing = payback(run, demo)
    for ran in (empty, missing):
        assert (ran.code, ran.out) == (1, "")
        assert gone in ran.err
