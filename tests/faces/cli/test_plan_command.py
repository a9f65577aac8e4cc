"""`nutricost plan`: contract keys, a plan by brute force, clashes, bad input (invented documents)."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from nutricost.api.plan_offers import BULK_DENSITY
from nutricost.api.planning import plan_file

Run = Callable[..., Any]

POUCHES = """name,price,servings,net_weight,calories,protein_g,sodium_mg,water_to_add,ingredients
Grey Fen oat bowl,10,2,4 oz,300,12,500,1 cup,"oats, water, salt"
Dry Gulch rice bowl,7,2,4 oz,250,6,700,1 cup,"rice, peanuts, salt"
"""

PLAN = """days = 3
pouches = "pouches.csv"
[[people]]
name = "Ann"
energy_kcal_per_day = 2000
"""

BATCH = """title = "Bean pot"
servings = 8
[[ingredients]]
line = "4 cans black beans"
label = "beans"
paid = 4.00
[[ingredients]]
line = "2 lb white rice"
food = "ndb:20044"
paid = 5.00
for = "5 lb"
[labels.beans]
serving_size = "130 g"
servings_per_container = 3.5
calories = 110
protein_g = 7
sodium_mg = 130
[drying]
trays = 4
hours = 42
cost = 4.00
[packing]
bags = 4
bag_price = 0.50
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a plan over two pouches, and a batch that it does not name."""
    (tmp_path / "pouches.csv").write_text(POUCHES)
    (tmp_path / "plan.toml").write_text(PLAN)
    (tmp_path / "beans.toml").write_text(BATCH)
    return tmp_path


def write(folder: Path, text: str) -> Path:
    path = folder / "plan.toml"
    path.write_text(text)
    return path


def fewest_dollars(need_kcal: int) -> int:
    """The cheapest whole pouches of 600 kcal at 10 and 500 kcal at 7, by trying all."""
    return min(
        10 * oats + 7 * rice
        for oats, rice in itertools.product(range(need_kcal // 600 + 2), range(need_kcal // 500 + 2))
        if 600 * oats + 500 * rice >= need_kcal
    )


def test_demo_plan_has_every_key_of_the_contract(run: Run, demo: Path) -> None:
    found = run("plan", demo / "plan.toml", "--json").data
    assert found["feasible"] is True and found["days"] == 14
    assert {"cost", "per_person_day", "cycles", "machine_days", "weight", "water", "binding"} <= set(found)
    assert set(found["per_person_day"]) == {"energy", "protein", "sodium", "cost"}
    for offer in found["offers"]:
        assert {"name", "kind", "servings", "cost", "energy"} <= set(offer)
        assert ("batches" in offer) == (offer["kind"] == "home")
        assert ("pouches" in offer) == (offer["kind"] == "pouch")
    units = {key: found[key]["unit"] for key in ("cost", "cycles", "machine_days", "weight", "water")}
    assert units == {
        "cost": "USD", "cycles": "cycle", "machine_days": "day", "weight": "g", "water": "g",
    }  # fmt: skip
    for one in found["binding"]:
        assert {"limit", "worth"} <= set(one) and one["worth"]["value"] >= 0
    assert found["cost"]["value"] <= 600 and found["per_person_day"]["protein"]["value"] >= 56
    # EER 2023 (doi 10.17226/26818), energy of the plan / person days: woman 38, 66 kg, 168 cm, active:
    # 710.25 - 7.01 x 38 + 6.54 x 168 + 12.34 x 66 = 2357.03; man 41, 80 kg, 180 cm, low active:
    # 581.47 - 10.83 x 41 + 8.30 x 180 + 14.94 x 80 = 2826.64; 1700 given.
    assert found["per_person_day"]["energy"]["value"] == pytest.approx(
        (2357.03 + 2826.64 + 1700) / 3, abs=0.01
    )
    leftovers = next(offer for offer in found["offers"] if offer["name"] == "Leftover beef stew")
    assert leftovers["batches"]["value"] <= 1
    assert any("made of leftovers" in said for said in found["warnings"])


@pytest.mark.parametrize("days", [1, 2, 3, 5])
def test_whole_pouches_at_least_cost_against_trying_all(run: Run, folder: Path, days: int) -> None:
    found = run("plan", write(folder, PLAN.replace("days = 3", f"days = {days}")), "--json").data
    assert found["cost"]["value"] == fewest_dollars(2000 * days)
    whole = [offer["pouches"]["value"] for offer in found["offers"]]
    assert whole == [int(count) for count in whole]
    assert found["per_person_day"]["energy"]["value"] == pytest.approx(2000)
    assert found["cycles"]["value"] == 0
    # One US gallon a person and day (NIST Handbook 44: 3785.41 mL).
    assert found["water"]["value"] == pytest.approx(3785.41 * days, rel=1e-5)
    # A cup (236.588 mL) to each pouch of two servings.
    servings = sum(offer["servings"]["value"] for offer in found["offers"])
    assert found["water_to_pour_back"]["value"] == pytest.approx(236.588 / 2 * servings, rel=1e-4)
    assert sum(line["cost"]["value"] for line in found["shopping"]) == found["cost"]["value"]


def test_a_batch_in_the_plan_by_hand(run: Run, folder: Path) -> None:
    plan = 'batches = ["beans.toml"]\n' + PLAN.replace('pouches = "pouches.csv"\n', "")
    found = run("plan", write(folder, plan), "--json", "--start", "2026-12-01").data
    # A batch: 4 x 3.5 x 110 = 1540 kcal of beans, 907.18474 g rice at 365 kcal/100 g (SR28 20044) = 3311.22;
    # 6000 kcal take two batches. One costs 4 + 2/5 of 5 + 4 for the cycle + 4 bags at 0.50 = 12.
    offer = found["offers"][0]
    assert (offer["batches"]["value"], found["cost"]["value"]) == (2, 24)
    assert offer["servings"]["value"] == pytest.approx(6000 / (1540 + 907.18474 * 3.65) * 8, abs=1e-4)
    assert offer["left_over"]["value"] == pytest.approx(16 - offer["servings"]["value"], abs=1e-5)
    assert found["cycles"]["value"] == 2
    assert found["machine_days"]["value"] == pytest.approx(2 * 42 / 24)
    shopping = {
        line["item"]: (line["packages"]["value"], line["cost"]["value"]) for line in found["shopping"]
    }
    assert shopping["beans"] == (8, 8)
    rice = next(item for item in shopping if item.endswith("5 lb"))
    assert shopping[rice] == (1, 5)  # 4 of 5 lb
    calendar = [(run["batch"], run["day"], run["starts"]) for run in found["calendar"]]
    assert calendar == [("Bean pot", 1, "2026-12-01T08:00"), ("Bean pot", 3, "2026-12-03T02:00")]


def test_food_on_hand_is_eaten_first(run: Run, folder: Path) -> None:
    text = PLAN + '[on_hand]\n"dry gulch rice bowl" = 24\n'
    found = run("plan", write(folder, text), "--json").data
    assert found["cost"]["value"] == 0
    assert found["offers"][0]["from_shelf"]["value"] == 24  # 6000 kcal / 250


def test_who_must_not_eat_peanuts_gets_none(run: Run, folder: Path) -> None:
    text = PLAN + 'excludes = ["peanuts"]\n'
    found = run("plan", write(folder, text), "--json").data
    assert [offer["name"] for offer in found["offers"]] == ["Grey Fen oat bowl"]
    assert found["cost"]["value"] == 100  # 6000 kcal / 600 = 10 pouches at 10
    assert any("not for Ann: peanuts" in said for said in found["warnings"])
    assert any("Read the package" in said for said in found["warnings"])


def test_a_plan_that_clashes_names_what_would_do_and_exits_1(run: Run, folder: Path) -> None:
    path = write(folder, PLAN + "[limits]\nbudget = 50\n")
    ran = run("plan", path, "--json")
    assert ran.code == 1
    assert ran.data["feasible"] is False
    assert ran.data["clash"] == ["energy need", "budget"]
    relaxed = {one["limit"]: one for one in ran.data["relaxations"]}
    assert relaxed["budget"]["to"] == pytest.approx(fewest_dollars(6000), abs=0.01)
    text = run("plan", path)
    assert text.code == 1
    assert "budget: 84.01 USD instead of 50" in text.out or "budget: 84 USD instead of 50" in text.out
    # As printed, the relaxed budget does.
    assert run("plan", write(folder, PLAN + "[limits]\nbudget = 84.01\n")).code == 0


@pytest.mark.parametrize(("least", "pouch", "count"), [("cost", "Dry Gulch", 12), ("weight", "Grey Fen", 10)])
def test_what_is_kept_lowest(run: Run, folder: Path, least: str, pouch: str, count: int) -> None:
    found = run("plan", folder / "plan.toml", "--json", "--least", least).data
    assert [offer["name"].startswith(pouch) for offer in found["offers"]] == [True]
    assert found["offers"][0]["pouches"]["value"] == count


def test_a_limit_on_sodium_holds_only_where_it_is_asked_for(run: Run, folder: Path) -> None:
    free = run("plan", folder / "plan.toml", "--json").data
    assert free["per_person_day"]["sodium"]["value"] == pytest.approx(2000 / 250 * 700)
    bound = run("plan", write(folder, PLAN + "[limits]\nsodium_mg_per_day = 4000\n"), "--json").data
    assert bound["per_person_day"]["sodium"]["value"] <= 4000.001
    assert bound["cost"]["value"] > free["cost"]["value"]
    # One mg saves no whole pouch, but the limit costs something: its worth is that of the linear form.
    (binding,) = bound["binding"]
    assert (binding["limit"], binding["from_linear_form"]) == ("sodium_mg_per_day", True)
    # A mg more a day lets 1 / (5600 - 3333) of 2000 kcal come from rice at 14 instead of oats at 16.67 a
    # thousand; over three days.
    per_mg = 3 * 2000 / (5600 - 10000 / 3) * (10 / 600 - 7 / 500)
    assert binding["worth"]["value"] == pytest.approx(per_mg, rel=1e-3)


def test_packed_volume_is_said_to_be_an_estimate(run: Run, folder: Path) -> None:
    found = run("plan", folder / "plan.toml", "--json").data
    assert any("0.15 to 0.45 g/mL" in said for said in found["warnings"])
    grams = found["weight"]["value"]
    assert found["volume"]["low"] == pytest.approx(grams / float(BULK_DENSITY.high))
    assert found["volume"]["high"] == pytest.approx(grams / float(BULK_DENSITY.low))


def test_text_and_export(run: Run, demo: Path) -> None:
    table = demo / "plan.csv"
    ran = run("plan", demo / "plan.toml", "--export", table)
    assert ran.code == 0 and "Lentil curry with peas" in table.read_text()
    assert f"wrote {table}" in ran.err
    for part in ("Shopping list", "Cycles of the machine", "water to store", "one US gallon"):
        assert part in ran.out


@pytest.mark.parametrize("ending", [".csv", ".xlsx", ".md", ".html", ".pdf"])
def test_export_of_every_kind(run: Run, demo: Path, ending: str) -> None:
    path = demo / f"offers{ending}"
    assert run("plan", demo / "plan.toml", "--export", path, "--json").data["feasible"] is True
    assert path.stat().st_size > 200
    if ending == ".html":
        page = path.read_text()
        assert page.count("<svg") >= 3  # energy for the money, cost split, payback: the plan names a machine


def test_a_smallest_share_that_two_offers_allow(run: Run, folder: Path) -> None:
    ran = run("plan", write(folder, PLAN + "[limits]\nmax_share_per_offer = 0.4\n"))
    assert ran.code == 1
    assert "max_share_per_offer: 0.5" in ran.out and "instead of 0.4" in ran.out


def test_python_gives_the_same_plan(folder: Path) -> None:
    report = plan_file(str(folder / "plan.toml"), start=date(2026, 12, 1))
    assert report.is_feasible
    assert [offer.name for offer in report.comparison.offers] == ["Grey Fen oat bowl", "Dry Gulch rice bowl"]
    assert report.comparison.basis == "1000kcal"


BAD = {
    "not there": ("absent.toml", None, "absent.toml"),
    "empty": ("plan.toml", "", "days: missing"),
    "no toml": ("plan.toml", "days = = 3", "plan.toml"),
    "misspelt key": ("plan.toml", PLAN.replace("days", "dais"), "'days'"),
    "no days": ("plan.toml", PLAN.replace("days = 3", "days = 0"), "above 0"),
    "negative": ("plan.toml", PLAN.replace("days = 3", "days = -3"), "above 0"),
    "not a number": ("plan.toml", PLAN.replace("days = 3", "days = nan"), "days"),
    "wrong unit": ("plan.toml", PLAN + '[limits]\npacked_weight = "3 L"\n', "packed_weight"),
    "budget in euros": ("plan.toml", PLAN + '[limits]\nbudget = "90 EUR"\n', "budget"),
    "plan in euros": (
        "plan.toml", 'currency = "EUR"\nbatches = ["beans.toml"]\n' + PLAN, "in USD, the plan in EUR",
    ),
    "lazy": (
        "plan.toml",
        PLAN.replace(
            "energy_kcal_per_day = 2000",
            'sex = "female"\nage_years = 30\nweight = "60 kg"\nheight = "165 cm"\nactivity = "lazy"',
        ),
        "low active",
    ),
    "a child's equation": (
        "plan.toml",
        PLAN.replace(
            "energy_kcal_per_day = 2000",
            'sex = "female"\nage_years = 9\nweight = "30 kg"\nheight = "135 cm"\nactivity = "active"',
        ),
        "energy_kcal_per_day",
    ),
    "twice": ("plan.toml", 'batches = ["beans.toml", "./beans.toml"]\n' + PLAN, "listed twice"),
    "two of a name": (
        "plan.toml", PLAN + '[[people]]\nname = "ann"\nenergy_kcal_per_day = 1\n', "named twice",
    ),
    "on hand": ("plan.toml", PLAN + '[on_hand]\n"Grey Fen oats bowl" = 2\n', "is 'Grey Fen oat bowl'"),
    "no such batch": ("plan.toml", 'batches = ["gone.toml"]\n' + PLAN, "gone.toml"),
    "no such pouches": ("plan.toml", PLAN.replace("pouches.csv", "gone.csv"), "gone.csv"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_bad_plans_are_refused_in_a_line(run: Run, folder: Path, case: str) -> None:
    name, text, says = BAD[case]
    if text is not None:
        write(folder, text)
    ran = run("plan", folder / name, "--json")
    assert (ran.code, ran.out) == (1, "")
    assert says in ran.err
    assert all(line.startswith("error: ") for line in ran.err.splitlines())


def test_all_problems_of_all_documents_at_once(run: Run, folder: Path) -> None:
    (folder / "beans.toml").write_text(BATCH.replace("servings = 8", "servings = 0"))
    text = 'batches = ["beans.toml"]\nmachine = "none.toml"\n' + PLAN.replace("pouches.csv", "gone.csv")
    ran = run("plan", write(folder, text))
    for part in ("beans.toml: servings", "none.toml", "gone.csv"):
        assert part in ran.err


@pytest.mark.parametrize(
    "options",
    [
        ("--time-limit", "0"), ("--time-limit", "nan"), ("--time-limit", "-5"), ("--gap", "1"),
        ("--gap", "x"), ("--start", "tomorrow"),
    ],
)  # fmt: skip
def test_bad_options_are_refused(run: Run, folder: Path, options: tuple[str, str]) -> None:
    ran = run("plan", folder / "plan.toml", *options)
    assert (ran.code, ran.out) == (1, "")
    assert options[0] in ran.err and "accepted" in ran.err


def test_only_json_on_stdout(shell: Run, folder: Path) -> None:
    ran = shell("plan", folder / "plan.toml", "--json")
    assert ran.code == 0
    assert not math.isnan(ran.data["cost"]["value"])
