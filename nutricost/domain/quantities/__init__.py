"""Numbers, units, money and figures: the bottom of the domain."""

from nutricost.domain.quantities.figures import Figure, apply, not_below_zero, total
from nutricost.domain.quantities.intervals import Monotone
from nutricost.domain.quantities.money import check_currency, minor_unit, read_money, split_money
from nutricost.domain.quantities.numbers import ONE, ZERO, ceiling, dec, floor, rounded
from nutricost.domain.quantities.units import display_unit, read_number, read_quantity, unit_factor

__all__ = [
    "ONE", "ZERO", "Figure", "Monotone", "apply", "ceiling", "check_currency", "dec", "display_unit",
    "floor", "minor_unit", "not_below_zero", "read_money", "read_number", "read_quantity", "rounded",
    "split_money", "total", "unit_factor",
]  # fmt: skip
