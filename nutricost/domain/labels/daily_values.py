"""Percent Daily Values of 21 CFR 101.9 for adults and children from 4 years, rule of 2016."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from nutricost.domain.quantities import ONE, dec, rounded
from nutricost.errors import InputError

DAILY_REFERENCE_VALUES: Mapping[str, Decimal] = {
    "fat": dec(78),
    "saturated_fat": dec(20),
    "cholesterol": dec(300),
    "sodium": dec(2300),
    "carbohydrate": dec(275),
    "fiber": dec(28),
    "added_sugar": dec(50),
    "protein": dec(50),
}
"""DRV, 21 CFR 101.9(c)(9), in the unit a label prints [g, mg]."""

REFERENCE_DAILY_INTAKES: Mapping[str, Decimal] = {
    "vitamin_d": dec(20),
    "calcium": dec(1300),
    "iron": dec(18),
    "potassium": dec(4700),
}
"""RDI, 21 CFR 101.9(c)(8)(iv), of the four that a label must print [ug, mg, mg, mg]."""


def percent_daily_value(nutrient: str, amount: Decimal) -> Decimal:
    """Percent of the Daily Value as printed. [%]

    Nearest whole percent for nutrients with a DRV, (d)(7)(ii), of the declared or the unrounded amount,
    as the caller hands in. For vitamins and minerals, (c)(8)(iii), nearest 2 % up to 10 %, nearest 5 %
    up to 50 %, nearest 10 % above. Raises InputError for a nutrient without a Daily Value.
    """
    if nutrient in DAILY_REFERENCE_VALUES:
        return rounded(amount * 100 / DAILY_REFERENCE_VALUES[nutrient], ONE)
    if nutrient not in REFERENCE_DAILY_INTAKES:
        accepted = ", ".join((*DAILY_REFERENCE_VALUES, *REFERENCE_DAILY_INTAKES))
        raise InputError(f"{nutrient!r} has no Daily Value (accepted: {accepted})")
    percent = amount * 100 / REFERENCE_DAILY_INTAKES[nutrient]
    return rounded(percent, dec(2) if percent <= 10 else dec(5) if percent <= 50 else dec(10))
