"""The quantity of an ingredient line: amount, size, unit and package, wherever in the line it stands.

quantity := amount ["x" measure] [size] [measure] ["-"] [unit] [container] ["plus" amount unit]
measure  := amount unit of weight or volume [amount smaller unit]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.foods.amounts import Amount, read_amount
from nutricost.domain.foods.measures import FILLED, GRAMS, MILLILITERS, SIZES, Unit, unit_of
from nutricost.domain.foods.tokens import Token, stem
from nutricost.domain.foods.words import PREPARATION


@dataclass(frozen=True, slots=True)
class Measure:
    """An amount with its unit: a package size, or a second measure in brackets."""

    amount: Amount
    unit: Unit


@dataclass(slots=True)
class Quantity:
    """A quantity being read; `end` is the token after it."""

    amount: Amount | None = None
    unit: Unit | None = None
    size: str | None = None
    package: Measure | None = None
    total: Measure | None = None
    end: int = 0


def text_at(tokens: Sequence[Token], at: int) -> str:
    """The text of a token, empty outside the line."""
    return tokens[at].text if 0 <= at < len(tokens) else ""


def _skip_marks(tokens: Sequence[Token], at: int, marks: str = ".-") -> int:
    while at < len(tokens) and tokens[at].kind == "mark" and tokens[at].text in marks:
        at += 1
    return at


def unit_at(tokens: Sequence[Token], at: int) -> tuple[Unit, int] | None:
    """The unit at `at` and where it ends ('fl. oz.', 'lbs', 'T')."""
    if at >= len(tokens):
        return None
    text = tokens[at].text
    if text in ("fl", "fluid"):
        after = _skip_marks(tokens, at + 1)
        if text_at(tokens, after) in ("oz", "ounce", "ounces"):
            return Unit("fl oz", "volume"), _skip_marks(tokens, after + 1, ".")
    if tokens[at].kind == "number":
        return None
    unit = unit_of(tokens[at].raw)
    return None if unit is None else (unit, _skip_marks(tokens, at + 1, "."))


def measure_at(tokens: Sequence[Token], at: int) -> tuple[Measure, int] | None:
    """An amount with a unit of weight or volume at `at` ('15 oz', '400g', '14.75-oz')."""
    found = read_amount(tokens, at)
    if found is None:
        return None
    amount, end = found
    unit = unit_at(tokens, _skip_marks(tokens, end, "-"))
    if unit is None or unit[0].kind not in ("mass", "volume"):
        return None
    return _with_rest(tokens, Measure(amount, unit[0]), unit[1])


_METRIC = frozenset("g kg mg ml cl dl l".split())


def _with_rest(tokens: Sequence[Token], measure: Measure, end: int) -> tuple[Measure, int]:
    """The measure with the smaller one that completes it, and where it ends: '1 lb 4 oz', '1 cup 2 tbsp'.

    Whole units, then less than one more of the same kind and system; anything else may be the same amount
    said twice ('1 cup 225 ml', '1/2 lb 8 oz').
    """
    whole, unit = measure.amount, measure.unit
    found = measure_at(tokens, end)
    if found is None or whole.low != whole.high or whole.low % 1:
        return measure, end
    rest, after = found
    alike = rest.unit.kind == unit.kind and (rest.unit.name in _METRIC) == (unit.name in _METRIC)
    if not alike or rest.amount.high * _ratio(rest.unit, unit) >= 1:
        return measure, end
    return Measure(_sum(measure, rest), unit), after


def _ratio(part: Unit, unit: Unit) -> Decimal:
    """How many of `unit` one of `part` is, both of weight or both of volume."""
    scale = GRAMS if unit.kind == "mass" else MILLILITERS
    return scale[part.name] / scale[unit.name]


def _sum(measure: Measure, more: Measure) -> Amount:
    """Both amounts together, in the unit of the first."""
    amount, ratio = measure.amount, _ratio(more.unit, measure.unit)
    low, high = (end * ratio for end in (more.amount.low, more.amount.high))
    return Amount(amount.low + low, amount.high + high, amount.approximate)


def takes_unit(unit: Unit, tokens: Sequence[Token], start: int, end: int) -> bool:
    """Whether a word is meant as the unit: counts only where a food follows ('2 cloves garlic')."""
    if unit.kind in ("mass", "volume"):
        return (
            len(tokens[start].text) > 1 or end < len(tokens) or unit.name in ("tbsp", "tsp", "g", "l", "cup")
        )
    if unit.kind == "length":
        return end < len(tokens)
    after = end
    while text_at(tokens, after) in ("of", "-", "."):
        after += 1
    if after >= len(tokens) or tokens[after].text in (",", ";"):
        return unit.kind == "container"
    following = text_at(tokens, after)
    if stem(following) in PREPARATION and unit.kind == "count" and after + 1 >= len(tokens):
        return False
    return not (unit.name == "rib" and following in ("eye", "eyes", "roast", "steak", "steaks"))


def _size_at(tokens: Sequence[Token], at: int) -> tuple[str | None, int] | None:
    """The size at `at`, None for a word that only tells how a measure is filled, and where it ends."""
    text = text_at(tokens, at)
    if text == "extra" and text_at(tokens, _skip_marks(tokens, at + 1, "-")) == "large":
        return "extra large", _skip_marks(tokens, at + 1, "-") + 1
    if text in SIZES or text in FILLED:
        return SIZES.get(text), at + 1
    return None


def quantity_at(tokens: Sequence[Token], at: int) -> Quantity | None:
    """The quantity that starts at `at`, or None."""
    found = read_amount(tokens, at)
    if found is None:
        return None
    amount, end = found
    quantity = Quantity(amount)
    follows = text_at(tokens, end)
    if follows == "%":
        return None
    if follows in ('"', "”", "″"):
        quantity.unit = Unit("inch", "length")
        quantity.end = _after_unit(tokens, quantity, end + 1)
        return quantity
    times = follows in ("x", "@")  # '2 x 400 g tins', '2 x carrots'
    if times or (end < len(tokens) and tokens[end].kind == "number"):
        end += times
        package = measure_at(tokens, end)
        if package is not None:
            quantity.package, end = package
    end = _skip_marks(tokens, end, "-")
    while (sized := _size_at(tokens, end)) is not None:
        size, after = sized
        if size is not None:
            unit = unit_at(tokens, after)
            if size == "baby" or (size in ("thick", "thin") and unit is None):
                break
            quantity.size = quantity.size or size
        end = _skip_marks(tokens, after, ".-")
    unit_found = unit_at(tokens, end)
    if unit_found is not None and takes_unit(unit_found[0], tokens, end, unit_found[1]):
        quantity.unit, end = unit_found
        end = _after_unit(tokens, quantity, end)
    quantity.end = end
    return quantity


def unnumbered_at(tokens: Sequence[Token], at: int) -> Quantity | None:
    """One of a measure that stands without a number: 'pinch of salt', 'thumb-sized piece of ginger'."""
    end = at
    while text_at(tokens, end) in FILLED or text_at(tokens, end) in ("-", "generous", *SIZES):
        end += 1
    found = unit_at(tokens, end)
    if found is None or text_at(tokens, found[1]) != "of" or found[0].kind == "mass":
        return None
    if found[0].kind == "volume" and len(text_at(tokens, end)) < 3:
        return None
    return Quantity(Amount(Decimal(1), Decimal(1), approximate=True), found[0], end=found[1])


def _after_unit(tokens: Sequence[Token], quantity: Quantity, end: int) -> int:
    """Reads what may follow a unit: a container ('13.5 oz can'), a second system, 'plus 2 tablespoons'."""
    unit = quantity.unit
    if unit is None:
        return end
    if unit.kind == "length":
        after = _skip_marks(tokens, end, "-")
        piece = unit_at(tokens, after)
        return piece[1] if piece is not None and piece[0].kind == "count" else end
    if unit.kind not in ("mass", "volume"):
        return end
    measure, end = _with_rest(tokens, Measure(quantity.amount or Amount(Decimal(1), Decimal(1)), unit), end)
    amount = quantity.amount = measure.amount
    if text_at(tokens, end) == "/":
        second = measure_at(tokens, end + 1)
        if second is not None:
            end = second[1]
    if text_at(tokens, end) in ("plus", "+", "and", "&"):
        second = measure_at(tokens, end + 1)
        if second is not None and second[0].unit.kind == unit.kind:
            amount, end = _sum(Measure(amount, unit), second[0]), second[1]
            quantity.amount = amount
    after = _skip_marks(tokens, end, "-")
    while text_at(tokens, after) in FILLED:
        after += 1
    container = unit_at(tokens, after)
    if container is not None and container[0].kind == "container" and quantity.package is None:
        quantity.package = Measure(amount, unit)
        quantity.amount = Amount(Decimal(1), Decimal(1))
        quantity.unit = container[0]
        return container[1]
    return end
