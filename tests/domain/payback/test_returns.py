"""Investment arithmetic against a textbook example and numpy-financial."""

from __future__ import annotations

from decimal import Decimal

import numpy_financial as npf
import pytest

from nutricost.domain.payback import (
    discounted_payback_years,
    machine_share_per_cycle,
    net_present_value,
    payback_years,
)
from nutricost.domain.payback.returns import annuity_factor, discount_factor
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal

# Textbook solution posted at askmehelpdesk.com/finance/showthread.php?t=143010: outlay 52,125, 12,000 a
# year for 8 years at 12 %: payback 4.3438 years, annuity factor 4.9676, NPV 7,486.68 (exact).
OUTLAY = Figure.exact(52125, "USD", "outlay")
YEARLY = Figure.exact(12000, "USD", "yearly")


def test_textbook_payback_and_net_present_value() -> None:
    assert round(payback_years(OUTLAY, YEARLY).must(), 4) == D("4.3438")
    assert round(annuity_factor(D("0.12"), D(8)), 4) == D("4.9676")
    assert round(net_present_value(OUTLAY, YEARLY, D(8), D("0.12")).must(), 2) == D("7486.68")


def test_textbook_payback_of_80000_at_30000() -> None:
    # transtutors.com question 1321894: 80,000 / 30,000 a year; 2.67 years by division.
    found = payback_years(Figure.exact(80000, "USD"), Figure.exact(30000, "USD"))
    assert round(found.must(), 2) == D("2.67")


@pytest.mark.parametrize(
    ("outlay", "yearly", "rate"), [(2995, 900, "0.05"), (5000, 800, "0.08"), (100, 90, "0.2")]
)
def test_discounted_payback_agrees_with_the_number_of_periods(outlay: int, yearly: int, rate: str) -> None:
    # numpy-financial nper: periods after which an annuity has returned the present value.
    found = discounted_payback_years(Figure.exact(outlay, "USD"), Figure.exact(yearly, "USD"), D(rate))
    assert float(found.must()) == pytest.approx(float(npf.nper(float(rate), yearly, -outlay)), rel=1e-12)


@pytest.mark.parametrize("rate", ["0", "0.03", "0.12"])
def test_net_present_value_agrees_with_numpy_financial(rate: str) -> None:
    found = net_present_value(OUTLAY, YEARLY, D(6), D(rate), resale=Figure.exact(9000, "USD"))
    flows = [-52125, *[12000] * 5, 21000]
    assert float(found.must()) == pytest.approx(float(npf.npv(float(rate), flows)), abs=1e-6)


def test_net_present_value_at_the_discounted_payback_is_zero() -> None:
    years = discounted_payback_years(OUTLAY, YEARLY, D("0.12")).must()
    assert abs(net_present_value(OUTLAY, YEARLY, years, D("0.12")).must()) < D("1e-15")


def test_a_saving_below_the_interest_never_pays() -> None:
    found = discounted_payback_years(OUTLAY, Figure.exact(6000, "USD"), D("0.12"))
    assert found.value is None
    assert found.why.startswith("never")
    assert payback_years(OUTLAY, Figure.exact(0, "USD")).why == "never: nothing is saved"


def test_nothing_to_pay_back_takes_no_time() -> None:
    for rate in ("0", "0.12"):
        assert discounted_payback_years(Figure.exact(0, "USD"), YEARLY, D(rate)).must() == 0
        assert discounted_payback_years(Figure.exact(0, "USD"), Figure.exact(0, "USD"), D(rate)).must() == 0


def test_little_money_pays_back_by_division() -> None:
    found = payback_years(Figure.exact(D("0.5"), "USD"), Figure.exact(D("0.25"), "USD"))
    assert (found.must(), found.unit) == (D(2), "year")


def test_a_saving_of_just_the_interest_never_pays() -> None:
    # 6255 = 52,125 x 0.12: the interest eats it all.
    found = discounted_payback_years(OUTLAY, Figure.exact(6255, "USD"), D("0.12"))
    assert found.value is None
    assert found.unit == "year"
    assert "interest" in found.why
    for yearly in (0, -1):
        why = discounted_payback_years(OUTLAY, Figure.exact(yearly, "USD"), D("0.12")).why
        assert why == "never: nothing is saved"
    low = discounted_payback_years(OUTLAY, Figure.exact(D("0.5"), "USD"), D("0.12"))
    assert "interest" in low.why


def test_a_saving_that_may_be_below_the_interest_has_no_upper_end() -> None:
    found = discounted_payback_years(OUTLAY, Figure.between(D(6000), D(14000), "USD"), D("0.12"))
    assert found.is_known
    # numpy-financial nper(0.12, 14000, -52125)
    assert float(found.low) == pytest.approx(float(npf.nper(0.12, 14000, -52125)), rel=1e-12)
    assert found.high == D("Infinity")


def test_uncertain_outlay_and_saving_bound_the_years() -> None:
    # 100 / 50 = 2 years at best, 300 / 30 = 10 at worst.
    outlay = Figure.between(D(100), D(300), "USD")
    found = payback_years(outlay, Figure.between(D(30), D(50), "USD"))
    assert (found.low, found.must(), found.high) == (D(2), D(5), D(10))


def test_the_trace_tells_the_two_paybacks_apart() -> None:
    for yearly in (YEARLY, Figure.exact(100, "USD")):
        simple, later = (discounted_payback_years(OUTLAY, yearly, D(rate)) for rate in ("0", "0.12"))
        assert simple.name != later.name


def test_the_machine_share_is_straight_line() -> None:
    outlay = Figure.exact(3000, "USD")
    assert machine_share_per_cycle(outlay, cycles=Figure.exact(600, "cycle")).must() == 5
    over_years = machine_share_per_cycle(outlay, years=D(10), per_month=Figure.exact(5, "batch/month"))
    assert over_years.must() == 5
    assert over_years.unit == "USD"
    with pytest.raises(InputError, match="accepted: cycles"):
        machine_share_per_cycle(outlay)


def test_the_life_of_a_machine_needs_both_years_and_batches_a_month() -> None:
    outlay = Figure.exact(3000, "USD")
    with pytest.raises(InputError, match="accepted: cycles"):
        machine_share_per_cycle(outlay, years=D(10))
    with pytest.raises(InputError, match="accepted: cycles"):
        machine_share_per_cycle(outlay, per_month=Figure.exact(5, "batch/month"))
    assert machine_share_per_cycle(outlay, cycles=Figure.exact(600, "cycle")).unit == "USD"


def test_net_present_value_is_in_the_money_of_the_outlay() -> None:
    found = net_present_value(Figure.exact(100, "USD"), Figure.exact(60, "USD"), D(2), D(0))
    assert (found.must(), found.unit) == (D(20), "USD")


@pytest.mark.parametrize("rate", ["1", "-0.01", "12"])
def test_a_rate_outside_0_to_1_is_refused(rate: str) -> None:
    for factor in (annuity_factor, discount_factor):
        with pytest.raises(InputError, match="discount rate"):
            factor(D(rate), D(8))
    with pytest.raises(InputError, match="discount rate"):
        discounted_payback_years(OUTLAY, YEARLY, D(rate))


def test_a_rate_in_percent_is_refused() -> None:
    with pytest.raises(InputError, match="discount rate"):
        net_present_value(OUTLAY, YEARLY, D(8), D(12))
