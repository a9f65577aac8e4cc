"""Barcodes of packages: their check digit, and one form for all lengths."""

from __future__ import annotations

from nutricost.errors import InputError

_LENGTHS = (8, 12, 13, 14)
"""Digits of a GTIN-8, GTIN-12 (UPC-A), GTIN-13 (EAN) and GTIN-14. GS1 General Specifications, section 3.3."""


def check_digit(digits: str) -> int:
    """The check digit of the digits before it.

    From the right, digits count 3, 1, 3, 1 ...; the check digit fills up to a multiple of ten.
    Source: GS1 General Specifications, section 7.9 (check digit calculations).
    """
    total = sum(int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(reversed(digits)))
    return -total % 10


def expanded_upc_e(code: str) -> str:
    """The twelve digits that an eight-digit, zero-suppressed UPC-E stands for (check digit kept).

    Source: GS1 General Specifications, section 5.2.2.4 (UPC-E); the table is from memory.
    """
    system, body, check = code[0], code[1:7], code[7]
    last = body[5]
    if last in "012":
        full = body[:2] + last + "0000" + body[2:5]
    elif last == "3":
        full = body[:3] + "00000" + body[3:5]
    elif last == "4":
        full = body[:4] + "00000" + body[4]
    else:
        full = body[:5] + "0000" + last
    return system + full + check


def read_gtin(text: str) -> str:
    """The barcode in its fourteen-digit form, zeros in front.

    8, 12, 13 or 14 digits are read, spaces and hyphens left out; eight digits that start with 0 or 1
    and are no GTIN-8 are read as UPC-E. Raises InputError for another length or a wrong check digit.
    """
    digits = "".join(text.replace("-", " ").split())
    if not (digits.isascii() and digits.isdecimal()) or len(digits) not in _LENGTHS:
        raise InputError(f"{text[:40]!r} is no barcode (accepted: 8, 12, 13 or 14 digits)")
    expected = check_digit(digits[:-1])
    if expected != int(digits[-1]):
        if len(digits) == 8 and digits[0] in "01":
            full = expanded_upc_e(digits)
            if check_digit(full[:-1]) == int(full[-1]):
                return full.zfill(14)
        raise InputError(
            f"{text[:40]!r}: the last digit should be {expected} (accepted: a barcode with its check digit)"
        )
    return digits.zfill(14)


def written_forms(gtin: str) -> tuple[str, ...]:
    """The ways a table may write a fourteen-digit barcode: 14, 13, 12 and 8 digits, where zeros allow."""
    return tuple(gtin[14 - length :] for length in (14, 13, 12, 8) if not gtin[: 14 - length].strip("0"))
