"""Figures as read: digits by unit, rounding half up, ranges, unknowns in words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import (
    places_for,
    shown,
    shown_number,
    shown_range,
    shown_with_range,
)

D = Decimal


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        # Half up, where half even would give 2.66, 12, 124 and 0.12.
        ("2.665", "USD", "2.67"),
        ("12.25", "g", "12.3"),
        ("124.5", "mg", "125"),
        ("0.125", "kWh", "0.13"),
        ("-2.5", "mg", "-3"),
        # Whole units.
        ("1349.6", "kcal", "1350"),
        ("99.94", "g", "99.9"),
        ("100", "g", "100"),
        ("100.4", "g", "100"),
        ("-50", "g", "-50.0"),
        ("240.4", "mL", "240"),
        ("53.96", "h", "54.0"),
        ("2.345", "cup", "2.35"),
        ("0.0304", "", "0.030"),
        ("2.345", "lb", "2.35"),
        # Small energies keep two digits, such as kcal per gram.
        ("4.126", "kcal/g", "4.13"),
        ("9.994", "kcal", "9.99"),
        ("10", "kcal", "10"),
        ("10.4", "kcal/g", "10"),
        # Counted things.
        ("20", "serving", "20"),
        ("2.5", "serving", "2.5"),
        ("4.0", "bag", "4"),
        ("4.5", "bag", "4.50"),
        ("3", "package", "3"),
        ("2", "batch", "2"),
        ("1", "cycle/month", "1"),
        ("5", "tray", "5"),
        ("1.666", "serving/USD", "1.7"),
        # Money: the coins of ISO 4217; a small price keeps three digits, an amount does not.
        ("12", "USD", "12.00"),
        ("0.005", "USD", "0.01"),
        ("350.5", "JPY", "351"),
        ("1.2345", "KWD", "1.235"),
        ("0.02345", "USD/kcal", "0.0235"),
        ("0.17", "USD/kWh", "0.170"),
        ("1.005", "USD/serving", "1.01"),
        ("0", "USD/kcal", "0.00"),
        ("0.5", "JPY/kcal", "1"),
        ("-0.02345", "USD/kcal", "-0.0235"),
        ("1", "USD/serving", "1.00"),
        ("Infinity", "kcal", "no limit"),
        # Little for one coin, or in one gram or kcal, keeps three digits; nothing is nothing.
        ("0.5", "kcal/USD", "0.500"),
        ("1", "kcal/USD", "1.00"),
        ("0.05", "g/USD", "0.0500"),
        ("0.5", "g/USD", "0.500"),
        ("0.2105", "serving/USD", "0.211"),
        ("0.351", "serving/h", "0.351"),
        ("1.4", "serving/h", "1.4"),
        ("0.5", "g/kcal", "0.500"),
        ("1", "g/kcal", "1.00"),
        ("1.5", "g/kcal", "1.50"),
        ("10", "mg/kcal", "10"),
        ("0", "g/kcal", "0"),
    ],
)
def test_numbers_as_read(value: str, unit: str, text: str) -> None:
    assert shown_number(D(value), unit) == text


def test_a_product_of_huge_inputs_is_shown_not_a_crash() -> None:
    # Was: rounding beyond 28 digits ended in a traceback.
    assert shown_number(D(10) ** 45, "USD") == f"1{'0' * 45}.00"


def test_places() -> None:
    assert places_for(D("99.999"), "g") == 1
    assert places_for(D(100), "g") == 0
    assert places_for(D("9.99"), "kcal") == 2
    assert places_for(D(5), "mg") == 0


def test_known_and_unknown() -> None:
    assert shown(Figure.exact(D("2.5"), "USD")) == "2.50"
    unknown = Figure.unknown("USD", "nothing paid is given")
    assert shown(unknown) == shown_with_range(unknown) == "not known"
    assert shown_range(unknown) == ""


def test_a_range_is_shown_where_it_can_be_seen() -> None:
    rough = Figure.between(D("169"), D("179"), "kcal")
    assert shown_with_range(rough) == "174 (169 to 179)"
    assert shown_range(rough) == "169 to 179"
    narrow = Figure.between(D("173.9"), D("174.1"), "kcal")
    assert shown_range(narrow) == ""
    assert shown_with_range(narrow) == "174"
    assert shown_with_range(Figure.exact(174, "kcal")) == "174"


def test_a_small_ratio_keeps_the_range_that_its_inverse_shows() -> None:
    # Was: '0.2' without a range beside an inverse of '4.75 (4.22 to 6.33)'.
    price = Figure.between(D("4.22"), D("6.33"), "USD/serving", value=D("4.75"))
    assert shown_with_range(price) == "4.75 (4.22 to 6.33)"
    assert shown_with_range(Figure.exact(1, "") / price) == "0.211 (0.158 to 0.237)"


def test_an_open_end_has_no_limit() -> None:
    ratio = Figure.exact(1, "USD") / Figure.between(D(0), D(5), "kcal", value=D(2))
    assert shown_range(ratio) == "0.200 to no limit"
