"""The cycle log: fit and forecast against reference libraries, capacity and throughput by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from nutricost.api.cards import Card
from nutricost.api.cycle_log import cycle_log, log_files
from nutricost.domain.documents import Machine
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal
MakeCards = Callable[[Sequence[Mapping[str, Any]]], list[Card]]
RUNS = ((1600, 33.0, 17.0), (1800, 36.5, 18.1), (1900, 37.0, 19.2), (2000, 40.5, 20.3))
"""Invented cycles: loaded grams on 4 trays, hours, kWh. Dry weight is 22 % of the load."""


def run_text(grams: int, hours: float, kwh: float) -> str:
    return (
        f'trays = 4\nwet_weight = "{grams} g"\ndry_weight = "{grams * 0.22:.0f} g"\n'
        f'hours = {hours}\nenergy = "{kwh} kWh"\n'
    )


def logged(make_cards: MakeCards, count: int = 4) -> list[Card]:
    cooked = '[cooking]\nweight = "2000 g"'
    return make_cards([{"drying": run_text(*run), "more": cooked} for run in RUNS[:count]])


def machine(**parts: Any) -> Machine:
    return Machine("machine.toml", "USD", Figure.exact(2000, "USD"), **parts)


def test_forecast_is_least_squares_with_a_prediction_interval(make_cards: MakeCards) -> None:
    """Against numpy's polyfit and the textbook interval s t sqrt(1 + 1/n + (x - mean)^2 / Sxx)."""
    log = cycle_log(logged(make_cards), planned=(Figure.exact(1880, "g"), Figure.exact(4, "tray")))
    x = np.array([grams * 0.78 / 4 for grams, _, _ in RUNS])
    forecast = log.forecast
    assert forecast is not None
    at = 1880 * 0.78 / 4
    for figure, y in (
        (forecast.hours, np.array([hours for _, hours, _ in RUNS])),
        (forecast.energy, np.array([kwh for _, _, kwh in RUNS])),
    ):
        slope, intercept = np.polyfit(x, y, 1)
        spread = float(np.sum((y - intercept - slope * x) ** 2)) / 2
        half = stats.t.ppf(0.975, 2) * np.sqrt(
            spread * (1 + 1 / 4 + (at - x.mean()) ** 2 / float(np.sum((x - x.mean()) ** 2)))
        )
        assert float(figure.must()) == pytest.approx(intercept + slope * at, abs=0.006)
        assert float(figure.low) == pytest.approx(intercept + slope * at - half, abs=0.02)
        assert float(figure.high) == pytest.approx(intercept + slope * at + half, abs=0.02)
    fit = log.view()["fit"]["hours"]
    assert float(fit["slope_per_kg_water_a_tray"]) == pytest.approx(
        1000 * np.polyfit(x, np.array([run[1] for run in RUNS]), 1)[0], rel=1e-3
    )


def test_no_forecast_below_three_cycles(make_cards: MakeCards) -> None:
    log = cycle_log(logged(make_cards, 2), planned=(Figure.exact(1880, "g"), Figure.exact(4, "tray")))
    assert log.forecast is not None and not log.forecast.hours.is_known
    assert "2 cycles in the log, 3 are needed" in log.forecast.hours.why
    assert log.view()["fit"]["hours"] is None


def test_batches_that_fill_one_load_are_one_cycle(make_cards: MakeCards) -> None:
    share = 'hours = 40\ncost = 4\ncycle_trays = 5\nwet_weight = "1000 g"\ndry_weight = "220 g"\n'
    cooked = '[cooking]\nweight = "2000 g"'
    cards = make_cards(
        [
            {"title": "A", "drying": f"trays = 2\n{share}", "more": cooked},
            {"title": "B", "drying": f"trays = 3\n{share}", "more": cooked},
            {"title": "C", "drying": f"trays = 3\n{share.replace('40', '41')}", "more": cooked},
        ]
    )
    log = cycle_log(cards)
    assert [each.titles for each in log.cycles] == [("A", "B"), ("C",)]
    both = log.cycles[0].cycle
    assert (both.trays.must(), both.water_removed.must()) == (D(5), D(1560))
    assert any(text.startswith("C: the rest of the cycle's load") for text in log.warnings)


def test_batches_that_tell_nothing_are_named(make_cards: MakeCards) -> None:
    cards = make_cards([{"title": "No trays", "drying": "hours = 40"}])
    log = cycle_log(cards)
    assert log.cycles == ()
    assert log.warnings == ("No trays is left out of the log: drying.trays is not given",)


def test_load_against_the_machine(make_cards: MakeCards) -> None:
    small = machine(trays=Figure.exact(3, "tray"), tray_capacity=Figure.exact(450, "g"))
    log = cycle_log(logged(make_cards, 3), small, (Figure.exact(2400, "g"), Figure.exact(5, "tray")))
    said = " | ".join(log.warnings)
    assert "planned load: 5 trays loaded, the machine has 3" in said
    assert "planned load: each tray holds 480 g, above its 450 g" in said


def test_throughput_of_a_week(make_cards: MakeCards) -> None:
    """By hand: 168 h / (36 + 6) h = 4 cycles."""
    log = cycle_log([], machine(cycle_hours=Figure.exact(36, "h"), turnaround_hours=Figure.exact(6, "h")))
    assert log.weekly.must() == 4
    assert not cycle_log(logged(make_cards, 3)).weekly.is_known


def test_a_load_outside_the_log_is_doubted(make_cards: MakeCards) -> None:
    log = cycle_log(logged(make_cards), planned=(Figure.exact(4000, "g"), Figure.exact(4, "tray")))
    assert any("lies outside the log" in text for text in log.warnings)


def test_learned_water_is_per_dish(make_cards: MakeCards) -> None:
    kept = '[rehydration]\nwater_used = "{} mL"\nminutes = 8'
    cards = make_cards([
        {"title": "Stew", "more": kept.format(158)},
        {"title": "stew", "more": kept.format(237)},
        {"title": "Soup", "more": kept.format(158)},
        {"title": "Nothing kept"},
    ])  # fmt: skip
    learned = cycle_log(cards).rehydration
    # Computed: 158 mL a serving; used 1 and 1.5 times that.
    assert [each.title for each in learned] == ["stew", "Soup"]
    assert learned[0].learned.box == (D(1), D("1.5"))
    assert learned[0].learned.must() == D("1.25")
    assert learned[0].next_time.must() == D("197.5")


def test_one_file_twice_counts_once(tmp_path: Path, make_text: Callable[..., str]) -> None:
    path = tmp_path / "pot.toml"
    path.write_text(make_text(), encoding="utf-8")
    assert len(log_files([str(path), str(path)]).cycles) == 1


def test_a_planned_load_needs_trays_and_a_weight(tmp_path: Path, make_text: Callable[..., str]) -> None:
    path = tmp_path / "pot.toml"
    path.write_text(make_text(), encoding="utf-8")
    with pytest.raises(InputError, match="--trays"):
        log_files([str(path)], load="5 kg")
    with pytest.raises(InputError, match="above 0"):
        log_files([str(path)], load="0 kg", trays=4)
