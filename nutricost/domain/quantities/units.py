"""pint at one door: reading typed quantities, and the algebra of units that guards every ratio.

pint takes longer to start than everything else together, so its answers to the usual questions are kept
in `unit_answers`; only a question that is not there wakes it. A test asks pint every one of them again.
"""

from __future__ import annotations

import difflib
import re
from decimal import Decimal
from functools import cache, lru_cache
from threading import Lock
from typing import TYPE_CHECKING, Any, Literal

from nutricost.domain.quantities import unit_answers
from nutricost.domain.quantities.numbers import dec
from nutricost.domain.quantities.unit_definitions import CURRENCIES, DEFINITIONS, DISPLAY
from nutricost.errors import InputError, UnitMismatch

if TYPE_CHECKING:
    import pint

Kind = Literal["mass", "volume", "energy", "time", "length"]

BASE_UNIT: dict[Kind, str] = {"mass": "g", "volume": "mL", "energy": "kWh", "time": "h", "length": "cm"}
"""The unit in which `read_quantity` returns each kind."""

EXAMPLES: dict[Kind, str] = {
    "mass": '"370 g", "12.3 oz" or "2.5 kg"',
    "volume": '"240 mL" or "1 cup"',
    "energy": '"31 kWh"',
    "time": '"54 h"',
    "length": '"170 cm"',
}

_QUANTITY = re.compile(r"\s*([-+]?[\d.,]+(?:[eE][-+]?\d+)?)\s*(.*?)\s*\Z", re.DOTALL)
_TWO_UNITS = re.compile(r"\s*(\d+)\s*([^\W\d]+)\.?,?\s*(\d[\d.]*\s*[^\W\d][^\d]*)\Z")
"""Whole units and the rest in smaller ones, as a kitchen scale shows it: 7 lb 15.2 oz."""


_BUILDING = Lock()


def registry() -> pint.UnitRegistry[Any]:
    """The one unit registry, with exact Decimal factors. Imported late: pint is slow to start."""
    with _BUILDING:  # a cache alone lets two threads build one each, and pint refuses to mix them
        return _registry()


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    units: pint.UnitRegistry[Any] = pint.UnitRegistry(None, non_int_type=Decimal, cache_folder=None)
    units.load_definitions(DEFINITIONS)
    for code in CURRENCIES:
        units.define(f"{code} = [currency_{code}]")
    return units


@cache
def _names() -> dict[str, str]:
    """Every spelling of a unit, by itself and by its lower case where that is not ambiguous."""
    names: dict[str, str] = {}
    for line in DEFINITIONS:
        parts = [part.strip() for part in line.split("=")]
        for spelling in (parts[0], *parts[2:]):
            names[spelling] = parts[0]
    for spelling, name in list(names.items()):
        names.setdefault(spelling.lower(), name)
    return names


def _unit_name(text: str, kind: Kind) -> str:
    """The registry's name of a typed unit. Raises UnitMismatch with the nearest known unit."""
    cleaned = (
        text.strip().rstrip(".").replace("fl. oz", "fl oz").replace("fluid ", "fluid_").replace("fl ", "fl_")
    )
    if not cleaned:
        raise UnitMismatch(f"no unit given (accepted: {EXAMPLES[kind]})")
    if kind == "volume" and cleaned.lower() in ("oz", "ounce", "ounces"):
        return "floz"
    names = _names()
    name = names.get(cleaned) or names.get(cleaned.lower())
    if name is None:
        near = difflib.get_close_matches(cleaned, names, n=1)
        hint = f"did you mean {near[0]!r}?" if near else "not a unit this program knows"
        raise UnitMismatch(f"unknown unit {text!r} ({hint}; accepted: {EXAMPLES[kind]})")
    return name


def read_number(text: str) -> Decimal:
    """The number as typed, thousands commas allowed ("1,250.50"). Raises InputError otherwise."""
    cleaned = text.strip()
    if "," in cleaned:
        if not re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?", cleaned):
            raise InputError(f"{text!r} is not a number (accepted: a decimal point, such as 2.5)")
        cleaned = cleaned.replace(",", "")
    return dec(cleaned)


def read_quantity(text: str, kind: Kind) -> Decimal:
    """A typed quantity such as "12.3 oz", in the base unit of its kind (g, mL, kWh, h or cm).

    'oz' is weight where a weight is wanted and the fluid ounce where a volume is wanted. "7 lb 15 oz" and
    "2 h 30 min" are one quantity; the second part must be less than one of the first.
    Raises UnitMismatch for an unknown unit or another dimension, InputError for a bad number.
    """
    if two := _TWO_UNITS.match(text):
        one = unit_factor(_unit_name(two[2], kind), BASE_UNIT[kind])
        rest = read_quantity(two[3], kind)
        if rest >= one:
            raise InputError(
                f"{text!r}: {two[3].strip()} is not less than 1 {two[2]} (accepted: {EXAMPLES[kind]})"
            )
        return int(two[1]) * one + rest
    match = _QUANTITY.match(text)
    if match is None:
        raise InputError(f"{text!r} is not a {kind} (accepted: {EXAMPLES[kind]})")
    number, unit = read_number(match[1]), _unit_name(match[2], kind)
    return number * unit_factor(unit, BASE_UNIT[kind])


@lru_cache(maxsize=4096)
def unit_factor(unit: str, into: str) -> Decimal:
    """What one `unit` is in `into`. Raises UnitMismatch where the dimensions differ."""
    kept = unit_answers.FACTORS.get((unit, into))
    return Decimal(kept) if kept is not None else ask_factor(unit, into)


@lru_cache(maxsize=4096)
def unit_product(left: str, right: str) -> str:
    """The unit of a product, in canonical text."""
    kept = unit_answers.PRODUCTS.get((left, right))
    return kept if kept is not None else ask_product(left, right)


@lru_cache(maxsize=4096)
def unit_quotient(above: str, below: str) -> str:
    """The unit of a quotient, in canonical text."""
    kept = unit_answers.QUOTIENTS.get((above, below))
    return kept if kept is not None else ask_quotient(above, below)


def ask_factor(unit: str, into: str) -> Decimal:
    """What pint says one `unit` is in `into`. Raises UnitMismatch where the dimensions differ."""
    import pint

    try:
        converted = registry().Quantity(Decimal(1), _parsed(unit)).to(_parsed(into))
    except pint.DimensionalityError:
        raise UnitMismatch(f"{display_unit(unit)} cannot be read as {display_unit(into)}") from None
    return Decimal(converted.magnitude).normalize()


def ask_product(left: str, right: str) -> str:
    """What pint says the unit of a product is."""
    if not left or not right:
        return left or right
    return _written(_parsed(left) * _parsed(right))


def ask_quotient(above: str, below: str) -> str:
    """What pint says the unit of a quotient is."""
    if not below:
        return above
    if above == below:
        return ""
    return _written(_parsed(above) / _parsed(below)) if above else _written(1 / _parsed(below))


@cache
def _parsed(unit: str) -> Any:
    import pint

    try:
        return registry().parse_units(unit)
    except (pint.UndefinedUnitError, pint.DefinitionSyntaxError):
        raise UnitMismatch(f"unknown unit {unit!r}") from None


def _written(unit: Any) -> str:
    """The canonical text of a pint unit: 'USD/serving', 'kcal', '1/serving', '' for a pure number."""
    above = [_power(name, power) for name, power in sorted(unit._units.items()) if power > 0]
    below = [_power(name, -power) for name, power in sorted(unit._units.items()) if power < 0]
    text = "*".join(above) or ("1" if below else "")
    return "/".join([text, *below]) if below else text


def _power(name: str, power: Any) -> str:
    return name if power == 1 else f"{name}**{power}"


def display_unit(unit: str) -> str:
    """A unit as a person reads it, such as 'USD/100 kcal'."""
    for name, shown in DISPLAY.items():
        unit = unit.replace(name, shown)
    return unit
