"""Views in their public form: figures as value, low, high and unit; money from its Decimal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_EVEN, Context, Decimal
from typing import Any

from nutricost.domain.quantities import Figure

_DIGITS = Context(prec=12, rounding=ROUND_HALF_EVEN)


def number(value: Decimal) -> Decimal | None:
    """A Decimal with at most 12 significant digits and no exponent; None where it is unbounded."""
    if not value.is_finite():
        return None
    shown = _DIGITS.plus(value)
    return Decimal(f"{shown:f}")


def figure_json(figure: Figure, unit: str | None = None) -> dict[str, Any]:
    """A figure in the public form; an unknown one has `why`, and `known` where a part is known."""
    shown = unit or figure.shown_unit
    if figure.value is None:
        unknown: dict[str, Any] = {"value": None, "unit": shown, "why": figure.why}
        if figure.known is not None:
            unknown["known"] = figure_json(figure.known, unit)
        return unknown
    return {
        "value": number(figure.value),
        "low": number(figure.low),
        "high": number(figure.high),
        "unit": shown,
    }


def plain(view: Any) -> Any:
    """The view with every figure in its public form and every Decimal cut to 12 digits."""
    match view:
        case Figure():
            return figure_json(view)
        case Decimal():
            return number(view)
        case str() | None | bool() | int():
            return view
        case Mapping():
            return {str(key): plain(value) for key, value in view.items()}
        case Sequence():
            return [plain(item) for item in view]
        case _:
            raise TypeError(f"{type(view).__name__} has no public form")
