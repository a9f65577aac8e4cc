"""Figures as a person reads them: rounded once, with their range, unknowns in words."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal

from nutricost.domain.quantities.figures import Figure
from nutricost.domain.quantities.unit_definitions import CURRENCIES

NOT_KNOWN = "not known"

_WIDE = Context(prec=200)
"""Room for products of the largest numbers that are read; the usual 28 digits refuse to round those."""

_PLACES = {"kcal": 0, "mg": 0, "g": 0, "mL": 0, "kWh": 2, "h": 1, "serving": 1, "cup": 2, "": 3}
"""Decimals of a whole figure by the unit it starts with."""


_COUNTED = ("serving", "package", "bag", "batch", "cycle", "tray")
"""Things that come in whole numbers, shown without decimals where they are whole."""


_SMALL = ("kcal", "mg", "g", "mL")
"""Units so small that little of anything is in one of them."""


def places_for(value: Decimal, unit: str) -> int:
    """How many decimals a value is shown with: fewer for large amounts, cents for money."""
    above, _, below = unit.partition("/")
    if above in CURRENCIES:
        minor = CURRENCIES[above]
        return max(minor, _three_digits(value)) if below and minor else minor
    places = _PLACES.get(above, 2)
    if (below in CURRENCIES or below in _SMALL or below == "h") and abs(value) < 1:
        # Little is had for one coin, in one mg or kcal, or in an hour; neither it nor its range is nothing.
        return _three_digits(value)
    if below in _SMALL and abs(value) < 10:
        return 2
    if places == 0 and abs(value) < 100 and above == "g":
        return 1
    if above == "kcal" and abs(value) < 10:
        return 2
    return places


def _three_digits(value: Decimal) -> int:
    """Decimals that show three significant digits of a value below 1."""
    return 2 - value.adjusted() if 0 < abs(value) < 1 else 0


def shown_number(value: Decimal, unit: str) -> str:
    """A number with the decimals that suit its unit, thousands kept together."""
    if not value.is_finite():
        return "no limit"
    if value == value.to_integral_value() and unit.partition("/")[0] in _COUNTED:
        return f"{value.to_integral_value():f}"
    step = Decimal(1).scaleb(-places_for(value, unit))
    return f"{value.quantize(step, rounding=ROUND_HALF_UP, context=_WIDE):f}"


def shown(figure: Figure) -> str:
    """The value alone, or 'not known'."""
    return NOT_KNOWN if figure.value is None else shown_number(figure.value, figure.unit)


def shown_range(figure: Figure) -> str:
    """'low to high' where the figure is not exact at the digits shown; empty otherwise."""
    if figure.value is None or figure.is_exact:
        return ""
    low, high = shown_number(figure.low, figure.unit), shown_number(figure.high, figure.unit)
    return "" if low == high else f"{low} to {high}"


def shown_with_range(figure: Figure) -> str:
    """'174 (169 to 179)', or the value alone, or 'not known'."""
    spread = shown_range(figure)
    return f"{shown(figure)} ({spread})" if spread else shown(figure)
