"""Use cases of the book around the machine: the load in waiting, maintenance, the tariff."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from nutricost.api.book import changing, currency_of, figure, money, reading
from nutricost.domain.quantities import read_money, read_quantity
from nutricost.domain.quantities.units import Kind
from nutricost.domain.tariff import TariffBand, cheapest_start_hour, costs_by_start_hour
from nutricost.domain.waiting import TrayEntry, trays_of
from nutricost.errors import InputError
from nutricost.sources.documents import read_machine
from nutricost.store import load, maintenance, tariff
from nutricost.store.connection import Book
from nutricost.store.machine import load_machine


@dataclass(frozen=True, slots=True)
class Waiting:
    """The load in waiting: its trays, the machine's capacity [tray] where known, cycles that run."""

    entries: tuple[TrayEntry, ...]
    trays: int
    capacity_trays: int | None
    running: tuple[load.Cycle, ...]

    @property
    def is_full(self) -> bool:
        """Whether the machine can be filled."""
        return self.capacity_trays is not None and self.trays >= self.capacity_trays


@dataclass(frozen=True, slots=True)
class Upkeep:
    """The maintenance so far; hours since the last oil change None where none was written down."""

    entries: tuple[maintenance.MaintenanceEntry, ...]
    hours_since_oil: Decimal | None
    spent: dict[str, Decimal]


@dataclass(frozen=True, slots=True)
class CycleCosts:
    """What a cycle costs by the hour it starts [h, currency], and the cheapest hour."""

    currency: str
    by_start_hour: tuple[tuple[Decimal, Decimal], ...]
    cheapest_start_hour: Decimal
    cheapest_cost: Decimal


def quantity(text: str, kind: Kind, what: str) -> Decimal:
    """A quantity as typed, in its base unit; hours and kWh may be bare numbers. Raises InputError."""
    try:
        if kind in ("time", "energy") and text.strip().replace(".", "", 1).isdecimal():
            return figure(text, what)
        return read_quantity(text, kind)
    except InputError as error:
        raise type(error)(f"{what}: {error}") from None


# -- the load in waiting --------------------------------------------------------------------------


def waiting_load(path: Path | None) -> Waiting:
    """What waits in the freezer, and the cycles that run."""
    with reading(path) as book:
        entries = load.waiting_trays(book)
        running = [cycle for cycle in load.list_cycles(book) if cycle.finished_on is None]
        return Waiting(tuple(entries), trays_of(entries), _capacity(book), tuple(running))


def _capacity(book: Book) -> int | None:
    stored = load_machine(book)
    trays = read_machine((stored.text, "machine")).trays if stored else None
    return None if trays is None else int(trays.low)


def fill_trays(
    path: Path | None,
    what: str,
    *,
    filled_on: date,
    trays: int = 1,
    weight: str | None = None,
    cost: str | None = None,
    servings: str | None = None,
    batch: str | None = None,
) -> TrayEntry:
    """The entry, now waiting. Raises InputError."""
    with changing(path) as book:
        amount, currency = money(book, cost, "cost") if cost else (None, currency_of(book))
        entry = TrayEntry(
            filled_on,
            what,
            trays,
            quantity(weight, "mass", "weight") if weight else None,
            amount,
            currency,
            figure(servings, "servings") if servings else None,
            batch,
        )
        return dataclasses.replace(entry, id=load.add_trays(book, entry))


def take_out_trays(path: Path | None, number: int) -> None:
    """Takes an entry out of the load in waiting. Raises InputError where it does not wait."""
    with changing(path) as book:
        if not load.remove_trays(book, number):
            raise InputError(f"entry {number} does not wait (accepted: a number that `book load show` lists)")


def start_load(
    path: Path | None,
    *,
    started_on: date,
    trays: int | None = None,
    share_by: str = "trays",
    servings: Sequence[str] = (),
) -> tuple[int, list[TrayEntry]]:
    """(number of the cycle, its trays with the batch of each). `servings`: texts "WHAT=6".

    Raises InputError where the machine's trays are not known, nothing waits, or servings are missing.
    """
    portions = {}
    for pair in servings:
        what, mark, count = pair.rpartition("=")
        if not mark:
            raise InputError(f"servings: {pair!r} (accepted: WHAT=NUMBER, such as 'corn=6')")
        portions[what] = figure(count, f"servings of {what}")
    with changing(path) as book:
        capacity = trays if trays is not None else _capacity(book)
        if capacity is None:
            raise InputError("the machine's trays are not known (accepted: --trays, or trays in the machine)")
        cycle = load.start_cycle(
            book,
            capacity_trays=capacity,
            started_on=started_on,
            share_by=share_by,
            currency=currency_of(book),
            servings=portions,
        )
        return cycle, load.cycle_trays(book, cycle)


def finish_load(
    path: Path | None,
    cycle: int,
    *,
    finished_on: date,
    hours: str | None = None,
    energy: str | None = None,
    price_per_kwh: str | None = None,
    cost: str | None = None,
    dry_weights: Sequence[str] = (),
) -> list[str]:
    """The batches whose documents now hold what the cycle took. `dry_weights`: texts "BATCH=1.1 kg".

    Raises InputError.
    """
    dry = {}
    for pair in dry_weights:
        batch, mark, weight = pair.rpartition("=")
        if not mark:
            raise InputError(f"dry weight: {pair!r} (accepted: BATCH=WEIGHT, such as 'corn=480 g')")
        dry[batch] = quantity(weight, "mass", f"dry weight of {batch}")
    with changing(path) as book:
        currencies = {one.id: one.currency for one in load.list_cycles(book)}
        currency = currencies.get(cycle, currency_of(book))
        return load.finish_cycle(
            book,
            cycle,
            finished_on=finished_on,
            hours=quantity(hours, "time", "hours") if hours else None,
            energy_kwh=quantity(energy, "energy", "energy") if energy else None,
            price_per_kwh=read_money(price_per_kwh, currency) if price_per_kwh else None,
            cost=read_money(cost, currency) if cost else None,
            dry_weight_g=dry,
        )


# -- maintenance ----------------------------------------------------------------------------------


def upkeep(path: Path | None) -> Upkeep:
    """The maintenance so far."""
    with reading(path) as book:
        spent: dict[str, Decimal] = {}
        for (_, currency), amount in maintenance.costs_by_kind(book).items():
            spent[currency] = spent.get(currency, Decimal(0)) + amount
        return Upkeep(tuple(maintenance.list_entries(book)), maintenance.hours_since_oil(book), spent)


def add_maintenance(
    path: Path | None,
    kind: str,
    *,
    done_on: date,
    hours: str | None = None,
    cost: str | None = None,
    note: str = "",
) -> maintenance.MaintenanceEntry:
    """The entry, now kept. Raises InputError."""
    with changing(path) as book:
        amount, currency = money(book, cost, "cost") if cost else (None, currency_of(book))
        ran = quantity(hours, "time", "hours") if hours else None
        entry = maintenance.MaintenanceEntry(done_on, kind, ran, amount, currency, note)
        return dataclasses.replace(entry, id=maintenance.add_entry(book, entry))


# -- the tariff -----------------------------------------------------------------------------------


def current_tariff(path: Path | None) -> list[TariffBand]:
    """The bands of the tariff; empty where none was saved."""
    with reading(path) as book:
        return tariff.load_tariff(book)


def set_tariff(path: Path | None, prices: Sequence[str]) -> list[TariffBand]:
    """The tariff, now kept: one flat price, or "23:00-07:00=0.12" for each part of the day.

    Raises InputError.
    """
    with changing(path) as book:
        bands = []
        for text in prices:
            span, mark, price = text.rpartition("=")
            if not mark and len(prices) > 1:
                raise InputError(
                    f"tariff: {text!r} (accepted: one flat price, or FROM-TO=PRICE for each part)"
                )
            start, dash, end = (span or "00:00-24:00").partition("-")
            if not dash:
                raise InputError(f"tariff: {span!r} (accepted: a span such as 23:00-07:00)")
            amount, currency = money(book, price, "tariff")
            bands.append(TariffBand(_hour(start), _hour(end), amount, currency))
        tariff.save_tariff(book, bands)
        return tariff.load_tariff(book)


def _hour(text: str) -> Decimal:
    hours, _, minutes = text.strip().partition(":")
    if (
        not hours.isdecimal()
        or (minutes and not minutes.isdecimal())
        or int(hours) > 24
        or int(minutes or 0) > 59
    ):
        raise InputError(f"tariff: {text!r} is not a time of day (accepted: 00:00 to 24:00)")
    return Decimal(hours) + Decimal(minutes or 0) / 60


def cycle_costs(path: Path | None, *, hours: str, energy: str) -> CycleCosts:
    """What a cycle of that length and electricity costs by the hour it starts. Raises InputError."""
    bands = current_tariff(path)
    ran, used = quantity(hours, "time", "hours"), quantity(energy, "energy", "energy")
    costs = costs_by_start_hour(bands, cycle_hours=ran, energy_kwh=used)
    hour, cost = cheapest_start_hour(bands, cycle_hours=ran, energy_kwh=used)
    return CycleCosts(bands[0].currency, tuple(costs), hour, cost)
