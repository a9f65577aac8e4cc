"""The one door to exact numbers: Decimal in, Decimal out, never a float."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal, InvalidOperation

from nutricost.errors import InputError

ZERO = Decimal(0)
ONE = Decimal(1)
_MOST_DIGITS = 15


def dec(number: str | int | Decimal) -> Decimal:
    """The number as a finite Decimal.

    Raises InputError for a float (it has already lost digits), for text that is no number, for NaN or
    infinity, and for a size that no document means and no sum survives (beyond 10^15 or 10^-15).
    """
    if isinstance(number, bool) or not isinstance(number, str | int | Decimal):
        raise InputError(f"{number!r} is no exact number (accepted: text, whole number or Decimal)")
    try:
        value = Decimal(number)
    except InvalidOperation:
        raise InputError(f"{number!r} is not a number (accepted: digits with a decimal point)") from None
    if not value.is_finite():
        raise InputError(f"{number!r} is not a finite number (accepted: an ordinary number)")
    if not -_MOST_DIGITS <= value.adjusted() < _MOST_DIGITS:
        raise InputError(f"{number!r} is too large or too small (accepted: an ordinary number)")
    return value


def rounded(value: Decimal, step: Decimal) -> Decimal:
    """The value rounded half up to a multiple of `step` (> 0)."""
    return (value / step).to_integral_value(rounding=ROUND_HALF_UP) * step


def ceiling(value: Decimal) -> Decimal:
    """The smallest whole number that is not below the value."""
    return value.to_integral_value(rounding=ROUND_CEILING)


def floor(value: Decimal) -> Decimal:
    """The largest whole number that is not above the value."""
    return value.to_integral_value(rounding=ROUND_FLOOR)
