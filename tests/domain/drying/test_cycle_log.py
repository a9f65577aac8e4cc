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
    line = cycle_log.fitted_line([(float(row["x"]), float(row["y"])) for row in rows])
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.deviation == pytest.approx(0.884796396144373, rel=1e-10)


def test_line_and_interval_agree_with_scipy() -> None:
    x, y = [1.0, 2.0, 3.0, 5.0, 8.0], [2.1, 3.9, 6.2, 9.8, 16.1]
    line = cycle_log.fitted_line(list(zip(x, y, strict=True)))
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
    line = cycle_log.fitted_line([(600.0, 50.0), (600.0, 54.0), (600.0, 52.0)])
    value, low, high = line.predicted(600.0)
    assert (value, line.mean_x, line.spread_x) == (52.0, 600.0, 0.0)
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
        cycle_log.fitted_line([(1.0, 1.0), (2.0, 2.0)])


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


def test_same_x_without_spread_is_level_also_at_zero() -> None:
    line = cycle_log.fitted_line([(0.0, 50.0), (0.0, 54.0), (0.0, 52.0)])
    assert (line.intercept, line.slope, line.deviation) == (52, 0, 2)


def test_a_trace_of_spread_is_spread_but_the_rounding_of_a_float_is_none() -> None:
    # 1, 2, 3 h at steps of 0.0003 g around 600 g: a slope of 1 / 0.0003; steps of 1e-7 g are a float's noise.
    steep = cycle_log.fitted_line([(599.9997, 1.0), (600.0, 2.0), (600.0003, 3.0)])
    assert steep.slope == pytest.approx(1 / 0.0003, rel=1e-6)
    noise = cycle_log.fitted_line([(600 - 1e-7, 1.0), (600.0, 2.0), (600 + 1e-7, 3.0)])
    assert (noise.slope, noise.intercept) == (0, 2)


def test_forecast_by_hand() -> None:
    # 500, 600, 700, 800 g/tray took 40, 46, 54, 58 h: slope 3100 / 50000, 9.2 h at 0, residual variance
    # 2.8 / 2; t(0.975, 2) = 4.302653 (Student's table).
    log = [*LOG, Cycle("demo", figure("5", "tray"), figure("9", "kg"), None, figure("30", "kWh"))]
    hours = cycle_log.forecast_hours(log, figure("700", "g/tray"))
    half = 4.302653 * (1.4 * (1 + 1 / 4 + 50**2 / 50000)) ** 0.5
    assert [float(end) for end in hours.box] == pytest.approx([52.6 - half, 52.6 + half], abs=0.01)
    assert (hours.value, hours.unit, hours.standing) == (Decimal("52.60"), "h", "estimated")
    # A load between 600 and 800 g/tray: the low end at 600, the high end at 800.
    wide = cycle_log.forecast_hours(log, Figure.between(Decimal(600), Decimal(800), "g/tray"))
    low = 46.4 - 4.302653 * (1.4 * (1 + 1 / 4 + 50**2 / 50000)) ** 0.5
    high = 58.8 + 4.302653 * (1.4 * (1 + 1 / 4 + 150**2 / 50000)) ** 0.5
    assert [float(end) for end in wide.box] == pytest.approx([low, high], abs=0.01)
    assert wide.value == Decimal("52.60")
    assert cycle_log.hours_points(log)[0] == (500, 40)
    assert [point for point in cycle_log.energy_points(log) if point[0] == 1800] == [(1800, 30)]


def test_forecast_never_falls_below_nothing() -> None:
    # 10, 20, 30 h at 500, 600, 700 g/tray: the line reaches 0 h at 400 g/tray.
    steep = [cycle("2500", "10", "1"), cycle("3000", "20", "4"), cycle("3500", "30", "1")]
    near = cycle_log.forecast_hours(steep, figure("410", "g/tray"))
    assert near.value == 1
    for load in ("400", "300"):
        hours = cycle_log.forecast_hours(steep, figure(load, "g/tray"))
        assert (hours.value, hours.unit, hours.name) == (None, "h", near.name)
        assert "too far" in hours.why
    scattered = cycle_log.forecast_energy(steep, figure("600", "g/tray"))
    assert (scattered.low, scattered.value, scattered.unit) == (Decimal(0), Decimal(2), "kWh")


def test_unknown_forecasts_keep_unit_name_and_reason() -> None:
    name = cycle_log.forecast_hours(LOG, figure("700", "g/tray")).name
    unknown = Figure.unknown("g/tray", "the trays are not told")
    for log, load, why in ((LOG[:2], figure("700", "g/tray"), "2 cycles"), (LOG, unknown, unknown.why)):
        hours = cycle_log.forecast_hours(log, load)
        assert (hours.value, hours.unit, hours.name) == (None, "h", name)
        assert why in hours.why


def test_a_load_may_fill_the_machine_but_not_pass_it() -> None:
    trays = [
        figure("1400", "g"),
        Figure.unknown("g", "not told"),
        Figure.between(Decimal(1399), Decimal(1500), "g"),
    ]
    full, limit = figure("3", "tray"), figure("1.4", "kg")
    assert cycle_log.capacity_problems(trays, full, limit) == []
    assert cycle_log.capacity_problems(trays, Figure.unknown("tray", ""), Figure.unknown("kg", "")) == []
    over = cycle_log.capacity_problems([*trays, figure("1.5", "kg")], full, limit, "chili.toml: ")
    assert [(each.where, each.severity) for each in over] == [
        ("chili.toml: drying.trays", "warning"),
        ("chili.toml: drying.wet_weight", "warning"),
    ]
    assert over[1].what.startswith("tray 4 holds 1500 g")


def test_a_week_of_cycles() -> None:
    # 168 h / (54 h + 2 to 30 h).
    week = cycle_log.cycles_per_week(figure("54", "h"), Figure.between(Decimal(2), Decimal(30), "h"))
    assert (week.box, week.unit) == ((Decimal(2), Decimal(3)), "cycle/week")
