"""Intervals of table values from their published standard errors."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.foods.records import NUTRIENTS, Food, NutrientValue
from nutricost.domain.quantities import ZERO, Figure, rounded

# Two-sided 95 % quantiles of Student's t by degrees of freedom: NIST/SEMATECH e-Handbook of
# Statistical Methods, table 1.3.6.7.2.
_T_975 = tuple(
    Decimal(text)
    for text in "12.706 4.303 3.182 2.776 2.571 2.447 2.365 2.306 2.262 2.228 2.201 2.179 2.160 2.145 2.131 "
    "2.120 2.110 2.101 2.093 2.086 2.080 2.074 2.069 2.064 2.060 2.056 2.052 2.048 2.045 2.042".split()
)


def _t_975(degrees: int) -> Decimal:
    """Two-sided 95 % quantile of Student's t; beyond the table by its expansion in 1 / degrees.

    Abramowitz & Stegun 26.7.5 (from memory) with z = 1.95996: z + (z^3 + z) / (4 n) + 2.823 / n^2.
    """
    if degrees <= len(_T_975):
        return _T_975[degrees - 1]
    tail = Decimal("2.3723") / degrees + Decimal("2.823") / degrees**2
    return rounded(Decimal("1.95996") + tail, Decimal("0.001"))


def confidence_interval(value: NutrientValue) -> tuple[Decimal, Decimal]:
    """95 % interval of a mean from its standard error, never below 0. [per 100 g]

    With the degrees of freedom that the table publishes, else one less than the data points. A value
    without a standard error is returned as published, both ends equal.
    """
    error, degrees = value.standard_error, value.degrees_of_freedom
    if degrees is None and value.data_points is not None:
        degrees = value.data_points - 1
    if not error or degrees is None or degrees < 1:
        return value.amount_per_100g, value.amount_per_100g
    reach = _t_975(degrees) * error
    return max(ZERO, value.amount_per_100g - reach), value.amount_per_100g + reach


def food_figure(food: Food, key: str) -> Figure:
    """A nutrient of a food [its unit per 100 g edible portion]; unknown where the table has none."""
    nutrient = NUTRIENTS[key]
    name = f"{nutrient.name} of {food.description}"
    source = f"{food.source} {food.ndb_number or food.fdc_id or ''} {food.release}".strip()
    unit = f"{nutrient.unit}/hundred_g"
    value = food.nutrients.get(key)
    if value is None:
        return Figure.unknown(
            unit, f"no {nutrient.name} in the table for {food.description}", name, source=source
        )
    low, high = confidence_interval(value)
    return Figure.between(
        low, high, unit, name, value=value.amount_per_100g, source=source, standing=value.standing
    )
