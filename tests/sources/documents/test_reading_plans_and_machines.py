"""Reading machines and plans. All names and prices are invented."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.errors import DocumentError
from nutricost.sources.documents.machine import read_machine
from nutricost.sources.documents.plan import read_height, read_plan

MACHINE = """
price = 2500
accessories = 150
batches_per_month = 4
trays = 5
tray_capacity = "1.4 kg"
cycle_hours = [30, 40]
turnaround_hours = 4
energy_per_cycle = "31 kWh"
price_per_kwh = "0.17 USD/kWh"
oil_per_cycle = 0.8
resale_value = 900
resale_after_years = 5
discount_rate = 0.04
"""

PLAN = """
days = 5
batches = ["chili.toml"]
pouches = "pouches.csv"
machine = "dryer.toml"

[[people]]
name = "A"
energy_kcal_per_day = 2400
excludes = ["milk"]

[[people]]
name = "B"
sex = "female"
age_years = 34
weight = "65 kg"
height = "170 cm"
activity = "low active"

[limits]
budget = 120
sodium_mg_per_day = 2300
protein_g_per_day = 60
max_share_per_offer = 0.4
packed_weight = "6 kg"
packed_volume = "20 L"
cycles = 3
machine_days = 9
min_offers = 3

[on_hand]
"Chili" = 6
"""


def test_a_machine() -> None:
    machine = read_machine((MACHINE, "dryer.toml"))
    assert machine.price.value == 2500
    assert [amount.value for amount in machine.accessories.values()] == [150]
    assert machine.cycle_hours is not None
    assert (machine.cycle_hours.low, machine.cycle_hours.high) == (Decimal(30), Decimal(40))
    assert machine.tray_capacity is not None
    assert (machine.tray_capacity.value, machine.tray_capacity.unit) == (Decimal(1400), "g")
    assert machine.price_per_kwh is not None
    assert (machine.price_per_kwh.value, machine.price_per_kwh.unit) == (Decimal("0.17"), "USD/kWh")
    assert (machine.resale_after_years, machine.discount_rate) == (Decimal(5), Decimal("0.04"))
    named = read_machine(("price = 1\n[accessories]\npump = 10\ntrays = [20, 30]", "dryer.toml")).accessories
    assert {name: amount.value for name, amount in named.items()} == {"pump": 10, "trays": 25}
    assert read_machine(("price = 1", "dryer.toml")).accessories == {}


def test_a_plan(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(PLAN)
    plan = read_plan(path)
    assert plan.days == 5
    first, second = plan.people
    assert (first.energy_kcal_per_day, first.excludes) == (Decimal(2400), ("milk",))
    assert (second.sex, second.age_years, second.weight_kg, second.height_cm) == (
        "female",
        Decimal(34),
        Decimal(65),
        Decimal(170),
    )
    assert second.activity == "low active"
    assert plan.limits.budget is not None
    assert (plan.limits.budget.value, plan.limits.packed_weight_g, plan.limits.packed_volume_ml) == (
        Decimal(120),
        Decimal(6000),
        Decimal(20_000),
    )
    assert (plan.limits.cycles, plan.limits.machine_days, plan.limits.min_offers) == (
        Decimal(3),
        Decimal(9),
        3,
    )
    assert plan.on_hand == {"Chili": 6}
    assert plan.batch_files == (str(tmp_path / "chili.toml"),)
    assert plan.pouches_file == str(tmp_path / "pouches.csv")
    assert read_plan((PLAN, "plan.toml")).batch_files == ("chili.toml",)


def test_heights() -> None:
    # NIST Handbook 44, appendix C: an inch is 2.54 cm, a foot 12 inches
    assert read_height("170 cm") == 170
    assert read_height("67 in") == read_height("5 ft 7 in") == Decimal("170.18")


@pytest.mark.parametrize(
    ("read", "text", "expected"),
    [
        pytest.param(read_machine, "", ["price: missing"], id="empty machine"),
        pytest.param(
            read_machine,
            MACHINE + "tray = 3",
            ["tray: unknown key; the nearest known key is 'trays'"],
            id="k",
        ),
        pytest.param(read_machine, "price = nan", ["price: NaN is not a finite number"], id="price NaN"),
        pytest.param(read_machine, 'price = "2 EUR"', ["price: '2 EUR' is in EUR"], id="currency"),
        pytest.param(
            read_machine, "price = 1\ndiscount_rate = 4", ["discount_rate: 4 is too large"], id="percent"
        ),
        pytest.param(
            read_machine, "price = 1\n[accessories]\nx = 'y'", ["accessories.x: 'y' is not money"], id="names"
        ),
        pytest.param(
            read_machine, 'price = 1\ntray_capacity = "1 L"', ["tray_capacity: '1 L' is no weight"], id="unit"
        ),
        pytest.param(
            read_plan, "", ["days: missing", "people: missing", "batches: missing"], id="empty plan"
        ),
        pytest.param(
            read_plan, PLAN.replace('"female"', '"x"'), ["people[1].sex: 'x' is not known"], id="sex"
        ),
        pytest.param(
            read_plan, PLAN.replace("low active", "lazy"), ["people[1].activity: 'lazy'"], id="activity"
        ),
        pytest.param(
            read_plan, PLAN.replace("age_years = 34", ""), ["people[1].age_years: missing"], id="age"
        ),
        pytest.param(
            read_plan, PLAN.replace("= 34", "= 340"), ["people[1].age_years: 340 is too large"], id="old"
        ),
        pytest.param(
            read_plan, PLAN.replace("0.4", "40"), ["max_share_per_offer: 40 is too large"], id="share"
        ),
        pytest.param(
            read_plan, PLAN.replace('"6 kg"', "6"), ["limits.packed_weight: 6 has no unit"], id="no unit"
        ),
        pytest.param(read_plan, PLAN.replace("days = 5", "days = 0"), ["days: 0 is too small"], id="no days"),
        pytest.param(
            read_plan, PLAN.replace("= 6\n", "= -6\n"), ["on_hand.Chili: -6 is too small"], id="on hand"
        ),
        pytest.param(
            read_plan, PLAN.replace('["chili.toml"]', "[3]"), ["batches[0]: 3 is a number"], id="file"
        ),
        pytest.param(
            read_plan, PLAN.replace("= 3\n", "= 3.5\n"), ["limits.min_offers: 3.5 is a number"], id="whole"
        ),
    ],
)
def test_bad_input_says_where_and_what(
    read: Callable[[tuple[str, str]], object], text: str, expected: list[str]
) -> None:
    with pytest.raises(DocumentError) as refused:
        read((text, "file.toml"))
    found = [str(problem) for problem in refused.value.problems]
    assert len(found) == len(expected), found
    for problem, part in zip(found, expected, strict=True):
        assert problem.startswith("file.toml: ")
        assert part in problem
