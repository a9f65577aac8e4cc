"""Other fair ways to keep the same food, such as freezing or canning: cost per 1000 kcal after N years."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from nutricost.domain.quantities import Figure, total
from nutricost.errors import InputError


@dataclass(frozen=True, slots=True)
class Keeping:
    """Some food and what keeping it takes.

    `energy` of the food [kcal]; `food` [money] paid for it; `once`: things bought to keep it, each
    already this food's share (lids; a jar's price over the times it is used) [money];
    `per_month`: electricity of keeping it [kWh/month] with `price_per_kwh` [money/kWh];
    `lasts_years`: how long it keeps, None where not known.
    """

    name: str
    energy: Figure
    food: Figure
    once: Mapping[str, Figure] = field(default_factory=dict)
    per_month: Figure | None = None
    price_per_kwh: Figure | None = None
    lasts_years: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """What keeping came to: `per_1000_kcal` [money/1000 kcal], `cost` [money], and whether it lasts."""

    name: str
    cost: Figure
    per_1000_kcal: Figure
    warnings: tuple[str, ...]


def kept_for(ways: Sequence[Keeping], years: Decimal) -> list[Kept]:
    """Each way's cost after keeping the food for `years`, cheapest per 1000 kcal first, unknown last.

    Raises InputError for negative years.
    """
    if years < 0:
        raise InputError(f"years: {years} is below 0 (accepted: 0 or more)")
    rows = [_kept(way, years) for way in ways]
    return sorted(
        rows, key=lambda row: (not row.per_1000_kcal.is_known, row.per_1000_kcal.value or Decimal(0))
    )


def _kept(way: Keeping, years: Decimal) -> Kept:
    parts = [way.food, *way.once.values()]
    if way.per_month is not None:
        price = way.price_per_kwh
        if price is None:
            price = Figure.unknown(f"{way.food.unit}/kWh", f"{way.name}: the price of a kWh is not given")
        months = Figure.exact(years * 12, "month", f"months in {years} years")
        used = (way.per_month.to("kWh/month") * months).named("electricity of keeping it")
        parts.append((used * price).to(way.food.unit))
    cost = total(parts, f"cost of {way.name} kept {years} years")
    warnings: tuple[str, ...] = ()
    if way.lasts_years is not None and way.lasts_years < years:
        warnings = (f"{way.name} keeps {way.lasts_years} years, not {years}: it would have to be replaced",)
    per = (cost / way.energy).to(f"{way.food.unit}/thousand_kcal")
    return Kept(way.name, cost, per.named("cost per 1000 kcal"), warnings)
