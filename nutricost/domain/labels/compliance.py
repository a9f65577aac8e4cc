"""How far the food may lawfully be from its label, 21 CFR 101.9(g); apart from rounding.

FDA analyses a composite of 12 units and divides by the declared amount. Class II nutrients (protein,
carbohydrate, fibre, potassium and other naturally occurring vitamins and minerals) must reach 80 % of
the label, (g)(4)(ii); the third group (calories, sugars, fats, cholesterol, sodium) may not exceed
120 %, (g)(5). Added nutrients (Class I, at least 100 %) are not told apart: a label does not say.
"""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.documents import Printed
from nutricost.domain.labels.rounding import Interval, printed_interval
from nutricost.domain.quantities import dec

LEAST_SHARE = dec("0.80")
"""Class II: found / declared at least this, 21 CFR 101.9(g)(4)(ii)."""

MOST_SHARE = dec("1.20")
"""Third group: found / declared at most this, 21 CFR 101.9(g)(5)."""

THIRD_GROUP = frozenset(
    ("energy", "fat", "saturated_fat", "trans_fat", "cholesterol", "sodium", "sugar", "added_sugar")
)
"""Nutrients bounded above, 21 CFR 101.9(g)(5); all others are treated as Class II."""


def complies(nutrient: str, *, declared: Decimal, found: Decimal) -> bool:
    """Whether an analysis `found` keeps within (g) of what was `declared`. [same unit]"""
    if nutrient in THIRD_GROUP:
        return found <= declared * MOST_SHARE
    return found >= declared * LEAST_SHARE


def lawful_interval(nutrient: str, printed: Printed) -> Interval:
    """The outer bound: what the food may hold under (g), never inside what rounding alone allows.

    The law bounds one side of each nutrient. The other side is left to good manufacturing practice
    ('reasonable excesses' and 'reasonable deficiencies', (g)(6)); as a working bound the same 20 % is
    taken there, which is a decision of this program, not the law. [unit of the figure]
    """
    low, high = printed_interval(nutrient, printed)
    return min(low, printed.amount * LEAST_SHARE), max(high, printed.amount * MOST_SHARE)
