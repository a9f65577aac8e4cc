"""At the shelf: is this price worth a load, and how many packages can be dried before the date."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.documents import Machine
from nutricost.domain.quantities import ZERO, Figure, Monotone, apply, floor, rounded
from nutricost.errors import InputError

NOISE = Decimal("0.000000001")
"""A count this near below a whole number is that number."""


@dataclass(frozen=True, slots=True)
class Load:
    """One load of the machine, as a batch describes it.

    `servings` [serving], `energy` [kcal], `cost` [money]: of the whole load.
    `packages` [package] of the food on sale in it, and `paid` for them [money].
    `wet_weight` [g] as loaded; `cycle_hours` [h] of the batch itself; None where not known.
    """

    name: str
    servings: Figure
    energy: Figure
    cost: Figure
    packages: Figure
    paid: Figure
    wet_weight: Figure | None = None
    cycle_hours: Figure | None = None


@dataclass(frozen=True, slots=True)
class Rival:
    """The pouch the deal has to beat: `cost` [money] and `energy` [kcal] of one package."""

    name: str
    cost: Figure
    energy: Figure


@dataclass(frozen=True, slots=True)
class Deal:
    """The verdict. `limited_by` names what limits the number: date, cycle time, trays, freezer space.

    `hours_per_load` [h]; counts in package and cycle; `saving_per_load`, `money_saved` [money] against
    the rival on equal energy.
    """

    name: str
    against: str | None
    cost_per_serving: Figure
    kcal_per_money: Figure
    rival_kcal_per_money: Figure | None
    tie_price_per_package: Figure
    packages_per_load: Figure
    loads_before_date: Figure
    packages_to_buy: Figure
    limited_by: tuple[str, ...]
    hours_per_load: Figure
    saving_per_load: Figure
    money_saved: Figure
    warnings: tuple[str, ...]


def deal(
    load: Load,
    machine: Machine,
    rival: Rival | None,
    *,
    days_to_date: Decimal | None = None,
    space: Figure | None = None,
) -> Deal:
    """The verdict on a price at the shelf.

    `days_to_date`: days until the food must be in the dryer or frozen [day]; None where no date binds,
    as with a 'best by' on shelf-stable cans. `space`: free freezer space [g] for food not dried at once.
    Raises InputError for negative days or space.
    """
    if days_to_date is not None and days_to_date < 0:
        raise InputError(f"days to the date: {days_to_date} is below 0 (accepted: 0 or more)")
    if space is not None and space.is_known and space.must() < 0:
        raise InputError(f"freezer space: {space.must()} is below 0 (accepted: 0 or more)")
    warnings: list[str] = []
    per_load, trays_bind = _packages_per_load(load, machine, warnings)
    hours = _hours_per_load(load, machine)
    loads = _loads_before(days_to_date, hours)
    frozen = _packages_frozen(load, space)
    buy, limited_by = _packages_to_buy(per_load, loads, frozen, days_to_date)
    if trays_bind and buy.is_known:
        limited_by = (*limited_by, "trays")
    saving = _saving_per_load(load, rival)
    bought = (saving * (buy / load.packages)).named(
        "money saved", formula="saving per load x packages to buy / packages in a load"
    )
    return Deal(
        name=load.name,
        against=rival.name if rival else None,
        cost_per_serving=(load.cost / load.servings).named("cost per serving"),
        kcal_per_money=(load.energy / load.cost).named("calories per money"),
        rival_kcal_per_money=(rival.energy / rival.cost).named("calories per money") if rival else None,
        tie_price_per_package=tie_price(load, rival),
        packages_per_load=per_load,
        loads_before_date=loads,
        packages_to_buy=buy,
        limited_by=limited_by,
        hours_per_load=hours,
        saving_per_load=saving,
        money_saved=bought,
        warnings=tuple(warnings),
    )


def tie_price(load: Load, rival: Rival | None) -> Figure:
    """The highest price of a package at which the load's cost per kcal still equals the rival's [money].

    (energy x rival's cost / rival's energy - everything else in the load) / packages; exact, since the
    load's cost is linear in the price. Unknown where even a free package would not win.
    """
    unit = f"{load.cost.unit}/package"
    if rival is None:
        return Figure.unknown(unit, "no pouch is given to compare with", "tie price per package")
    rest = load.cost - load.paid
    price = ((rival.cost * (load.energy / rival.energy) - rest) / load.packages).named(
        "tie price per package", formula="(energy x rival's cost per kcal - the rest of the load) / packages"
    )
    if price.is_known and price.must() < 0:
        return Figure.unknown(
            unit, f"no price wins: the rest of the load alone costs more than {rival.name}", price.name
        )
    return price


def _saving_per_load(load: Load, rival: Rival | None) -> Figure:
    if rival is None:
        return Figure.unknown(load.cost.unit, "no pouch is given to compare with", "saving per load")
    return (rival.cost * (load.energy / rival.energy) - load.cost).named(
        "saving per load", formula="the same energy in pouches - cost of the load"
    )


def _packages_per_load(load: Load, machine: Machine, warnings: list[str]) -> tuple[Figure, bool]:
    """Packages in one load [package], no more than trays x tray capacity holds, and whether that binds."""
    if machine.trays is None or machine.tray_capacity is None or load.wet_weight is None:
        return load.packages.named("packages per load"), False
    capacity = machine.trays * machine.tray_capacity / Figure.exact(1, "tray", "one tray")

    def fitting(packages: Decimal, weight: Decimal, most: Decimal) -> Decimal:
        return packages if weight <= most else floor(packages * most / weight)

    fits = apply(
        Monotone(fitting, (1, -1, 1)), [load.packages, load.wet_weight, capacity.to("g")], "package",
        "packages per load", formula="as in the batch, at most what trays x tray capacity holds",
    )  # fmt: skip
    if not fits.is_known:
        return load.packages.named("packages per load"), False
    if fits.must() < load.packages.must():
        warnings.append(
            f"the batch weighs {load.wet_weight.must():.0f} g wet, the trays hold {capacity.must():.0f} g: "
            f"{fits.must()} packages fit"
        )
        return fits, True
    one_more = load.wet_weight.must() * (load.packages.must() + 1) / load.packages.must()
    return fits, one_more > capacity.to("g").must()


def _hours_per_load(load: Load, machine: Machine) -> Figure:
    """Cycle + turnaround [h]; the machine's cycle, else the batch's own."""
    cycle = machine.cycle_hours or load.cycle_hours
    if cycle is None:
        return Figure.unknown(
            "h", "cycle hours are given neither by the machine nor the batch", "hours a load takes"
        )
    if machine.turnaround_hours is None:
        return cycle.named("hours a load takes")
    return (cycle + machine.turnaround_hours).named("hours a load takes", formula="cycle + turnaround")


def _loads_before(days: Decimal | None, hours: Figure) -> Figure:
    """Loads that can have started before the date [cycle]: floor(24 days / (cycle + turnaround)) + 1."""
    name = "loads before the date"
    if days is None:
        return Figure.unknown("cycle", "no date binds", name)
    left = Figure.exact(days * 24, "h", "hours to the date")

    def count(available: Decimal, each: Decimal) -> Decimal:
        return floor(available / each) + 1

    if hours.is_known and hours.low <= 0:
        raise InputError("cycle and turnaround hours must be above 0")
    return apply(
        Monotone(count, (1, -1)), [left, hours], "cycle", name,
        formula="floor(hours to the date / (cycle + turnaround)) + 1, with a free machine",
    )  # fmt: skip


def _packages_frozen(load: Load, space: Figure | None) -> Figure | None:
    """Whole packages that the freezer space holds [package], by their share of the load's weight."""
    if space is None:
        return None
    if load.wet_weight is None:
        return Figure.unknown(
            "package", "the wet weight of the load is not known", "packages the freezer holds"
        )

    def count(room: Decimal, weight: Decimal, packages: Decimal) -> Decimal:
        return floor(room * packages / weight)

    return apply(
        Monotone(count, (1, -1, 1)), [space.to("g"), load.wet_weight, load.packages], "package",
        "packages the freezer holds", formula="floor(space / weight of one package's food)",
    )  # fmt: skip


def _packages_to_buy(
    per_load: Figure, loads: Figure, frozen: Figure | None, days: Decimal | None
) -> tuple[Figure, tuple[str, ...]]:
    name = "packages to buy"
    one = Figure.exact(1, "cycle", "one load")
    if days is None:
        if frozen is None:
            why = "no date and no space is given: nothing known limits it"
            return Figure.unknown("package", why, name), ("none known",)
        held = per_load + frozen
        return _whole(held, name, "one load + what the freezer holds, whole packages"), ("freezer space",)
    limits: tuple[str, ...] = ("date", "cycle time")
    buy, formula = per_load * (loads / one), "packages per load x loads, whole packages"
    if frozen is not None:
        buy = buy + frozen
        formula = "packages per load x loads + what the freezer holds, whole packages"
        limits = (*limits, "freezer space")
    return _whole(buy, name, formula), limits if buy.is_known else ("none known",)


def _whole(packages: Figure, name: str, formula: str) -> Figure:
    """Whole packages [package]; part of one is none, but 13 times 72/13 is 72 in spite of rounding."""

    def count(number: Decimal) -> Decimal:
        return floor(rounded(number, NOISE))

    return apply(Monotone(count, (1,)), [packages], "package", name, formula=formula)


# -- several deals, one machine -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Candidate:
    """A deal that competes for the machine.

    `saving` per load [money], `hours` per load [h], `most_loads` that can be bought, and
    `days_to_date` [day] before which each load must have started (None: no date binds).
    """

    name: str
    saving: Decimal
    hours: Decimal
    most_loads: int
    days_to_date: Decimal | None = None

    @property
    def saving_per_hour(self) -> Decimal:
        """Money a machine hour brings [money/h]."""
        return self.saving / self.hours


@dataclass(frozen=True, slots=True)
class Choice:
    """Loads of each deal in the order to dry them, with what they save [money] and take [h]."""

    loads: tuple[tuple[str, int], ...]
    saving: Decimal
    hours: Decimal


def ranked(candidates: Sequence[Candidate]) -> list[Candidate]:
    """The deals by money saved per machine hour, best first."""
    return sorted(candidates, key=lambda one: (-one.saving_per_hour, one.name))


def what_to_dry(candidates: Sequence[Candidate], machine_hours: Decimal) -> Choice:
    """The loads that save most within `machine_hours` [h], exactly (bounded knapsack with dates).

    Loads run one after another, the earliest date first, which is best for any chosen set on one
    machine (Jackson's rule of 1955, from memory); a load counts if it starts no later than its date.
    States with no less time and no more saving than another are dropped, so the result is exact.
    Raises InputError for hours or loads that are not positive.
    """
    for one in candidates:
        if one.hours <= 0 or one.most_loads < 0:
            raise InputError(f"{one.name}: hours must be above 0 and loads 0 or more")
    far = Decimal("Infinity")

    def due(one: Candidate) -> Decimal:
        return far if one.days_to_date is None else one.days_to_date * 24 + one.hours

    order = sorted((one for one in candidates if one.saving > 0), key=due)
    states: list[tuple[Decimal, Decimal, tuple[int, ...]]] = [(ZERO, ZERO, ())]
    for one in order:
        end = min(due(one), machine_hours)
        grown = []
        for hours, saving, counts in states:
            room = one.most_loads if end == far else int(max(floor((end - hours) / one.hours), ZERO))
            for count in range(min(one.most_loads, room) + 1):
                grown.append((hours + count * one.hours, saving + count * one.saving, (*counts, count)))
        states = _undominated(grown)
    hours, saving, counts = states[-1]
    picked = tuple((one.name, count) for one, count in zip(order, counts, strict=True) if count)
    return Choice(picked, saving, hours)


def _undominated(
    states: list[tuple[Decimal, Decimal, tuple[int, ...]]],
) -> list[tuple[Decimal, Decimal, tuple[int, ...]]]:
    """States by rising time, each saving more than all that take less time."""
    kept: list[tuple[Decimal, Decimal, tuple[int, ...]]] = []
    for state in sorted(states, key=lambda one: (one[0], -one[1])):
        if not kept or state[1] > kept[-1][1]:
            kept.append(state)
    return kept
