"""Numbers and days given as options, refused with the option's name and what is accepted."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from nutricost.errors import InputError


def number_option(
    option: str, text: str, accepted: str, *, low: int | None = None, above: int | None = None,
    below: int | None = None,
) -> Decimal:  # fmt: skip
    """The number that an option was given. Raises InputError outside [low, below) or at most `above`."""
    from nutricost.domain.quantities import read_number

    try:
        value = read_number(text)
    except InputError:
        raise InputError(f"{option}: {text!r} is not a number (accepted: {accepted})") from None
    if (
        (low is not None and value < low)
        or (above is not None and value <= above)
        or (below is not None and value >= below)
    ):
        raise InputError(f"{option}: {text} is out of range (accepted: {accepted})")
    return value


def day_option(option: str, text: str) -> date:
    """The day that an option was given. Raises InputError."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"{option}: {text!r} is no date (accepted: a day such as 2026-12-01)") from None
