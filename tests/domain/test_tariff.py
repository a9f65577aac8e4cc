"""Cost of a cycle by the hour it starts. Checks: hand calculation, and a sum minute by minute."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.tariff import (
    TariffBand,
    cheapest_start_hour,
    check_bands,
    clock,
    costs_by_start_hour,
    cycle_cost,
)
from nutricost.errors import InputError


def band(start: str, end: str, price: str, currency: str = "USD") -> TariffBand:
    return TariffBand(Decimal(start), Decimal(end), Decimal(price), currency)


FLAT = [band("0", "24", "0.17")]
NIGHT = [band("23", "7", "0.10"), band("7", "16", "0.20"), band("16", "23", "0.40")]


def test_a_flat_tariff_costs_the_same_at_any_hour() -> None:
    # 30 kWh x 0.17 = 5.10
    costs = costs_by_start_hour(FLAT, cycle_hours=Decimal("33.5"), energy_kwh=Decimal(30))
    assert [hour for hour, _ in costs] == [Decimal(hour) for hour in range(24)]
    assert {cost for _, cost in costs} == {Decimal("5.10")}
    assert cheapest_start_hour(FLAT, cycle_hours=Decimal(30), energy_kwh=Decimal(30)) == (
        Decimal(0),
        Decimal("5.10"),
    )


def test_a_cycle_over_two_nights() -> None:
    # 40 h from 20:00 at 1 kW: 3 h at 0.40, 8 h at 0.10, 9 h at 0.20, 7 h at 0.40, 8 h at 0.10, 5 h at 0.20
    # = 1.20 + 0.80 + 1.80 + 2.80 + 0.80 + 1.00 = 8.40
    cost = cycle_cost(NIGHT, cycle_hours=Decimal(40), energy_kwh=Decimal(40), start_hour=Decimal(20))
    assert cost == Decimal("8.40")


def test_a_short_cycle_starts_with_the_night() -> None:
    # 8 h fit exactly into the night from 23:00: 8 kWh x 0.10
    assert cheapest_start_hour(NIGHT, cycle_hours=Decimal(8), energy_kwh=Decimal(8)) == (
        Decimal(23),
        Decimal("0.80"),
    )


def test_a_band_over_midnight_is_split() -> None:
    assert check_bands(NIGHT) == (
        band("0", "7", "0.10"),
        band("7", "16", "0.20"),
        band("16", "23", "0.40"),
        band("23", "24", "0.10"),
    )
    assert check_bands([band("12", "0", "1"), band("0", "12", "2")])[1] == band("12", "24", "1")
    assert check_bands([band("23", "0.5", "1"), band("0.5", "23", "2")])[0] == band("0", "0.5", "1")
    in_euro = check_bands([band("22", "6", "0.2", "EUR"), band("6", "22", "0.3", "EUR")])
    assert {piece.currency for piece in in_euro} == {"EUR"}


@pytest.mark.parametrize(
    ("bands", "says"),
    [
        ([], "no price"),
        ([band("0", "23", "1")], "no price for 23:00 to 24:00"),
        ([band("1", "24", "1")], "no price for 00:00 to 01:00"),
        ([band("0", "13", "1"), band("12.5", "24", "1")], "two prices for 12:30 to 13:00"),
        ([band("5", "5", "1")], "no part of a day"),
        ([band("24", "5", "1"), band("5", "24", "1")], "no part of a day"),
        ([band("0", "25", "1")], "no part of a day"),
        ([band("-1", "24", "1")], "no part of a day"),
        ([band("0", "12", "1"), band("12", "24", "1", "EUR")], "mixes currencies"),
        ([band("0", "24", "1", "QQQ")], "unknown currency"),
    ],
)
def test_bands_that_do_not_make_a_day(bands: list[TariffBand], says: str) -> None:
    with pytest.raises(InputError, match=says):
        check_bands(bands)


@pytest.mark.parametrize(
    ("hours", "energy", "start"), [("0", "1", "0"), ("1", "-1", "0"), ("1", "1", "24"), ("1", "1", "-1")]
)
def test_an_impossible_cycle(hours: str, energy: str, start: str) -> None:
    with pytest.raises(InputError, match="accepted"):
        cycle_cost(FLAT, cycle_hours=Decimal(hours), energy_kwh=Decimal(energy), start_hour=Decimal(start))


def test_a_cycle_may_draw_little_or_nothing() -> None:
    # 0.5 kWh x 0.17 = 0.085
    costs = [
        cycle_cost(FLAT, cycle_hours=Decimal(10), energy_kwh=Decimal(energy), start_hour=Decimal(0))
        for energy in ("0", "0.5")
    ]
    assert costs == [Decimal(0), Decimal("0.085")]


def test_clock() -> None:
    assert clock(Decimal("7.25")) == "07:15"


@settings(max_examples=40)
@given(
    edges=st.lists(st.integers(1, 47), min_size=1, max_size=4, unique=True).map(sorted),
    prices=st.lists(st.integers(0, 50), min_size=5, max_size=5),
    hours=st.integers(1, 120),
    start=st.integers(0, 47),
)
def test_it_is_the_sum_over_half_hours(edges: list[int], prices: list[int], hours: int, start: int) -> None:
    """Edges, start and length on half hours, so that the brute sum is exact."""
    marks = [0, *edges, 48]
    bands = [
        TariffBand(Decimal(low) / 2, Decimal(high) / 2, Decimal(price))
        for low, high, price in zip(marks[:-1], marks[1:], prices, strict=False)
    ]
    price_at = [
        price
        for low, high, price in zip(marks[:-1], marks[1:], prices, strict=False)
        for _ in range(low, high)
    ]
    brute = Fraction(sum(price_at[(start + step) % 48] for step in range(hours)), hours) * 30
    cost = cycle_cost(
        bands, cycle_hours=Decimal(hours) / 2, energy_kwh=Decimal(30), start_hour=Decimal(start) / 2
    )
    assert abs(Fraction(cost) - brute) < Fraction(1, 10**20)
