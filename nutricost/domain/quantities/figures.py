"""A figure: a value with its interval and unit, and the expression it came from.

Figures form a graph. Leaves are inputs (a table value, a printed label figure, a price, a weighing);
every other figure names the operation on its parts. The graph gives, without further bookkeeping:

- the interval, in which each input counts once however often it is used (`low`, `high`);
- the trace of a number down to its inputs (`parts`, `formula`, `source`);
- which input the width comes from (`contributions`).

Units are checked at every step; `units` does that through pint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from nutricost.domain.quantities.numbers import ONE, ZERO
from nutricost.domain.quantities.units import display_unit, unit_factor, unit_product, unit_quotient
from nutricost.errors import InputError

INFINITY = Decimal("Infinity")

Box = tuple[Decimal, Decimal]
Operation = Literal["input", "sum", "difference", "product", "quotient", "function"]


@dataclass(frozen=True, slots=True)
class Monotone:
    """A function of figures that rises (+1) or falls (-1) in each of them, such as rounding up.

    `slope` of 0 means that the direction is not known: the interval then takes all corners.
    """

    call: Callable[..., Decimal]
    slopes: tuple[int, ...]


class Figure:
    """A quantity with unit and interval, known or unknown; immutable. Build with the class methods."""

    __slots__ = (
        "_box", "_leaves", "_natural", "_tight",
        "formula", "function", "known", "name", "operation", "parts", "source", "standing", "unit", "value",
        "why",
    )  # fmt: skip

    value: Decimal | None
    unit: str
    name: str
    operation: Operation
    parts: tuple[Figure, ...]
    source: str
    standing: str
    formula: str
    why: str
    known: Figure | None
    function: Monotone | None

    def __init__(
        self,
        value: Decimal | None,
        unit: str,
        *,
        natural: Box | None = None,
        name: str = "",
        operation: Operation = "input",
        parts: tuple[Figure, ...] = (),
        source: str = "",
        standing: str = "",
        formula: str = "",
        why: str = "",
        known: Figure | None = None,
        function: Monotone | None = None,
    ) -> None:
        self.value = value
        self.unit = unit
        self.name = name
        self.operation = operation
        self.parts = parts
        self.source = source
        self.standing = standing
        self.formula = formula
        self.why = why
        self.known = known
        self.function = function
        self._natural: Box = natural or ((ZERO, ZERO) if value is None else (value, value))
        self._box: Box | None = None
        self._leaves, self._tight = self._inexact_leaves()

    # -- making inputs ----------------------------------------------------------------------------

    @classmethod
    def exact(
        cls, value: Decimal | int, unit: str, name: str = "", *, source: str = "", standing: str = ""
    ) -> Figure:
        """An input that is known exactly [unit]; without a source it is a definition, such as one bag."""
        return cls(Decimal(value), unit, name=name, source=source or "by definition", standing=standing)

    @classmethod
    def between(
        cls,
        low: Decimal,
        high: Decimal,
        unit: str,
        name: str = "",
        *,
        value: Decimal | None = None,
        source: str = "",
        standing: str = "",
    ) -> Figure:
        """An input known to lie in [low, high]; its value is the midpoint unless given. [unit]

        Raises InputError where the interval is reversed or the value lies outside it.
        """
        if low > high:
            raise InputError(f"{name or 'interval'}: reversed, {low} is above {high} (accepted: [low, high])")
        best = (low + high) / 2 if value is None else value
        if not low <= best <= high:
            raise InputError(f"{name or 'interval'}: {best} lies outside [{low}, {high}]")
        return cls(best, unit, natural=(low, high), name=name, source=source, standing=standing)

    @classmethod
    def unknown(
        cls, unit: str, why: str, name: str = "", *, source: str = "", known: Figure | None = None
    ) -> Figure:
        """A figure that nobody knows, with the reason. Never a zero."""
        return cls(None, unit, name=name, why=why, source=source, known=known)

    # -- reading ----------------------------------------------------------------------------------

    @property
    def is_known(self) -> bool:
        """Whether the figure has a value."""
        return self.value is not None

    @property
    def box(self) -> Box:
        """(low, high) [unit], each input counted once. Raises InputError where the value is unknown."""
        if self.value is None:
            raise InputError(f"{self.name or 'figure'} is not known: {self.why}")
        if self._box is None:
            self._box = self._natural if self._tight else _tight_box(self)
        return self._box

    @property
    def low(self) -> Decimal:
        """The least value the inputs allow. [unit]"""
        return self.box[0]

    @property
    def high(self) -> Decimal:
        """The largest value the inputs allow. [unit]"""
        return self.box[1]

    @property
    def is_exact(self) -> bool:
        """Whether low, value and high agree."""
        return self.is_known and self.low == self.high

    @property
    def shown_unit(self) -> str:
        """The unit as a person reads it."""
        return display_unit(self.unit)

    def must(self) -> Decimal:
        """The value. [unit] Raises InputError where it is unknown."""
        if self.value is None:
            raise InputError(f"{self.name or 'figure'} is not known: {self.why}")
        return self.value

    def __repr__(self) -> str:
        if self.value is None:
            return f"<Figure {self.name!r} unknown {self.unit}: {self.why}>"
        return f"<Figure {self.name!r} {self.value} [{self._natural[0]}, {self._natural[1]}] {self.unit}>"

    # -- combining --------------------------------------------------------------------------------

    def named(self, name: str, *, formula: str = "", source: str = "") -> Figure:
        """The same figure under another name in the trace."""
        if self.operation == "input":
            # An input must stay one node, or it would count twice.
            return total([self], name, formula=formula or self.name, source=source)
        copy = object.__new__(Figure)
        for slot in Figure.__slots__:
            setattr(copy, slot, getattr(self, slot))
        copy.name = name
        copy.formula = formula or self.formula
        copy.source = source or self.source
        return copy

    def __add__(self, other: Figure) -> Figure:
        return total([self, other], "")

    def __sub__(self, other: Figure) -> Figure:
        return _combine("difference", (self, other.to(self.unit)), self.unit)

    def __mul__(self, other: Figure | Decimal | int) -> Figure:
        factor = other if isinstance(other, Figure) else Figure.exact(Decimal(other), "", "factor")
        return _combine("product", (self, factor), unit_product(self.unit, factor.unit))

    def __truediv__(self, other: Figure | Decimal | int) -> Figure:
        divisor = other if isinstance(other, Figure) else Figure.exact(Decimal(other), "", "divisor")
        return _combine("quotient", (self, divisor), unit_quotient(self.unit, divisor.unit))

    def to(self, unit: str) -> Figure:
        """The same quantity in another unit. Raises UnitMismatch where the dimensions differ."""
        if unit == self.unit:
            return self
        factor = unit_factor(self.unit, unit)
        conversion = Figure.exact(
            factor,
            unit_quotient(unit, self.unit),
            f"{display_unit(unit)} in one {self.shown_unit or 'unit'}",
            source="unit definition",
        )
        converted = _combine("product", (self, conversion), unit)
        return converted.named(self.name, formula=f"in {display_unit(unit)}")

    # -- the graph --------------------------------------------------------------------------------

    def _inexact_leaves(self) -> tuple[frozenset[int], bool]:
        """Identities of the inexact inputs below, and whether each is reached along one path only."""
        if not self.parts:
            inexact = self._natural[0] != self._natural[1]
            return (frozenset((id(self),)) if inexact else frozenset()), True
        leaves: frozenset[int] = frozenset()
        tight = self.operation != "function" or (self.function is not None and 0 not in self.function.slopes)
        for part in self.parts:
            if part._leaves:
                tight = tight and part._tight and leaves.isdisjoint(part._leaves)
                leaves |= part._leaves
        return leaves, tight

    def walk(self) -> Iterator[Figure]:
        """Every figure of the expression once, parts before what is made of them."""
        return iter(_ordered(self))

    def leaves(self) -> list[Figure]:
        """The inputs of the expression, in the order they are used."""
        return [figure for figure in self.walk() if not figure.parts]

    def at(self, assigned: dict[int, Decimal]) -> Decimal:
        """The value when inputs (by `id`) take other values; the others keep theirs. [unit]

        Raises InputError where an input is unknown, ZeroDivisionError by way of decimal where a
        divisor becomes zero.
        """
        values: dict[int, Decimal] = {}
        for figure in self.walk():
            if figure.parts:
                values[id(figure)] = figure.recomputed([values[id(part)] for part in figure.parts])
            else:
                values[id(figure)] = assigned[id(figure)] if id(figure) in assigned else figure.must()
        return values[id(self)]

    def recomputed(self, values: Sequence[Decimal]) -> Decimal:
        """This figure's own operation on given values of its parts. [unit]"""
        match self.operation:
            case "sum":
                return sum(values, ZERO)
            case "difference":
                return values[0] - values[1]
            case "product":
                return values[0] * values[1]
            case "quotient":
                return values[0] / values[1]
            case "function":
                assert self.function is not None
                return self.function.call(*values)
            case "input":
                return self.must()

    def contributions(self) -> list[tuple[Figure, Decimal]]:
        """Inexact inputs with the width each gives alone [unit], widest first."""
        if not self.is_known:
            return []
        widths = []
        for leaf in self.leaves():
            low, high = leaf._natural
            if low != high:
                widths.append((leaf, self._width_from(leaf, low, high)))
        return sorted(widths, key=lambda pair: -pair[1])

    def _width_from(self, leaf: Figure, low: Decimal, high: Decimal) -> Decimal:
        try:
            return abs(self.at({id(leaf): high}) - self.at({id(leaf): low}))
        except ZeroDivisionError:
            # A divisor that may be zero: this input alone leaves the figure without bound.
            return INFINITY


def total(
    parts: Iterable[Figure], name: str, *, unit: str | None = None, formula: str = "", source: str = ""
) -> Figure:
    """The sum of figures of one dimension, in the unit of the first. [unit]

    Unknown parts make the sum unknown; `known` then holds the sum of the others. An empty sum is an
    exact zero and needs `unit`.
    """
    figures = tuple(parts)
    if not figures:
        if unit is None:
            raise InputError("an empty sum needs a unit")
        return Figure.exact(0, unit, name, source=source or "nothing to add")
    into = unit or figures[0].unit
    combined = _combine("sum", tuple(figure.to(into) for figure in figures), into)
    return combined.named(name, formula=formula, source=source)


def apply(
    function: Monotone, parts: Sequence[Figure], unit: str, name: str, *, formula: str = "", source: str = ""
) -> Figure:
    """A monotone function of figures, such as a ceiling or a heat balance. [unit]"""
    return _combine("function", tuple(parts), unit, function).named(name, formula=formula, source=source)


def _combine(
    operation: Operation, parts: tuple[Figure, ...], unit: str, function: Monotone | None = None
) -> Figure:
    missing = [part for part in parts if part.value is None]
    if missing:
        why = "; ".join(dict.fromkeys(reason for part in missing for reason in part.why.split("; ")))
        return Figure(
            None, unit, operation=operation, parts=parts, why=why, known=_known(operation, parts, unit),
            function=function,
        )  # fmt: skip
    if operation == "quotient" and parts[1].value == 0:
        why = f"{parts[1].name or 'the divisor'} is zero"
        return Figure(None, unit, operation=operation, parts=parts, why=why)
    shell = Figure(None, unit, operation=operation, function=function)
    value = shell.recomputed([part.must() for part in parts])
    # What a function does inside is not known to the bounds of what is made of it, so its parts come tight.
    boxes = [part.box if function is not None else part._natural for part in parts]
    natural = _natural(operation, boxes, function)
    return Figure(value, unit, natural=natural, operation=operation, parts=parts, function=function)


def _known(operation: Operation, parts: tuple[Figure, ...], unit: str) -> Figure | None:
    """What can be said although a part is unknown: the sum of the known, or a known part scaled."""
    if operation == "sum":
        there = [part if part.value is not None else part.known for part in parts]
        known = [part for part in there if part is not None]
        return _combine("sum", tuple(known), unit).named("sum of what is known") if known else None
    if operation in ("product", "quotient") and parts[0].known is not None and parts[1].value is not None:
        return _combine(operation, (parts[0].known, parts[1]), unit).named("sum of what is known")
    return None


def _times(left: Decimal, right: Decimal) -> Decimal:
    return ZERO if not left or not right else left * right


def _natural(operation: Operation, boxes: Sequence[Box], function: Monotone | None) -> Box:
    """Natural interval extension of one operation (Moore, Kearfott and Cloud 2009, ch. 5)."""
    match operation:
        case "sum":
            return sum((box[0] for box in boxes), ZERO), sum((box[1] for box in boxes), ZERO)
        case "difference":
            return boxes[0][0] - boxes[1][1], boxes[0][1] - boxes[1][0]
        case "product":
            return _product(boxes[0], boxes[1])
        case "quotient":
            return _quotient(boxes[0], boxes[1])
        case "function":
            assert function is not None
            return _function_box(function, boxes)
        case "input":
            return boxes[0]


def _product(left: Box, right: Box) -> Box:
    corners = [_times(a, b) for a in left for b in right]
    return min(corners), max(corners)


def _quotient(above: Box, below: Box) -> Box:
    if below[0] <= 0 <= below[1]:
        return _product(above, _inverse(below))
    corners = [a / b for a in above for b in below]
    return min(corners), max(corners)


def _inverse(box: Box) -> Box:
    low, high = box
    if low < 0 < high or low == high == 0:
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


def _ordered(root: Figure) -> list[Figure]:
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


def _tight_box(root: Figure) -> Box:
    """Interval of a figure whose inputs are used more than once; it contains every value they allow.

    Two facts of interval analysis (Moore, Kearfott and Cloud 2009, chapter 6): where the interval of a
    derivative keeps one sign, the extreme lies at that input's end; and a function that is a ratio of
    two linear ones in an input is monotone in it, so its extreme lies at one of the two ends, and both
    are tried. An input for which neither helps keeps its whole range.
    """
    order = [figure for figure in _ordered(root) if figure._leaves]
    boxes = {id(figure): figure._natural for figure in order if not figure.parts}
    bottom = _extreme(root, order, dict(boxes), -1, _BRANCHES)
    top = _extreme(root, order, dict(boxes), 1, _BRANCHES)
    natural, value = root._natural, root.must()
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
    return max(degrees.get(id(order[-1]), (0, 0))) <= 1


def _derivatives(root: Figure, order: Sequence[Figure], boxes: dict[int, Box]) -> dict[int, Box]:
    """Intervals of the derivative of `root` by every figure below it (reverse mode)."""
    slopes: dict[int, Box] = {id(figure): (ZERO, ZERO) for figure in order}
    slopes[id(root)] = (ONE, ONE)
    for figure in reversed(order):
        local_slopes = _local_slopes(figure, [boxes.get(id(part), part._natural) for part in figure.parts])
        for part, local in zip(figure.parts, local_slopes, strict=True):
            if part._leaves:
                gained, before = _product(slopes[id(figure)], local), slopes[id(part)]
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
            inverse = _inverse(boxes[1])
            below = _product(_product(boxes[0], inverse), inverse)
            return [inverse, (-below[1], -below[0])]
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
            below = [boxes.get(id(part), part._natural) for part in figure.parts]
            boxes[id(figure)] = _natural(figure.operation, below, figure.function)
    return boxes
