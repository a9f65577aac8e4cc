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


def test_a_meal_eaten_today_counts_and_the_ledger_counts_whole_days() -> None:
    # 487 days = 16 mean months of 30.4375 days; 16 x 4 batches x 50 USD.
    found = progress(
        [replace(MEAL, eaten_on=date(2025, 5, 2))], usd("2500"), usd("50"), Figure.exact(4, "batch/month"),
        date(2024, 1, 1), date(2025, 5, 2),
    )  # fmt: skip
    assert found.meals == 1
    assert found.replacing_nothing == 0
    assert found.forecast.must() == 3200
    assert found.ahead.must() == 5 - 3200
    assert {one.unit for one in (found.recovered, found.forecast, found.ahead, found.left)} == {"USD"}


def test_before_the_start_and_on_the_day_after_it() -> None:
    def forecast(as_of: date) -> Figure:
        return progress(
            [], usd("2500"), usd("50"), Figure.exact(4, "batch/month"), date(2024, 2, 1), as_of
        ).forecast

    assert forecast(date(2024, 1, 1)).must() == 0
    assert round(forecast(date(2024, 2, 2)).must(), 4) == D("6.5708")  # 50 x 4 / 30.4375


def test_no_meal_at_all_recovers_nothing() -> None:
    found = progress(
        [], usd("2500"), usd("50"), Figure.exact(4, "batch/month"), date(2024, 2, 1), date(2024, 3, 1)
    )
    assert (found.recovered.must(), found.recovered.unit, found.left.must()) == (D(0), "USD", D(2500))


def test_a_meal_that_replaced_what_cost_little_still_replaced_something() -> None:
    cheap = replace(MEAL, replaced_cost=usd("1"))
    unknown = replace(MEAL, replaced_cost=Figure.unknown("USD", "not written down"))
    found = progress(
        [cheap, unknown], usd("2500"), usd("50"), Figure.exact(4, "batch/month"),
        date(2024, 1, 1), date(2025, 1, 1),
    )  # fmt: skip
    assert (found.meals, found.replacing_nothing) == (2, 0)


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
