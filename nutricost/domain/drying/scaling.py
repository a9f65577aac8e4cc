"""The same again, larger or smaller; and what a batch's share of a common cycle is."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from nutricost.domain.drying.balance import assumed_residual_moisture
from nutricost.domain.quantities import ONE, Figure, Monotone, apply, ceiling, rounded
from nutricost.errors import InputError


def load_factor(done: Figure, wanted: Figure) -> Figure:
    """How many times the past load is wanted: trays for trays, packages for packages. [ratio]

    Raises InputError where either is not above 0, UnitMismatch where the units differ.
    """
    for each in (done, wanted):
        if each.is_known and each.low <= 0:
            raise InputError(f"{each.name}: {each.must().normalize():f} (accepted: above 0)")
    return (wanted / done.to(wanted.unit)).named("load factor", formula=f"{wanted.name} / {done.name}")


def scaled_load(load: Mapping[str, Figure], factor: Figure) -> dict[str, Figure]:
    """A past load's amounts (weights, servings, water, cost) times the factor. [units as they were]

    Hours of a cycle do not scale; take them from the cycle log.
    """
    return {
        key: (figure * factor).named(figure.name or key, formula="past load x load factor")
        for key, figure in load.items()
    }


def share_of_cycle(own: Figure, others: Figure) -> Figure:
    """A batch's share of a cycle it shared, by trays or by water removed. [fraction]"""
    whole = own + others.to(own.unit)
    return (own / whole).named("share of the cycle", formula="own / (own + others)")


def whole_pieces(pieces: Figure) -> Figure:
    """Trays or bags rounded up to whole ones. [unit of pieces]

    A billionth above a whole number is the rounding of a third, not another tray.
    """
    whole = Monotone(lambda count: ceiling(rounded(count, Decimal("1e-9"))), (1,))
    return apply(whole, (pieces,), pieces.unit, pieces.name, formula="rounded up")


def moisture_change() -> Figure:
    """How much more or less the same food may weigh when it is dried again. [ratio]

    Residual moisture of dried food is 1 to 4 % (textbook range, from memory): one drying may end at one
    end and the next at the other, so the ratio runs from 0.96 / 0.99 to 0.99 / 0.96.
    """
    usual = assumed_residual_moisture()
    least = (ONE - usual.high) / (ONE - usual.low)
    return Figure.between(
        least, ONE / least, "", "dried a little more or less than last time", value=ONE, standing="assumed",
        source=usual.source,
    )  # fmt: skip
