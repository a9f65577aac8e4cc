"""What electricity costs over the day, and what a cycle costs by the hour at which it starts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from nutricost.domain.quantities import ZERO, check_currency, floor
from nutricost.errors import InputError

DAY_H = Decimal(24)
START_HOURS = tuple(Decimal(hour) for hour in range(24))


@dataclass(frozen=True, slots=True)
class TariffBand:
    """One price of the day: from `start_hour` until `end_hour` [h since midnight, 0..24]."""

    start_hour: Decimal
    end_hour: Decimal
    price_per_kwh: Decimal
    currency: str = "USD"


def check_bands(bands: Sequence[TariffBand]) -> tuple[TariffBand, ...]:
    """The bands in the order of the day, a band over midnight split in two.

    Raises InputError unless they cover each of the 24 hours exactly once, in one known currency.
    """
    if not bands:
        raise InputError("the tariff has no price (accepted: one flat price, or bands that fill the day)")
    if len({check_currency(band.currency) for band in bands}) > 1:
        raise InputError("the tariff mixes currencies (accepted: one currency)")
    pieces: list[TariffBand] = []
    for band in bands:
        start, end = band.start_hour, band.end_hour
        if not (0 <= start < DAY_H and 0 <= end <= DAY_H) or start == end:
            raise InputError(
                f"tariff band {_span(start, end)} is no part of a day (accepted: 00:00 to 24:00)"
            )
        if start < end:
            pieces.append(band)
            continue
        pieces.append(replace(band, end_hour=DAY_H))
        if end > 0:
            pieces.append(replace(band, start_hour=ZERO))
    pieces.sort(key=lambda piece: piece.start_hour)
    reached = ZERO
    for piece in pieces:
        if piece.start_hour != reached:
            fault = "two prices" if piece.start_hour < reached else "no price"
            low, high = sorted((piece.start_hour, reached))
            raise InputError(f"the tariff has {fault} for {_span(low, high)} (accepted: one price an hour)")
        reached = piece.end_hour
    if reached != DAY_H:
        raise InputError(f"the tariff has no price for {_span(reached, DAY_H)} (accepted: one price an hour)")
    return tuple(pieces)


def clock(hour: Decimal) -> str:
    """An hour of the day as "HH:MM"."""
    minutes = int((hour * 60).to_integral_value())
    return f"{minutes // 60:02}:{minutes % 60:02}"


def _span(start: Decimal, end: Decimal) -> str:
    return f"{clock(start)} to {clock(end)}"


def cycle_cost(
    bands: Sequence[TariffBand], *, cycle_hours: Decimal, energy_kwh: Decimal, start_hour: Decimal
) -> Decimal:
    """What the electricity of one cycle costs. [the tariff's currency], unrounded

    Parameters
    ----------
    bands
        Prices that fill the day, see `check_bands`.
    cycle_hours
        Time from start to end. [h], > 0
    energy_kwh
        Electricity of the whole cycle, taken as drawn evenly over its hours. [kWh], >= 0
    start_hour
        Time of day at which it starts. [h since midnight], 0 <= start_hour < 24

    Raises
    ------
    InputError
        Bands that do not fill the day, or a figure outside its range.

    Notes
    -----
    cost = energy / hours x sum over bands (price x hours run in the band). A freeze dryer draws more
    while it heats its shelves, so an even draw is an assumption.

    Examples
    --------
    30 kWh over 30 h from 18:00: 6 h at 0.30, 8 h at 0.10, 16 h at 0.30.

    >>> day = [TariffBand(Decimal(8), Decimal(0), Decimal("0.30")),
    ...        TariffBand(Decimal(0), Decimal(8), Decimal("0.10"))]
    >>> cycle_cost(day, cycle_hours=Decimal(30), energy_kwh=Decimal(30), start_hour=Decimal(18))
    Decimal('7.40')
    """
    pieces = check_bands(bands)
    if cycle_hours <= 0:
        raise InputError(f"a cycle of {cycle_hours} h (accepted: more than 0)")
    if energy_kwh < 0:
        raise InputError(f"a cycle of {energy_kwh} kWh (accepted: 0 or more)")
    if not 0 <= start_hour < DAY_H:
        raise InputError(f"a start at {start_hour} h (accepted: 0 up to 24)")
    end = start_hour + cycle_hours
    weighted = sum((piece.price_per_kwh * _hours_run(piece, start_hour, end) for piece in pieces), ZERO)
    return energy_kwh * weighted / cycle_hours


def _hours_run(piece: TariffBand, start: Decimal, end: Decimal) -> Decimal:
    """How much of [start, end) falls into the band, over all the days it runs. [h]"""
    return _hours_until(piece, end) - _hours_until(piece, start)


def _hours_until(piece: TariffBand, moment: Decimal) -> Decimal:
    """Hours of the band between midnight of the first day and the moment. [h]"""
    days = floor(moment / DAY_H)
    within = min(max(moment - days * DAY_H, piece.start_hour), piece.end_hour) - piece.start_hour
    return days * (piece.end_hour - piece.start_hour) + within


def costs_by_start_hour(
    bands: Sequence[TariffBand], *, cycle_hours: Decimal, energy_kwh: Decimal
) -> list[tuple[Decimal, Decimal]]:
    """(start hour, cost of the cycle) for each full hour of the day. [h since midnight], [currency]"""
    return [
        (hour, cycle_cost(bands, cycle_hours=cycle_hours, energy_kwh=energy_kwh, start_hour=hour))
        for hour in START_HOURS
    ]


def cheapest_start_hour(
    bands: Sequence[TariffBand], *, cycle_hours: Decimal, energy_kwh: Decimal
) -> tuple[Decimal, Decimal]:
    """(start hour, cost) of the cheapest full hour; the earliest where several cost the same."""
    costs = costs_by_start_hour(bands, cycle_hours=cycle_hours, energy_kwh=energy_kwh)
    return min(costs, key=lambda pair: pair[1])  # the first of equals
