"""What really happened: meals eaten from the shelf and what each of them replaced."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from nutricost.domain.quantities import Figure, total

DAYS_PER_MONTH = Decimal("30.4375")
"""Mean month of the Julian year, as in the unit definitions (730.5 h)."""


@dataclass(frozen=True, slots=True)
class Meal:
    """A meal eaten from the shelf.

    `cost`: what those servings cost to make [money]. `replaced`: what was not bought because of it, in
    words; `replaced_cost` [money], an exact zero where it replaced nothing.
    """

    eaten_on: date
    name: str
    servings: Figure
    cost: Figure
    replaced: str
    replaced_cost: Figure


@dataclass(frozen=True, slots=True)
class Progress:
    """Money recovered to date beside the forecast [money].

    `ahead`: recovered - forecast. `left`: outlay - recovered, negative once the machine is paid.
    """

    recovered: Figure
    forecast: Figure
    ahead: Figure
    left: Figure
    meals: int
    replacing_nothing: int


def progress(
    meals: Sequence[Meal],
    outlay: Figure,
    saving_per_batch: Figure,
    batches_per_month: Figure,
    started_on: date,
    as_of: date,
) -> Progress:
    """What the shelf has really given back by `as_of`, against what the payback promised.

    A meal gives back what it replaced less what it cost; one that replaced nothing gives back less
    than nothing. Food still on the shelf has given back nothing yet. Meals after `as_of` do not count.
    """
    eaten = [meal for meal in meals if meal.eaten_on <= as_of]
    gains = [(meal.replaced_cost - meal.cost).named(f"{meal.name} for {meal.replaced}") for meal in eaten]
    recovered = total(gains, "recovered to date", unit=outlay.unit)
    days = max((as_of - started_on).days, 0)
    months = Figure.exact(Decimal(days) / DAYS_PER_MONTH, "month", f"months from {started_on} to {as_of}")
    made = batches_per_month.to("batch/month") * months / Figure.exact(1, "batch", "one batch")
    forecast = (saving_per_batch * made).named("forecast to date", formula="saving x batches by now")
    return Progress(
        recovered=recovered,
        forecast=forecast,
        ahead=(recovered - forecast).named("ahead of the forecast"),
        left=(outlay - recovered).named("still to recover"),
        meals=len(eaten),
        replacing_nothing=sum(meal.replaced_cost.value == 0 for meal in eaten),
    )
