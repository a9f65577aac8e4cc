"""The load in waiting: trays filled over days, and the load they make once the machine is full."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import pairwise

from nutricost.domain.quantities import ZERO, rounded, split_money
from nutricost.errors import InputError

WEIGHT_STEP_G = Decimal("0.1")
SERVING_STEP = Decimal("0.01")
ENERGY_STEP_KWH = Decimal("0.001")


@dataclass(frozen=True, slots=True)
class TrayEntry:
    """Trays filled with one food on one day.

    `weight_g` [g], `cost` [currency] and `servings` are those of all its trays together, None where
    not known. `batch`: the name of the batch document that the food belongs to. `cycle`: the number
    of the cycle that dried it, None while it waits.
    """

    filled_on: date
    what: str
    trays: int = 1
    weight_g: Decimal | None = None
    cost: Decimal | None = None
    currency: str = "USD"
    servings: Decimal | None = None
    batch: str | None = None
    cycle: int | None = None
    id: int | None = None

    @property
    def group(self) -> tuple[bool, str]:
        """What belongs together as one batch: the same document, else the same words."""
        return (True, self.batch) if self.batch else (False, " ".join(self.what.casefold().split()))


def trays_of(entries: Sequence[TrayEntry]) -> int:
    """The number of trays. [tray]"""
    return sum(entry.trays for entry in entries)


def next_load(entries: Sequence[TrayEntry], capacity_trays: int) -> tuple[list[TrayEntry], list[TrayEntry]]:
    """(what goes into the machine now, what goes on waiting), oldest date first.

    An entry of several trays is split where only some fit; one of a batch document stays whole, and
    where it does not fit the load ends. Both halves of a split keep the entry's `id`.

    Raises InputError where the machine has no tray, or the oldest entry alone is more than it holds.
    """
    if capacity_trays < 1:
        raise InputError(f"a machine of {capacity_trays} trays (accepted: 1 or more)")
    ordered = sorted(entries, key=lambda entry: (entry.filled_on, entry.id or 0))
    taken: list[TrayEntry] = []
    free = capacity_trays
    for place, entry in enumerate(ordered):
        if entry.trays <= free:
            taken.append(entry)
            free -= entry.trays
            continue
        if entry.batch and not taken:
            raise InputError(
                f"batch {entry.batch!r} waits on {entry.trays} trays, the machine has {capacity_trays} "
                "(accepted: trays of one batch that fit one load)"
            )
        if entry.batch or not free:
            return taken, ordered[place:]
        now, later = _split(entry, free)
        return [*taken, now], [later, *ordered[place + 1 :]]
    return taken, []


def _split(entry: TrayEntry, trays: int) -> tuple[TrayEntry, TrayEntry]:
    """The entry in two, whose weights, costs and servings sum to the whole."""
    part = Decimal(trays) / entry.trays
    weight = None if entry.weight_g is None else rounded(entry.weight_g * part, WEIGHT_STEP_G)
    servings = None if entry.servings is None else rounded(entry.servings * part, SERVING_STEP)
    costs: list[Decimal] | list[None] = [None, None]
    if entry.cost is not None:
        costs = split_money(entry.cost, [Decimal(trays), Decimal(entry.trays - trays)], entry.currency)
    now = replace(entry, trays=trays, weight_g=weight, servings=servings, cost=costs[0])
    later = replace(
        entry,
        trays=entry.trays - trays,
        weight_g=None if entry.weight_g is None or weight is None else entry.weight_g - weight,
        servings=None if entry.servings is None or servings is None else entry.servings - servings,
        cost=costs[1],
    )
    return now, later


def together(amounts: Sequence[Decimal | None]) -> Decimal | None:
    """The sum of amounts; None where one of them is not known."""
    known = [amount for amount in amounts if amount is not None]
    return sum(known, ZERO) if len(known) == len(amounts) else None


def water_removed(
    wet_g: Mapping[str, Decimal | None], dry_g: Mapping[str, Decimal | None]
) -> dict[str, Decimal]:
    """Water that left each batch of a cycle. [g] Raises InputError for a weight missing or impossible."""
    water: dict[str, Decimal] = {}
    for name, wet in wet_g.items():
        dry = dry_g.get(name)
        if wet is None or dry is None:
            raise InputError(f"{name}: sharing by water removed needs its weight before and after drying")
        if not 0 < dry <= wet:
            raise InputError(
                f"{name}: {dry} g dry out of {wet} g (accepted: more than 0, at most what went in)"
            )
        water[name] = wet - dry
    return water


def energy_shares(energy_kwh: Decimal, weights: Sequence[Decimal]) -> list[Decimal]:
    """The energy in shares by weight (>= 0, not all 0), to a watt-hour, which sum to it exactly. [kWh]"""
    whole = sum(weights, ZERO)
    if whole <= 0 or min(weights) < 0:
        raise InputError("shares must be zero or more, and not all zero")
    # Rounding the running sum, so that no share is off by more than one step.
    bounds, reached = [ZERO], ZERO
    for weight in weights:
        reached += weight
        bounds.append(rounded(energy_kwh * reached / whole, ENERGY_STEP_KWH))
    bounds[-1] = energy_kwh
    return [high - low for low, high in pairwise(bounds)]
