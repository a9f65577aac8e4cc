"""The user's own cycles: what they took, what a planned load is likely to take, and how dishes drank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.documents import cards_of, read_batches
from nutricost.api.drying_details import rehydration_view
from nutricost.api.inputs import input_of
from nutricost.domain.documents import Drying, Machine
from nutricost.domain.drying.cycle_log import (
    LEAST_CYCLES,
    Cycle,
    Line,
    capacity_problems,
    cycles_per_week,
    energy_points,
    fitted_line,
    forecast_energy,
    forecast_hours,
    hours_points,
)
from nutricost.domain.drying.rehydration import learned_ratio
from nutricost.domain.drying.thermodynamics import energy_per_kg_water, energy_ratio, minimum_energy
from nutricost.domain.quantities import Figure, dec, read_quantity, total
from nutricost.errors import InputError
from nutricost.sources.documents import read_machine

ONE_TRAY = Figure.exact(1, "tray", "one tray")


@dataclass(frozen=True, slots=True)
class LoggedCycle:
    """One past cycle with the batches that filled it. Hours and electricity are those of the cycle."""

    cycle: Cycle
    titles: tuple[str, ...]
    loaded: Figure

    @property
    def water_per_tray(self) -> Figure:
        """Water removed from each tray, on average. [g/tray]"""
        return (self.cycle.water_removed / self.cycle.trays).named("water removed per tray")


@dataclass(frozen=True, slots=True)
class Forecast:
    """A planned load: weight [g], trays, water to remove per tray [g/tray], likely hours and kWh."""

    load: Figure
    trays: Figure
    water_per_tray: Figure
    hours: Figure
    energy: Figure


@dataclass(frozen=True, slots=True)
class LearnedWater:
    """How a dish drank over its batches: water used over water computed, minutes of each."""

    title: str
    ratios: tuple[Figure, ...]
    learned: Figure
    next_time: Figure
    minutes: tuple[Decimal, ...]


@dataclass(frozen=True, slots=True)
class CycleLog:
    """The log with what it tells. `weekly` is cycles a week, run back to back with turnaround."""

    cycles: tuple[LoggedCycle, ...]
    forecast: Forecast | None
    weekly: Figure
    load_weekly: Figure | None
    rehydration: tuple[LearnedWater, ...]
    warnings: tuple[str, ...]

    def view(self) -> dict[str, Any]:
        """The public form."""
        cycles = [each.cycle for each in self.cycles]
        return {
            "cycles": [_cycle_view(each) for each in self.cycles],
            "fit": {"hours": _fit_view(hours_points(cycles)), "energy": _fit_view(energy_points(cycles))},
            "forecast": None
            if self.forecast is None
            else {
                "load": self.forecast.load,
                "trays": self.forecast.trays,
                "water_per_tray": self.forecast.water_per_tray,
                "hours": self.forecast.hours,
                "energy": self.forecast.energy,
            },
            "cycles_per_week": self.weekly,
            "load_per_week": self.load_weekly,
            "rehydration": [
                {
                    "title": each.title,
                    "ratios": list(each.ratios),
                    "learned_ratio": each.learned,
                    "water_next_time": each.next_time,
                    "minutes": list(each.minutes),
                }
                for each in self.rehydration
            ],
            "warnings": list(self.warnings),
        }


def log_files(
    paths: Sequence[str],
    machine_path: str | None = None,
    load: str | None = None,
    trays: int | None = None,
) -> CycleLog:
    """The log of past batches, with a forecast for a load of this weight where one is planned.

    A document given twice is one batch and counts once.
    Raises InputError for a planned load without trays, or a weight that is none.
    """
    machine = read_machine(input_of(machine_path, "machine")) if machine_path is not None else None
    planned = _planned(load, trays, machine)
    return cycle_log(cards_of(read_batches(list(dict.fromkeys(paths)))), machine, planned)


def cycle_log(
    cards: Sequence[Card], machine: Machine | None = None, planned: tuple[Figure, Figure] | None = None
) -> CycleLog:
    """The log of past batches; `planned` is weight [g] and trays of a load to come."""
    logged, warnings = logged_cycles(cards)
    cycles = [each.cycle for each in logged]
    forecast = None
    if planned is not None:
        forecast = _forecast(planned, logged)
        warnings += _doubts(forecast, cycles)
        weights = [forecast.load / forecast.trays * ONE_TRAY] * int(forecast.trays.must())
        if machine is not None:
            said = capacity_problems(weights, machine.trays, machine.tray_capacity)
            warnings += list(dict.fromkeys(f"planned load: {_without_number(each.what)}" for each in said))
    for card in cards:
        warnings += _over_capacity(card, machine)
    hours = _hours_of_a_cycle(forecast, cycles, machine)
    turnaround = machine.turnaround_hours if machine is not None else None
    weekly = cycles_per_week(
        hours, turnaround or Figure.unknown("h", "turnaround_hours of a machine is not given", "turnaround")
    )
    return CycleLog(
        cycles=tuple(logged),
        forecast=forecast,
        weekly=weekly,
        load_weekly=None
        if forecast is None
        else (forecast.load / Figure.exact(1, "cycle", "one cycle") * weekly).named("weight dried a week"),
        rehydration=tuple(_learned(cards)),
        warnings=tuple(warnings),
    )


def logged_cycles(cards: Sequence[Card]) -> tuple[list[LoggedCycle], list[str]]:
    """Past cycles, and why a batch is left out.

    Batches whose cycle_trays, hours and energy agree and whose trays together fill the load count as one
    cycle; a batch of a shared cycle whose companions are not there stands for the whole load.
    """
    found: list[LoggedCycle] = []
    warnings: list[str] = []
    open_loads: dict[tuple[Any, ...], list[Card]] = {}
    for card in cards:
        drying = card.batch.drying or Drying()
        missing = _missing(card, drying)
        if missing:
            warnings.append(f"{card.batch.title} is left out of the log: {missing}")
            continue
        whole = _whole_trays(drying)
        if drying.trays is None or drying.trays.must() >= whole:
            found.append(_logged([card]))
            continue
        key = (
            whole,
            _value(drying.hours),
            _value(drying.extra_hours),
            _value(drying.energy),
            _value(drying.cost),
        )
        load = open_loads.setdefault(key, [])
        load.append(card)
        if sum(_trays(each) for each in load) >= whole:
            found.append(_logged(open_loads.pop(key)))
    for load in open_loads.values():
        found.append(_logged(load))
        names = " and ".join(card.batch.title for card in load)
        warnings.append(
            f"{names}: the rest of the cycle's load is not in the log, its trays are taken to be alike"
        )
    return found, warnings


def _missing(card: Card, drying: Drying) -> str:
    if drying.trays is None:
        return "drying.trays is not given"
    if not card.content.water_removed.is_known:
        return f"water removed is not known ({card.content.water_removed.why})"
    if card.content.water_removed.must() <= 0:
        return "no water was removed"
    if drying.hours is None and drying.energy is None:
        return "neither drying.hours nor drying.energy is given"
    return ""


def _whole_trays(drying: Drying) -> Decimal:
    both = [figure.must() for figure in (drying.trays, drying.cycle_trays) if figure is not None]
    return max(both)


def _trays(card: Card) -> Decimal:
    drying = card.batch.drying
    return drying.trays.must() if drying is not None and drying.trays is not None else Decimal(0)


def _value(figure: Figure | None) -> Decimal | None:
    return None if figure is None else figure.value


def _logged(cards: Sequence[Card]) -> LoggedCycle:
    """One cycle from the batches that filled it."""
    dryings = [card.batch.drying or Drying() for card in cards]
    first = dryings[0]
    hours = first.hours
    if hours is not None and first.extra_hours is not None:
        hours = (hours + first.extra_hours).named("hours of the cycle", formula="hours + extra hours")
    titles = tuple(card.batch.title for card in cards)
    trays = total([each.trays for each in dryings if each.trays is not None], "trays")
    water = total([card.content.water_removed for card in cards], "water removed")
    loaded = total([card.content.loaded for card in cards], "weight loaded")
    return LoggedCycle(Cycle(" + ".join(titles), trays, water, hours, first.energy), titles, loaded)


def _planned(load: str | None, trays: int | None, machine: Machine | None) -> tuple[Figure, Figure] | None:
    if load is None:
        return None
    grams = read_quantity(load, "mass")
    if grams <= 0:
        raise InputError(f"--load {load!r} (accepted: a weight above 0, such as 5 kg)")
    if trays is not None:
        count = Figure.exact(trays, "tray", "trays planned", source="--trays")
    elif machine is not None and machine.trays is not None:
        count = machine.trays
    else:
        raise InputError("--load needs --trays, or a machine that tells its trays (accepted: --trays 5)")
    return Figure.exact(grams, "g", "load planned", source="--load"), count


def _forecast(planned: tuple[Figure, Figure], logged: Sequence[LoggedCycle]) -> Forecast:
    load, trays = planned
    cycles = [each.cycle for each in logged]
    water = (load / trays * _water_share(logged)).named(
        "water to remove per tray", formula="load / trays x share that past loads lost"
    )
    return Forecast(load, trays, water, forecast_hours(cycles, water), forecast_energy(cycles, water))


def _water_share(logged: Sequence[LoggedCycle]) -> Figure:
    """What past loads lost of their weight, from the least to the most. [fraction]"""
    name = "share of the load that is water to remove"
    shares = [(each.cycle.water_removed / each.loaded).must() for each in logged if each.loaded.is_known]
    if not shares:
        return Figure.unknown("", "no cycle in the log", name)
    return Figure.between(
        min(shares), max(shares), "", name, value=sum(shares, Decimal(0)) / len(shares),
        standing="estimated", source=f"what {len(shares)} past loads lost, least to most",
    )  # fmt: skip


def _doubts(forecast: Forecast, cycles: Sequence[Cycle]) -> list[str]:
    """Why a forecast deserves less trust than its range shows."""
    if not forecast.hours.is_known:
        return []
    said = []
    past = [each.water_per_tray_g for each in cycles]
    planned = float(forecast.water_per_tray.must())
    if not min(past) <= planned <= max(past):
        said.append(
            f"the planned load, {planned:.0f} g of water a tray, lies outside the log, {min(past):.0f} to "
            f"{max(past):.0f} g: the forecast is stretched"
        )
    points = hours_points(cycles)
    if fitted_line(points).slope < 0:
        said.append("in this log more water took fewer hours: the forecast is doubtful")
    return said


def _hours_of_a_cycle(forecast: Forecast | None, cycles: Sequence[Cycle], machine: Machine | None) -> Figure:
    """Forecast where there is one, else the machine's hours, else the past cycles from least to most. [h]"""
    if forecast is not None and forecast.hours.is_known:
        return forecast.hours
    if machine is not None and machine.cycle_hours is not None:
        return machine.cycle_hours
    past = [each.hours.must() for each in cycles if each.hours is not None]
    if not past:
        return Figure.unknown("h", "no cycle in the log tells its hours", "hours of a cycle")
    return Figure.between(
        min(past), max(past), "h", "hours of a cycle", value=sum(past, Decimal(0)) / len(past),
        source=f"{len(past)} past cycles, least to most",
    )  # fmt: skip


def _over_capacity(card: Card, machine: Machine | None) -> list[str]:
    drying = card.batch.drying
    if machine is None or drying is None or drying.trays is None:
        return []
    count = int(drying.trays.must().to_integral_value())
    weights = list(drying.wet_weight)
    if len(weights) != count:
        weights = [card.content.loaded / drying.trays * ONE_TRAY] * count
    said = capacity_problems(weights, machine.trays, machine.tray_capacity)
    texts = [each.what if len(drying.wet_weight) == count else _without_number(each.what) for each in said]
    return [f"{card.batch.title}: {text}" for text in dict.fromkeys(texts)]


def _without_number(text: str) -> str:
    """'tray 3 holds ...' of a load spread evenly is 'each tray holds ...'."""
    word, _, rest = text.partition(" holds ")
    return f"each tray holds {rest}" if word.startswith("tray ") and rest else text


def _learned(cards: Sequence[Card]) -> list[LearnedWater]:
    """Batches of one title together, in the order they were first given; those that tell nothing left out."""
    dishes: dict[str, list[Card]] = {}
    for card in cards:
        dishes.setdefault(card.batch.title.casefold(), []).append(card)
    found = []
    for same in dishes.values():
        kept = [view for card in same if (view := rehydration_view(card)) is not None]
        ratios = tuple(view["ratio"] for view in kept if view["ratio"].is_known)
        if not ratios:
            continue
        learned = learned_ratio(ratios)
        computed = same[-1].water["per_serving"]
        found.append(
            LearnedWater(
                same[-1].batch.title,
                ratios,
                learned,
                (computed * learned).named("water next time", formula="water computed x learned ratio"),
                tuple(view["minutes"] for view in kept if view["minutes"] is not None),
            )
        )
    return found


def _cycle_view(logged: LoggedCycle) -> dict[str, Any]:
    cycle = logged.cycle
    energy = cycle.energy or Figure.unknown("kWh", "drying.energy is not given", "electricity of the cycle")
    return {
        "batches": list(logged.titles),
        "trays": cycle.trays,
        "loaded": logged.loaded,
        "water_removed": cycle.water_removed,
        "water_per_tray": logged.water_per_tray,
        "hours": cycle.hours or Figure.unknown("h", "drying.hours is not given", "hours of the cycle"),
        "energy": energy,
        "energy_per_kg_water": energy_per_kg_water(energy, cycle.water_removed),
        "energy_ratio": energy_ratio(energy, minimum_energy(cycle.water_removed)),
    }


def _fit_view(points: Sequence[tuple[float, float]]) -> dict[str, Any] | None:
    """Intercept and slope per kg of water a tray, null below three cycles."""
    if len(points) < LEAST_CYCLES:
        return None
    line: Line = fitted_line(points)
    return {
        "intercept": dec(f"{line.intercept:.6f}"),
        "slope_per_kg_water_a_tray": dec(f"{line.slope * 1000:.6f}") if line.spread_x else None,
        "standard_deviation": dec(f"{line.deviation:.6f}"),
        "cycles": line.points,
    }
