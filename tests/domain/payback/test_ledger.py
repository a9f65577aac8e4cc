"""The ledger of meals against the forecast, by hand (invented figures)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from nutricost.domain.payback import Meal, progress
from nutricost.domain.quantities import Figure

D = Decimal


def usd(amount: str) -> Figure:
    return Figure.exact(D(amount), "USD")


MEAL = Meal(date(2024, 3, 1), "stew", Figure.exact(2, "serving"), usd("5"), "a pouch", usd("10"))
LUNCH = replace(MEAL, eaten_on=date(2024, 4, 1), replaced="a bought lunch", replaced_cost=usd("12.50"))
SNACK = replace(MEAL, eaten_on=date(2024, 5, 1), replaced="nothing", replaced_cost=usd("0"))


def test_recovered_to_date_counts_what_each_meal_replaced() -> None:
    found = progress(
        [MEAL, LUNCH, SNACK], usd("2500"), usd("50"), Figure.exact(4, "batch/month"),
        date(2024, 1, 1), date(2024, 12, 31),
    )  # fmt: skip
    assert found.recovered.must() == D("7.50")  # 5 + 7.50 - 5
    assert round(found.forecast.must(), 2) == round(50 * 4 * D(365) / D("30.4375"), 2)
    assert found.ahead.must() < 0
    assert found.left.must() == D("2492.50")
    assert (found.meals, found.replacing_nothing) == (3, 1)


def test_meals_to_come_do_not_count_and_no_meal_recovers_nothing() -> None:
    found = progress(
        [MEAL], usd("2500"), usd("50"), Figure.exact(4, "batch/month"), date(2024, 2, 1), date(2024, 2, 1)
    )
    assert found.recovered.must() == 0
    assert found.forecast.must() == 0
    assert found.meals == 0


def test_an_unknown_cost_leaves_the_sum_unknown() -> None:
    odd = replace(MEAL, cost=Figure.unknown("USD", "no price was written down"))
    found = progress(
        [MEAL, odd],
        usd("2500"),
        usd("50"),
        Figure.exact(4, "batch/month"),
        date(2024, 1, 1),
        date(2025, 1, 1),
    )
    assert found.recovered.value is None
    assert found.recovered.known is not None
    assert found.recovered.known.must() == 5
