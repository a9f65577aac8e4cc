"""Plain statements of which offer is the better buy, made only where they are sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from nutricost.domain.comparison.measures import kcal_per_gram, sodium_per_1000_kcal
from nutricost.domain.comparison.offers import Offer
from nutricost.domain.quantities import ONE, Figure
from nutricost.domain.quantities.display import shown_number

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
    20 %. `settles` names the input that would decide a close call. `short` is the statement without
    the names, for a reader who has them before him.
    """

    about: str
    subject: str
    other: str
    ratio: Figure
    verdict: Verdict
    survives_compliance: bool
    settles: str
    short: str
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
    statement = _statement("the same energy", home, pouch, ratio, "costs", "")
    if statement.verdict not in ("less", "more"):
        return statement
    tie = (ours * pouch.whole["energy"]).must()
    level = (
        f" They draw level when the pouch sells at {shown_number(tie, pouch.currency)} {pouch.currency} "
        f"instead of {shown_number(pouch.cost.must(), pouch.currency)} {pouch.currency}."
    )
    return replace(statement, text=statement.text + level)


def _serving(home: Offer, pouch: Offer) -> Statement | None:
    ratio = (home.cost_per_serving / pouch.cost_per_serving).named("cost per serving")
    alike = _energy_spread(home, pouch)
    if not ratio.is_known or alike is None or alike > SERVING_SPREAD:
        return None
    return _statement("a serving", home, pouch, ratio, "costs", "")


def _carried(home: Offer, pouch: Offer) -> Statement | None:
    ratio = (kcal_per_gram(home) / kcal_per_gram(pouch)).named("energy a gram carried")
    return _statement("its weight", home, pouch, ratio, "gives", "energy") if ratio.is_known else None


def _sodium(home: Offer, pouch: Offer) -> Statement | None:
    ratio = (sodium_per_1000_kcal(home) / sodium_per_1000_kcal(pouch)).named("sodium for equal energy")
    return _statement("the same energy", home, pouch, ratio, "has", "sodium") if ratio.is_known else None


def _statement(about: str, home: Offer, pouch: Offer, ratio: Figure, verb: str, what: str) -> Statement:
    names = f"{home.name} and {pouch.name}"
    subject = f" in {what}" if what else ""
    if not ratio.is_known:
        text = f"For {about}, {names} can't be compared{subject}: {ratio.why}."
        short = f"for {about}{subject}: not known ({ratio.why})"
        return Statement(about, home.name, pouch.name, ratio, "not known", False, "", short, text)
    low, high = ratio.box
    if low <= 1 <= high:
        widest = ratio.contributions()
        settles = widest[0][0].name if widest else ""
        hint = f"; what would settle it: {settles}" if settles else ""
        close = f"too close to call{subject} ({_number(low)} to {_number(high)} times){hint}"
        text = f"For {about}, {names} are {close}."
        return Statement(
            about, home.name, pouch.name, ratio, "too close", False, settles, f"for {about} {close}", text
        )
    verdict: Verdict = "less" if high < 1 else "more"
    loose = (1 - COMPLIANCE) / (1 + COMPLIANCE)
    survives = high / loose < 1 if verdict == "less" else low * loose > 1
    amount, than = _amount(ratio, what)
    holds = "true even where" if survives else "true as printed, not where"
    text = (
        f"For {about}, {home.name} {verb} {amount} {than} {pouch.name}; "
        f"{holds} labels are off by the lawful 20 %."
    )
    short = f"{verb} {amount} for {about}"
    return Statement(about, home.name, pouch.name, ratio, verdict, survives, "", short, text)


def _amount(ratio: Figure, what: str) -> tuple[str, str]:
    """How much less or more, and the word before the other: '62 % less (56 to 72 %)', 'than'."""
    value, (low, high) = ratio.must(), ratio.box
    noun = f" {what}" if what else ""
    if value > 2:
        spread = "" if ratio.is_exact else f" ({_number(low)} to {_number(high)})"
        return f"{_number(value)} times as much{noun}{spread}", "as"
    word, ends = (
        ("less", (1 - high, 1 - value, 1 - low)) if value < 1 else ("more", (low - 1, value - 1, high - 1))
    )
    least, middle, most = (f"{end * 100:.0f}" for end in ends)
    spread = "" if ratio.is_exact or least == most else f" ({least} to {most} %)"
    return f"{middle} % {word}{noun}{spread}", "than"


def _number(value: Decimal) -> str:
    if not value.is_finite():
        return "unbounded"
    return f"{value:.3f}" if value < Decimal("0.095") else f"{value:.2f}"


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
