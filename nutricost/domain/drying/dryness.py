"""Is it dry? Judging a series of weighings.

The rule (common practice, no source): weigh warm, dry on for at least 2 h, weigh again; dry when the loss is
under 0.5 % and the scale's step is at most 0.2 % of the weight. The centres of the thickest pieces are to be
broken and felt in any case.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Literal

from nutricost.domain.documents import Weighing
from nutricost.domain.drying.balance import as_weighed, residual_moisture_from_weights
from nutricost.domain.quantities import Figure, dec, read_quantity
from nutricost.errors import InputError, Problem

DryState = Literal["dry", "not yet", "can't tell"]

LEAST_GAP_H = Decimal(2)
DRY_LOSS_FRACTION = Decimal("0.005")
FINE_STEP_FRACTION = Decimal("0.002")
OXYGEN_FREE_MOISTURE = Decimal("0.10")
DRY_ENOUGH_MOISTURE = Decimal("0.04")
FEEL = "Break the thickest pieces: a centre that is cold, soft or bends is not dry, whatever the scale says."

_LAST_NUMBER = re.compile(r"(?:.*[^\d.,])?\d[\d,]*(?:\.(\d*))?\s*(\D*)\Z")


@dataclass(frozen=True, slots=True)
class DrynessVerdict:
    """What the weighings tell.

    `further_hours` [h] is a lower bound from two weighings and an estimate from three
    (`hours_are` says which), None where nothing more is needed or nothing can be said.
    `moisture` [fraction] is what the last weighing leaves over the solids, None without solids.
    """

    state: DryState
    reasons: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    further_hours: Figure | None = None
    hours_are: Literal["", "at least", "estimate"] = ""
    moisture: Figure | None = None


def step_as_typed_g(texts: Sequence[str]) -> Decimal | None:
    """The scale step that typed weights imply: one unit in the last place of the finest. [g]

    '2.71 kg' tells of a step of 10 g, '7 lb 15 oz' of an ounce. None where no text has both a
    number and a unit of weight.
    """
    steps = []
    for text in texts:
        match = _LAST_NUMBER.match(text)
        if match is not None and match[2]:
            last_place = Decimal(1).scaleb(-len(match[1] or ""))
            steps.append(read_quantity(f"{last_place:f} {match[2]}", "mass"))
    return min(steps, default=None)


def weighing_problems(weighings: Sequence[Weighing], where: str = "") -> list[Problem]:
    """Hours out of order (errors) and weights that rise (warnings), each with both figures."""
    found = []
    for number, (before, after) in enumerate(pairwise(weighings), start=2):
        key = f"{where}drying.weighings, number {number}"
        if after.hours.must() <= before.hours.must():
            text = f"{after.hours.must()} h does not come after {before.hours.must()} h"
            found.append(Problem(key, text, "hours since the start, rising"))
        elif after.weight.must() > before.weight.must():
            text = f"{_grams(after)} g is more than {_grams(before)} g before it"
            found.append(Problem(key, text, "weights that fall or stay", "warning"))
    return found


def judge(
    weighings: Sequence[Weighing], scale_step: Figure | None, solids: Figure | None = None
) -> DrynessVerdict:
    """Whether food is dry according to its weighings.

    At least one weighing; `scale_step` [g] is the scale's step, None where nobody knows it; `solids` [g]
    what cannot evaporate. Raises InputError where the hours do not rise or a weight is not above 0.
    """
    problems = weighing_problems(weighings)
    errors = [str(problem) for problem in problems if problem.severity == "error"]
    errors += [
        f"weight {_grams(each)} g (accepted: above 0)" for each in weighings if each.weight.must() <= 0
    ]
    if errors:
        raise InputError("; ".join(errors))
    warnings = tuple(str(problem) for problem in problems)
    moisture = _moisture(weighings, scale_step, solids)
    if len(weighings) < 2:
        told = "One weighing shows no loss: dry on 2 h and weigh again."
        return DrynessVerdict("can't tell", (told, FEEL), moisture=moisture)
    state, reasons = _verdict(weighings, scale_step, moisture)
    if state == "dry":
        return DrynessVerdict(state, (*reasons, FEEL), warnings, moisture=moisture)
    hours, kind = _further_hours(weighings, scale_step, solids)
    return DrynessVerdict(state, (*reasons, FEEL), warnings, hours, kind, moisture)


def _verdict(
    weighings: Sequence[Weighing], scale_step: Figure | None, moisture: Figure | None
) -> tuple[DryState, list[str]]:
    before, last = weighings[-2], weighings[-1]
    gap_h = last.hours.must() - before.hours.must()
    loss = before.weight.must() - last.weight.must()
    share = loss / before.weight.must()
    hours = f"{gap_h.normalize():f} h"
    told = f"Lost {_percent(share)} of its weight in {hours} ({_grams(before)} to {_grams(last)} g)."
    step = None if scale_step is None else scale_step.to("g").must()
    if loss < 0:
        return "can't tell", [
            f"{told} A weight that rises is a slip of the scale, or food that took up damp."
        ]
    if (loss - (step or 0)) / before.weight.must() >= DRY_LOSS_FRACTION:
        return "not yet", [f"{told} Dry food loses under 0.5 % in 2 h."]
    if step is None:
        return "can't tell", [told, "The scale's step is not known: write scale_step, such as 1 g."]
    if step / last.weight.must() > FINE_STEP_FRACTION:
        coarse = _percent(step / last.weight.must())
        return "can't tell", [
            told,
            f"The scale's step of {step.normalize():f} g is {coarse} of the weight, above 0.2 %: it cannot "
            "show so small a loss. Use a finer scale, or weigh one tray.",
        ]
    if share >= DRY_LOSS_FRACTION:
        return "not yet", [f"{told} Dry food loses under 0.5 % in 2 h."]
    if gap_h < LEAST_GAP_H:
        return "can't tell", [told, "Dry on for at least 2 h between two weighings."]
    if moisture is not None and moisture.low > OXYGEN_FREE_MOISTURE:
        return "can't tell", [
            told,
            f"The weight stands still, yet the solids leave {_percent(moisture.low)} moisture or more: check "
            "the weights, the matched foods, and for frozen centres.",
        ]
    reasons = [f"{told} That is under 0.5 %, and the scale is fine enough to show it."]
    if moisture is not None:
        reasons.append(_moisture_text(moisture))
    return "dry", reasons


def last_as_weighed(weighings: Sequence[Weighing], scale_step: Figure | None) -> Figure:
    """The last weighing with what the scale rounds off. [g]"""
    return as_weighed([weighings[-1].weight.to("g")], scale_step)[0]


def _moisture(
    weighings: Sequence[Weighing], scale_step: Figure | None, solids: Figure | None
) -> Figure | None:
    if solids is None or not solids.is_known:
        return None
    return residual_moisture_from_weights(last_as_weighed(weighings, scale_step), solids.to("g"))


def _moisture_text(moisture: Figure) -> str:
    range_text = f"{_percent(moisture.low)} to {_percent(moisture.high)}"
    limit = "oxygen-free packing asks for about 10 % or less"
    return f"By the solids of the recipe {range_text} moisture is left; {limit}."


def moisture_against_limit(moisture: Figure) -> tuple[Literal["below", "above", "can't tell"], str]:
    """Whether food packed with this moisture [fraction] stays under the limit of oxygen-free packing.

    About 10 %: common guidance for dry-pack storage (second-hand). Never a claim of safety.
    """
    low, high = (_percent(end) for end in moisture.box)
    told = f"Packed now, {low if low == high else f'{low} to {high}'} of it would be water"
    if moisture.low > OXYGEN_FREE_MOISTURE:
        return "above", f"{told}, above about 10 %: too moist to pack without oxygen."
    if moisture.high > OXYGEN_FREE_MOISTURE:
        return "can't tell", f"{told}; packing without oxygen asks for about 10 % or less."
    perhaps = "" if moisture.low > DRY_ENOUGH_MOISTURE else "perhaps "
    shorter = "" if moisture.high <= DRY_ENOUGH_MOISTURE else f", {perhaps}above the usual 1 to 4 %"
    return "below", f"{told}, under about 10 %{shorter}."


def _further_hours(
    weighings: Sequence[Weighing], scale_step: Figure | None, solids: Figure | None
) -> tuple[Figure | None, Literal["", "at least", "estimate"]]:
    times = [float(each.hours.must()) for each in weighings]
    masses = [float(each.weight.to("g").must()) for each in weighings]
    step = 0.0 if scale_step is None else float(scale_step.to("g").must())
    if len(weighings) >= 3:
        estimate = _estimated_hours(times[-3:], masses[-3:], step)
        if estimate is not None:
            value, low, high = (dec(f"{hours:.1f}") for hours in estimate)
            return Figure.between(
                min(low, value), max(high, value), "h", "further hours", value=value, standing="estimated",
                source="exponential decay of the loss through the last three weighings",
            ), "estimate"  # fmt: skip
    least = float(LEAST_GAP_H)
    rate_g_per_h = (masses[-2] - masses[-1] + step) / (times[-1] - times[-2])
    if solids is not None and solids.is_known and rate_g_per_h > 0:
        # The heaviest solids, and the last weighing as low as the scale allows: a bound holds for all.
        goal_g = float(solids.to("g").high / (1 - DRY_ENOUGH_MOISTURE))
        least = max(least, (masses[-1] - step / 2 - goal_g) / rate_g_per_h)
    return Figure.exact(
        dec(f"{least:.1f}"), "h", "further hours, at least", standing="lower bound",
        source="the loss slows down as food dries; at least 2 h until the next weighing",
    ), "at least"  # fmt: skip


def _estimated_hours(
    times_h: Sequence[float], masses_g: Sequence[float], step_g: float
) -> tuple[float, float, float] | None:
    """(value, low, high) hours until the loss of 2 h falls under 0.5 %, or None where it does not decay.

    A scale that rounds each weighing by half a step either way hides the fastest decay where the middle
    weighing reads high and the outer ones low, the slowest the other way round.
    """
    half_g = step_g / 2
    first, middle, last = masses_g
    known = [
        hours
        for off_g in (0.0, half_g, -half_g)
        if (hours := _hours_until_dry(times_h, (first + off_g, middle - off_g, last + off_g))) is not None
    ]
    # An end without decay means that the scale cannot bound the estimate: refuse it.
    return None if len(known) < 3 else (known[0], known[1], known[2])


def _hours_until_dry(times_h: Sequence[float], masses_g: Sequence[float]) -> float | None:
    """Hours from the last weighing until 2 h lose under 0.5 %, for losses A e^-kt (1 - e^-kh)."""
    first_h, second_h = times_h[1] - times_h[0], times_h[2] - times_h[1]
    first_g, second_g = masses_g[0] - masses_g[1], masses_g[1] - masses_g[2]
    decay = _decay_per_h(first_g, second_g, first_h, second_h)
    if decay is None or masses_g[2] <= 0:
        return None
    # What is still to lose after the last weighing, and what 2 h take of it.
    left_g = second_g * math.exp(-decay * second_h) / -math.expm1(-decay * second_h)
    next_g = left_g * -math.expm1(-decay * float(LEAST_GAP_H))
    allowed_g = float(DRY_LOSS_FRACTION) * masses_g[2]
    until_h = math.log(next_g / allowed_g) / decay if next_g > allowed_g else 0.0
    # Two more hours confirm it by a weighing.
    return float(LEAST_GAP_H) + until_h


def _decay_per_h(first_g: float, second_g: float, first_h: float, second_h: float) -> float | None:
    """k of losses that decay as e^-kt: first / second = (e^(k h1) - 1) / (1 - e^(-k h2)); by bisection."""
    if second_g <= 0 or first_g / second_g <= first_h / second_h * 1.001:
        return None
    ratio = first_g / second_g

    def is_too_slow(decay: float) -> bool:
        return math.expm1(decay * first_h) / -math.expm1(-decay * second_h) < ratio

    # At the high end the first gap alone, e^(k h1) - 1, makes the whole ratio.
    low, high = 0.0, math.log1p(ratio) / first_h
    for _ in range(60):
        middle = (low + high) / 2
        if is_too_slow(middle):
            low = middle
        else:
            high = middle
    return high


def _grams(weighing: Weighing) -> str:
    return f"{weighing.weight.to('g').must().quantize(Decimal('0.1')):f}".removesuffix(".0")


def _percent(fraction: Decimal) -> str:
    return f"{(fraction * 100).quantize(Decimal('0.01')):f} %"
