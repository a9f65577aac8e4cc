"""Plain statements of which offer is the better buy, made only where they are sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from nutricost.domain.comparison.measures import kcal_per_gram, sodium_per_1000_kcal
from nutricost.domain.comparison.offers import Offer
from nutricost.domain.quantities import ONE, Figure

COMPLIANCE = Decimal("0.2")
"""A label is lawful while the food is within 20 % of it: 21 CFR 101.9(g)(4) and (g)(5)."""

SERVING_SPREAD = Decimal("0.25")
"""Printed servings whose energy differs by more than this are not alike."""

Verdict = Literal["less", "more", "too close", "not known"]


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing said of two offers.

    `ratio` is subject / other on `about`; `verdict` holds over the whole interval of what is printed
    and weighed; `survives_compliance` says whether it also holds where labels are off by the lawful
    20 %. `settles` names the input that would decide a close call.
    """

    about: str
    subject: str
    other: str
    ratio: Figure
    verdict: Verdict
    survives_compliance: bool
    settles: str
    text: str


def compare_statements(homes: Sequence[Offer], pouches: Sequence[Offer]) -> list[Statement]:
    """Statements for each home batch beside each pouch: money for equal energy first."""
    return [
        statement
        for home in homes
        for pouch in pouches
        for statement in (
            _money(home, pouch),
            _serving(home, pouch),
            _carried(home, pouch),
            _sodium(home, pouch),
        )
        if statement is not None
    ]


def _money(home: Offer, pouch: Offer) -> Statement:
    ours = home.cost / home.whole["energy"]
    theirs = pouch.cost / pouch.whole["energy"]
    ratio = (ours / theirs).named("cost for equal energy", formula=f"{home.name} / {pouch.name}")
    statement = _statement("money for the same energy", home, pouch, ratio, "costs")
    if statement.verdict in ("less", "more") and ours.is_known and theirs.is_known:
        tie = (ours * pouch.whole["energy"]).must()
        text = (
            f"{statement.text} They draw level when the pouch sells at {_money_text(tie, pouch.currency)} "
            f"instead of {_money_text(pouch.cost.must(), pouch.currency)}."
        )
        return _with_text(statement, text)
    return statement


def _serving(home: Offer, pouch: Offer) -> Statement | None:
    ratio = (home.cost_per_serving / pouch.cost_per_serving).named("cost per serving")
    alike = _energy_spread(home, pouch)
    if not ratio.is_known or (alike is not None and alike > SERVING_SPREAD):
        return None
    return _statement("money for a serving", home, pouch, ratio, "costs")


def _carried(home: Offer, pouch: Offer) -> Statement | None:
    ratio = (kcal_per_gram(home) / kcal_per_gram(pouch)).named("energy a gram carried")
    return (
        _statement("energy for the weight carried", home, pouch, ratio, "gives") if ratio.is_known else None
    )


def _sodium(home: Offer, pouch: Offer) -> Statement | None:
    ratio = (sodium_per_1000_kcal(home) / sodium_per_1000_kcal(pouch)).named("sodium for equal energy")
    return _statement("sodium for the same energy", home, pouch, ratio, "has") if ratio.is_known else None


def _statement(about: str, home: Offer, pouch: Offer, ratio: Figure, verb: str) -> Statement:
    if not ratio.is_known:
        text = f"{home.name} against {pouch.name}, {about}: not known ({ratio.why})."
        return Statement(about, home.name, pouch.name, ratio, "not known", False, "", text)
    low, high = ratio.low, ratio.high
    loose_low, loose_high = (
        low * (1 - COMPLIANCE) / (1 + COMPLIANCE),
        high * (1 + COMPLIANCE) / (1 - COMPLIANCE),
    )
    if high < 1 or low > 1:
        verdict: Verdict = "less" if high < 1 else "more"
        survives = loose_high < 1 if high < 1 else loose_low > 1
        text = f"{_capital(about)}: {home.name} {verb} {_times(ratio)} {pouch.name}{_survival(survives)}."
        return Statement(about, home.name, pouch.name, ratio, verdict, survives, "", text)
    widest = ratio.contributions()
    settles = widest[0][0].name if widest else ""
    hint = f"; what would settle it: {settles}" if settles else ""
    text = (
        f"{_capital(about)}: {home.name} and {pouch.name} are too close to call "
        f"({_number(low)} to {_number(high)} times){hint}."
    )
    return Statement(about, home.name, pouch.name, ratio, "too close", False, settles, text)


def _with_text(statement: Statement, text: str) -> Statement:
    return Statement(
        statement.about, statement.subject, statement.other, statement.ratio, statement.verdict,
        statement.survives_compliance, statement.settles, text,
    )  # fmt: skip


def _survival(survives: bool) -> str:
    if survives:
        return "; true even where labels are off by the lawful 20 %"
    return "; true as printed, not if labels are off by the lawful 20 %"


def _times(ratio: Figure) -> str:
    """A ratio in words: '0.24 times as much as (0.22 to 0.26)'."""
    value = ratio.must()
    spread = "" if ratio.is_exact else f" ({_number(ratio.low)} to {_number(ratio.high)})"
    if Decimal("0.995") <= value <= Decimal("1.005"):
        return f"about as much as{spread}"
    return f"{_number(value)} times as much as{spread}"


def _number(value: Decimal) -> str:
    if not value.is_finite():
        return "unbounded"
    return f"{value:.3f}" if value < Decimal("0.095") else f"{value:.2f}"


def _money_text(value: Decimal, currency: str) -> str:
    return f"{value:.2f} {currency}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _energy_spread(left: Offer, right: Offer) -> Decimal | None:
    """How far the energy of two servings lies apart, as a fraction of the smaller."""
    energies = [offer.per_serving["energy"].value for offer in (left, right)]
    if any(energy is None or energy <= 0 for energy in energies):
        return None
    low, high = sorted(energy for energy in energies if energy is not None)
    return high / low - ONE


def serving_size_warnings(offers: Sequence[Offer]) -> list[str]:
    """A warning for offers whose servings are too unlike to be compared serving by serving."""
    known = [(offer, offer.per_serving["energy"].value) for offer in offers]
    sized = [(offer, value) for offer, value in known if value is not None and value > 0]
    if len(sized) < 2:
        return []
    small = min(sized, key=lambda pair: pair[1])
    large = max(sized, key=lambda pair: pair[1])
    if large[1] / small[1] - ONE <= SERVING_SPREAD:
        return []
    return [
        f"servings are not alike: {small[1]:.0f} kcal in one of {small[0].name}, {large[1]:.0f} kcal in one "
        f"of {large[0].name}; compare for equal energy (--basis 100kcal) rather than per serving"
    ]
