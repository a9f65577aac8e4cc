"""Payback of the machine, from the user's documents."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from nutricost.api.breakdown import cash_curves
from nutricost.api.comparing import Comparison
from nutricost.api.decisions import alternative, chosen_pouches, home_batch, same_currency
from nutricost.api.documents import cards_of, pouches_file, read_batches
from nutricost.api.inputs import input_of
from nutricost.domain.comparison import pouch_offer
from nutricost.domain.documents import Machine
from nutricost.domain.payback import (
    CashPoint,
    Equal,
    HomeBatch,
    Payback,
    Sensitivity,
    discounted_payback_years,
    machine_share_per_cycle,
    net_present_value,
    payback,
    sensitivity,
    yearly_saving,
)
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError
from nutricost.sources.documents import read_machine

USUAL_YEARS = Decimal(10)
"""Years a machine is taken to be used where nobody says: an assumption, shown as one."""

LONGEST_YEARS = Decimal(100)


@dataclass(frozen=True, slots=True)
class Returns:
    """What the machine brings over `years` of use [money, year].

    `rate`: yearly discount rate; None leaves the three figures after it None as well.
    `net_present_value` is without selling the machine, `value_if_sold` with its resale after `years`
    (None without a resale value).
    """

    years: Decimal
    rate: Decimal | None
    saving_per_year: Figure
    share_per_cycle: Figure
    net_present_value: Figure | None
    value_if_sold: Figure | None
    discounted_payback: Figure | None


def payback_view(result: Payback) -> dict[str, Any]:
    """The public form of a payback against one alternative."""
    return {
        "outlay": result.outlay,
        "saving_per_batch": result.saving_per_batch,
        "batches_to_break_even": result.batches_to_break_even,
        "months_to_break_even": result.months_to_break_even,
        "against": result.against,
        "equal": result.equal,
        "batch_cost": result.batch_cost,
        "replaced_cost": result.replaced_cost,
        "batches_per_month": result.batches_per_month,
    }


@dataclass(frozen=True, slots=True)
class PaybackReport:
    """The payback against each alternative, its returns over years, and what moves it most."""

    batches: tuple[HomeBatch, ...]
    machine: Machine
    paybacks: tuple[Payback, ...]
    returns: tuple[Returns, ...]
    sensitivities: tuple[tuple[Sensitivity, ...], ...]
    warnings: tuple[str, ...]

    @property
    def curves(self) -> Mapping[str, Sequence[CashPoint]]:
        """Money gained since the purchase, month by month, by what is replaced."""
        return cash_curves(self.paybacks)

    def view(self) -> list[dict[str, Any]]:
        """The public form: one object an alternative."""
        return [
            {
                **payback_view(result),
                "batches_to_break_even_if_sold": result.if_sold and result.if_sold.batches_to_break_even,
                **_returns_view(returns),
                "sensitivity": [_sensitivity_view(row) for row in rows],
                "warnings": [*result.warnings, *self.warnings],
            }
            for result, returns, rows in zip(self.paybacks, self.returns, self.sensitivities, strict=True)
        ]


def _returns_view(found: Returns) -> dict[str, Any]:
    return {
        "years": found.years,
        "rate": found.rate,
        "saving_per_year": found.saving_per_year,
        "machine_share_per_cycle": found.share_per_cycle,
        "net_present_value": found.net_present_value,
        "net_present_value_if_sold": found.value_if_sold,
        "discounted_payback": found.discounted_payback,
    }


def _sensitivity_view(row: Sensitivity) -> dict[str, Any]:
    return {
        "input": row.what,
        "months_at_20_percent_less": row.less.months_to_break_even,
        "months_at_20_percent_more": row.more.months_to_break_even,
    }


def payback_files(
    batch_paths: Sequence[str],
    pouches_path: str,
    machine_path: str,
    against: str | None = None,
    equal: Equal = "kcal",
    rate: Decimal | None = None,
    years: Decimal | None = None,
) -> PaybackReport:
    """The payback of a machine from documents; without `against`, each pouch in turn.

    `rate`: yearly discount rate (a fraction), else the machine's. `years` of use, after which the
    machine may be sold; else the machine's `resale_after_years`, else 10.
    """
    if years is not None and not 0 < years <= LONGEST_YEARS:
        raise InputError(f"years: {years} is out of range (accepted: above 0, at most {LONGEST_YEARS})")
    batches = read_batches(batch_paths)
    machine = read_machine(input_of(machine_path, "machine"))
    cards = cards_of(batches)
    same_currency([batch.currency for batch in batches], machine)
    pouches, warnings = pouches_file(pouches_path, machine.currency)
    homes = [home_batch(card) for card in cards]
    used_years = years or machine.resale_after_years or USUAL_YEARS
    sold = replace(machine, resale_after_years=used_years)
    rivals = [alternative(pouch_offer(pouch, machine.currency)) for pouch in chosen_pouches(pouches, against)]
    paybacks = [payback(homes, rival, sold, equal, rate=rate) for rival in rivals]
    return PaybackReport(
        batches=tuple(homes),
        machine=machine,
        paybacks=tuple(paybacks),
        returns=tuple(returns_of(result, machine, used_years, rate) for result in paybacks),
        sensitivities=tuple(sensitivity(homes, rival, machine, equal) for rival in rivals),
        warnings=tuple(warnings),
    )


def curves_beside(comparison: Comparison, machine_path: str) -> Mapping[str, Sequence[CashPoint]]:
    """Money over time if the batches of a comparison are eaten instead of each of its pouches.

    By what is replaced, for a machine's document. Raises InputError for a machine in another currency.
    """
    machine = read_machine(input_of(machine_path, "machine"))
    same_currency([comparison.currency], machine)
    homes = [home_batch(card) for card in comparison.cards]
    rivals = [alternative(pouch_offer(pouch, machine.currency)) for pouch in comparison.pouches]
    return cash_curves([payback(homes, rival, machine) for rival in rivals])


def returns_of(result: Payback, machine: Machine, years: Decimal, rate: Decimal | None = None) -> Returns:
    """What a payback comes to over `years` of use; `rate` else the machine's discount rate."""
    yearly = yearly_saving(result)
    outlay, at = result.outlay, rate if rate is not None else machine.discount_rate
    present = sold = discounted = None
    if at is not None:
        present = net_present_value(outlay, yearly, years, at)
        discounted = discounted_payback_years(outlay, yearly, at)
        if machine.resale_value is not None:
            sold = net_present_value(outlay, yearly, years, at, machine.resale_value)
    return Returns(
        years=years,
        rate=at,
        saving_per_year=yearly,
        share_per_cycle=machine_share_per_cycle(outlay, years=years, per_month=result.batches_per_month),
        net_present_value=present,
        value_if_sold=sold,
        discounted_payback=discounted,
    )
