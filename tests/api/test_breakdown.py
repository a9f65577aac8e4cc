"""Parts of a cost, and money over time."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from nutricost.api.breakdown import cash_curves, cost_split
from nutricost.domain.comparison import Offer
from nutricost.domain.documents import Machine
from nutricost.domain.payback import Alternative, HomeBatch, payback
from nutricost.domain.quantities import Figure, total

D = Decimal
SERVINGS = Figure.exact(4, "serving")
COST = total([Figure.exact(6, "USD", "ingredients"), Figure.exact(2, "USD", "energy")], "cost")
HOME = Offer("pot", "home", "USD", COST, SERVINGS, {}, {}, Figure.exact(2, "bag"))


def test_the_parts_of_a_cost_add_up_to_it() -> None:
    parts = dict(cost_split(HOME))
    assert {name: part.value for name, part in parts.items()} == {"ingredients": D("1.5"), "energy": D("0.5")}
    assert total(parts.values(), "all").value == HOME.cost_per_serving.value


def test_a_price_is_one_part() -> None:
    assert [(name, part.value) for name, part in cost_split(replace(HOME, kind="pouch"))] == [("price", D(2))]


def test_curves_run_half_as_long_again_as_the_latest_break_even() -> None:
    usd = {name: Figure.exact(amount, "USD") for name, amount in (("paid", 40), ("none", 0), ("power", 10))}
    batch = HomeBatch(
        "pot", Figure.exact(20, "serving"), Figure.exact(5000, "kcal"), Figure.exact(400, "g"),
        usd["paid"], usd["none"], electricity=usd["power"], oil=usd["none"],
        cycle_hours=Figure.exact(40, "h"),
    )  # fmt: skip
    machine = Machine(
        "machine.toml", "USD", Figure.exact(2000, "USD"), batches_per_month=Figure.exact(2, "batch/month")
    )
    pouches = [
        Alternative(name, Figure.exact(price, "USD"), Figure.exact(2, "serving"), Figure.exact(500, "kcal"),
                    Figure.exact(25, "g"))
        for name, price in (("dear", 10), ("cheap", 5))
    ]  # fmt: skip
    # Hand calculation: dear saves 10 x 10 - 50 = 50 a batch, 100 a month, level in month 20; cheap saves
    # 0 and never is. 20 x 1.5 = 30 months.
    curves = cash_curves([payback([batch], pouch, machine) for pouch in pouches])
    assert [len(curve) for curve in curves.values()] == [31, 31]
    assert curves["dear"][20].value == 0 and curves["cheap"][30].value == -2000
