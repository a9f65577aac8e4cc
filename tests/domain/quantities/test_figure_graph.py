"""The expression behind a figure: intervals at every operation, names, unknown parts, contributions."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.quantities import Figure, Monotone, apply, not_below_zero, total
from nutricost.errors import InputError, UnitMismatch

D = Decimal
INF = D("Infinity")


def between(low: str, high: str, unit: str = "", name: str = "", value: str | None = None) -> Figure:
    return Figure.between(D(low), D(high), unit, name, value=None if value is None else D(value))


def ends(*texts: str) -> tuple[Decimal, ...]:
    return tuple(D(text) for text in texts)


# -- inputs ---------------------------------------------------------------------------------------


def test_an_exact_input() -> None:
    bag = Figure.exact(1, "bag", "one bag")
    assert (bag.value, bag.box, bag.unit, bag.source) == (D(1), (D(1), D(1)), "bag", "by definition")
    assert bag.is_known and bag.is_exact
    assert (bag.operation, bag.parts, bag.leaves()) == ("input", (), [bag])
    assert Figure.exact(1, "g", source="scale").source == "scale"
    assert Figure.exact(1, "g", standing="assumed").standing == "assumed"


def test_a_range_has_its_midpoint_unless_told() -> None:
    assert between("3.5", "5").value == D("4.25")
    told = between("3.5", "5", value="4")
    assert (told.value, told.low, told.high) == ends("4", "3.5", "5")
    assert not told.is_exact
    assert between("2", "2").is_exact
    for edge in ("3.5", "5"):
        assert between("3.5", "5", value=edge).value == D(edge)


@pytest.mark.parametrize(
    ("low", "high", "value", "says"),
    [
        ("2", "1", None, "price: reversed, 2 is above 1"),
        ("1", "2", "3", r"price: 3 lies outside \[1, 2\]"),
        ("1", "2", "0.9", "price: 0.9 lies outside"),
    ],
)
def test_impossible_ranges(low: str, high: str, value: str | None, says: str) -> None:
    with pytest.raises(InputError, match=says):
        between(low, high, "USD", "price", value)


def test_impossible_ranges_without_a_name() -> None:
    with pytest.raises(InputError, match=r"^interval: reversed"):
        between("2", "1")
    with pytest.raises(InputError, match=r"^interval: 9 lies outside"):
        between("1", "2", value="9")


def test_an_unknown_has_no_ends() -> None:
    unknown = Figure.unknown("USD", "not given", "energy", source="batch.toml", known=Figure.exact(2, "USD"))
    assert (unknown.value, unknown.is_known, unknown.is_exact, unknown.why) == (
        None,
        False,
        False,
        "not given",
    )
    assert unknown.known is not None and unknown.known.value == 2
    assert unknown.source == "batch.toml"
    assert unknown.contributions() == []
    asks: list[Callable[[], Decimal]] = [lambda: unknown.low, lambda: unknown.high, unknown.must]
    for ask in asks:
        with pytest.raises(InputError, match="energy is not known: not given"):
            ask()
    with pytest.raises(InputError, match="figure is not known"):
        Figure.unknown("USD", "lost").must()


# -- operations -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("left", "right", "sum_", "difference", "product_", "quotient"),
    # Moore, Kearfott & Cloud (2009), definitions of interval arithmetic, worked by hand.
    [
        (("1", "2"), ("4", "5"), ("5", "7"), ("-4", "-2"), ("4", "10"), ("0.2", "0.5")),
        (("-2", "4"), ("2", "5"), ("0", "9"), ("-7", "2"), ("-10", "20"), ("-1", "2")),
        (("-4", "-2"), ("-2", "-1"), ("-6", "-3"), ("-3", "0"), ("2", "8"), ("1", "4")),
        (("2", "4"), ("-2", "-1"), ("0", "3"), ("3", "6"), ("-8", "-2"), ("-4", "-1")),
        (("1", "2"), ("0", "4"), ("1", "6"), ("-3", "2"), ("0", "8"), ("0.25", "Infinity")),
        (("1", "2"), ("-4", "0"), ("-3", "2"), ("1", "6"), ("-8", "0"), ("-Infinity", "-0.25")),
        (("1", "2"), ("-1", "4"), ("0", "6"), ("-3", "3"), ("-2", "8"), ("-Infinity", "Infinity")),
        (("0", "0"), ("0", "4"), ("0", "4"), ("-4", "0"), ("0", "0"), ("0", "0")),
    ],
)
def test_interval_arithmetic(
    left: tuple[str, str],
    right: tuple[str, str],
    sum_: tuple[str, str],
    difference: tuple[str, str],
    product_: tuple[str, str],
    quotient: tuple[str, str],
) -> None:
    a, b = between(*left), between(*right)
    assert (a + b).box == ends(*sum_)
    assert (a - b).box == ends(*difference)
    assert (a * b).box == ends(*product_)
    assert (a / b).box == ends(*quotient)


def test_numbers_may_stand_beside_figures() -> None:
    a = between("1", "2", "g")
    assert ((a * 3).box, (a * 3).unit) == (ends("3", "6"), "g")
    assert ((a / 4).box, (a / 4).unit) == (ends("0.25", "0.5"), "g")
    assert (a * D("0.5")).box == ends("0.5", "1")


def test_sums_and_differences_take_the_unit_of_the_first() -> None:
    # NIST Handbook 44: 1 lb = 453.59237 g.
    pound, grams = Figure.exact(1, "lb"), Figure.exact(D("453.59237"), "g")
    assert ((grams + pound).value, (grams + pound).unit) == (D("907.18474"), "g")
    assert ((grams - pound).value, (grams - pound).unit) == (D(0), "g")
    assert total([grams, pound], "both", unit="g").value == D("907.18474")
    assert total([pound, pound], "both", unit="g").value == D("907.18474")
    with pytest.raises(UnitMismatch):
        grams - Figure.exact(1, "USD")


def test_an_empty_sum_is_an_exact_nothing_of_a_unit() -> None:
    none = total([], "other costs", unit="USD")
    assert (none.value, none.unit, none.is_exact, none.source) == (D(0), "USD", True, "nothing to add")
    assert none.name == "other costs"
    assert total([], "x", unit="USD", source="file").source == "file"
    with pytest.raises(InputError, match="needs a unit"):
        total([], "x")


def test_another_unit_is_a_step_of_the_trace() -> None:
    weight = Figure.exact(2, "kg", "dry weight")
    grams = weight.to("g")
    assert (grams.value, grams.unit, grams.name) == (D(2000), "g", "dry weight")
    assert grams.formula == "in g"
    assert grams.parts[0] is weight
    assert (grams.parts[1].value, grams.parts[1].source) == (D(1000), "unit definition")
    assert (grams.parts[1].name, grams.parts[1].unit) == ("g in one kg", "g/kg")
    assert weight.to("kg") is weight


def test_a_unit_is_written_for_people() -> None:
    assert Figure.exact(1, "USD/hundred_kcal").shown_unit == "USD/100 kcal"


# -- names ----------------------------------------------------------------------------------------


def test_naming_a_step_keeps_its_parts_and_interval() -> None:
    a, b = between("1", "2", "g", "a"), between("3", "5", "g", "b")
    step = (a + b).named("sum", formula="a + b", source="here")
    assert (step.name, step.formula, step.source, step.box) == ("sum", "a + b", "here", ends("4", "7"))
    again = step.named("whole")
    assert (again.name, again.formula, again.source) == ("whole", "a + b", "here")
    assert again.parts == step.parts


def test_naming_an_input_does_not_make_it_count_twice() -> None:
    x = between("1", "3", "g", "x")
    other = x.named("weight in the pot")
    assert (other.name, other.formula, other.operation) == ("weight in the pot", "x", "sum")
    assert x.named("y", formula="copied").formula == "copied"
    assert (x - other).box == ends("0", "0")
    assert other.leaves() == [x]


# -- unknown parts --------------------------------------------------------------------------------


def test_reasons_are_told_once_each() -> None:
    lost, gone = Figure.unknown("g", "lost"), Figure.unknown("g", "gone")
    assert total([lost, gone, lost], "all").why == "lost; gone"
    assert (lost * gone).why == "lost; gone"


def test_what_is_known_of_a_sum_goes_on_through_scaling() -> None:
    known = total([Figure.exact(6, "USD"), Figure.unknown("USD", "lost")], "cost")
    half = known * Figure.exact(D("0.5"), "")
    per = known / Figure.exact(3, "serving")
    assert half.known is not None and half.known.value == 3
    assert per.known is not None and (per.known.value, per.known.unit) == (D(2), "USD/serving")
    whole = total([known, Figure.exact(1, "USD")], "with one more")
    assert whole.known is not None and whole.known.value == 7
    assert (whole.known.name, whole.known.unit) == ("sum of what is known", "USD")


def test_nothing_is_known_where_the_factor_is_not() -> None:
    known = total([Figure.exact(6, "USD"), Figure.unknown("USD", "lost")], "cost")
    assert (known * Figure.unknown("", "gone")).known is None
    assert (Figure.exact(2, "") * known).known is None
    assert (Figure.exact(9, "USD") - known).known is None
    assert (Figure.exact(9, "USD") / Figure.unknown("serving", "lost")).known is None
    assert total([Figure.unknown("USD", "lost")], "x").known is None


def test_a_zero_divisor_without_a_name() -> None:
    ratio = Figure.exact(1, "USD") / Figure.exact(0, "kcal")
    assert (ratio.value, ratio.why, ratio.unit) == (None, "the divisor is zero", "USD/kcal")
    assert len(ratio.parts) == 2


# -- the graph ------------------------------------------------------------------------------------


def test_parts_come_before_what_is_made_of_them_each_once() -> None:
    a, b = between("1", "2", name="a"), between("3", "4", name="b")
    shared = a + b
    root = shared * shared + a
    order = list(root.walk())
    assert len({id(figure) for figure in order}) == len(order)
    place = {id(figure): at for at, figure in enumerate(order)}
    assert all(place[id(part)] < place[id(figure)] for figure in order for part in figure.parts)
    assert order[-1] is root
    assert root.leaves() == [a, b]


def test_a_figure_at_other_values_of_its_inputs() -> None:
    a, b = between("1", "3", name="a"), Figure.exact(10, "", "b")
    figure = (a + b) / (b - a)
    assert figure.at({id(a): D(5)}) == 3  # 15 / 5
    assert figure.at({id(a): D(2), id(b): D(4)}) == 3  # 6 / 2
    assert figure.at({}) == figure.value
    unknown = a * Figure.unknown("", "lost", "c")
    with pytest.raises(InputError, match="c is not known"):
        unknown.at({})


def test_a_function_at_other_values_of_its_inputs() -> None:
    a = between("1", "3", name="a")
    doubled = apply(Monotone(lambda value: value * 2, (1,)), [a], "", "doubled")
    assert doubled.at({id(a): D(5)}) == 10
    assert [(leaf.name, width) for leaf, width in doubled.contributions()] == [("a", D(4))]


def test_a_mass_by_difference_is_never_below_zero() -> None:
    above, lost = between("0", "4", "g", "water"), Figure.unknown("g", "lost")
    assert not_below_zero(above) is above
    assert not_below_zero(lost) is lost
    doubtful = not_below_zero(between("-3", "4", "g", "water"))
    assert (doubtful.box, doubtful.value, doubtful.unit, doubtful.name) == (
        ends("0", "4"),
        D("0.5"),
        "g",
        "water",
    )
    # It rises with what it is made of, and counts it once: max(x, 0) + x on [-3, 4].
    x = between("-3", "4", "g", "x")
    assert (not_below_zero(x) + x).box == ends("-3", "8")
    assert not_below_zero(between("-3", "-1", "g")).box == ends("0", "0")
    assert not_below_zero(between("-3", "0.5", "g")).box == ends("0", "0.5")


def test_an_input_recomputes_to_itself() -> None:
    assert Figure.exact(7, "g").recomputed([]) == 7


def test_a_figure_in_a_debugger() -> None:
    assert repr(between("1", "3", "g", "x")) == "<Figure 'x' 2 [1, 3] g>"
    assert repr(Figure.unknown("g", "lost", "y")) == "<Figure 'y' unknown g: lost>"


def test_contributions_by_hand() -> None:
    a, b, c = between("1", "2", name="a"), between("10", "14", name="b"), Figure.exact(5, "", "c")
    figure = a * b - c  # value 1.5 x 12 - 5
    # a alone: 12 x (2 - 1); b alone: 1.5 x (14 - 10). The exact c gives nothing.
    assert [(leaf.name, width) for leaf, width in figure.contributions()] == [("a", D(12)), ("b", D(6))]
    falling = c - b
    assert [(leaf.name, width) for leaf, width in falling.contributions()] == [("b", D(4))]


def test_an_input_that_leaves_no_bound_is_the_widest() -> None:
    # Was: a division by zero escaped where a divisor may be zero.
    a, b = between("0", "900", name="a"), between("0", "2", name="b")
    ratio = a / b
    assert [leaf.name for leaf, _ in ratio.contributions()] == ["b", "a"]
    assert ratio.contributions()[0][1] == INF


# -- functions ------------------------------------------------------------------------------------


def test_functions_take_the_ends_that_their_slopes_say() -> None:
    minus = Monotone(lambda x, y: x - y, (1, -1))
    spread = apply(
        minus, [between("3", "5", "g"), between("1", "2", "g")], "g", "left", formula="x - y", source="s"
    )
    assert (spread.box, spread.value, spread.unit) == (ends("1", "4"), D("2.5"), "g")
    assert (spread.name, spread.formula, spread.source) == ("left", "x - y", "s")


def test_a_function_of_unknown_direction_takes_all_corners() -> None:
    times = Monotone(lambda x, y: x * y, (0, 0))
    assert apply(times, [between("-2", "3"), between("-5", "4")], "", "xy").box == ends("-15", "12")
    mixed = Monotone(lambda x, y: y - x, (0, 1))
    assert apply(mixed, [between("-2", "3"), between("1", "4")], "", "y - x").box == ends("-2", "6")


def test_a_function_takes_its_parts_with_each_input_once() -> None:
    # x y - x is 1 to 9 on [1, 3] x [2, 4]; term by term it would be -1 to 11.
    x, y = between("1", "3", name="x"), between("2", "4", name="y")
    assert apply(Monotone(lambda value: value + 1, (1,)), [x * y - x], "", "one more").box == ends("2", "10")


def test_a_function_of_something_unknown_is_unknown() -> None:
    same = Monotone(lambda x: x, (1,))
    figure = apply(same, [Figure.unknown("g", "lost")], "g", "x")
    assert (figure.value, figure.why, figure.unit, figure.known) == (None, "lost", "g", None)


def test_a_monotone_function_of_a_repeated_input_counts_it_once() -> None:
    x = between("1", "3", "g", "x")
    above = Monotone(lambda mass: max(mass, D(0)), (1,))
    kept = apply(above, [x], "g", "kept")
    # x - max(x, 0) is 0 throughout, but only the sign of the slope is known: the natural bound stays.
    assert (x - kept).low <= 0 <= (x - kept).high
    rising = kept + x
    assert rising.box == ends("2", "6")
    falling = Monotone(lambda mass: -mass, (-1,))
    # 2 x - (-x) rises throughout.
    assert (x * 2 - apply(falling, [x], "g", "minus")).box == ends("3", "9")


# -- each input once ------------------------------------------------------------------------------


def test_known_ranges_of_expressions_that_use_an_input_more_than_once() -> None:
    x, y = between("1", "3", name="x"), between("2", "4", name="y")
    assert (x * x).box == ends("1", "9")
    assert (x * y - x).box == ends("1", "9")  # x (y - 1): 1 x 1 to 3 x 3
    assert (x / x).box == ends("1", "1")
    assert ((x + y) / y).box == ends("1.25", "2.5")  # 1 + x / y
    assert ((x - y) / (x + y)).box == (D(-3) / 5, D(1) / 5)


def test_a_bound_inside_the_range_is_kept_from_below_and_above() -> None:
    # (x - 2)^2 on [1, 4] is 0 to 4 with its least inside: the interval must hold it, and may be wider.
    x = between("1", "4", name="x")
    square = (x - Figure.exact(2, "")) * (x - Figure.exact(2, ""))
    assert square.low <= 0
    assert square.high >= 4
    assert square.low <= square.must() <= square.high


@pytest.mark.parametrize(
    ("expression", "inside"),
    # On [1, 4] each has its extreme at x = 2 (set the derivative to zero), beyond both ends.
    [
        (lambda x, n: x + n(4) / x, "4"),  # ends 5, 5
        (lambda x, n: n(4) / x + x, "4"),
        (lambda x, n: x / (x * x + n(4)), "0.25"),  # ends 0.2, 0.2
        (lambda x, n: (x * x + n(4)) / x, "4"),
        (lambda x, n: (n(1) / x) * (n(1) - n(1) / x), "0.25"),  # ends 0, 0.1875
        (lambda x, n: (n(1) - n(1) / x) / x, "0.25"),
        (lambda x, n: (n(1) - n(1) / x) * (n(1) / x), "0.25"),
        (lambda x, n: x * (n(4) - x), "4"),  # ends 3, 0
        (lambda x, n: (n(4) - x) * x, "4"),
        (lambda x, n: (n(4) - x) / (n(1) / x), "4"),
        (lambda x, n: n(1) / x - n(1) / (x * x), "0.25"),
        (lambda x, n: n(1) - (n(4) / x + x), "-3"),
        (lambda x, n: (x - n(2)) * (x - n(2)) + n(1), "1"),
    ],
)
def test_an_extreme_inside_the_range_is_never_cut_off(
    expression: Callable[[Figure, Callable[[int], Figure]], Figure], inside: str
) -> None:
    figure = expression(between("1", "4", "", "x"), lambda number: Figure.exact(number, ""))
    low, high = figure.box
    assert low - D("1e-20") <= D(inside) <= high + D("1e-20")
    assert low <= figure.must() <= high


def test_an_extreme_of_a_function_inside_the_range_is_never_cut_off() -> None:
    # x^2 - 5 x on [1, 4] is -4 at both ends, -5.25 at the 1.5 held likely, and -6.25 at 2.5.
    x = between("1", "4", "", "x", value="1.5")
    square = apply(Monotone(lambda value: value * value, (1,)), [x], "", "square")
    assert (square - x * 5).low <= D("-6.25")


def test_a_factor_beside_what_bends_does_not_hide_the_bend() -> None:
    # (x - 2)^2 on [1, 4] is 0 at x = 2; (1 / x) (1 - 1 / x) is 0.25 there. The factor, 2 to 4, has no x.
    x = between("1", "4", "", "x")
    one, two = Figure.exact(1, ""), Figure.exact(2, "")
    y, z = between("1", "2", "", "y"), between("1", "2", "", "z")
    square, bump = (x - two) * (x - two), (one / x) * (one - one / x)
    for low_at_least in ((y + z) * square, square * (y + z)):
        assert low_at_least.low <= 0
    for high_at_least in ((y + z) * bump, bump * (y + z)):
        assert high_at_least.high >= 1


def test_what_rises_from_a_flat_start_is_exact() -> None:
    # x (x + 1) - x is x^2: flat at 0, 0 to 9 on [0, 3], where term by term it would be -3 to 12.
    x, one = between("0", "3", "", "x"), Figure.exact(1, "")
    assert (x * (x + one) - x * one).box == ends("0", "9")
    assert (x * one - x * (x + one)).box == ends("-9", "0")
    # x^2 / 2 - x / 4 rises on [1, 3]: 0.25 to 3.75; term by term -0.25 to 4.25.
    z, two, four = between("1", "3", "", "z"), Figure.exact(2, ""), Figure.exact(4, "")
    assert (z * z / two - z / four).box == ends("0.25", "3.75")


def test_bilinear_ranges_of_either_sign_are_exact() -> None:
    # x y + x has its extremes at corners: -1 x 4 - 1 and 2 x 4 + 2; term by term it would be -7 to 10.
    x, y = between("-1", "2", "", "x"), between("-3", "4", "", "y")
    assert (x * y + x).box == ends("-5", "10")
    # y - 2 y / x on x 1..4, y -1..1: y (1 - 2 / x), the factor -1 to 0.5.
    z, w = between("1", "4", "", "z"), between("-1", "1", "", "w")
    assert (w - w * 2 / z).box == ends("-1", "1")


def test_a_falling_function_beside_what_cancels() -> None:
    # -x + (x - 2 x) falls throughout: -6 to -2; max(x, 0) + (2 x - x) rises: 2 to 6.
    x = between("1", "3", "g", "x")
    minus = apply(Monotone(lambda mass: -mass, (-1,)), [x], "g", "minus")
    assert (minus + (x - x * 2)).box == ends("-6", "-2")
    kept = apply(Monotone(lambda mass: max(mass, D(0)), (1,)), [x], "g", "kept")
    assert (kept + (x * 2 - x)).box == ends("2", "6")


def test_shares_of_many_inputs_are_exact() -> None:
    # a / (a + b + ... ) is monotone in each input: the range is known in closed form for any number.
    parts = [between(str(n), str(n + 1), "g", f"p{n}") for n in range(1, 10)]
    whole = total(parts, "whole")
    low, high = (parts[0] / whole).box
    assert low == D(1) / (D(1) + sum(range(3, 11)))
    assert high == D(2) / (D(2) + sum(range(2, 10)))


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(0, 6)), min_size=4, max_size=4), st.integers(0, 5))
def test_every_corner_lies_in_the_interval(sides: list[tuple[int, int]], which: int) -> None:
    """Corners of the box through expressions with inputs of either sign used more than once."""
    a, b, c, d = (
        between(str(low), str(low + width), "", n) for (low, width), n in zip(sides, "abcd", strict=True)
    )
    expressions = [
        lambda a, b, c, d: a * b + a * c - b * d,
        lambda a, b, c, d: (a - b) * (a + c) - d * d,
        lambda a, b, c, d: a * b * c - a * b * d,
        lambda a, b, c, d: (a + b) / (c * c + d * d + one),
        lambda a, b, c, d: a * a * a - b * b + c * d - a,
        lambda a, b, c, d: (a * b - c) / (a * a + b * b + one) - d,
    ]  # fmt: skip
    one: Figure | Decimal = Figure.exact(1, "")
    figure = expressions[which](a, b, c, d)
    low, high = figure.box
    one = D(1)
    tolerance = D("1e-20")
    for corner in product(*({D(least), D(least + width)} for least, width in sides)):
        assert low - tolerance <= expressions[which](*corner) <= high + tolerance
    assert low <= figure.must() <= high
