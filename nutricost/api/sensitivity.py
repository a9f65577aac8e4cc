"""Which inputs move a figure most: by their own range, and by what 10 % would do to the exact ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, DivisionByZero, InvalidOperation
from typing import Any

from nutricost.domain.comparison import Offer, measures
from nutricost.domain.quantities import ONE, Figure
from nutricost.domain.quantities.display import shown_number

STEP = Decimal("0.1")
"""How far an exact input is moved to see what it does."""

_NOT_INPUTS = ("unit definition", "definition", "basis")
"""Sources of figures that nobody could have got wrong."""

_COUNTS = ("bag", "tray", "cycle", "package", "serving", "batch", "person")
"""Units of things that are counted: a count is right or it is another document."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One input moved from `low` to `high` [unit], and the figure at either end [unit of the figure]."""

    name: str
    unit: str
    low: Decimal
    high: Decimal
    at_low: Decimal
    at_high: Decimal

    @property
    def width(self) -> Decimal:
        """How far the two outcomes lie apart. [unit of the figure]"""
        if not (self.at_low.is_finite() and self.at_high.is_finite()):
            return Decimal("Infinity")
        return abs(self.at_high - self.at_low)

    @property
    def shown_input(self) -> str:
        """The input's two ends with its unit, for people."""
        ends = [shown_number(end, self.unit) for end in (self.low, self.high)]
        if ends[0] == ends[1]:
            ends = [f"{end.normalize():.4g}" for end in (self.low, self.high)]
        return f"{ends[0]} to {ends[1]} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What moves a figure: inputs with a range by that range, and exact inputs if they were 10 % off.

    Both widest first. The two are not of one kind: a range says what is not known, 10 % only what
    would follow.
    """

    figure: Figure
    by_range: tuple[Effect, ...]
    if_ten_percent_off: tuple[Effect, ...]

    def rows(self, effects: Sequence[Effect]) -> list[list[str]]:
        """Effects as text: input, its ends, the figure at both."""
        unit = self.figure.unit
        return [
            [
                effect.name,
                effect.shown_input,
                f"{shown_number(effect.at_low, unit)} to {shown_number(effect.at_high, unit)}",
            ]
            for effect in effects
        ]


def sensitivity(figure: Figure, top: int = 5) -> Sensitivity:
    """The inputs that move a figure most, `top` of each kind; none where the figure is not known."""
    if not figure.is_known:
        return Sensitivity(figure, (), ())
    ranged, exact = [], []
    for leaf in figure.leaves():
        if not leaf.is_exact:
            ranged.append(_effect(figure, leaf, leaf.low, leaf.high))
        elif leaf.value and _is_an_input(leaf):
            exact.append(_effect(figure, leaf, leaf.value * (ONE - STEP), leaf.value * (ONE + STEP)))
    return Sensitivity(figure, _widest(figure, ranged, top), _widest(figure, exact, top))


def home_sensitivities(offers: Sequence[Offer], top: int = 5) -> list[tuple[Offer, Sensitivity]]:
    """What moves the energy for the money of each home batch. [kcal/money]"""
    return [(offer, sensitivity(energy_per_money(offer), top)) for offer in offers if offer.kind == "home"]


def sensitivity_view(offer: Offer, found: Sensitivity) -> dict[str, Any]:
    """The public form: inputs moved from low to high, and the figure at either end; null is no limit."""
    return {
        "name": offer.name,
        "figure": found.figure,
        "by_range": [_effect_view(effect) for effect in found.by_range],
        "if_ten_percent_off": [_effect_view(effect) for effect in found.if_ten_percent_off],
    }


def _effect_view(effect: Effect) -> dict[str, Any]:
    return {
        "input": effect.name,
        "unit": effect.unit,
        "low": effect.low,
        "high": effect.high,
        "at_low": effect.at_low,
        "at_high": effect.at_high,
    }


def energy_per_money(offer: Offer) -> Figure:
    """The measure whose sensitivity a comparison shows. [kcal/money]"""
    return measures(offer)[f"kcal_per_{offer.currency.lower()}"]


def _is_an_input(leaf: Figure) -> bool:
    """Whether somebody weighed, paid, printed or measured it; shares and counts are no such thing."""
    plain = not leaf.unit or leaf.unit.startswith("1/") or leaf.unit in _COUNTS
    return bool(leaf.name) and not plain and leaf.source not in _NOT_INPUTS


def _effect(figure: Figure, leaf: Figure, low: Decimal, high: Decimal) -> Effect:
    at_low, at_high = (_at(figure, leaf, end) for end in (low, high))
    return Effect(leaf.name, leaf.shown_unit, low, high, at_low, at_high)


def _at(figure: Figure, leaf: Figure, value: Decimal) -> Decimal:
    """The figure with one input moved; unbounded where that makes a divisor zero."""
    try:
        return figure.at({id(leaf): value})
    except (DivisionByZero, InvalidOperation):
        return Decimal("Infinity")


def _widest(figure: Figure, effects: Sequence[Effect], top: int) -> tuple[Effect, ...]:
    """Effects that can be seen at the digits shown, widest first."""
    moving = [
        effect
        for effect in effects
        if shown_number(effect.at_low, figure.unit) != shown_number(effect.at_high, figure.unit)
    ]
    return tuple(sorted(moving, key=lambda effect: -effect.width)[:top])
