"""Ingredient lines with their amount scaled, the rest of the words as the cook wrote them."""

from __future__ import annotations

import re
from decimal import Decimal

from nutricost.domain.foods.amounts import Amount
from nutricost.domain.foods.lines import IngredientLine, read_line
from nutricost.domain.quantities import rounded

_NUMBER = r"(?:\d+\s+\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d+\s*[¼-¾⅐-⅞]|[¼-¾⅐-⅞]|\d+(?:[.,]\d+)?|\.\d+)"
_LEADING = re.compile(rf"\s*(-\s*)?({_NUMBER})(?:(\s*(?:-|–|to)\s*)({_NUMBER}))?(?![\d/.,])")
_PLACES = Decimal("0.001")
_CLOSE = Decimal("0.002")


def scaled_line(text: str, factor: Decimal) -> str | None:
    """The line with its leading amount times the factor, None where it does not lead with a number.

    '6 cans chili' times 7/6 is '7 cans chili', '1 1/2 cups rice' times 2 is '3 cups rice'. The result
    is read again: where it does not mean the scaled amount of the same, None is returned.
    """
    match, line = _LEADING.match(text), read_line(text)
    if match is None or line.amount is None or line.total is not None:
        return None
    amount = line.amount.times(factor)
    numbers = _shown(amount.low)
    if match[4] is not None:
        numbers += f"{match[3]}{_shown(amount.high)}"
    scaled = f"{match[1] or ''}{numbers}{text[match.end() :]}"
    return scaled if _means(read_line(scaled), amount, line) else None


def _shown(number: Decimal) -> str:
    return f"{max(rounded(number, _PLACES), _PLACES).normalize():f}"


def _means(scaled: IngredientLine, amount: Amount, line: IngredientLine) -> bool:
    """Whether the scaled text reads as the amount of the same thing."""
    if scaled.amount is None:
        return False
    pairs = ((scaled.amount.low, amount.low), (scaled.amount.high, amount.high))
    same = (scaled.unit, scaled.package, scaled.negative) == (line.unit, line.package, line.negative)
    same = same and scaled.words == line.words
    return same and all(abs(got - wanted) <= _CLOSE * max(wanted, Decimal(1)) for got, wanted in pairs)
