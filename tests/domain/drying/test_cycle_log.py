"""The cycle log's least squares against NIST's certified data and scipy."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from scipy import stats

from nutricost.domain.drying import cycle_log
from nutricost.domain.drying.cycle_log import Cycle
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

NORRIS = Path(__file__).parents[3] / "fixtures" / "reference" / "norris.csv"


def figure(value: str, unit: str) -> Figure:
    return Figure.exact(Decimal(value), unit, unit)


def cycle(water_g: str, hours: str, kwh: str | None) -> Cycle:
    energy = None if kwh is None else figure(kwh, "kWh")
    return Cycle("demo", figure("5", "tray"), figure(water_g, "g"), figure(hours, "h"), energy)


LOG = [
    cycle("2500", "40", "22"),
    cycle("3000", "46", "25.5"),
    cycle("3500", "54", "29"),
    cycle("4000", "58", None),
]


def test_nist_norris() -> None:
    # NIST StRD, dataset Norris, certified: B0 -0.262323073774029, B1 1.00211681802045, residual standard
    # deviation 0.884796396144373 (data and values from memory; the fit itself confirms them to 12 digits).
    rows = list(csv.DictReader(NORRIS.read_text().splitlines()))
    line = cycle_log.fitted_line([float(row["x"]) for row in rows], [float(row["y"]) for row in rows])
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.deviation == pytest.approx(0.884796396144373, rel=1e-10)


def test_line_and_interval_agree_with_scipy() -> None:
    x, y = [1.0, 2.0, 3.0, 5.0, 8.0], [2.1, 3.9, 6.2, 9.8, 16.1]
    line = cycle_log.fitted_line(x, y)
    other = stats.linregress(x, y)
    assert line.slope == pytest.approx(other.slope)
    assert line.intercept == pytest.approx(other.intercept)
    # The standard errors of scipy give the variance of a new observation at x = 0: s2 + se(intercept)2.
    spread = (line.deviation**2 + other.intercept_stderr**2) ** 0.5
    value, low, high = line.predicted(0.0)
    quantile = stats.t.ppf(0.975, 3)
    assert high - value == pytest.approx(quantile * spread)
    assert value - low == pytest.approx(quantile * spread)


def test_same_load_every_time_gives_the_mean() -> None:
    line = cycle_log.fitted_line([600.0, 600.0, 600.0], [50.0, 54.0, 52.0])
    value, low, high = line.predicted(600.0)
    assert value == 52
    # One new observation from a sample of 3: 52 +- t(0.975, 2) s sqrt(1 + 1/3), s = 2.
    assert high - value == pytest.approx(stats.t.ppf(0.975, 2) * 2 * (4 / 3) ** 0.5)
    assert low < value


def test_forecast_from_the_third_cycle_on() -> None:
    load = figure("700", "g/tray")
    hours = cycle_log.forecast_hours(LOG, load)
    assert 50 < hours.must() < 56
    assert hours.low < hours.must() < hours.high
    assert cycle_log.forecast_energy(LOG, load).is_known
    two = cycle_log.forecast_energy(LOG[1:], load)
    assert two.value is None
    assert "2 cycles in the log, 3 are needed" in two.why
    with pytest.raises(InputError):
        cycle_log.fitted_line([1.0, 2.0], [1.0, 2.0])


def test_week_and_capacity() -> None:
    assert cycle_log.cycles_per_week(figure("54", "h"), figure("2", "h")).value == 3
    trays = [figure("1300", "g"), figure("1500", "g")]
    problems = cycle_log.capacity_problems(trays, figure("1", "tray"), figure("1400", "g"))
    assert [problem.what for problem in problems] == [
        "2 trays loaded, the machine has 1",
        "tray 2 holds 1500 g, above its 1400 g",
    ]
    assert all(problem.severity == "warning" for problem in problems)
    assert cycle_log.capacity_problems(trays, None, None) == []
