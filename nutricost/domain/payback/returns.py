"""Textbook investment arithmetic: payback, net present value, discounted payback.

Equal yearly sums at the end of each year (an ordinary annuity): NPV = -outlay + A (1 - (1+r)^-n) / r.
"""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.quantities import ONE, ZERO, Figure, Monotone, apply
from nutricost.errors import InputError

INFINITY = Decimal("Infinity")


def _checked_rate(rate: Decimal) -> Decimal:
    if not ZERO <= rate < ONE:
        raise InputError(
            f"discount rate {rate} is out of range (accepted: a fraction from 0 to 1, such as 0.05)"
        )
    return rate


def discount_factor(rate: Decimal, years: Decimal) -> Decimal:
    """What one unit of money in `years` is worth now, at a yearly `rate` (fraction): (1 + r)^-n."""
    return (ONE + _checked_rate(rate)) ** -years


def annuity_factor(rate: Decimal, years: Decimal) -> Decimal:
    """What one unit of money a year, for `years`, is worth now: (1 - (1+r)^-n) / r, or n where r is 0."""
    return years if _checked_rate(rate) == 0 else (ONE - discount_factor(rate, years)) / rate


def net_present_value(
    outlay: Figure, yearly: Figure, years: Decimal, rate: Decimal, resale: Figure | None = None
) -> Figure:
    """What the machine is worth now above its price [money of `outlay`].

    `yearly`: saved a year [money]; `rate`: yearly fraction; `resale`: got for it after `years` [money].
    """
    factor = Figure.exact(annuity_factor(rate, years), "", f"annuity factor, {years} years at {rate}")
    worth = yearly.to(outlay.unit) * factor - outlay
    if resale is not None:
        later = Figure.exact(discount_factor(rate, years), "", f"discount factor, {years} years at {rate}")
        worth = worth + resale * later
    return worth.named(
        "net present value", formula="yearly saving x annuity factor - outlay (+ resale, discounted)"
    )


def payback_years(outlay: Figure, yearly: Figure) -> Figure:
    """Years until the yearly saving has returned the outlay, undiscounted [year].

    Unknown ('never') where nothing is saved. High is Infinity where the saving may be nothing.
    """
    return discounted_payback_years(outlay, yearly, ZERO)


def discounted_payback_years(outlay: Figure, yearly: Figure, rate: Decimal) -> Figure:
    """Years n at which the net present value reaches zero: -ln(1 - outlay r / A) / ln(1 + r) [year].

    Unknown ('never') where the saving does not even pay the interest. High is Infinity where the
    interval of the saving reaches that far.
    """
    _checked_rate(rate)

    def years(spent: Decimal, saved: Decimal) -> Decimal:
        if spent <= 0:
            return ZERO
        if saved <= spent * rate:
            return INFINITY
        return spent / saved if rate == 0 else -(ONE - spent * rate / saved).ln() / (ONE + rate).ln()

    name = "discounted payback" if rate else "payback"
    found = apply(Monotone(years, (1, -1)), [outlay, yearly.to(outlay.unit)], "year", name)
    if found.value == INFINITY:
        reason = "nothing is saved" if yearly.must() <= 0 else f"the saving is below the interest at {rate}"
        return Figure.unknown("year", f"never: {reason}", name)
    return found


def machine_share_per_cycle(
    outlay: Figure,
    *,
    cycles: Figure | None = None,
    years: Decimal | None = None,
    per_month: Figure | None = None,
) -> Figure:
    """The machine's share in one cycle, straight-line [money]; shown apart, never inside a batch's cost.

    Over `cycles` [cycle], or over `years` at `per_month` cycles (one batch a cycle) [batch/month].
    Raises InputError where neither is given.
    """
    if cycles is None:
        if years is None or per_month is None:
            raise InputError(
                "the machine's share needs its life (accepted: cycles, or years and batches a month)"
            )
        months = Figure.exact(years * 12, "month", f"months in {years} years")
        count = (per_month.to("batch/month") * months) / Figure.exact(1, "batch", "one batch a cycle")
    else:
        count = cycles / Figure.exact(1, "cycle", "one cycle")
    return (outlay / count).named("machine share per cycle", formula="outlay / cycles in its life")
