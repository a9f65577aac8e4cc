"""Units, typed quantities and money."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricost.domain.quantities import (
    ceiling,
    check_currency,
    dec,
    display_unit,
    floor,
    minor_unit,
    read_money,
    read_number,
    read_quantity,
    rounded,
    split_money,
    unit_factor,
)
from nutricost.errors import InputError, UnitMismatch

D = Decimal


@pytest.mark.parametrize(
    ("unit", "into", "factor"),
    [
        # NIST Handbook 44, appendix C: exact definitions of the US customary system.
        ("lb", "g", "453.59237"),
        ("oz", "g", "28.349523125"),
        ("gal", "mL", "3785.411784"),
        ("cup", "mL", "236.5882365"),
        ("floz", "mL", "29.5735295625"),
        # 21 CFR 101.9(b)(5)(viii): measures inside a label's serving size.
        ("label_cup", "mL", "240"),
        ("label_tbsp", "mL", "15"),
        ("label_tsp", "mL", "5"),
        ("label_floz", "mL", "30"),
        ("label_oz", "g", "28"),
        # SI; 1 kcal = 4.184 kJ (USDA Agriculture Handbook 74).
        ("kWh", "kJ", "3600"),
        ("kcal", "kJ", "4.184"),
        ("inch", "cm", "2.54"),
    ],
)
def test_unit_factors_are_exact(unit: str, into: str, factor: str) -> None:
    assert unit_factor(unit, into) == D(factor)


@cache
def _reference() -> pint.UnitRegistry[Any]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    ("ours", "theirs", "into", "their_into"),
    [
        ("gal", "gallon", "mL", "milliliter"),
        ("qt", "quart", "mL", "milliliter"),
        ("pt", "pint", "mL", "milliliter"),
        ("cup", "cup", "mL", "milliliter"),
        ("tbsp", "tablespoon", "mL", "milliliter"),
        ("tsp", "teaspoon", "mL", "milliliter"),
        ("lb", "pound", "g", "gram"),
        ("oz", "ounce", "g", "gram"),
        ("kWh", "kilowatt_hour", "kJ", "kilojoule"),
        ("ft", "foot", "cm", "centimeter"),
    ],
)
def test_units_agree_with_pints_own_registry(ours: str, theirs: str, into: str, their_into: str) -> None:
    reference = _reference().Quantity(1, theirs).to(their_into).magnitude
    assert float(unit_factor(ours, into)) == pytest.approx(reference, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("12.3 oz", "mass", "348.6991344375"),
        ("8 oz", "volume", "236.5882365"),
        ("8 fl oz", "volume", "236.5882365"),
        ("8 fl. oz.", "volume", "236.5882365"),
        ("2,500 g", "mass", "2500"),
        ("31 KWH", "energy", "31"),
        ("90 min", "time", "1.5"),
        ("1.8 m", "length", "180"),
        ("2lb", "mass", "907.18474"),
        # As scales and clocks show it: 7 x 453.59237 + 15.5 x 28.349523125 (NIST Handbook 44, appendix C).
        ("7 lb 15.5 oz", "mass", "3614.5641984375"),
        ("1lb. 4oz.", "mass", "566.9904625"),
        ("1 lb, 4 oz", "mass", "566.9904625"),
        ("2 h 30 min", "time", "2.5"),
        ("5 ft 7 in", "length", "170.18"),
        ("1 quart 4 fl oz", "volume", "1064.64706425"),
    ],
)
def test_quantities_as_people_type_them(text: str, kind: str, value: str) -> None:
    assert read_quantity(text, kind) == pytest.approx(D(value), rel=D("1e-20"))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("5", "mass", "no unit given"),
        ("1 lb 16 oz", "mass", "16 oz is not less than 1 lb"),
        ("12 oz 340 g", "mass", "340 g is not less than 1 oz"),
        ("1 lb 4 mL", "mass", "cannot be read as g"),
        ("1 lb 4", "mass", "unknown unit"),
        ("3 mL", "mass", "cannot be read as g"),
        ("3 g", "volume", "cannot be read as mL"),
        ("5 kgg", "mass", "did you mean 'kg'"),
        ("nan g", "mass", "is not a mass"),
        ("1,5 kg", "mass", "decimal point"),
        ("", "time", "is not a time"),
    ],
)
def test_a_bad_quantity_says_what_is_accepted(text: str, kind: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_quantity(text, kind)  # type: ignore[arg-type]


@pytest.mark.parametrize("bad", [0.1, float("nan"), True])
def test_floats_are_refused(bad: object) -> None:
    with pytest.raises(InputError):
        dec(bad)  # type: ignore[arg-type]


@pytest.mark.parametrize("bad", ["nan", "inf", "-Infinity", "ten", ""])
def test_text_that_is_no_finite_number_is_refused(bad: str) -> None:
    with pytest.raises(InputError):
        dec(bad)


@pytest.mark.parametrize(
    ("text", "value"),
    [("12.50", "12.50"), ("$12.50", "12.50"), ("12.50 USD", "12.50"), ("USD 1,200", "1200")],
)
def test_money_as_people_type_it(text: str, value: str) -> None:
    assert read_money(text, "USD") == D(value)


def test_another_currency_is_refused() -> None:
    with pytest.raises(UnitMismatch, match="EUR"):
        read_money("3 EUR", "USD")
    with pytest.raises(InputError, match="ISO 4217"):
        check_currency("XQX")


@pytest.mark.parametrize(("code", "coin"), [("USD", "0.01"), ("JPY", "1"), ("KWD", "0.001")])
def test_minor_units_of_iso_4217(code: str, coin: str) -> None:
    assert minor_unit(code) == D(coin)


def test_ten_dollars_over_three() -> None:
    # Largest remainder: 3.34, 3.33, 3.33 (worked by hand).
    assert split_money(D("10.00"), [D(1)] * 3, "USD") == [D("3.34"), D("3.33"), D("3.33")]


@given(
    st.decimals("0", "100000", places=2),
    st.lists(st.integers(0, 1000), min_size=1, max_size=12).filter(lambda weights: sum(weights) > 0),
)
def test_split_money_sums_exactly(amount: Decimal, weights: list[int]) -> None:
    shares = split_money(amount, [D(weight) for weight in weights], "USD")
    assert sum(shares) == amount
    assert all(
        abs(share - amount * weight / sum(weights)) < D("0.01")
        for share, weight in zip(shares, weights, strict=True)
    )


@pytest.mark.parametrize("weights", [[D(0), D(0)], [D(-1), D(2)]])
def test_impossible_shares_are_refused(weights: list[Decimal]) -> None:
    with pytest.raises(InputError):
        split_money(D(1), weights, "USD")


@given(st.decimals("-1e6", "1e6", places=6))
def test_a_unit_round_trip_gives_back_the_number(value: Decimal) -> None:
    there = value * unit_factor("lb", "g")
    assert abs(there * unit_factor("g", "lb") - value) <= D("1e-18")


def test_rounding_helpers() -> None:
    assert rounded(D("1e30"), D("1e-9")) == D("1e30")  # found by fuzzing: more digits than the context has
    assert rounded(D("2.665"), D("0.01")) == D("2.67")  # half up, where half-even gives 2.66
    assert (ceiling(D("2.1")), floor(D("2.9"))) == (D(3), D(2))
    assert read_number("1,250.50") == D("1250.50")
    assert display_unit("USD/hundred_kcal") == "USD/100 kcal"
