"""Figures: units, intervals that count each input once, traces that add up."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from nutricost.domain.quantities import Figure, Monotone, apply, ceiling, total
from nutricost.errors import InputError, UnitMismatch

D = Decimal


def between(low: str, high: str, unit: str = "g", name: str = "") -> Figure:
    return Figure.between(D(low), D(high), unit, name)


def test_dollars_per_serving_and_servings_per_dollar_are_not_the_same() -> None:
    # Plain arithmetic: 18 / 30 = 0.60, 30 / 18 = 1.67.
    money, servings = Figure.exact(18, "USD"), Figure.exact(30, "serving")
    price, inverse = money / servings, servings / money
    assert (price.value, price.unit) == (D("0.6"), "USD/serving")
    assert inverse.unit == "serving/USD"
    assert round(inverse.must(), 2) == D("1.67")
    with pytest.raises(UnitMismatch):
        price + inverse
    with pytest.raises(UnitMismatch):
        price.to("serving/USD")


@pytest.mark.parametrize("other", ["EUR", "serving", "package", "tray", "kcal"])
def test_currency_adds_to_nothing_else(other: str) -> None:
    with pytest.raises(UnitMismatch):
        Figure.exact(1, "USD") + Figure.exact(1, other)


def test_an_input_used_twice_counts_once() -> None:
    x, y = between("1", "3", name="x"), between("2", "4", name="y")
    # x / (x + y) rises in x and falls in y: 1/(1+4) and 3/(3+2).
    assert (x / (x + y)).box == (D("0.2"), D("0.6"))
    assert (x - x).box == (D(0), D(0))


def test_unknown_is_never_zero_and_keeps_what_is_known() -> None:
    paid, missing = Figure.exact(D("1.25"), "USD", "paid"), Figure.unknown("USD", "not given", "energy")
    whole = total([paid, missing], "total")
    assert whole.value is None
    assert whole.why == "not given"
    assert whole.known is not None and whole.known.value == D("1.25")
    per = whole / Figure.exact(5, "serving")
    assert per.known is not None and per.known.value == D("0.25")
    with pytest.raises(InputError):
        whole.must()


def test_division_by_zero_is_unknown_and_says_so() -> None:
    ratio = Figure.exact(1, "USD") / Figure.exact(0, "kcal", "energy")
    assert ratio.value is None
    assert "energy is zero" in ratio.why


def test_divisor_that_may_be_zero_has_no_upper_end() -> None:
    ratio = Figure.exact(1, "USD") / Figure.between(D(0), D(5), "kcal", value=D(2))
    assert ratio.high == D("Infinity")
    assert ratio.low == D("0.2")


def test_reversed_interval_is_refused() -> None:
    with pytest.raises(InputError, match="reversed"):
        between("3", "1")


def test_contributions_name_the_widest_input_first() -> None:
    a, b = between("1", "2", name="a"), between("1", "9", name="b")
    assert [leaf.name for leaf, _ in (a + b).contributions()] == ["b", "a"]


def test_function_interval_takes_its_slopes() -> None:
    batches = apply(Monotone(ceiling, (1,)), [between("2.1", "4.5", "batch")], "batch", "whole batches")
    assert (batches.value, batches.low, batches.high) == (D(4), D(3), D(5))


def test_linear_propagation_agrees_with_a_reference_library() -> None:
    # uncertainties (first-order propagation) on a linear case: widths of a sum of scaled inputs.
    a, b = between("9", "11", name="a"), between("19", "23", name="b")
    ours = total([a * 3, b * 2], "sum")
    u = 3 * ufloat(10, 1) + 2 * ufloat(21, 2)
    largest = sum(abs(error) for error in (3 * 1, 2 * 2))
    assert (ours.high - ours.low) / 2 == largest
    assert float(ours.must()) == pytest.approx(u.nominal_value)


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.integers(1, 500), st.integers(0, 200)), min_size=4, max_size=4),
    st.integers(0, 2**31),
)
def test_every_sampled_value_lies_in_the_interval(ends: list[tuple[int, int]], seed: int) -> None:
    # Monte Carlo with numpy over an expression that uses every input more than once.
    a, b, c, d = (
        Figure.between(D(low), D(low + width), "g", name)
        for (low, width), name in zip(ends, "abcd", strict=True)
    )
    figure = (a * b + c * d) / (a * d + b * b) + a / (a + b + c)
    samples = np.random.default_rng(seed).uniform(size=(200, 4))
    lows, widths = np.array([e[0] for e in ends], float), np.array([e[1] for e in ends], float)
    x, y, z, w = (lows + samples * widths).T
    values = (x * y + z * w) / (x * w + y * y) + x / (x + y + z)
    assert float(figure.low) <= values.min() * (1 + 1e-12)
    assert float(figure.high) >= values.max() * (1 - 1e-12)
    assert figure.low <= figure.must() <= figure.high


@settings(max_examples=50)
@given(st.integers(1, 10**6), st.integers(1, 10**6), st.integers(0, 1000))
def test_linear_fractional_intervals_are_exact(x: int, y: int, width: int) -> None:
    # x / (x + y) is monotone in both: its range is known in closed form.
    a = Figure.between(D(x), D(x + width), "g")
    b = Figure.between(D(y), D(y + width), "g")
    low, high = (a / (a + b)).box
    assert float(low) == pytest.approx(x / (x + y + width), rel=1e-20)
    assert float(high) == pytest.approx((x + width) / (x + width + y), rel=1e-20)


def test_every_step_recomputes_from_its_parts() -> None:
    a, b = between("1", "2", "lb", "a"), between("300", "400", "g", "b")
    figure = (total([a, b], "sum") / Figure.exact(3, "serving")).to("g/serving")
    for step in figure.walk():
        if step.parts:
            assert step.recomputed([part.must() for part in step.parts]) == step.value
