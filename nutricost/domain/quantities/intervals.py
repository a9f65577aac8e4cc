"""Interval arithmetic on boxes of Decimals (Moore, Kearfott and Cloud 2009, chapter 5)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from nutricost.domain.quantities.numbers import ONE, ZERO

INFINITY = Decimal("Infinity")

Box = tuple[Decimal, Decimal]
"""The low and the high end of an interval."""

Operation = Literal["input", "sum", "difference", "product", "quotient", "function"]
"""How a figure is made of its parts."""


@dataclass(frozen=True, slots=True)
class Monotone:
    """A function of figures that rises (+1) or falls (-1) in each of them, such as rounding up.

    `slope` of 0 means that the direction is not known: the interval then takes all corners.
    """

    call: Callable[..., Decimal]
    slopes: tuple[int, ...]


def outcome(operation: Operation, values: Sequence[Decimal], function: Monotone | None) -> Decimal:
    """What one operation makes of exact values."""
    match operation:
        case "sum":
            return sum(values, ZERO)
        case "difference":
            return values[0] - values[1]
        case "product":
            return values[0] * values[1]
        case "quotient":
            return values[0] / values[1]
        case "function":
            assert function is not None
            return function.call(*values)
        case "input":
            return values[0]


def _times(left: Decimal, right: Decimal) -> Decimal:
    return ZERO if not left or not right else left * right


def natural_box(operation: Operation, boxes: Sequence[Box], function: Monotone | None) -> Box:
    """Natural interval extension of one operation (Moore, Kearfott and Cloud 2009, ch. 5)."""
    match operation:
        case "sum":
            return sum((box[0] for box in boxes), ZERO), sum((box[1] for box in boxes), ZERO)
        case "difference":
            return boxes[0][0] - boxes[1][1], boxes[0][1] - boxes[1][0]
        case "product":
            return product(boxes[0], boxes[1])
        case "quotient":
            return _quotient(boxes[0], boxes[1])
        case "function":
            assert function is not None
            return _function_box(function, boxes)
        case "input":
            return boxes[0]


def product(left: Box, right: Box) -> Box:
    if left[0] >= 0 and right[0] >= 0:
        return _times(left[0], right[0]), _times(left[1], right[1])
    corners = [_times(a, b) for a in left for b in right]
    return min(corners), max(corners)


def _quotient(above: Box, below: Box) -> Box:
    if below[0] <= 0 <= below[1]:
        return product(above, inverse(below))
    corners = [a / b for a in above for b in below]
    return min(corners), max(corners)


def inverse(box: Box) -> Box:
    low, high = box
    if low < 0 < high:
        return -INFINITY, INFINITY
    upper = INFINITY if low == 0 else ONE / low
    lower = -INFINITY if high == 0 else ONE / high
    return lower, upper


def _function_box(function: Monotone, boxes: Sequence[Box]) -> Box:
    corners: list[list[Decimal]] = []
    for end in (0, 1):
        reached: list[list[Decimal]] = [[]]
        for slope, box in zip(function.slopes, boxes, strict=True):
            choices = set(box) if slope == 0 else {box[end if slope > 0 else 1 - end]}
            reached = [[*corner, choice] for corner in reached for choice in choices]
        corners += reached
    results = [function.call(*corner) for corner in corners]
    return min(results), max(results)
