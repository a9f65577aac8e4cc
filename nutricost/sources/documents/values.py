"""Reading one value that a person wrote: numbers, amounts with a unit, money, dates.

Each function returns the value or raises `Fault`; the caller knows the file and key.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from nutricost.domain.quantities import dec, read_money, read_quantity
from nutricost.domain.quantities.units import EXAMPLES, Kind
from nutricost.errors import InputError

LARGEST = Decimal("1e12")
SMALLEST = Decimal("1e-9")
"""No amount of food, money or power in a kitchen comes near either; what lies outside is a slip."""

LONGEST = 200
"""Characters of a text that holds one amount."""

KIND_WORDS: dict[Kind, str] = {
    "mass": "weight", "volume": "volume", "energy": "amount of energy", "time": "time", "length": "length",
}  # fmt: skip

VULGAR = dict(zip("½ ⅓ ⅔ ¼ ¾ ⅛ ⅜ ⅝ ⅞".split(), "1/2 1/3 2/3 1/4 3/4 1/8 3/8 5/8 7/8".split(), strict=True))


class Fault(Exception):
    """A value that cannot be used: what is wrong, what is accepted."""

    def __init__(self, what: str, accepted: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.accepted = accepted


@dataclass(frozen=True, slots=True)
class Bounds:
    """Where a number may lie; `words` says it in a message."""

    words: str
    low: Decimal
    low_in: bool = True
    high: Decimal = LARGEST
    high_in: bool = True

    def check(self, value: Decimal, shown: object) -> Decimal:
        """The value itself. Raises Fault where it lies outside."""
        if not value.is_finite():
            raise Fault(f"{shown} is not a finite number", self.words)
        if 0 < abs(value) < SMALLEST or value < self.low or (value == self.low and not self.low_in):
            raise Fault(f"{_shown(shown)} is too small", self.words)
        if value > self.high or (value == self.high and not self.high_in):
            raise Fault(f"{_shown(shown)} is too large", self.words)
        return value


_0, _1 = Decimal(0), Decimal(1)
POSITIVE = Bounds("above 0", _0, low_in=False)
NOT_NEGATIVE = Bounds("0 or more", _0)
MOISTURE = Bounds("a fraction of 0 or more and below 1", _0, high=_1, high_in=False)
SHARE = Bounds("a fraction above 0 and at most 1", _0, low_in=False, high=_1)
FRACTION = Bounds("a fraction from 0 to 1", _0, high=_1)


def _shown(raw: object) -> str:
    return repr(raw) if isinstance(raw, str) else str(raw)


def is_number(raw: object) -> bool:
    """Whether a parsed TOML value is a number (true and false are not)."""
    return isinstance(raw, int | Decimal) and not isinstance(raw, bool)


def type_word(raw: object) -> str:
    """What a parsed TOML value is, in the words of a message."""
    if isinstance(raw, bool):
        return f"{str(raw).lower()} is a truth value"
    if isinstance(raw, str):
        return f"{_cut(raw)} is text"
    if isinstance(raw, int | Decimal):
        return f"{raw} is a number"
    if isinstance(raw, dict):
        return "it is a table"
    if isinstance(raw, list):
        return "it is a list"
    return f"{raw} is a date or time"


def _cut(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:57] + "...")


def short(raw: str) -> str:
    """The text itself. Raises Fault where it is too long to be one amount."""
    if len(raw) > LONGEST:
        raise Fault(f"{_cut(raw)} is too long", f"at most {LONGEST} characters")
    return raw


def read_plain(raw: object, bounds: Bounds) -> Decimal:
    """A bare number within bounds."""
    if not isinstance(raw, int | Decimal) or isinstance(raw, bool):
        raise Fault(type_word(raw), f"a number, {bounds.words}")
    return bounds.check(Decimal(raw), raw)


def _with_unit(kind: Kind) -> str:
    word = KIND_WORDS[kind]
    return f"{'an' if word.startswith('a') else 'a'} {word} with its unit: {EXAMPLES[kind]}"


def read_amount(raw: object, kind: Kind, bounds: Bounds, bare_unit: str = "") -> Decimal:
    """An amount with its unit in a text, in the base unit of `kind` (g, mL, kWh, h or cm).

    A bare number is taken as `bare_unit` where the key names the unit, and refused otherwise.
    """
    if is_number(raw):
        if not bare_unit:
            raise Fault(f"{raw} has no unit", _with_unit(kind))
        return read_plain(raw, bounds)
    if not isinstance(raw, str):
        raise Fault(type_word(raw), _with_unit(kind))
    try:
        value = read_quantity(plain_fraction(short(raw)), kind)
    except InputError as error:
        what = str(error)
        if "accepted" in what:
            raise Fault(what if what.startswith(repr(raw)) else f"{_cut(raw)}: {what}") from None
        raise Fault(f"{_cut(raw)} is no {KIND_WORDS[kind]}: {what}", EXAMPLES[kind]) from None
    return bounds.check(value, raw)


def read_minutes(raw: object, bounds: Bounds) -> Decimal:
    """Minutes, from a bare number or a time with its unit; to a millionth of a minute."""
    if not isinstance(raw, str):
        return read_plain(raw, bounds)
    minutes = round(read_amount(raw, "time", bounds) * 60, 6)
    whole = minutes.to_integral_value()
    return whole if minutes == whole else minutes.normalize()


def read_price(raw: object, currency: str | None, bounds: Bounds, per: str = "") -> Decimal:
    """Money in the document's currency, from a number or a text such as "12.50 USD".

    `per`: the unit that the text may name, as in "0.17 USD/kWh". `currency` None: the document's own
    could not be read, so any will do.
    """
    accepted = f'12.50 or "12.50 {currency or "USD"}"'
    if is_number(raw):
        return bounds.check(Decimal(str(raw)), raw)
    if not isinstance(raw, str):
        raise Fault(type_word(raw), f"money: {accepted}")
    short(raw)
    text = re.sub(rf"\s*/\s*{re.escape(per)}\s*\Z", "", raw, flags=re.IGNORECASE) if per else raw
    if currency is None:
        named = re.search(r"[A-Za-z]{3}", text)
        currency = named[0].upper() if named else "USD"
    try:
        value = read_money(text, currency)
    except InputError as error:
        what = str(error)
        raise Fault(what, "" if "accepted" in what else f"money: {accepted}") from None
    return bounds.check(value, raw)


def read_text(raw: object) -> str:
    """A text that is not empty, without blanks around it."""
    if not isinstance(raw, str):
        raise Fault(type_word(raw), "text in quotes")
    if not raw.strip():
        raise Fault("is empty", "some text")
    return raw.strip()


def read_date(raw: object) -> date:
    """A calendar date from 1900 to 2999, from a TOML date or a text such as "2026-05-01".

    Food that keeps for decades must not run past the calendar's year 9999.
    """
    if isinstance(raw, datetime):
        raw = raw.date()
    try:
        found = (
            raw if isinstance(raw, date) else date.fromisoformat(raw.strip() if isinstance(raw, str) else "")
        )
    except ValueError:
        raise Fault(f"{type_word(raw)}, not a date", "a date such as 2026-05-01") from None
    if not 1900 <= found.year <= 2999:
        raise Fault(f"{found} is no date of food", "a date such as 2026-05-01")
    return found


def read_ratio(text: str) -> tuple[Decimal, int]:
    """Numerator and denominator of "2", "2.5", "1/2" or "1 1/2". Raises Fault for anything else."""
    match = re.fullmatch(r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)", text.strip())
    try:
        if match is None:
            return dec(text.strip()), 1
    except InputError as error:
        raise Fault(str(error)) from None
    whole, above, below = int(match[1] or 0), int(match[2]), int(match[3])
    if not below:
        raise Fault(f"{text!r} divides by zero", "a fraction such as 1/2")
    return Decimal(whole * below + above), below


def read_fraction(text: str) -> Decimal:
    """The number written as "2", "2.5", "1/2" or "1 1/2". Raises Fault for anything else."""
    above, below = read_ratio(text)
    return above / below


def plain_fraction(text: str) -> str:
    """The text with a fraction at its start ("1 1/2 cups", "½ cup") written as a decimal number."""
    for sign, written in VULGAR.items():
        text = text.replace(sign, f" {written}")
    match = re.match(r"\s*((?:\d+\s+)?\d+\s*/\s*\d+)(.*)\Z", text, re.DOTALL)
    return f"{read_fraction(match[1])}{match[2]}" if match else text.strip()
