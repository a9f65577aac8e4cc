"""Units of products and quotients, names of units as typed, and money to the coin."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.quantities import (
    check_currency,
    dec,
    display_unit,
    read_money,
    read_number,
    read_quantity,
    rounded,
    split_money,
    unit_factor,
)
from nutricost.domain.quantities.units import ask_factor, unit_product, unit_quotient
from nutricost.errors import InputError, UnitMismatch

D = Decimal


@pytest.mark.parametrize(
    ("left", "right", "product", "quotient"),
    [
        ("USD", "serving", "USD*serving", "USD/serving"),
        ("USD/serving", "serving", "USD", "USD/serving**2"),
        ("kcal/g", "g", "kcal", "kcal/g**2"),
        ("g", "g", "g**2", ""),
        ("g", "", "g", "g"),
        ("", "g", "g", "1/g"),
        ("", "", "", ""),
        ("EUR", "kWh", "EUR*kWh", "EUR/kWh"),
        ("EUR/kWh", "kWh", "EUR", "EUR/kWh**2"),
        ("tray", "cycle", "cycle*tray", "tray/cycle"),
        ("1/serving", "serving", "", "1/serving**2"),
        ("USD/serving", "kcal/serving", "USD*kcal/serving**2", "USD/kcal"),
        ("cm", "cm**2", "cm**3", "1/cm"),
        ("EUR", "bag", "EUR*bag", "EUR/bag"),
        ("ft", "ft", "ft**2", ""),
        ("week", "cm*person", "cm*person*week", "week/cm/person"),
    ],
)
def test_units_of_products_and_quotients(left: str, right: str, product: str, quotient: str) -> None:
    assert unit_product(left, right) == product
    assert unit_quotient(left, right) == quotient


@pytest.mark.parametrize(
    ("unit", "into"),
    [("USD", "EUR"), ("serving", "package"), ("mL", "g"), ("kcal", "g"), ("tray", "cycle"), ("USD", "")],
)
def test_what_has_another_dimension_cannot_be_read_as_it(unit: str, into: str) -> None:
    with pytest.raises(UnitMismatch, match="cannot be read as"):
        unit_factor(unit, into)


def test_factors_that_only_pint_knows() -> None:
    assert ask_factor("lb", "g") == D("453.59237")  # NIST Handbook 44, appendix C
    assert unit_factor("g/week", "mg/week") == 1000
    assert unit_factor("EUR/kg", "EUR/g") == D("0.001")


def test_a_unit_nobody_knows() -> None:
    with pytest.raises(UnitMismatch, match="unknown unit 'furlong'"):
        unit_factor("furlong", "cm")
    with pytest.raises(UnitMismatch, match="unknown unit"):
        unit_product("furlong", "cm")


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        # NIST Handbook 44, appendix C, and SI prefixes.
        ("1 Pound", "mass", "453.59237"), ("1 T", "volume", "14.78676478125"),
        ("1 t", "volume", "4.92892159375"), ("1 tsp.", "volume", "4.92892159375"),
        ("1 fluid ounce", "volume", "29.5735295625"), ("1 OZ", "volume", "29.5735295625"),
        ("1 ounce", "volume", "29.5735295625"), ("1 oz", "mass", "28.349523125"),
        ("2 l", "volume", "2000"), ("1.5e3 g", "mass", "1500"), ("-2 g", "mass", "-2"),
        (" 7 g ", "mass", "7"), ("3600 kJ", "energy", "1"), ("2 days", "time", "48"),
        ("5 FT", "length", "152.4"), ("0.5 KG", "mass", "500"),
    ],
)  # fmt: skip
def test_units_as_people_spell_them(text: str, kind: str, value: str) -> None:
    assert read_quantity(text, kind) == pytest.approx(D(value), rel=D("1e-20"))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("5", "mass", 'no unit given .accepted: "370 g", "12.3 oz" or "2.5 kg".'),
        ("5 zzqq", "mass", "unknown unit 'zzqq' .not a unit this program knows; accepted"),
        ("5 gramz", "mass", "did you mean 'gram"),
        ("5 h", "energy", "h cannot be read as kWh"),
        ("g", "mass", "'g' is not a mass"),
        ("1.2.3 g", "mass", "not a number"),
        ("5 fl oz", "mass", "fl oz cannot be read as g"),
    ],
)
def test_refusals_name_what_is_accepted(text: str, kind: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_quantity(text, kind)  # type: ignore[arg-type]


def test_unit_names_for_people() -> None:
    assert display_unit("USD/thousand_kcal") == "USD/1000 kcal"
    assert display_unit("g/hundred_g") == "g/100 g"
    assert display_unit("floz") == "fl oz"
    assert display_unit("g") == "g"


@pytest.mark.parametrize(
    ("text", "value"),
    [("1,250.50", "1250.50"), ("1,250,000", "1250000"), ("-1,250", "-1250"), (" 2.5 ", "2.5"), ("+3", "3")],
)
def test_numbers_with_thousands(text: str, value: str) -> None:
    assert read_number(text) == D(value)


@pytest.mark.parametrize(
    "text", ["1,5", "1,25", "12,34,567", ",500", "1,2500", "1.000,5", "1,250.", "1e400000000"]
)
def test_what_is_no_number(text: str) -> None:
    with pytest.raises(InputError):
        read_number(text)


def test_exact_numbers_only() -> None:
    assert dec("2.50") == D("2.50")
    assert dec(3) == 3
    assert dec(D("1.1")) == D("1.1")
    for bad, says in ((0.5, "no exact number"), (True, "no exact number"), ("x", "not a number"),
                      ("Infinity", "not a finite number"), (D("NaN"), "not a finite number")):  # fmt: skip
        with pytest.raises(InputError, match=says):
            dec(bad)  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["1e400000000", "1e15", "-1e15", "1e-16", "0e-400000000"])
def test_sizes_that_break_arithmetic_are_refused(text: str) -> None:
    # Was: accepted, and the first product ended in a traceback (Decimal overflow).
    with pytest.raises(InputError, match="too large or too small"):
        dec(text)


@pytest.mark.parametrize("text", ["999999999999999", "1e-15", "0.000000", "-1e14"])
def test_sizes_that_are_read(text: str) -> None:
    assert dec(text) == D(text)


@pytest.mark.parametrize(
    ("value", "step", "result"),
    [("2.5", "1", "3"), ("-2.5", "1", "-3"), ("7.4", "5", "5"), ("7.5", "5", "10"), ("0.24", "0.1", "0.2")],
)
def test_rounding_to_a_step(value: str, step: str, result: str) -> None:
    assert rounded(D(value), D(step)) == D(result)


# -- money -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amount", "currency", "value"),
    [
        (12, "USD", "12"), (D("12.5"), "USD", "12.5"), ("12 usd", "USD", "12"), ("usd12", "USD", "12"),
        ("12.50USD", "USD", "12.50"), ("$3", "CAD", "3"), ("$3", "AUD", "3"), ("3$", "NZD", "3"),
        ("-3.50", "USD", "-3.50"), ("1,200 JPY", "JPY", "1200"), (" EUR 5 ", "EUR", "5"),
    ],
)  # fmt: skip
def test_amounts_of_money(amount: str | int | Decimal, currency: str, value: str) -> None:
    assert read_money(amount, currency) == D(value)


@pytest.mark.parametrize(
    ("amount", "currency", "says"),
    [
        ("$3", "EUR", "is not money"), ("USD 3 USD", "USD", "is not money"), ("three", "USD", "is not money"),
        ("", "USD", "is not money"), ("3 dollars", "USD", "is not money"), ("1$2", "USD", "is not money"),
        ("3 EUR", "USD", "is in EUR, but the document is in USD"), ("3 ABC", "USD", "unknown currency 'ABC'"),
        ("3,50", "USD", "not a number"), ("1.2.3", "USD", "not a number"),
    ],
)  # fmt: skip
def test_what_is_not_money(amount: str, currency: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_money(amount, currency)


def test_currency_codes() -> None:
    assert check_currency(" usd ") == "USD"
    for bad in ("US", "XXX", "", "DOLLAR"):
        with pytest.raises(InputError, match="unknown currency"):
            check_currency(bad)


@pytest.mark.parametrize(
    ("amount", "weights", "currency", "shares"),
    [
        # Largest remainder, by hand.
        ("1.00", ("1", "1", "1"), "USD", ("0.34", "0.33", "0.33")),
        ("0.05", ("1", "1"), "USD", ("0.03", "0.02")),  # the tie goes to the earlier
        ("100", ("1", "2"), "USD", ("33.33", "66.67")),  # remainders .33 and .67
        ("10", ("0", "1"), "USD", ("0", "10")),
        ("1.005", ("1", "1"), "USD", ("0.505", "0.50")),  # what is below the coin stays with the first
        ("100", ("1", "1", "1"), "JPY", ("34", "33", "33")),
        ("7.00", ("1",), "USD", ("7.00",)),
        ("1.006", ("1", "1", "1"), "USD", ("0.346", "0.33", "0.33")),
        ("1.00", ("0.5", "0.25", "0.25"), "USD", ("0.50", "0.25", "0.25")),
    ],
)
def test_splits_by_largest_remainder(
    amount: str, weights: tuple[str, ...], currency: str, shares: tuple[str, ...]
) -> None:
    split = split_money(D(amount), [D(weight) for weight in weights], currency)
    assert split == [D(share) for share in shares]


def test_the_smallest_weights_still_share() -> None:
    assert split_money(D(1), [D("0.001"), D("0.001")], "USD") == [D("0.50"), D("0.50")]
    with pytest.raises(InputError, match="not all zero"):
        split_money(D(1), [D(0)], "USD")
    with pytest.raises(InputError, match="zero or more"):
        split_money(D(1), [D(2), D("-0.5")], "USD")
