"""A row's household weights read: what measure, for what size and form, how many grams."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.foods.measures import MILLILITERS, UNITS
from nutricost.domain.foods.records import HouseholdWeight
from nutricost.domain.foods.tokens import scan, stem

_SIZES = ("extra large", "extra small", "large", "medium", "small", "jumbo", "thick", "thin", "mini")
_SIZE_NAMES = {"jumbo": "extra large", "mini": "small"}


@dataclass(frozen=True, slots=True)
class HouseholdMeasure:
    """One household weight: grams of ONE measure; `milliliters` where it is a volume; the stems of its
    text; its size word; the ounces a package is said to hold."""

    text: str
    grams: Decimal
    milliliters: Decimal | None
    words: frozenset[str]
    first: str
    size: str
    package_oz: Decimal | None


def read_household(weight: HouseholdWeight) -> HouseholdMeasure | None:
    """The measure of one household weight, or None where it is no more than a weight or a label serving."""
    if weight.amount <= 0 or weight.grams <= 0:
        return None
    tokens = scan(weight.measure)
    words = [t.text for t in tokens if t.kind == "word"]
    if not words:
        return None
    grams = weight.grams / weight.amount
    milliliters: Decimal | None = None
    first = words[0]
    if first in ("fl", "fluid") and words[1:2] == ["oz"]:
        milliliters = MILLILITERS["fl oz"]
    elif first in UNITS and UNITS[first].kind == "volume" and first not in ("shake", "dash"):
        milliliters = MILLILITERS[UNITS[first].name]
    elif first == "serving" and len(tokens) >= 2:
        numbers = [t for t in tokens if t.kind == "number"]
        units = [w for w in words[1:] if w in ("cup", "tbsp")]
        if units and numbers:
            amount = numbers[0].value or Decimal(1)
            if len(numbers) > 1 and any(t.text == "/" for t in tokens) and numbers[1].value:
                amount = amount / numbers[1].value
            milliliters = MILLILITERS[units[0]] * amount
    if milliliters is None and first in ("oz", "lb", "serving", "nlea", "gram", "cubic", "yields", "quart"):
        return None
    low = weight.measure.lower()
    size = next((s for s in _SIZES if s in low.split("(")[0]), "")
    package: Decimal | None = None
    for at, token in enumerate(tokens[:-1]):
        if token.kind == "number" and tokens[at + 1].text == "oz" and at > 0:
            package = token.value
            break
    return HouseholdMeasure(
        text=weight.measure,
        grams=grams,
        milliliters=milliliters,
        words=frozenset(stem(w) for w in words),
        first=stem(first),
        size=_SIZE_NAMES.get(size, size),
        package_oz=package,
    )


def read_households(weights: Iterable[HouseholdWeight]) -> list[HouseholdMeasure]:
    """All usable measures of a row, in the row's order."""
    return [measure for measure in map(read_household, weights) if measure is not None]
