"""Ranking by any ratio of two known quantities, read from words such as 'calories per dollar'."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.comparison.offers import Offer
from nutricost.domain.quantities import ONE, Figure, dec, display_unit
from nutricost.domain.quantities.unit_definitions import CURRENCIES
from nutricost.errors import InputError

QUANTITIES = (
    "energy", "protein", "fat", "saturated fat", "carbohydrate", "fiber", "sugar", "sodium", "weight",
    "water", "cost", "serving", "machine hour",
)  # fmt: skip

_WORDS: Mapping[str, str] = {
    **dict.fromkeys("energy calorie calories kcal kcals cal kilocalories".split(), "energy"),
    **dict.fromkeys("protein proteins".split(), "protein"),
    **dict.fromkeys("fat fats".split(), "fat"),
    "saturated fat": "saturated_fat",
    **dict.fromkeys("carbohydrate carbohydrates carbs carb".split(), "carbohydrate"),
    **dict.fromkeys("fiber fibre".split(), "fiber"),
    **dict.fromkeys("sugar sugars".split(), "sugar"),
    **dict.fromkeys("sodium".split(), "sodium"),
    **dict.fromkeys(
        "weight gram grams g ounce ounces oz pound pounds lb lbs kg kilogram kilograms".split(), "weight"
    ),
    **dict.fromkeys("water".split(), "water"),
    **dict.fromkeys("cost costs price money dollar dollars".split(), "cost"),
    **dict.fromkeys("serving servings".split(), "serving"),
    **dict.fromkeys(("machine hour", "machine hours", "hour", "hours"), "machine_hour"),
}
_UNITS = {
    **dict.fromkeys("ounce ounces oz".split(), "oz"),
    **dict.fromkeys("pound pounds lb lbs".split(), "lb"),
    **dict.fromkeys("kg kilogram kilograms".split(), "kg"),
    **dict.fromkeys("g gram grams".split(), "g"),
    **dict.fromkeys("mg milligram milligrams".split(), "mg"),
}
_BURDENS = {"cost", "weight", "water", "machine_hour", "sodium", "saturated_fat", "sugar"}
"""Quantities of which less is better, when they stand above the line."""


@dataclass(frozen=True, slots=True)
class Term:
    """One side of a ratio: so many of a quantity, in a unit of its own where the words name one."""

    quantity: str
    amount: Decimal
    unit: str | None

    def of(self, offer: Offer) -> Figure:
        """The offer's whole in this quantity."""
        if self.quantity == "cost":
            figure = offer.cost
        elif self.quantity == "serving":
            figure = offer.servings
        else:
            figure = offer.whole[self.quantity]
        return figure.to(self.unit) if self.unit else figure

    def written(self, unit: str) -> str:
        """The unit with its amount, such as '1000 kcal'."""
        shown = display_unit(unit)
        return shown if self.amount == 1 else f"{self.amount.normalize():f} {shown}"


@dataclass(frozen=True, slots=True)
class RankMeasure:
    """A ratio to rank by: `above` per `below`."""

    text: str
    above: Term
    below: Term

    @property
    def less_is_better(self) -> bool:
        """Whether the smaller ratio ranks first, as money for energy does."""
        return self.above.quantity in _BURDENS


@dataclass(frozen=True, slots=True)
class Ranked:
    """An offer with its ratio and the inverse, and the units both are written in."""

    offer: Offer
    value: Figure
    inverse: Figure
    unit: str
    inverse_unit: str


def read_measure(text: str, currency: str) -> RankMeasure:
    """The measure that words such as 'dollars per 1000 calories' name. Raises InputError otherwise."""
    sides = re.split(r"\s+per\s+|\s*/\s*", text.strip().lower())
    if len(sides) != 2:
        raise InputError(f"{text!r} is not a measure (accepted: 'A per B', such as 'calories per dollar')")
    above, below = (_term(side, currency) for side in sides)
    if above.quantity == below.quantity:
        raise InputError(f"{text!r} divides {above.quantity} by itself (accepted: two different quantities)")
    return RankMeasure(text.strip(), above, below)


def _term(text: str, currency: str) -> Term:
    match = re.fullmatch(r"(?:([\d.,]+)\s*)?(?:(g|grams?|mg|milligrams?) (?:of )?)?([a-z_ ]+?)", text)
    number, prefix, name = match.groups() if match else (None, None, text)
    words = name.replace("_", " ").strip()
    amount = dec(number.replace(",", "")) if number else ONE
    if words.upper() in CURRENCIES or words.rstrip("s").upper() in CURRENCIES:
        if words.upper()[:3] != currency:
            raise InputError(f"{words!r} is not the currency of the offers (accepted: {currency})")
        words = "cost"
    quantity = _WORDS.get(words)
    if quantity is None or amount <= 0:
        raise InputError(f"{text!r} is not a known quantity (accepted: {', '.join(QUANTITIES)})")
    return Term(quantity, amount, _UNITS.get(words) or _UNITS.get(prefix or ""))


def rank_offers(measure: RankMeasure, offers: Sequence[Offer]) -> list[Ranked]:
    """The offers best first, those whose ratio is not known last, each with ratio and inverse."""
    ranked = [_ranked(measure, offer) for offer in offers]
    sign = 1 if measure.less_is_better else -1

    def place(entry: Ranked) -> tuple[bool, Decimal]:
        value = entry.value.value
        return value is None, sign * (value if value is not None else Decimal(0))

    return sorted(ranked, key=place)


def _ranked(measure: RankMeasure, offer: Offer) -> Ranked:
    above, below = measure.above.of(offer), measure.below.of(offer)
    # 'per 1000 calories' asks for the ratio to so many units, so the divisor is counted in thousands.
    value = (above / measure.above.amount) / (below / measure.below.amount)
    inverse = (below / measure.below.amount) / (above / measure.above.amount)
    top, bottom = measure.above.written(above.unit), measure.below.written(below.unit)
    return Ranked(
        offer,
        value.named(measure.text, formula=f"{measure.above.quantity} / {measure.below.quantity}"),
        inverse.named(f"inverse of {measure.text}"),
        f"{top}/{bottom}",
        f"{bottom}/{top}",
    )
