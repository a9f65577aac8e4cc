"""Barcodes against published examples of the check digit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricost.domain.foods.barcodes import check_digit, expanded_upc_e, read_gtin, written_forms
from nutricost.errors import InputError


@pytest.mark.parametrize(
    ("digits", "expected"),
    [
        ("629104150021", 3),  # GS1's own worked example of its check digit page (from memory)
        ("03600029145", 2),  # the usual textbook UPC-A (from memory)
        ("7351353", 7),  # the usual textbook EAN-8 (from memory)
        ("1234567890", 5),  # by hand: 3(0 + 8 + 6 + 4 + 2) + 9 + 7 + 5 + 3 + 1 = 85
    ],
)
def test_check_digit(digits: str, expected: int) -> None:
    assert check_digit(digits) == expected


def test_the_contracts_barcode() -> None:
    assert read_gtin("0012345678905") == "00012345678905"
    assert read_gtin("0 12345-67890 5") == "00012345678905"


def test_upc_e() -> None:
    # 04252614 stands for 042100005264: the usual textbook example (from memory).
    assert expanded_upc_e("04252614") == "042100005264"
    assert read_gtin("04252614") == "00042100005264"


@pytest.mark.parametrize("text", ["", "12", "0012345678904", "abcdefgh", "１２３４５６７８", "1" * 15])
def test_what_is_no_barcode_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="accepted"):
        read_gtin(text)


@given(st.text("0123456789", min_size=11, max_size=11), st.integers(0, 10), st.integers(1, 9))
def test_one_wrong_digit_is_always_seen(body: str, place: int, change: int) -> None:
    """GS1: the scheme finds every single wrong digit."""
    good = body + str(check_digit(body))
    bad = good[:place] + str((int(good[place]) + change) % 10) + good[place + 1 :]
    assert read_gtin(good) == good.zfill(14)
    with pytest.raises(InputError):
        read_gtin(bad)


def test_written_forms() -> None:
    assert written_forms("00012345678905") == ("00012345678905", "0012345678905", "012345678905")
    assert written_forms("10012345678902") == ("10012345678902",)
    assert written_forms("00000073513537")[-1] == "73513537"


@pytest.mark.parametrize(
    ("short", "long"),
    # GS1 General Specifications, table of UPC-E (from memory): after a last digit of 3 five zeros stand after
    # the third digit, of 4 after the fourth, of 5 to 9 four zeros after the fifth. Check digits by hand:
    # 3 x 5 + 4 + 3 + 3 x 2 + 1 = 29; 3 x 5 + 3 x 4 + 3 + 3 x 2 + 1 = 37; 21 + 5 + 12 + 3 + 6 + 1 = 48.
    [("01234531", "012300000451"), ("01234543", "012340000053"), ("01234572", "012345000072")],
)
def test_each_way_a_upc_e_leaves_zeros_out(short: str, long: str) -> None:
    assert expanded_upc_e(short) == long
    assert read_gtin(long) == long.zfill(14)
    assert read_gtin(short) in (long.zfill(14), short.zfill(14))
