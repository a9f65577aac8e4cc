"""How much: whole, decimal, vulgar and mixed numbers, words, and ranges of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.foods.tokens import Token

ABOUT = frozenset("about approximately approx around roughly nearly almost ca circa some".split())
"""Words that make the amount after them approximate."""

_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10,
    "eleven": 11, "twelve": 12, "fifteen": 15, "sixteen": 16, "eighteen": 18, "twenty": 20, "thirty": 30,
}  # fmt: skip
_DOZEN = frozenset("dozen dozens doz dz dzn".split())
_LOOSE = {"couple": (2, 2), "pair": (2, 2), "few": (2, 4), "several": (3, 5)}
"""Words for a number nobody counted: the range a cook means (common practice, no source)."""
_PARTS = {
    "half": Decimal("0.5"), "quarter": Decimal("0.25"), "third": Decimal(1) / 3, "fourth": Decimal("0.25"),
    "quarters": Decimal("0.25"), "thirds": Decimal(1) / 3, "halves": Decimal("0.5"),
    "fourths": Decimal("0.25"), "eighth": Decimal("0.125"), "eighths": Decimal("0.125"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Amount:
    """A number or a range of numbers, without a unit."""

    low: Decimal
    high: Decimal
    approximate: bool = False

    @property
    def middle(self) -> Decimal:
        """The midpoint of the range."""
        return (self.low + self.high) / 2

    def times(self, factor: Decimal) -> Amount:
        """The amount times a number."""
        return Amount(self.low * factor, self.high * factor, self.approximate)


def _text(tokens: Sequence[Token], at: int) -> str:
    return tokens[at].text if at < len(tokens) else ""


def _is_number(tokens: Sequence[Token], at: int) -> bool:
    return at < len(tokens) and tokens[at].kind == "number"


def _simple(tokens: Sequence[Token], at: int) -> tuple[Decimal, int, bool] | None:
    """One number at `at`: ('3/4', '1½', '0.5'), where it ends, whether it is a fraction below one."""
    if not _is_number(tokens, at):
        return None
    value = tokens[at].value or Decimal(0)
    if tokens[at].fraction:
        return value, at + 1, True
    if _text(tokens, at + 1) == "/" and _is_number(tokens, at + 2) and not tokens[at + 2].fraction:
        below = tokens[at + 2].value or Decimal(0)
        if below and value == value.to_integral_value() and 1 < below <= 100:
            return value / below, at + 3, value < below
    return value, at + 1, False


def _mixed(tokens: Sequence[Token], at: int) -> tuple[Decimal, int] | None:
    """A number with the fraction that may follow it: '1 1/2', '1-1/2', '1 and 1/2', '1½'."""
    first = _simple(tokens, at)
    if first is None:
        return None
    value, end, is_fraction = first
    if is_fraction or value != value.to_integral_value():
        return value, end
    after = end + 1 if _text(tokens, end) in ("-", "and", "&") else end
    second = _simple(tokens, after)
    if second is not None and second[2]:
        return value + second[0], second[1]
    return value, end


def _dozen(tokens: Sequence[Token], at: int) -> int | None:
    """Where a word for twelve at `at` ends ('dozen', 'doz.', '-dozen'), or None where there is none."""
    at += _text(tokens, at) == "-"
    if _text(tokens, at) not in _DOZEN:
        return None
    return at + 2 if _text(tokens, at + 1) == "." else at + 1


def _fraction(tokens: Sequence[Token], at: int) -> tuple[Decimal, int] | None:
    """A fraction in words at `at` and where it ends: 'one-half', 'three quarters', 'a third'."""
    word = _text(tokens, at)
    count = 1 if word in ("a", "an") else _WORDS.get(word, 0)
    end = at + 2 if _text(tokens, at + 1) == "-" else at + 1
    part = _text(tokens, end)
    if not count or part not in _PARTS or (part == "half" and count > 1):  # 'two half pints' are two
        return None
    return count * _PARTS[part], end + 1


def _worded(tokens: Sequence[Token], at: int) -> tuple[Decimal, Decimal, int] | None:
    """A number in words: 'two', 'half a dozen', 'a', 'a couple of', 'one and a half'."""
    word = _text(tokens, at)
    if word in ("a", "an") and at + 1 < len(tokens):
        following = _text(tokens, at + 1)
        if following in ("half", "couple", "pair", "few") or following in _DOZEN:
            return _worded(tokens, at + 1)
        part = _fraction(tokens, at)
        return (part[0], *part) if part is not None else (Decimal(1), Decimal(1), at + 1)
    if word == "half":
        end = at + 1
        if _text(tokens, end) in ("a", "an"):
            end += 1
        if _text(tokens, end) == "and":
            return None
        return Decimal("0.5"), Decimal("0.5"), end
    if word in ("quarter", "third"):
        after = at + 2 if _text(tokens, at + 1) == "-" else at + 1
        if _text(tokens, after) in ("of", "cup", "pound", "teaspoon", "lb"):
            return _PARTS[word], _PARTS[word], at + 1
    if word in _DOZEN:
        return Decimal(1), Decimal(1), at  # the dozen itself is counted by the caller
    if word in _LOOSE:
        low, high = _LOOSE[word]
        return Decimal(low), Decimal(high), at + 1
    if word in _WORDS:
        part = _fraction(tokens, at)
        if part is not None:
            return part[0], *part
        value = Decimal(_WORDS[word])
        more = _fraction(tokens, at + 2) if _text(tokens, at + 1) == "and" else None
        if more is not None:
            return value + more[0], value + more[0], more[1]
        return value, value, at + 1
    return None


def read_amount(tokens: Sequence[Token], at: int) -> tuple[Amount, int] | None:
    """The amount that starts at token `at` and where it ends, or None where none starts there."""
    start = at
    while _text(tokens, at) in ABOUT or (_text(tokens, at) == "~"):
        at += 1
    approximate = at > start
    single = _mixed(tokens, at)
    if single is None:
        worded = _worded(tokens, at)
        if worded is None:
            return None
        low, high, end = worded
        approximate = approximate or low != high
        if low != high:
            return _dozens(tokens, Amount(low, high, approximate), end)
    else:
        low, end = single
        high = low
    if _dozen(tokens, end) is None and _text(tokens, end) in ("-", "to", "or"):
        second = _mixed(tokens, end + 1)
        if second is None and _text(tokens, end) != "-":
            words = _worded(tokens, end + 1)
            second = (words[0], words[2]) if words is not None and _text(tokens, end + 1) in _WORDS else None
        if second is not None and second[0] > low:
            return _dozens(tokens, Amount(low, second[0], approximate), second[1])
    return _dozens(tokens, Amount(low, high, approximate), end)


def _dozens(tokens: Sequence[Token], amount: Amount, end: int) -> tuple[Amount, int]:
    """The amount times twelve where a dozen follows ('2 doz. eggs', '2-3 dozen'), and where it ends."""
    after = _dozen(tokens, end)
    return (amount, end) if after is None else (amount.times(Decimal(12)), after)
