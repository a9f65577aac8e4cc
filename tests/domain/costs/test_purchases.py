"""What part of a purchase a batch is charged: shares, coins that sum to what was paid."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.costs import charged, purchase_share
from nutricost.domain.quantities import Figure
from nutricost.errors import DocumentError, UnitMismatch

D = Decimal


def exact(value: str, unit: str) -> Figure:
    return Figure.exact(D(value), unit)


def share(used: str, bought: str, unit: str = "g") -> Figure:
    return purchase_share(exact(used, unit), exact(bought, unit), "batch.toml: ingredients[2]")


def test_three_pounds_of_five() -> None:
    # 8.97 for 5 lb, 3 lb used: 8.97 x 3 / 5 = 5.382, to the coin 5.38; the rest is 3.59 (3.588).
    used = share("3", "5", "lb")
    cost = charged(exact("8.97", "USD"), used, "USD", "paid: corn")
    assert used.value == D("0.6")
    assert (cost.value, cost.unit, cost.name) == (D("5.38"), "USD", "paid: corn")
    rest = charged(exact("8.97", "USD"), share("2", "5", "lb"), "USD", "rest")
    assert cost.must() + rest.must() == D("8.97")


def test_the_units_of_used_and_bought_may_differ() -> None:
    # NIST Handbook 44: 1 lb = 453.59237 g.
    half = purchase_share(exact("453.59237", "g"), exact("2", "lb"), "x")
    assert half.value == D("0.5")
    with pytest.raises(UnitMismatch):
        purchase_share(exact("1", "g"), exact("1", "package"), "x")


def test_more_used_than_bought_is_refused_with_both_figures() -> None:
    with pytest.raises(DocumentError) as refused:
        share("6", "5", "lb")
    (problem,) = refused.value.problems
    assert problem.where == "batch.toml: ingredients[2].for"
    assert problem.what == "6 lb used of 5 bought"
    assert problem.accepted == "at least what the line uses"


def test_all_of_it_is_not_more_than_was_bought() -> None:
    whole = charged(exact("4.99", "USD"), share("5", "5"), "USD", "paid: corn")
    assert (whole.value, whole.name) == (D("4.99"), "paid: corn")


def test_a_range_that_may_fit_is_not_refused_and_charges_at_most_what_was_paid() -> None:
    # 4 to 6 lb used of 5 lb: 80 % to all of it.
    used = Figure.between(D(4), D(6), "lb")
    cost = charged(exact("10.00", "USD"), purchase_share(used, exact("5", "lb"), "x"), "USD", "x")
    assert cost.box == (D("8.00"), D("10.00"))
    assert cost.value == D("10.00")


def test_a_range_of_use_counts_once_in_what_is_made_of_the_charge() -> None:
    # 4 to 6 of 10 lb for 10.00: 4 to 6, and twice that is 8 to 12.
    used = Figure.between(D(4), D(6), "lb")
    cost = charged(exact("10.00", "USD"), purchase_share(used, exact("10", "lb"), "x"), "USD", "x")
    assert cost.box == (D(4), D(6))
    assert (cost + cost).box == (D(8), D(12))
    # A price of 9 to 11 for half of it counts once as well.
    rough = charged(Figure.between(D(9), D(11), "USD"), share("5", "10"), "USD", "x")
    assert (rough + rough).box == (D(9), D(11))


def test_the_amount_used_counts_once_in_energy_and_cost() -> None:
    # 2 to 3 lb of 4 lb for 8.00: 4 to 6. With 350 kcal a lb and 1.00 more of cost, kcal per USD is
    # 700 / 5 = 140 to 1050 / 7 = 150; taken apart, the ends would be 700 / 7 and 1050 / 5.
    used = Figure.between(D(2), D(3), "lb")
    cost = charged(exact("8.00", "USD"), purchase_share(used, exact("4", "lb"), "x"), "USD", "x")
    ratio = used * exact("350", "kcal/lb") / (cost + exact("1.00", "USD"))
    assert (ratio.low, ratio.high, ratio.unit) == (D(140), D(150), "kcal/USD")


def test_a_share_below_zero_costs_nothing() -> None:
    taken_out = Figure.between(D(-2), D(1), "lb", value=D(-1))
    cost = charged(exact("10.00", "USD"), purchase_share(taken_out, exact("5", "lb"), "x"), "USD", "x")
    assert (cost.value, cost.low, cost.high) == (D(0), D(0), D("2.00"))


def test_an_unknown_price_or_share_stays_unknown() -> None:
    unpaid = charged(Figure.unknown("USD", "nothing paid is given"), share("3", "5"), "USD", "x")
    assert unpaid.value is None and unpaid.why == "nothing paid is given"
    unweighed = purchase_share(Figure.unknown("g", "no amount"), exact("5", "lb"), "x")
    assert unweighed.value is None
    assert charged(exact("9", "USD"), unweighed, "USD", "x").why == "no amount"


def test_the_trace_names_how_it_was_worked_out() -> None:
    assert share("3", "5").formula == "used / bought"
    assert charged(exact("1", "USD"), share("3", "5"), "USD", "x").formula == (
        "paid x share used, to the smallest coin"
    )
    assert charged(exact("1", "USD"), share("5", "5"), "USD", "x").formula == "paid x share used"


@pytest.mark.parametrize(
    ("currency", "paid", "cost"),
    # ISO 4217 minor units; a third of 100: 33.33, 33, 33.333.
    [("USD", "100", "33.33"), ("JPY", "100", "33"), ("KWD", "100", "33.333")],
)
def test_coins_of_the_currency(currency: str, paid: str, cost: str) -> None:
    assert charged(exact(paid, currency), share("1", "3"), currency, "x").value == D(cost)


@settings(max_examples=60)
@given(st.decimals("0", "500", places=2), st.integers(0, 900), st.integers(1, 900))
def test_what_is_used_and_what_is_left_sum_to_what_was_paid(paid: Decimal, used: int, more: int) -> None:
    bought = used + more
    price = Figure.exact(paid, "USD")
    cost = charged(price, share(str(used), str(bought)), "USD", "used").must()
    left = charged(price, share(str(more), str(bought)), "USD", "left").must()
    assert abs(cost - paid * used / bought) < D("0.01")
    # Largest remainder gives both halves the same tie; only an exact half coin may fall to both or none.
    assert abs(cost + left - paid) <= (D("0.01") if 2 * paid * 100 * used % bought == 0 else D(0))


@settings(max_examples=40)
@given(
    st.integers(0, 2000), st.integers(0, 2000), st.integers(0, 100), st.integers(0, 100), st.integers(1, 500)
)
def test_dearer_or_more_never_costs_less(a: int, b: int, x: int, y: int, extra: int) -> None:
    prices, amounts = sorted((a, b)), sorted((x, y))
    bought = str(100 + extra)
    costs = [
        charged(exact(str(price), "USD"), share(str(amount), bought), "USD", "x").must()
        for price, amount in zip(prices, amounts, strict=True)
    ]
    assert costs[0] <= costs[1]
