"""The load in waiting and the cycles it becomes, with the batch documents of each cycle."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.items import Table

from nutricost.domain.quantities import check_currency, split_money
from nutricost.domain.waiting import TrayEntry, energy_shares, next_load, together, trays_of, water_removed
from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.batches import StoredBatch, load_batch, save_batch
from nutricost.store.connection import Book
from nutricost.store.maintenance import MaintenanceEntry, add_entry

SHARE_BY = ("trays", "water")


@dataclass(frozen=True, slots=True)
class Cycle:
    """One run of the machine; hours [h], electricity [kWh] and cost [currency] once it has ended."""

    started_on: date
    share_by: str = "trays"
    finished_on: date | None = None
    hours: Decimal | None = None
    energy_kwh: Decimal | None = None
    cost: Decimal | None = None
    currency: str = "USD"
    id: int | None = None


def add_trays(book: Book, entry: TrayEntry) -> int:
    """The number of the entry, now waiting. Raises InputError."""
    check_currency(entry.currency)
    if not entry.what.strip():
        raise InputError("load: what is on the tray is missing")
    if entry.trays < 1:
        raise InputError(f"load: {entry.trays} trays (accepted: 1 or more)")
    for name, amount in (("weight", entry.weight_g), ("servings", entry.servings)):
        if amount is not None and amount <= 0:
            raise InputError(f"load: {name} {amount} (accepted: more than 0)")
    if entry.cost is not None and entry.cost < 0:
        raise InputError(f"load: cost {entry.cost} (accepted: 0 or more)")
    if entry.batch is not None:
        _not_dried(load_batch(book, entry.batch))
    return rows.insert(book, "tray", replace(entry, cycle=None, id=None))


def waiting_trays(book: Book) -> list[TrayEntry]:
    """What waits in the freezer, oldest first."""
    return rows.fetch(book, "tray", TrayEntry, "cycle IS NULL", order="filled_on, id")


def cycle_trays(book: Book, cycle: int) -> list[TrayEntry]:
    """What a cycle dried, oldest first."""
    return rows.fetch(book, "tray", TrayEntry, "cycle = ?", [cycle], order="filled_on, id")


def remove_trays(book: Book, number: int) -> bool:
    """Whether an entry of that number was waiting, now gone."""
    return book.write("DELETE FROM tray WHERE id = ? AND cycle IS NULL", [number]).rowcount > 0


def list_cycles(book: Book) -> list[Cycle]:
    """All cycles, oldest first."""
    return rows.fetch(book, "cycle", Cycle, order="started_on, id")


def start_cycle(
    book: Book,
    *,
    capacity_trays: int,
    started_on: date,
    share_by: str = "trays",
    currency: str = "USD",
    servings: Mapping[str, Decimal] | None = None,
) -> int:
    """The number of the cycle that the oldest waiting trays now make.

    Each food becomes a batch: its own document if it has one, else a new one. `servings`: what ->
    servings, where the trays do not say it. Raises InputError.
    """
    if share_by not in SHARE_BY:
        raise InputError(f"load: shared by {share_by!r} (accepted: {', '.join(SHARE_BY)})")
    check_currency(currency)
    taken, left = next_load(waiting_trays(book), capacity_trays)
    if not taken:
        raise InputError("no tray is waiting (accepted: trays put in with `book load fill`)")
    cycle = rows.insert(book, "cycle", Cycle(started_on, share_by, currency=currency))
    groups: dict[tuple[bool, str], list[TrayEntry]] = {}
    for entry in taken:
        groups.setdefault(entry.group, []).append(entry)
    for entries in groups.values():
        batch = _batch_of(book, entries, trays_of(taken), dict(servings or {}))
        for entry in entries:
            rows.update(book, "tray", replace(entry, batch=batch, cycle=cycle), "id")
    split = {entry.id for entry in taken} & {entry.id for entry in left}
    for entry in left:
        if entry.id in split:
            rows.insert(book, "tray", replace(entry, id=None))
    return cycle


def _batch_of(book: Book, entries: Sequence[TrayEntry], load: int, servings: Mapping[str, Decimal]) -> str:
    """The name of the batch document of one food in the load, written."""
    first = entries[0]
    if first.batch:
        stored = load_batch(book, first.batch)
        _not_dried(stored)
        document = tomlkit.parse(stored.text)
    else:
        stored = None
        document = _new_document(entries, servings)
    drying = _drying(document)
    drying["trays"] = trays_of(entries)
    drying["cycle_trays"] = load
    if all(entry.weight_g is not None for entry in entries):
        drying["wet_weight"] = f"{together([entry.weight_g for entry in entries])} g"
    return save_batch(book, tomlkit.dumps(document), name=stored.name if stored else None).name


def _not_dried(batch: StoredBatch) -> None:
    document = tomlkit.parse(batch.text)
    if "trays" in document.get("drying", {}):
        raise InputError(
            f"batch {batch.name!r} has its trays already (accepted: a batch that was not dried yet, "
            "or trays without a batch)"
        )


def _new_document(entries: Sequence[TrayEntry], servings: Mapping[str, Decimal]) -> TOMLDocument:
    what = entries[0].what
    portions = together([entry.servings for entry in entries])
    if portions is None:
        portions = servings.get(what)
    if portions is None:
        raise InputError(f"{what}: its servings are not known (accepted: servings for each food of the load)")
    if len({entry.currency for entry in entries}) > 1:
        raise InputError(f"{what}: its trays were paid in several currencies (accepted: one)")
    document = tomlkit.document()
    document["title"] = what
    document["servings"] = _number(portions)
    document["currency"] = entries[0].currency
    document["made_on"] = entries[0].filled_on
    lines = tomlkit.aot()
    for entry in entries:
        line = tomlkit.table()
        weight = f"{entry.weight_g} g " if entry.weight_g is not None else ""
        line["line"] = f"{weight}{entry.what}"
        if entry.cost is not None:
            line["paid"] = _number(entry.cost)
        lines.append(line)
    document["ingredients"] = lines
    return document


def _drying(document: TOMLDocument) -> Table:
    if "drying" not in document:
        document["drying"] = tomlkit.table()
    drying = document["drying"]
    if not isinstance(drying, Table):
        raise InputError("drying: must be a table (accepted: [drying])")
    return drying


def _number(amount: Decimal) -> object:
    """A number as TOML writes it, digit for digit."""
    return tomlkit.value(f"{amount:f}")


def finish_cycle(
    book: Book,
    cycle: int,
    *,
    finished_on: date,
    hours: Decimal | None = None,
    energy_kwh: Decimal | None = None,
    price_per_kwh: Decimal | None = None,
    cost: Decimal | None = None,
    dry_weight_g: Mapping[str, Decimal] | None = None,
) -> list[str]:
    """The names of the batches of the cycle, whose documents now hold what it took.

    `dry_weight_g`: batch -> weight after drying [g]. Shared by trays, each document names the whole
    cycle and its share of the trays; shared by water removed, it names its own share of energy and
    money, and the shares sum to the whole. Hours also count as a run of the pump. Raises InputError.
    """
    found = rows.fetch(book, "cycle", Cycle, "id = ?", [cycle], order="id")
    if not found or found[0].finished_on is not None:
        raise InputError(f"there is no running cycle {cycle} (accepted: one that `book load show` lists)")
    started = found[0]
    for name, amount in (("hours", hours), ("energy", energy_kwh), ("cost", cost), ("price", price_per_kwh)):
        if amount is not None and amount < 0:
            raise InputError(f"cycle: {name} {amount} (accepted: 0 or more)")
    if finished_on < started.started_on:
        raise InputError(f"cycle: finished on {finished_on}, before it started on {started.started_on}")
    trays: dict[str, list[TrayEntry]] = {}
    for entry in cycle_trays(book, cycle):
        if entry.batch:  # None where the batch was taken out of the book meanwhile
            trays.setdefault(entry.batch, []).append(entry)
    dry = dict(dry_weight_g or {})
    if unknown := sorted(set(dry) - set(trays)):
        raise InputError(f"cycle {cycle} has no batch {unknown[0]!r} (accepted: {', '.join(trays)})")
    energies: Mapping[str, Decimal | None] = dict.fromkeys(trays, energy_kwh)
    costs: Mapping[str, Decimal | None] = dict.fromkeys(trays, cost)
    if started.share_by == "water":
        wet = {name: together([entry.weight_g for entry in entries]) for name, entries in trays.items()}
        water = list(water_removed(wet, dry).values())
        if energy_kwh is not None:
            energies = dict(zip(trays, energy_shares(energy_kwh, water), strict=True))
        if cost is not None:
            costs = dict(zip(trays, split_money(cost, water, started.currency), strict=True))
    for name in trays:
        document = tomlkit.parse(load_batch(book, name).text)
        drying = _drying(document)
        if started.share_by == "water":
            drying.pop("cycle_trays", None)
        if name in dry:
            drying["dry_weight"] = f"{dry[name]} g"
        if hours is not None:
            drying["hours"] = f"{hours} h"
        if (energy := energies[name]) is not None:
            drying["energy"] = f"{energy} kWh"
        if price_per_kwh is not None:
            drying["price_per_kwh"] = f"{price_per_kwh:f} {started.currency}"
        if (money := costs[name]) is not None:
            drying["cost"] = f"{money:f} {started.currency}"
        save_batch(book, tomlkit.dumps(document), name=name)
    ended = replace(started, finished_on=finished_on, hours=hours, energy_kwh=energy_kwh, cost=cost)
    rows.update(book, "cycle", ended, "id")
    if hours is not None:
        add_entry(book, MaintenanceEntry(finished_on, "run", hours, note=f"cycle {cycle}"))
    return list(trays)
