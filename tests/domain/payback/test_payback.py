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
    outlay_of,
    payback,
    running_cost,
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
    assert (found.against, found.equal) == ("pouch", "kcal")
    assert (found.batch_cost.must(), found.replaced_cost.must()) == (D(50), D(100))


def test_uncertain_outlay_and_saving_bound_the_batches() -> None:
    # Saved 40 to 60 a batch; outlay 2400 to 2600: 2400 / 60 = 40 at best, 2600 / 40 = 65 at worst.
    unsure = replace(BATCH, ingredients=Figure.between(D(30), D(50), "USD"))
    machine = replace(MACHINE, price=Figure.between(D(2270), D(2470), "USD"))
    found = payback([unsure], POUCH, machine).batches_to_break_even
    assert (found.low, found.must(), found.high) == (D(40), D(50), D(65))


@pytest.mark.parametrize(("equal", "saving"), [("kcal", 50), ("serving", 50), ("protein", 110)])
def test_equal_energy_servings_or_protein(equal: str, saving: int) -> None:
    assert payback([BATCH], POUCH, MACHINE, equal).saving_per_batch.must() == saving  # type: ignore[arg-type]


def test_the_batchs_own_electricity_and_oil_count_once_else_the_machines() -> None:
    own = payback([replace(BATCH, electricity=usd("7"))], POUCH, MACHINE)
    assert own.batch_cost.must() == 51
    neither = replace(BATCH, electricity=None, oil=None)
    assert payback([neither], POUCH, MACHINE).batch_cost.must() == 40 + 3 + 30 * D("0.20") + 2
    half = replace(neither, cycle_share=Figure.exact(D("0.5"), ""))
    assert payback([half], POUCH, MACHINE).batch_cost.must() == 40 + 3 + 3 + 1
    metered = replace(neither, dryer_energy=Figure.exact(20, "kWh"))
    assert payback([metered], POUCH, MACHINE).batch_cost.must() == 40 + 3 + 4 + 2


def test_electricity_from_energy_and_price() -> None:
    neither = replace(BATCH, electricity=None, oil=None)
    own_price = replace(neither, price_per_kwh=Figure.exact(D("0.50"), "USD/kWh"))
    electricity, oil = running_cost(own_price, MACHINE)
    assert (electricity.must(), electricity.unit) == (D(15), "USD")  # 30 kWh at the batch's own 0.50
    assert (oil.must(), oil.unit) == (D(2), "USD")
    # 20 kWh x 0.20 x 1.5; the oil does not depend on the tariff.
    metered = replace(neither, dryer_energy=Figure.exact(20, "kWh"))
    assert [one.must() for one in running_cost(metered, MACHINE, D("1.5"))] == [6, 2]


def test_pump_oil_that_nobody_gave_is_none() -> None:
    _, oil = running_cost(replace(BATCH, oil=None), replace(MACHINE, oil_per_cycle=None))
    assert (oil.must(), oil.unit) == (D(0), "USD")


def test_a_price_that_nobody_gave_leaves_the_electricity_unknown() -> None:
    electricity, _ = running_cost(replace(BATCH, electricity=None), replace(MACHINE, price_per_kwh=None))
    assert electricity.value is None
    assert electricity.unit == "USD"
    assert "price of a kWh" in electricity.why
    assert "energy" not in electricity.why


def test_a_machine_alone_is_the_outlay() -> None:
    assert (outlay_of(replace(MACHINE, accessories={})).must(), outlay_of(MACHINE).unit) == (D(2400), "USD")
    with pytest.raises(InputError):
        outlay_of(replace(MACHINE, price=Figure.exact(2400, "EUR"), accessories={}))


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
    assert found.batches_to_break_even.name == payback([BATCH], POUCH, MACHINE).batches_to_break_even.name
    assert found.months_to_break_even.why.startswith("never")
    assert found.if_sold is not None
    for one in (found.batches_to_break_even, found.if_sold.batches_to_break_even):
        assert POUCH.name in one.why
    even = payback([replace(BATCH, ingredients=usd("90"))], POUCH, MACHINE)
    assert even.batches_to_break_even.why.startswith("never: a batch costs as much")


def test_what_cost_nothing_is_paid_back_at_once() -> None:
    gift = replace(MACHINE, price=usd("0"), accessories={})
    assert payback([BATCH], POUCH, gift).batches_to_break_even.must() == 0
    # Nothing to return, so even where nothing is saved.
    assert payback([replace(BATCH, ingredients=usd("90"))], POUCH, gift).batches_to_break_even.must() == 0


@pytest.mark.parametrize(
    ("price", "ingredients", "batches"),
    # 2400 / 0.5; 0.5 / 50, a whole batch; 100 / 50 exactly
    [("2400", "89.5", 4800), ("0.5", "40", 1), ("100", "40", 2)],
)
def test_a_small_saving_and_a_small_outlay_count(price: str, ingredients: str, batches: int) -> None:
    machine = replace(MACHINE, price=usd(price), accessories={})
    found = payback([replace(BATCH, ingredients=usd(ingredients))], POUCH, machine)
    assert found.batches_to_break_even.must() == batches
    assert found.batches_to_break_even.unit == "batch"


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


def test_the_hours_of_a_cycle_are_the_machines_else_the_mean_of_the_batches() -> None:
    # Without the machine's hours: (60 + 82.1) / 2 + 2 of turnaround = 73.05 h, 730.5 / 73.05 = 10 a month.
    eager = replace(
        MACHINE,
        batches_per_month=Figure.exact(30, "batch/month"),
        cycle_hours=None,
        turnaround_hours=Figure.exact(2, "h"),
    )
    slow, slower = (replace(BATCH, cycle_hours=Figure.exact(D(hours), "h")) for hours in ("60", "82.1"))
    assert payback([slow, slower], POUCH, eager).batches_per_month.must() == 10
    # 730.5 / (60 + 2)
    assert round(payback([slow], POUCH, eager).batches_per_month.must(), 4) == D("11.7823")
    # Turnaround that nobody gave is none: 730.5 / 40 = 18.2625, in spite of the batch's own hours.
    unturned = replace(eager, cycle_hours=Figure.exact(40, "h"), turnaround_hours=None)
    assert payback([slow], POUCH, unturned).batches_per_month.must() == D("18.2625")


def test_without_hours_batches_a_month_are_taken_as_given_and_it_is_said() -> None:
    eager = replace(MACHINE, batches_per_month=Figure.exact(30, "batch/month"), cycle_hours=None)
    timed = replace(BATCH, cycle_hours=Figure.exact(60, "h"))
    found = payback([timed, BATCH], POUCH, eager)
    assert found.batches_per_month.must() == 30
    assert len(found.warnings) == 1
    assert "cycle hours are not given" in found.warnings[0]
    assert (
        payback([BATCH], POUCH, eager, scenario=Scenario(batches_per_month=D("0.8"))).batches_per_month.must()
        == 24
    )


def test_an_uncertain_cycle_caps_only_where_it_is_long() -> None:
    # 730.5 / 70 = 10.4357 at the long end; 12 as asked at the short one and in the middle.
    unsure = replace(
        MACHINE,
        batches_per_month=Figure.exact(12, "batch/month"),
        cycle_hours=Figure.between(D(30), D(66), "h"),
    )
    found = payback([BATCH], POUCH, unsure)
    assert round(found.batches_per_month.low, 4) == D("10.4357")
    assert (found.batches_per_month.must(), found.batches_per_month.high) == (D(12), D(12))
    assert found.warnings == ()
    # Asked for 10 to 14: 10 even at the long end, 14 at the short one.
    both = replace(unsure, batches_per_month=Figure.between(D(10), D(14), "batch/month"))
    found = payback([BATCH], POUCH, both)
    assert (found.batches_per_month.low, found.batches_per_month.high) == (D(10), D(14))


def test_the_cap_of_very_short_cycles() -> None:
    busy = replace(MACHINE, batches_per_month=Figure.exact(2000, "batch/month"), turnaround_hours=None)
    half_an_hour = replace(busy, cycle_hours=Figure.exact(D("0.5"), "h"))
    assert payback([BATCH], POUCH, half_an_hour).batches_per_month.must() == 1461  # 730.5 / 0.5
    # No time at all caps nothing.
    assert (
        payback([BATCH], POUCH, replace(busy, cycle_hours=Figure.exact(0, "h"))).batches_per_month.must()
        == 2000
    )


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
    assert (found.if_sold.rate, found.if_sold.years) == (D("0.1"), D(2))
    assert payback([BATCH], POUCH, replace(MACHINE, resale_value=None)).if_sold is None
    assert payback([BATCH], POUCH, replace(MACHINE, resale_after_years=None)).if_sold is None


def test_the_rate_is_the_one_asked_for_else_the_machines_else_none() -> None:
    def resale(machine: Machine, rate: Decimal | None = None) -> Decimal:
        found = payback([BATCH], POUCH, machine, rate=rate).if_sold
        assert found is not None
        return round(found.resale_today.must(), 2)

    banked = replace(MACHINE, discount_rate=D("0.25"))
    assert resale(banked) == 640  # 1000 / 1.25^2
    assert resale(banked, D(0)) == 1000
    assert resale(MACHINE) == 1000


def test_cash_starts_at_the_outlay_and_crosses_zero_at_the_payback() -> None:
    found = payback([BATCH], POUCH, MACHINE)
    points = cumulative_cash(found, 24)
    assert [points[0].value, points[0].low, points[0].high] == [-2530] * 3
    assert points[12].value == -130
    assert points[13].value == 70
    assert yearly_saving(found).must() == 2400
    assert yearly_saving(found).unit == "USD"
    assert [point.month for point in points] == list(range(25))


def test_cash_lies_between_the_worst_and_the_best_case() -> None:
    # Saved a batch: 100 - 10 - ingredients of 30 to 60 = 30 to 60; four a month; outlay 2300 to 2700.
    unsure = replace(BATCH, ingredients=Figure.between(D(30), D(60), "USD", value=D(40)))
    machine = replace(MACHINE, price=Figure.between(D(2170), D(2570), "USD", value=D(2400)))
    point = cumulative_cash(payback([unsure], POUCH, machine), 10)[10]
    assert (point.low, point.value, point.high) == (
        D(10 * 4 * 30 - 2700),
        D(10 * 4 * 50 - 2530),
        D(10 * 4 * 60 - 2300),
    )


def test_there_is_no_cash_curve_of_what_is_unknown() -> None:
    assert cumulative_cash(payback([BATCH], POUCH, replace(MACHINE, batches_per_month=None)), 12) == ()
    unpriced = replace(MACHINE, price=Figure.unknown("USD", "not written down"))
    assert cumulative_cash(payback([BATCH], POUCH, unpriced), 12) == ()


def test_sensitivity_moves_each_thing_alone() -> None:
    rows = {row.what: row for row in sensitivity([BATCH], POUCH, MACHINE)}
    assert set(rows) == {"batches_per_month", "pouch_price", "tariff", "markdown"}
    assert rows["pouch_price"].less.saving_per_batch.must() == 30
    assert rows["pouch_price"].more.saving_per_batch.must() == 70
    assert rows["tariff"].more.saving_per_batch.must() == D("48.8")
    assert rows["markdown"].less.saving_per_batch.must() == 46  # discount 20 -> 16
    assert rows["batches_per_month"].more.batches_to_break_even.must() == 51
    # One at a time: a fifth less and more, the widest swing in months first.
    # pouch 2530 / 30 = 84.3, 85 batches: 21.25 months, 2530 / 70 = 36.1, 37: 9.25; 12 apart.
    # batches a month 51 / 3.2 = 15.94 and 51 / 4.8 = 10.63; 5.31 apart.
    # markdown 2530 / 46 = 55 batches: 13.75, 2530 / 54 = 46.9, 47: 11.75; 2 apart.
    # tariff 2530 / 51.2 = 49.4, 50: 12.5, 2530 / 48.8 = 51.8, 52: 13; 0.5 apart.
    assert list(rows) == ["pouch_price", "batches_per_month", "markdown", "tariff"]
    assert rows["pouch_price"].less.months_to_break_even.must() == D("21.25")
    assert rows["markdown"].more.months_to_break_even.must() == D("11.75")
    assert rows["batches_per_month"].less.batches_per_month.must() == D("3.2")
    half = {row.what: row for row in sensitivity([BATCH], POUCH, MACHINE, "protein", step=D("0.5"))}
    # 400 g of protein are 16 pouches: 160 - 50; at half the price 80 - 50.
    assert half["pouch_price"].less.saving_per_batch.must() == 30
    plain = replace(BATCH, normal_ingredients=None)
    assert "markdown" not in {row.what for row in sensitivity([plain, BATCH], POUCH, MACHINE)}
    assert "markdown" not in {row.what for row in sensitivity([plain], POUCH, MACHINE)}
    with pytest.raises(InputError, match="no normal price"):
        payback([plain], POUCH, MACHINE, scenario=Scenario(markdown=D(2)))


def test_what_may_turn_it_into_never_moves_most() -> None:
    # Saved 100 - 90 = 10; pouches at 80 save nothing, so their swing has no end.
    close = replace(BATCH, ingredients=usd("80"), normal_ingredients=None)
    rows = sensitivity([close], POUCH, MACHINE)
    assert rows[0].what == "pouch_price"
    assert rows[0].less.batches_to_break_even.why.startswith("never")
    # The other way round as well: nothing is saved as given, yet dearer pouches would.
    assert sensitivity([replace(close, ingredients=usd("95"))], POUCH, MACHINE)[0].what == "pouch_price"
    # Without batches a month the batches themselves are ranked: pouch 85 - 37, tariff 52 - 50, number none.
    untimed = sensitivity(
        [replace(BATCH, normal_ingredients=None)], POUCH, replace(MACHINE, batches_per_month=None)
    )
    assert [row.what for row in untimed] == ["pouch_price", "tariff", "batches_per_month"]


def test_no_batch_and_no_common_currency_are_refused() -> None:
    with pytest.raises(InputError, match="at least one batch"):
        payback([], POUCH, MACHINE)
    with pytest.raises(InputError):
        payback([BATCH], replace(POUCH, cost=Figure.exact(9, "EUR")), MACHINE)


@settings(max_examples=60)
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
