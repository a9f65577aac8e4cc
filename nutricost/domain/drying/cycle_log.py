"""What the user's own cycles tell: hours and electricity against water removed per tray.

Ordinary least squares y = a + b x with the prediction interval of one new cycle (Draper and Smith, Applied
Regression Analysis, 3rd ed., section 1.4 and 3.1, from memory; checked against NIST's certified Norris data).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.quantities import Figure, dec
from nutricost.errors import InputError, Problem

LEAST_CYCLES = 3
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Cycle:
    """One past cycle. Water removed [g], hours [h], energy [kWh] or None where not measured."""

    name: str
    trays: Figure
    water_removed: Figure
    hours: Figure | None
    energy: Figure | None = None

    @property
    def water_per_tray_g(self) -> float:
        """Water removed from each tray, on average. [g/tray]"""
        return float(self.water_removed.to("g").must() / self.trays.must())


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted straight line y = intercept + slope x and the spread around it (standard deviation)."""

    intercept: float
    slope: float
    deviation: float
    points: int
    mean_x: float
    spread_x: float
    """Sum of squared distances of x from its mean; 0 where all x are the same and no slope is known."""

    def predicted(self, x: float) -> tuple[float, float, float]:
        """(value, low, high) of one new observation at x, at 95 % confidence."""
        from scipy import stats

        value = self.intercept + self.slope * x
        far = (x - self.mean_x) ** 2 / self.spread_x if self.spread_x else 0.0
        freedom = self.points - (2 if self.spread_x else 1)
        quantile = float(stats.t.ppf(0.5 + CONFIDENCE / 2, freedom))
        half = quantile * self.deviation * math.sqrt(1 + 1 / self.points + far)
        return value, value - half, value + half


def fitted_line(points: Sequence[tuple[float, float]]) -> Line:
    """The least-squares line through at least 3 points (x, y); a level one where all x are the same.

    Raises InputError for fewer points.
    """
    count = len(points)
    if count < LEAST_CYCLES:
        raise InputError(f"{count} cycles give no line (accepted: at least {LEAST_CYCLES})")
    mean_x, mean_y = math.fsum(x for x, _ in points) / count, math.fsum(y for _, y in points) / count
    spread = math.fsum((x - mean_x) ** 2 for x, _ in points)
    if spread <= (1e-9 * mean_x) ** 2:
        residual = math.fsum((y - mean_y) ** 2 for _, y in points)
        return Line(mean_y, 0.0, math.sqrt(residual / (count - 1)), count, mean_x, 0.0)
    slope = math.fsum((x - mean_x) * (y - mean_y) for x, y in points) / spread
    intercept = mean_y - slope * mean_x
    residual = math.fsum((y - intercept - slope * x) ** 2 for x, y in points)
    return Line(intercept, slope, math.sqrt(residual / (count - 2)), count, mean_x, spread)


def hours_points(cycles: Sequence[Cycle]) -> list[tuple[float, float]]:
    """(water per tray [g/tray], hours [h]) of the cycles that tell their hours."""
    return [(each.water_per_tray_g, float(each.hours.must())) for each in cycles if each.hours is not None]


def energy_points(cycles: Sequence[Cycle]) -> list[tuple[float, float]]:
    """(water per tray [g/tray], electricity [kWh]) of the cycles that tell their electricity."""
    return [(each.water_per_tray_g, float(each.energy.must())) for each in cycles if each.energy is not None]


def forecast_hours(cycles: Sequence[Cycle], water_per_tray: Figure) -> Figure:
    """Hours that a load with this water per tray is likely to take. [h] `water_per_tray` [g/tray].

    Unknown below three cycles with hours. The interval is where one new cycle falls in 95 of 100 cases.
    """
    return _forecast(hours_points(cycles), water_per_tray, "h", "hours of a cycle")


def forecast_energy(cycles: Sequence[Cycle], water_per_tray: Figure) -> Figure:
    """Electricity that a load with this water per tray is likely to take. [kWh] See `forecast_hours`."""
    return _forecast(energy_points(cycles), water_per_tray, "kWh", "electricity of a cycle")


def _forecast(points: Sequence[tuple[float, float]], water: Figure, unit: str, name: str) -> Figure:
    if len(points) < LEAST_CYCLES:
        return Figure.unknown(unit, f"{len(points)} cycles in the log, {LEAST_CYCLES} are needed", name)
    if not water.is_known:
        return Figure.unknown(unit, water.why, name)
    line = fitted_line(points)
    value = line.predicted(float(water.must()))[0]
    # The band is narrowest at the mean and widens either way, so its ends lie at the ends of the load.
    ends = [line.predicted(float(end)) for end in water.box]
    low, high = min(end[1] for end in ends), max(end[2] for end in ends)
    if value <= 0:
        return Figure.unknown(unit, "the load lies too far from the cycles in the log", name)
    return Figure.between(
        dec(f"{max(low, 0.0):.2f}"), dec(f"{high:.2f}"), unit, name, value=dec(f"{value:.2f}"),
        standing="estimated", source=f"least squares over {len(points)} cycles, 95 % prediction interval",
    )  # fmt: skip


def cycles_per_week(hours: Figure, turnaround: Figure) -> Figure:
    """How many cycles a week holds, run back to back. [cycle/week]"""
    each = (hours + turnaround).named("hours from load to load", formula="cycle + turnaround")
    week = Figure.exact(168, "h/week", "hours of a week")
    return (week / (each / Figure.exact(1, "cycle", "one cycle"))).named("cycles a week")


def capacity_problems(
    tray_weights: Sequence[Figure], trays: Figure | None, capacity: Figure | None, where: str = ""
) -> list[Problem]:
    """Warnings where a load has more trays, or more weight a tray, than the machine takes."""
    found = []
    count = Decimal(len(tray_weights))
    if trays is not None and trays.is_known and count > trays.high:
        text = f"{count} trays loaded, the machine has {trays.high.normalize():f}"
        found.append(Problem(f"{where}drying.trays", text, severity="warning"))
    if capacity is None or not capacity.is_known:
        return found
    limit = capacity.to("g")
    for number, weight in enumerate(tray_weights, start=1):
        if weight.is_known and weight.to("g").low > limit.high:
            text = (
                f"tray {number} holds {weight.to('g').must().normalize():f} g, "
                f"above its {limit.high.normalize():f} g"
            )
            found.append(Problem(f"{where}drying.wet_weight", text, severity="warning"))
    return found
