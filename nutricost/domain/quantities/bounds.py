"""Interval of a figure whose inputs are used more than once: tight, and never too narrow."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from nutricost.domain.quantities.intervals import INFINITY, Box, inverse, natural_box, product
from nutricost.domain.quantities.numbers import ONE, ZERO

if TYPE_CHECKING:
    from nutricost.domain.quantities.figures import Figure


def ordered(root: Figure) -> list[Figure]:
    """The graph below `root` in topological order (iterative: a batch may have thousands of lines)."""
    order: list[Figure] = []
    seen: set[int] = set()
    stack: list[tuple[Figure, bool]] = [(root, False)]
    while stack:
        figure, expanded = stack.pop()
        if expanded:
            order.append(figure)
        elif id(figure) not in seen:
            seen.add(id(figure))
            stack.append((figure, True))
            stack.extend((part, False) for part in reversed(figure.parts) if id(part) not in seen)
    return order


def tight_box(root: Figure) -> Box:
    """Interval of a figure whose inputs are used more than once; it contains every value they allow.

    Two facts of interval analysis (Moore, Kearfott and Cloud 2009, chapter 6): where the interval of a
    derivative keeps one sign, the extreme lies at that input's end; and a function that is a ratio of
    two linear ones in an input is monotone in it, so its extreme lies at one of the two ends, and both
    are tried. An input for which neither helps keeps its whole range.
    """
    order = [figure for figure in ordered(root) if figure.inexact]
    boxes = {id(figure): figure.natural for figure in order if not figure.parts}
    bottom = _extreme(root, order, dict(boxes), -1, _BRANCHES)
    top = _extreme(root, order, dict(boxes), 1, _BRANCHES)
    natural, value = root.natural, root.must()
    # Rounding in the last of 28 digits must not push the value out of its own interval.
    return min(max(bottom, natural[0]), value), max(min(top, natural[1]), value)


_BRANCHES = 6
"""How many inputs are tried at both ends before the rest keep their whole range."""


def _extreme(
    root: Figure, order: Sequence[Figure], leaves: dict[int, Box], side: int, branches: int
) -> Decimal:
    """A bound of `root` from below (side -1) or above (+1) with its inputs in `leaves`."""
    while True:
        boxes = _evaluated(order, leaves)
        open_leaves = [key for key, box in leaves.items() if box[0] != box[1]]
        if not open_leaves:
            break
        slopes = _derivatives(root, order, boxes)
        decided = False
        for key in open_leaves:
            least, most = slopes[key]
            if least >= 0 or most <= 0:
                end = leaves[key][int((least >= 0) == (side > 0))]
                leaves[key] = (end, end)
                decided = True
        if not decided:
            branch = _branch_on(order, leaves, slopes) if branches else None
            if branch is None:
                break
            ends = [
                _extreme(root, order, {**leaves, branch: (end, end)}, side, branches - 1)
                for end in leaves[branch]
            ]
            return max(ends) if side > 0 else min(ends)
    return boxes[id(root)][int(side > 0)]


def _branch_on(order: Sequence[Figure], leaves: dict[int, Box], slopes: dict[int, Box]) -> int | None:
    """The undecided input to try at both ends: of those it is valid for, the one that matters most."""
    widths = {
        key: (box[1] - box[0]) * max(abs(slopes[key][0]), abs(slopes[key][1]))
        for key, box in leaves.items()
        if box[0] != box[1]
    }
    for key in sorted(widths, key=lambda key: -widths[key]):
        if _is_linear_fractional(order, key):
            return key
    return None


def _is_linear_fractional(order: Sequence[Figure], leaf: int) -> bool:
    """Whether the last figure of `order` is a ratio of two functions linear in an input."""
    degrees: dict[int, tuple[int, int]] = {leaf: (1, 0)}
    for figure in order:
        if not figure.parts:
            continue
        below = [degrees.get(id(part), (0, 0)) for part in figure.parts]
        if not any(map(any, below)):
            continue
        if figure.operation == "function":
            return False
        if figure.operation == "product":
            degree = below[0][0] + below[1][0], below[0][1] + below[1][1]
        elif figure.operation == "quotient":
            degree = below[0][0] + below[1][1], below[0][1] + below[1][0]
        else:
            denominator = sum(part[1] for part in below)
            degree = max(part[0] + denominator - part[1] for part in below), denominator
        degrees[id(figure)] = degree
    return max(degrees[id(order[-1])]) <= 1


def _derivatives(root: Figure, order: Sequence[Figure], boxes: dict[int, Box]) -> dict[int, Box]:
    """Intervals of the derivative of `root` by every figure below it (reverse mode)."""
    slopes: dict[int, Box] = {id(figure): (ZERO, ZERO) for figure in order}
    slopes[id(root)] = (ONE, ONE)
    for figure in reversed(order):
        local_slopes = _local_slopes(figure, [boxes.get(id(part), part.natural) for part in figure.parts])
        for part, local in zip(figure.parts, local_slopes, strict=True):
            if part.inexact:
                gained, before = product(slopes[id(figure)], local), slopes[id(part)]
                slopes[id(part)] = (before[0] + gained[0], before[1] + gained[1])
    return slopes


def _local_slopes(figure: Figure, boxes: Sequence[Box]) -> list[Box]:
    match figure.operation:
        case "sum":
            return [(ONE, ONE)] * len(boxes)
        case "difference":
            return [(ONE, ONE), (-ONE, -ONE)]
        case "product":
            return [boxes[1], boxes[0]]
        case "quotient":
            one_over = inverse(boxes[1])
            below = product(product(boxes[0], one_over), one_over)
            return [one_over, (-below[1], -below[0])]
        case "input":
            return []
        case "function":
            assert figure.function is not None
            # Only the sign is known; the size of the slope can be anything.
            signs = {1: (ZERO, INFINITY), -1: (-INFINITY, ZERO), 0: (-INFINITY, INFINITY)}
            return [signs[slope] for slope in figure.function.slopes]


def _evaluated(order: Sequence[Figure], leaves: dict[int, Box]) -> dict[int, Box]:
    """Natural intervals of every figure of `order`, by identity, with inputs in `leaves`."""
    boxes = dict(leaves)
    for figure in order:
        if figure.parts:
            below = [boxes.get(id(part), part.natural) for part in figure.parts]
            boxes[id(figure)] = natural_box(figure.operation, below, figure.function)
    return boxes
