"""Exact money: reading amounts with a currency, and splitting them without losing a cent."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal

from nutricost.domain.quantities.numbers import ONE, ZERO, dec
from nutricost.domain.quantities.unit_definitions import CURRENCIES
from nutricost.domain.quantities.units import read_number
from nutricost.errors import InputError, UnitMismatch

_MONEY = re.compile(r"\s*(?:([A-Za-z]{3})\s*)?([-+]?[\d.,]+)\s*([A-Za-z]{3})?\s*\Z")


def check_currency(code: str) -> str:
    """The ISO 4217 code in upper case. Raises InputError for a code that is not in use."""
    upper = code.strip().upper()
    if upper not in CURRENCIES:
        raise InputError(f"unknown currency {code!r} (accepted: an ISO 4217 code such as USD)")
    return upper


def read_money(amount: str | int | Decimal, currency: str) -> Decimal:
    """The amount in `currency` [that currency], from a number or a text such as "12.50 USD".

    Raises UnitMismatch where the text names another currency, InputError for anything else.
    """
    if not isinstance(amount, str):
        return dec(amount)
    text = amount.strip()
    if currency in ("USD", "CAD", "AUD", "NZD"):
        text = text.removeprefix("$").removesuffix("$")
    match = _MONEY.match(text)
    if match is None or (match[1] and match[3]):
        raise InputError(f'{amount!r} is not money (accepted: 12.50 or "12.50 {currency}")')
    if code := match[1] or match[3]:
        named = check_currency(code)
        if named != currency:
            raise UnitMismatch(f"{amount!r} is in {named}, but the document is in {currency}")
    return read_number(match[2])


def minor_unit(currency: str) -> Decimal:
    """The smallest coin of a currency, such as 0.01 for USD (ISO 4217)."""
    return ONE.scaleb(-CURRENCIES[currency])


def split_money(amount: Decimal, weights: Sequence[Decimal], currency: str) -> list[Decimal]:
    """The amount in shares proportional to `weights` (>= 0, not all 0), which sum to it exactly.

    Largest remainder in the currency's minor unit; a tie goes to the earlier share. What the amount
    has below the minor unit stays with the first share.
    """
    whole = sum(weights, ZERO)
    if whole <= 0 or min(weights) < 0:
        raise InputError("shares must be zero or more, and not all zero")
    coin = minor_unit(currency)
    coins = (amount / coin).to_integral_value(rounding=ROUND_FLOOR)
    rest = amount - coins * coin
    exact = [coins * weight / whole for weight in weights]
    shares = [part.to_integral_value(rounding=ROUND_FLOOR) for part in exact]
    missing = int(coins - sum(shares, ZERO))
    by_remainder = sorted(range(len(shares)), key=lambda i: (shares[i] - exact[i], i))
    for i in by_remainder[:missing]:
        shares[i] += 1
    money = [share * coin for share in shares]
    money[0] += rest
    return money
