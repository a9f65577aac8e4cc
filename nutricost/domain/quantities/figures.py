"""A figure: a value with its interval and unit, and the expression it came from.

Figures form a graph. Leaves are inputs (a table value, a printed label figure, a price, a weighing);
every other figure names the operation on its parts. The graph gives, without further bookkeeping:

- the interval, in which each input counts once however often it is used (`low`, `high`);
- the trace of a number down to its inputs (`parts`, `formula`, `source`);
- which input the width comes from (`contributions`).

Units are checked at every step; `units` does that through pint.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from nutricost.domain.quantities.bounds import ordered, tight_box
from nutricost.domain.quantities.intervals import INFINITY, Box, Monotone, Operation, natural_box, outcome
from nutricost.domain.quantities.numbers import ZERO
from nutricost.domain.quantities.units import display_unit, unit_factor, unit_product, unit_quotient
from nutricost.errors import InputError


class Figure:
    """A quantity with unit and interval, known or unknown; immutable. Build with the class methods."""

    __slots__ = (
        "_box",
        "_tight",
        "formula",
        "function",
        "inexact",
        "known",
        "name",
        "natural",
        "operation",
        "parts",
        "source",
        "standing",
        "unit",
        "value",
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
        self.natural: Box = natural or ((ZERO, ZERO) if value is None else (value, value))
        self._box: Box | None = None
        self.inexact, self._tight = self._inexact_leaves()

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
            self._box = self.natural if self._tight else tight_box(self)
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
        return f"<Figure {self.name!r} {self.value} [{self.natural[0]}, {self.natural[1]}] {self.unit}>"

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
        formula = f"in {display_unit(unit)}"
        return _combine("product", (self, conversion), unit, name=self.name, formula=formula)

    # -- the graph --------------------------------------------------------------------------------

    def _inexact_leaves(self) -> tuple[frozenset[int], bool]:
        """Identities of the inexact inputs below, and whether each is reached along one path only."""
        if not self.parts:
            inexact = self.natural[0] != self.natural[1]
            return (frozenset((id(self),)) if inexact else frozenset()), True
        leaves: frozenset[int] = frozenset()
        tight = self.operation != "function" or (self.function is not None and 0 not in self.function.slopes)
        for part in self.parts:
            if part.inexact:
                tight = tight and part._tight and leaves.isdisjoint(part.inexact)
                leaves |= part.inexact
        return leaves, tight

    def walk(self) -> Iterator[Figure]:
        """Every figure of the expression once, parts before what is made of them."""
        return iter(ordered(self))

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
        return outcome(self.operation, values if self.parts else [self.must()], self.function)

    def contributions(self) -> list[tuple[Figure, Decimal]]:
        """Inexact inputs with the width each gives alone [unit], widest first."""
        if not self.is_known:
            return []
        widths = []
        for leaf in self.leaves():
            low, high = leaf.natural
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
    in_one_unit = tuple(figure.to(into) for figure in figures)
    return _combine("sum", in_one_unit, into, name=name, formula=formula, source=source)


def apply(
    function: Monotone, parts: Sequence[Figure], unit: str, name: str, *, formula: str = "", source: str = ""
) -> Figure:
    """A monotone function of figures, such as a ceiling or a heat balance. [unit]"""
    return _combine("function", tuple(parts), unit, function, name=name, formula=formula, source=source)


def not_below_zero(figure: Figure) -> Figure:
    """The figure with what lies below 0 cut off, such as a mass by difference; itself where nothing does.

    [unit of the figure]
    """
    if not figure.is_known or figure.low >= 0:
        return figure
    at_least_zero = Monotone(lambda value: max(value, ZERO), (1,))
    return apply(at_least_zero, (figure,), figure.unit, figure.name, formula="not below 0")


def _combine(
    operation: Operation,
    parts: tuple[Figure, ...],
    unit: str,
    function: Monotone | None = None,
    *,
    name: str = "",
    formula: str = "",
    source: str = "",
) -> Figure:
    def made(
        value: Decimal | None, natural: Box | None = None, why: str = "", known: Figure | None = None
    ) -> Figure:
        return Figure(
            value, unit, natural=natural, name=name, operation=operation, parts=parts, source=source,
            formula=formula, why=why, known=known, function=function,
        )  # fmt: skip

    missing = [part for part in parts if part.value is None]
    if missing:
        why = "; ".join(dict.fromkeys(reason for part in missing for reason in part.why.split("; ")))
        return made(None, why=why, known=_known(operation, parts, unit))
    if operation == "quotient" and parts[1].value == 0:
        return made(None, why=f"{parts[1].name or 'the divisor'} is zero")
    value = outcome(operation, [part.must() for part in parts], function)
    if not any(part.inexact for part in parts):
        return made(value)
    # What a function does inside is not known to the bounds of what is made of it, so its parts come tight.
    boxes = [part.natural if function is None else part.box for part in parts]
    return made(value, natural_box(operation, boxes, function))


def _known(operation: Operation, parts: tuple[Figure, ...], unit: str) -> Figure | None:
    """What can be said although a part is unknown: the sum of the known, or a known part scaled."""
    if operation == "sum":
        there = [part if part.value is not None else part.known for part in parts]
        known = [part for part in there if part is not None]
        return _combine("sum", tuple(known), unit, name="sum of what is known") if known else None
    if operation in ("product", "quotient") and parts[0].known is not None and parts[1].value is not None:
        return _combine(operation, (parts[0].known, parts[1]), unit, name="sum of what is known")
    return None
