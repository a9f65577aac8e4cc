"""The rounding rules of 21 CFR 101.9, in two directions.

`round_...` gives what the law prints for a true amount. `printed_interval` gives every true amount that
may stand behind a printed figure. The law does not say which way ties go; half up is used, as its own
worked potassium figure in (d)(8) does, and the intervals include both ends. Where the law says "may"
(calories below 5, carbohydrate below 1 g) the interval allows both ways of printing.

Paragraphs: 21 CFR 101.9 as summed up in FDA's Food Labeling Guide, appendix H (October 2009).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.documents import Printed
from nutricost.domain.quantities import ONE, ZERO, dec, rounded

Interval = tuple[Decimal, Decimal]

HALF = dec("0.5")
TWO, FIVE, TEN, FIFTY = dec(2), dec(5), dec(10), dec(50)
SODIUM_COARSE_ABOVE_MG = dec(140)


@dataclass(frozen=True, slots=True)
class Rule:
    """One paragraph: amount -> what is printed, and what is printed -> interval.

    `read_back` answers None for a figure that the paragraph could not have printed.
    """

    paragraph: str
    print_amount: Callable[[Decimal], Printed]
    read_back: Callable[[Printed], Interval | None]


def round_calories(energy_kcal: Decimal) -> Printed:
    """Calories as printed [kcal], (c)(1): to 5 up to and including 50, to 10 above; below 5 may be 0."""
    if energy_kcal < FIVE:
        return Printed(ZERO)
    return Printed(rounded(energy_kcal, FIVE if energy_kcal <= FIFTY else TEN))


def calories_interval(printed: Printed) -> Interval | None:
    """Energies that may be printed so [kcal], (c)(1)."""
    amount = printed.amount
    if printed.less_than:
        return (ZERO, FIVE) if amount == FIVE else None
    if amount == 0:
        return ZERO, FIVE
    if amount == FIFTY:
        return dec("47.5"), dec(55)
    return _around(amount, FIVE if amount < FIFTY else TEN)


def round_fat(fat_g: Decimal) -> Printed:
    """Total, saturated or trans fat as printed [g], (c)(2): below 0.5 zero, to 0.5 below 5, to 1 above."""
    if fat_g < HALF:
        return Printed(ZERO)
    return Printed(rounded(fat_g, HALF if fat_g < FIVE else ONE))


def fat_interval(printed: Printed) -> Interval | None:
    """Fat that is printed so [g], (c)(2). Below 0.5 g "shall" be zero, so 0.5 is at least 0.5."""
    amount = printed.amount
    if printed.less_than:
        return None
    if amount == 0:
        return ZERO, HALF
    if amount == HALF:
        return HALF, dec("0.75")
    if amount == FIVE:
        return dec("4.75"), dec("5.5")
    return _around(amount, HALF if amount < FIVE else ONE)


def round_cholesterol(cholesterol_mg: Decimal) -> Printed:
    """Cholesterol as printed [mg], (c)(3): below 2 zero, 2 to 5 "less than 5", to 5 above."""
    if cholesterol_mg < TWO:
        return Printed(ZERO)
    if cholesterol_mg < FIVE:
        return Printed(FIVE, less_than=True)
    return Printed(rounded(cholesterol_mg, FIVE))


def cholesterol_interval(printed: Printed) -> Interval | None:
    """Cholesterol that is printed so [mg], (c)(3)."""
    amount = printed.amount
    if printed.less_than:
        return (TWO, FIVE) if amount == FIVE else None
    if amount == 0:
        return ZERO, TWO
    if amount == FIVE:
        return FIVE, dec("7.5")
    return _around(amount, FIVE)


def round_sodium(sodium_mg: Decimal) -> Printed:
    """Sodium as printed [mg], (c)(4): below 5 zero, to 5 from 5 to 140, to 10 above."""
    if sodium_mg < FIVE:
        return Printed(ZERO)
    return Printed(rounded(sodium_mg, FIVE if sodium_mg <= SODIUM_COARSE_ABOVE_MG else TEN))


def sodium_interval(printed: Printed) -> Interval | None:
    """Sodium that is printed so [mg], (c)(4)."""
    amount = printed.amount
    if printed.less_than:
        return None
    if amount == 0:
        return ZERO, FIVE
    if amount == FIVE:
        return FIVE, dec("7.5")
    if amount == SODIUM_COARSE_ABOVE_MG:
        return dec("137.5"), dec(145)
    return _around(amount, FIVE if amount < SODIUM_COARSE_ABOVE_MG else TEN)


def round_carbohydrate(carbohydrate_g: Decimal) -> Printed:
    """Carbohydrate, fibre or sugars as printed [g], (c)(6): below 0.5 zero, below 1 "less than 1", to 1."""
    return _whole_grams(carbohydrate_g)


def carbohydrate_interval(printed: Printed) -> Interval | None:
    """Carbohydrate, fibre or sugars that may be printed so [g], (c)(6).

    Zero below 0.5 g and "less than 1 g" are both permissions, so '<1' may hide 0 to 1 g and '1' may
    be 0.5 to 1.5 g.
    """
    return _whole_grams_interval(printed)


def round_protein(protein_g: Decimal) -> Printed:
    """Protein as printed [g], (c)(7): to 1; below 1 "less than 1" and below 0.5 zero (from memory)."""
    return _whole_grams(protein_g)


def protein_interval(printed: Printed) -> Interval | None:
    """Protein that may be printed so [g], (c)(7); the wording below 1 g is from memory."""
    return _whole_grams_interval(printed)


def _whole_grams(amount_g: Decimal) -> Printed:
    if amount_g < HALF:
        return Printed(ZERO)
    if amount_g < ONE:
        return Printed(ONE, less_than=True)
    return Printed(rounded(amount_g, ONE))


def _whole_grams_interval(printed: Printed) -> Interval | None:
    if printed.less_than:
        return (ZERO, ONE) if printed.amount == ONE else None
    return (ZERO, HALF) if printed.amount == 0 else _around(printed.amount, ONE)


def _around(amount: Decimal, step: Decimal) -> Interval | None:
    """Half a step either side, or None where the amount is no multiple of the step."""
    return None if amount % step else (amount - step / 2, amount + step / 2)


_CALORIES = Rule("21 CFR 101.9(c)(1)", round_calories, calories_interval)
_FAT = Rule("21 CFR 101.9(c)(2)", round_fat, fat_interval)
_CHOLESTEROL = Rule("21 CFR 101.9(c)(3)", round_cholesterol, cholesterol_interval)
_SODIUM = Rule("21 CFR 101.9(c)(4)", round_sodium, sodium_interval)
_CARBOHYDRATE = Rule("21 CFR 101.9(c)(6)", round_carbohydrate, carbohydrate_interval)
_PROTEIN = Rule("21 CFR 101.9(c)(7)", round_protein, protein_interval)

RULES: Mapping[str, Rule] = {
    "energy": _CALORIES,
    "fat": _FAT,
    "saturated_fat": _FAT,
    "trans_fat": _FAT,
    "cholesterol": _CHOLESTEROL,
    "sodium": _SODIUM,
    "carbohydrate": _CARBOHYDRATE,
    "fiber": _CARBOHYDRATE,
    "sugar": _CARBOHYDRATE,
    "added_sugar": _CARBOHYDRATE,
    "sugar_alcohol": _CARBOHYDRATE,
    "protein": _PROTEIN,
}
"""Nutrient key -> its rule. Others (vitamins, minerals, alcohol) are read to their last printed digit."""


def could_be_printed(nutrient: str, printed: Printed) -> bool:
    """Whether the rule of the nutrient, if it has one, prints such a figure."""
    rule = RULES.get(nutrient)
    return rule is None or rule.read_back(printed) is not None


def printed_interval(nutrient: str, printed: Printed) -> Interval:
    """Every true amount that may be printed so. [unit of the figure]

    A figure that the rounding could not have printed (fat 5.3 g) is read as printed more precisely:
    half its last digit either side; 'less than' any other bound is 0 up to that bound.
    """
    rule = RULES.get(nutrient)
    interval = rule.read_back(printed) if rule else None
    if interval is not None:
        return interval
    if printed.less_than:
        return ZERO, printed.amount
    return _last_digit(printed.amount)


def _last_digit(amount: Decimal) -> Interval:
    exponent = amount.as_tuple().exponent
    assert isinstance(exponent, int), "documents hold finite numbers only"
    half = HALF.scaleb(min(exponent, 0))
    return max(amount - half, ZERO), amount + half


def round_servings(servings: Decimal) -> Decimal:
    """Servings per container as printed, (b)(8): to 0.5 between 2 and 5, else to whole servings."""
    return rounded(servings, HALF if TWO <= servings <= FIVE else ONE)


def servings_interval(printed: Decimal, about: bool) -> Interval:
    """Servings that are printed so, (b)(8). [serving/package]

    'About' is how rounding is shown, but labels leave it out, so its absence narrows nothing but 1: a
    single-serving container is its own serving size, (b)(6), and exact unless it says 'about 1'. A
    figure no rounding could give (1.5, 2.4) is read to its last digit, 'about 1.5' to half a serving.
    """
    if printed == ONE:
        return (HALF, dec("1.5")) if about else (ONE, ONE)
    if printed == TWO:
        return dec("1.5"), dec("2.25")
    if printed == FIVE:
        return dec("4.75"), dec("5.5")
    if printed > FIVE and not printed % ONE:
        return printed - HALF, printed + HALF
    interval = _around(printed, HALF) if about or TWO < printed < FIVE else None
    return interval or _last_digit(printed)
