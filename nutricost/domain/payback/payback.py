"""When a freeze dryer has paid for itself against pouches that would have been bought.

saving per batch = what the same energy (servings, protein) costs in pouches - what the batch costs;
batches to break even = ceil(outlay / saving); months = batches / batches a month.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from nutricost.domain.documents import Machine
from nutricost.domain.payback.returns import INFINITY, discount_factor
from nutricost.domain.quantities import ONE, ZERO, Figure, Monotone, apply, ceiling, total
from nutricost.errors import InputError

Equal = Literal["kcal", "serving", "protein"]

CAVEAT = (
    "The saving exists only for pouches that would really have been bought; "
    "against what you would really have eaten instead, it may be smaller or nothing."
)


@dataclass(frozen=True, slots=True)
class HomeBatch:
    """One batch of the log: what it yields and what it cost, by kind.

    `servings` [serving], `energy` of the food [kcal], `protein` [g], all of the whole batch.
    `ingredients`: money paid; `normal_ingredients`: the same at usual prices, None where not known.
    `other`: packing and the rest, without electricity and pump oil [money].
    `electricity` [money], `oil` [money]: the batch's own; None lets the machine's figure count.
    `dryer_energy` [kWh], `price_per_kwh` [money/kWh]: the batch's own where it gives only one of the two.
    `cycle_share`: trays of this batch / trays of the load, where others shared the cycle.
    """

    name: str
    servings: Figure
    energy: Figure
    protein: Figure
    ingredients: Figure
    other: Figure
    normal_ingredients: Figure | None = None
    electricity: Figure | None = None
    oil: Figure | None = None
    dryer_energy: Figure | None = None
    price_per_kwh: Figure | None = None
    cycle_hours: Figure | None = None
    cycle_share: Figure | None = None


@dataclass(frozen=True, slots=True)
class Alternative:
    """What would be eaten instead: one pouch or one bought meal.

    `cost` [money], `servings` [serving], `energy` [kcal], `protein` [g], all of the whole package.
    """

    name: str
    cost: Figure
    servings: Figure
    energy: Figure
    protein: Figure


@dataclass(frozen=True, slots=True)
class Scenario:
    """Factors on the four things that move a payback most; 1 leaves them as given.

    `markdown` scales the discount (normal price - paid), not the price.
    """

    batches_per_month: Decimal = ONE
    pouch_price: Decimal = ONE
    tariff: Decimal = ONE
    markdown: Decimal = ONE


AS_GIVEN = Scenario()


@dataclass(frozen=True, slots=True)
class IfSold:
    """The variant in which the machine is sold after `years`: the money is discounted to today."""

    years: Decimal
    rate: Decimal
    resale_today: Figure
    batches_to_break_even: Figure


@dataclass(frozen=True, slots=True)
class Payback:
    """The payback against one alternative. Money in the machine's currency; counts in batch and month.

    `batches_to_break_even` and `months_to_break_even` have `high` = Infinity where the saving may be
    nothing, and are unknown with a reason that starts with 'never' where nothing is saved.
    """

    against: str
    equal: Equal
    outlay: Figure
    batch_cost: Figure
    replaced_cost: Figure
    saving_per_batch: Figure
    batches_per_month: Figure
    batches_to_break_even: Figure
    months_to_break_even: Figure
    if_sold: IfSold | None
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CashPoint:
    """Money gained since the purchase after a number of months, with its interval [money]."""

    month: int
    low: Decimal
    value: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """Batches and months to break even when one thing is `less` and `more` than given."""

    what: str
    less: Payback
    more: Payback


def outlay_of(machine: Machine) -> Figure:
    """Machine and accessories [machine's currency]. Resale is not subtracted: it comes later, if at all."""
    parts = [machine.price, *machine.accessories.values()]
    return total(parts, "outlay", unit=machine.currency, formula="machine + accessories")


def running_cost(batch: HomeBatch, machine: Machine, tariff: Decimal = ONE) -> tuple[Figure, Figure]:
    """Electricity and pump oil of one batch [money]: the batch's own figure, else the machine's, once.

    Electricity that nobody gave is unknown; pump oil that nobody gave is none.
    """
    share = batch.cycle_share or Figure.exact(1, "", "share of the cycle", standing="assumed")
    electricity = batch.electricity
    if electricity is None:
        energy = batch.dryer_energy
        if energy is None and machine.energy_per_cycle is not None:
            energy = machine.energy_per_cycle * share
        price = batch.price_per_kwh or machine.price_per_kwh
        if energy is None or price is None:
            missing = "its energy" if energy is None else "the price of a kWh"
            electricity = Figure.unknown(
                machine.currency, f"{missing} is given neither by {batch.name} nor the machine"
            )
        else:
            electricity = (energy * price).to(machine.currency)
    if tariff != ONE:
        electricity = electricity * tariff
    oil = batch.oil
    if oil is None and machine.oil_per_cycle is not None:
        oil = machine.oil_per_cycle * share
    if oil is None:
        oil = Figure.exact(0, machine.currency, "pump oil", source="not given: none", standing="assumed")
    return electricity.named("electricity"), oil.named("pump oil")


def _batch_cost(batch: HomeBatch, machine: Machine, scenario: Scenario) -> Figure:
    paid = batch.ingredients
    if scenario.markdown != ONE:
        if batch.normal_ingredients is None:
            raise InputError(f"{batch.name}: no normal price is given, so its markdown cannot be varied")
        discount = batch.normal_ingredients - batch.ingredients
        paid = batch.normal_ingredients - discount * scenario.markdown
    electricity, oil = running_cost(batch, machine, scenario.tariff)
    return total([paid, electricity, oil, batch.other], f"cost of {batch.name}")


def _replaced(batch: HomeBatch, against: Alternative, equal: Equal) -> Figure:
    """What the alternative costs for what the batch yields [money]."""
    match equal:
        case "kcal":
            share = batch.energy / against.energy
        case "serving":
            share = batch.servings / against.servings
        case "protein":
            share = batch.protein / against.protein
    return (against.cost * share).named(
        f"{against.name} instead of {batch.name}", formula=f"price x batch's {equal} / pouch's {equal}"
    )


def _average(figures: Sequence[Figure], name: str) -> Figure:
    """The mean, one count each; a single figure is its own mean."""
    whole = total(figures, name)
    return whole if len(figures) == 1 else (whole / len(figures)).named(name, formula="mean of the batches")


def _monthly(batches: Sequence[HomeBatch], machine: Machine, factor: Decimal) -> tuple[Figure, list[str]]:
    """Batches a month [batch/month], no more than cycle and turnaround hours allow, with warnings."""
    given = machine.batches_per_month
    if given is None:
        return Figure.unknown("batch/month", "batches_per_month is not given", "batches a month"), []
    wanted = given.to("batch/month")
    if factor != ONE:
        wanted = wanted * factor
    hours = machine.cycle_hours
    if hours is None:
        own = [batch.cycle_hours for batch in batches if batch.cycle_hours is not None]
        if len(own) < len(batches):
            return wanted, ["cycle hours are not given: batches a month are taken as they stand"]
        hours = _average(own, "cycle hours")
    turnaround = machine.turnaround_hours or Figure.exact(0, "h", "turnaround", standing="assumed")
    busy = total([hours, turnaround], "hours a cycle takes", unit="h")
    month = Figure.exact(1, "batch/month", "one month").to("batch/h")

    def capped(asked: Decimal, per_hour: Decimal, hours_each: Decimal) -> Decimal:
        return min(asked, ONE / (per_hour * hours_each)) if hours_each > 0 else asked

    allowed = apply(
        Monotone(capped, (1, -1, -1)), [wanted, month, busy], "batch/month", "batches a month",
        formula="as given, at most hours of a month / (cycle + turnaround)",
    )  # fmt: skip
    if allowed.is_known and wanted.is_known and allowed.must() < wanted.must():
        most = allowed.must().quantize(Decimal("0.1"))
        return allowed, [
            f"cycle and turnaround allow {most} batches a month, not {wanted.must().normalize():f}"
        ]
    return allowed, []


def _batches(outlay: Figure, saving: Figure, against: str) -> Figure:
    """Whole batches until the saving has returned the outlay [batch]; 'never' where nothing is saved."""

    def count(spent: Decimal, saved: Decimal) -> Decimal:
        if spent <= 0:
            return ZERO
        return INFINITY if saved <= 0 else ceiling(spent / saved)

    found = apply(
        Monotone(count, (1, -1)), [outlay, saving], "batch", "batches to break even",
        formula="ceiling(outlay / saving per batch)",
    )  # fmt: skip
    if found.value == INFINITY:
        lost = -saving.must()
        why = f"{lost:.2f} {saving.unit} more than" if lost else "as much as"
        return Figure.unknown("batch", f"never: a batch costs {why} the same food in {against}", found.name)
    return found


def payback(
    batches: Sequence[HomeBatch],
    against: Alternative,
    machine: Machine,
    equal: Equal = "kcal",
    *,
    rate: Decimal | None = None,
    scenario: Scenario = AS_GIVEN,
) -> Payback:
    """When the machine has paid for itself against one alternative; several batches count as their mean.

    `rate`: yearly discount rate (fraction), else the machine's. Raises InputError for no batch, or for
    a scenario that the documents cannot answer.
    """
    if not batches:
        raise InputError("payback needs at least one batch")
    outlay = outlay_of(machine)
    pouch = (
        replace(against, cost=against.cost * scenario.pouch_price) if scenario.pouch_price != ONE else against
    )
    costs = [_batch_cost(batch, machine, scenario) for batch in batches]
    replaced = [_replaced(batch, pouch, equal) for batch in batches]
    cost, instead = _average(costs, "cost of a batch"), _average(replaced, "the same food bought")
    saving = (instead - cost).named("saving per batch", formula="the same food bought - cost of the batch")
    monthly, warnings = _monthly(batches, machine, scenario.batches_per_month)
    needed = _batches(outlay, saving, against.name)
    months = (needed / monthly).named("months to break even", formula="batches / batches a month")
    return Payback(
        against=against.name, equal=equal, outlay=outlay, batch_cost=cost, replaced_cost=instead,
        saving_per_batch=saving, batches_per_month=monthly, batches_to_break_even=needed,
        months_to_break_even=months, if_sold=_if_sold(machine, outlay, saving, against.name, rate),
        warnings=tuple(warnings),
    )  # fmt: skip


def _if_sold(
    machine: Machine, outlay: Figure, saving: Figure, against: str, rate: Decimal | None
) -> IfSold | None:
    if machine.resale_value is None or machine.resale_after_years is None:
        return None
    yearly = rate if rate is not None else machine.discount_rate or ZERO
    years = machine.resale_after_years
    factor = Figure.exact(discount_factor(yearly, years), "", f"discount factor, {years} years at {yearly}")
    today = (machine.resale_value * factor).named("resale in today's money")
    left = (outlay - today).named("outlay if sold", formula="outlay - resale in today's money")
    return IfSold(years, yearly, today, _batches(left, saving, against))


def yearly_saving(result: Payback) -> Figure:
    """What the machine saves in a year at its batches a month [money]."""
    year = Figure.exact(12, "month", "months in a year") / Figure.exact(1, "batch", "one batch")
    return (result.saving_per_batch * (result.batches_per_month * year)).named("saving per year")


def cumulative_cash(result: Payback, months: int) -> tuple[CashPoint, ...]:
    """Money gained since the purchase at the end of month 0 .. `months`, undiscounted [money].

    Empty where the saving, the outlay or batches a month are unknown.
    """
    yearly = yearly_saving(result)
    if not yearly.is_known or not result.outlay.is_known:
        return ()
    spent = result.outlay
    each_month = [(figure / 12) for figure in (yearly.low, yearly.must(), yearly.high)]
    return tuple(
        CashPoint(
            month,
            each_month[0] * month - spent.high,
            each_month[1] * month - spent.must(),
            each_month[2] * month - spent.low,
        )
        for month in range(months + 1)
    )


def sensitivity(
    batches: Sequence[HomeBatch],
    against: Alternative,
    machine: Machine,
    equal: Equal = "kcal",
    *,
    step: Decimal = Decimal("0.2"),
) -> tuple[Sensitivity, ...]:
    """The payback with one thing at a time lower and higher by `step` (a fraction), widest effect first.

    The markdown is varied only where every batch gives normal prices.
    """
    names = ["batches_per_month", "pouch_price", "tariff"]
    if all(batch.normal_ingredients is not None for batch in batches):
        names.append("markdown")
    rows = []
    for name in names:
        less, more = (
            payback(batches, against, machine, equal, scenario=replace(AS_GIVEN, **{name: factor}))
            for factor in (ONE - step, ONE + step)
        )
        rows.append(Sensitivity(name, less, more))
    return tuple(sorted(rows, key=_effect, reverse=True))


def _effect(row: Sensitivity) -> Decimal:
    """How far apart the two outcomes lie [month, else batch]; Infinity where one of them is never."""
    for key in ("months_to_break_even", "batches_to_break_even"):
        ends = [getattr(row.less, key).value, getattr(row.more, key).value]
        if None not in ends:
            return Decimal(abs(ends[0] - ends[1]))
    known = [row.less.batches_to_break_even.is_known, row.more.batches_to_break_even.is_known]
    return INFINITY if any(known) else ZERO
