"""Payback of the machine: hand calculations, and properties that hold for any figures."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.documents import Machine
from nutricost.domain.payback import (
    Alternative,
    HomeBatch,
    Scenario,
    cumulative_cash,
    payback,
    sensitivity,
    yearly_saving,
)
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal
INFINITY = D("Infinity")


def usd(amount: str) -> Figure:
    return Figure.exact(D(amount), "USD")


# Invented: 40 USD of ingredients, 6 of electricity, 1 of oil, 3 of packing -> 50 USD for 20 servings,
# 5000 kcal; the pouch 10 USD for 2 servings, 500 kcal. Same kcal = 10 pouches = 100 USD: saved 50.
BATCH = HomeBatch(
    name="stew",
    servings=Figure.exact(20, "serving"),
    energy=Figure.exact(5000, "kcal"),
    protein=Figure.exact(400, "g"),
    ingredients=usd("40"),
    normal_ingredients=usd("60"),
    other=usd("3"),
    electricity=usd("6"),
    oil=usd("1"),
)
POUCH = Alternative(
    "pouch", usd("10"), Figure.exact(2, "serving"), Figure.exact(500, "kcal"), Figure.exact(25, "g")
)
MACHINE = Machine(
    where="machine.toml",
    currency="USD",
    price=usd("2400"),
    accessories={"pump": usd("130")},
    batches_per_month=Figure.exact(4, "batch/month"),
    cycle_hours=Figure.exact(40, "h"),
    turnaround_hours=Figure.exact(4, "h"),
    energy_per_cycle=Figure.exact(30, "kWh"),
    price_per_kwh=Figure.exact(D("0.20"), "USD/kWh"),
    oil_per_cycle=usd("2"),
    resale_value=usd("1000"),
    resale_after_years=D(2),
)


def test_payback_by_hand() -> None:
    found = payback([BATCH], POUCH, MACHINE)
    assert found.outlay.must() == 2530
    assert found.saving_per_batch.must() == 50
    assert found.saving_per_batch.unit == "USD"
    assert found.batches_to_break_even.must() == 51  # 2530 / 50 = 50.6, whole batches
    assert found.months_to_break_even.must() == D("12.75")
    assert found.months_to_break_even.unit == "month"


@pytest.mark.parametrize(("equal", "saving"), [("kcal", 50), ("serving", 50), ("protein", 110)])
def test_equal_energy_servings_or_protein(equal: str, saving: int) -> None:
    assert payback([BATCH], POUCH, MACHINE, equal).saving_per_batch.must() == saving  # type: ignore[arg-type]


def test_the_batchs_own_electricity_and_oil_count_once_else_the_machines() -> None:
    own = payback([BATCH], POUCH, MACHINE)
    assert own.batch_cost.must() == 50
    neither = replace(BATCH, electricity=None, oil=None)
    assert payback([neither], POUCH, MACHINE).batch_cost.must() == 40 + 3 + 30 * D("0.20") + 2
    half = replace(neither, cycle_share=Figure.exact(D("0.5"), ""))
    assert payback([half], POUCH, MACHINE).batch_cost.must() == 40 + 3 + 3 + 1
    metered = replace(neither, dryer_energy=Figure.exact(20, "kWh"))
    assert payback([metered], POUCH, MACHINE).batch_cost.must() == 40 + 3 + 4 + 2


def test_electricity_that_nobody_gave_leaves_the_payback_unknown() -> None:
    bare = replace(MACHINE, energy_per_cycle=None)
    found = payback([replace(BATCH, electricity=None)], POUCH, bare)
    assert found.batches_to_break_even.value is None
    assert "energy is given neither" in found.batches_to_break_even.why


def test_nothing_saved_is_never() -> None:
    dear = replace(BATCH, ingredients=usd("100"))
    found = payback([dear], POUCH, MACHINE)
    assert found.batches_to_break_even.value is None
    assert found.batches_to_break_even.why.startswith("never: a batch costs 10.00 USD more")
    assert found.months_to_break_even.why.startswith("never")
    even = payback([replace(BATCH, ingredients=usd("90"))], POUCH, MACHINE)
    assert even.batches_to_break_even.why.startswith("never: a batch costs as much")


def test_a_saving_that_may_be_nothing_has_no_upper_end() -> None:
    unsure = replace(BATCH, ingredients=Figure.between(D(10), D(95), "USD", value=D(40)))
    found = payback([unsure], POUCH, MACHINE)
    assert found.batches_to_break_even.must() == 51
    assert found.batches_to_break_even.low == 32  # 2530 / 80
    assert found.batches_to_break_even.high == INFINITY
    assert found.months_to_break_even.high == INFINITY
    assert found.months_to_break_even.low == 8


def test_batches_a_month_are_capped_by_the_machines_hours() -> None:
    eager = replace(MACHINE, batches_per_month=Figure.exact(30, "batch/month"))
    found = payback([BATCH], POUCH, eager)
    assert round(found.batches_per_month.must(), 4) == round(D("730.5") / 44, 4)
    assert found.warnings == ("cycle and turnaround allow 16.6 batches a month, not 30",)
    assert payback([BATCH], POUCH, MACHINE).warnings == ()


def test_months_are_unknown_without_batches_a_month() -> None:
    found = payback([BATCH], POUCH, replace(MACHINE, batches_per_month=None))
    assert found.batches_to_break_even.must() == 51
    assert found.months_to_break_even.value is None
    assert found.months_to_break_even.why == "batches_per_month is not given"


def test_several_batches_count_one_each() -> None:
    small = replace(BATCH, name="soup", energy=Figure.exact(2500, "kcal"), ingredients=usd("10"))
    found = payback([BATCH, small], POUCH, MACHINE)
    assert found.saving_per_batch.must() == (50 + (50 - 20)) / D(2)


def test_resale_comes_later_and_discounted() -> None:
    found = payback([BATCH], POUCH, MACHINE, rate=D("0.1"))
    assert found.batches_to_break_even.must() == 51
    assert found.if_sold is not None
    assert round(found.if_sold.resale_today.must(), 2) == D("826.45")  # 1000 / 1.1^2
    assert found.if_sold.batches_to_break_even.must() == 35  # (2530 - 826.45) / 50 = 34.07
    assert payback([BATCH], POUCH, replace(MACHINE, resale_value=None)).if_sold is None


def test_cash_starts_at_the_outlay_and_crosses_zero_at_the_payback() -> None:
    found = payback([BATCH], POUCH, MACHINE)
    points = cumulative_cash(found, 24)
    assert [points[0].value, points[0].low, points[0].high] == [-2530] * 3
    assert points[12].value == -130
    assert points[13].value == 70
    assert yearly_saving(found).must() == 2400


def test_sensitivity_moves_each_thing_alone() -> None:
    rows = {row.what: row for row in sensitivity([BATCH], POUCH, MACHINE)}
    assert set(rows) == {"batches_per_month", "pouch_price", "tariff", "markdown"}
    assert rows["pouch_price"].less.saving_per_batch.must() == 30
    assert rows["pouch_price"].more.saving_per_batch.must() == 70
    assert rows["tariff"].more.saving_per_batch.must() == D("48.8")
    assert rows["markdown"].less.saving_per_batch.must() == 46  # discount 20 -> 16
    assert rows["batches_per_month"].more.batches_to_break_even.must() == 51
    plain = replace(BATCH, normal_ingredients=None)
    assert "markdown" not in {row.what for row in sensitivity([plain], POUCH, MACHINE)}
    with pytest.raises(InputError, match="no normal price"):
        payback([plain], POUCH, MACHINE, scenario=Scenario(markdown=D(2)))


def test_no_batch_and_no_common_currency_are_refused() -> None:
    with pytest.raises(InputError, match="at least one batch"):
        payback([], POUCH, MACHINE)
    with pytest.raises(InputError):
        payback([BATCH], replace(POUCH, cost=Figure.exact(9, "EUR")), MACHINE)


@settings(max_examples=60, deadline=None)
@given(price=st.integers(1, 9000), paid=st.integers(0, 200), pouch=st.integers(1, 40))
def test_the_batches_found_are_the_least_that_return_the_outlay(price: int, paid: int, pouch: int) -> None:
    found = payback(
        [replace(BATCH, ingredients=usd(str(paid)))], replace(POUCH, cost=usd(str(pouch))),
        replace(MACHINE, price=usd(str(price))),
    )  # fmt: skip
    saving, outlay = found.saving_per_batch.must(), found.outlay.must()
    count = found.batches_to_break_even.value
    if saving <= 0:
        assert count is None
    else:
        assert count is not None
        assert saving * count >= outlay > saving * (count - 1)
