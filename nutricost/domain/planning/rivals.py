"""Other fair ways to keep the same food, such as freezing or canning, as offers after N years of keeping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from nutricost.domain.comparison import Offer
from nutricost.domain.comparison.offers import COUNTED
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.quantities import Figure, total
from nutricost.errors import InputError


@dataclass(frozen=True, slots=True)
class Keeping:
    """Some food and what keeping it takes.

    `contents`: what is in all of it, by key: 'energy' [kcal], macros [g], 'sodium' [mg], 'weight' as kept
    [g]. `food` [money] paid for it; `once`: things bought to keep it, each already this food's share
    (lids; a jar's price over the times it is used) [money]; `per_month`: electricity of keeping it
    [kWh/month] with `price_per_kwh` [money/kWh]; `lasts_years`: how long it keeps, None where not known.
    """

    name: str
    contents: Mapping[str, Figure]
    food: Figure
    servings: Figure | None = None
    once: Mapping[str, Figure] = field(default_factory=dict)
    per_month: Figure | None = None
    price_per_kwh: Figure | None = None
    lasts_years: Decimal | None = None


def kept_offer(way: Keeping, years: Decimal) -> tuple[Offer, tuple[str, ...]]:
    """The offer that a way of keeping makes after `years`, and warnings: its cost includes the keeping.

    Raises InputError for negative years.
    """
    if years < 0:
        raise InputError(f"years: {years} is below 0 (accepted: 0 or more)")
    servings = way.servings or Figure.unknown("serving", "servings are not given", "servings")
    whole = {key: _content(way, key, NUTRIENTS[key].unit) for key in COUNTED}
    whole["weight"] = _content(way, "weight", "g")
    whole["water"] = Figure.unknown("g", "water to add is not known", "water to add")
    whole["machine_hour"] = Figure.exact(0, "h", "machine hours", source="it needs no freeze dryer")
    offer = Offer(
        name=way.name,
        kind="other",
        currency=way.food.unit,
        cost=kept_cost(way, years),
        servings=servings,
        whole=whole,
        per_serving={key: figure / servings for key, figure in whole.items()},
        packs=Figure.exact(1, "package", "all of it", source="definition"),
    )
    if way.lasts_years is not None and way.lasts_years < years:
        lasts = f"{way.lasts_years.normalize():f}"
        said = f"{way.name} keeps {lasts} years, not {years.normalize():f}: it would have to be replaced"
        return offer, (said,)
    return offer, ()


def _content(way: Keeping, key: str, unit: str) -> Figure:
    return way.contents.get(key) or Figure.unknown(
        unit, f"{key.replace('_', ' ')} of {way.name} is not given"
    )


def kept_cost(way: Keeping, years: Decimal) -> Figure:
    """Food, what is bought once to keep it, and the electricity of `years` [money]."""
    parts = [way.food, *way.once.values()]
    if way.per_month is not None:
        price = way.price_per_kwh
        if price is None:
            price = Figure.unknown(f"{way.food.unit}/kWh", f"{way.name}: the price of a kWh is not given")
        months = Figure.exact(years * 12, "month", f"months in {years} years")
        used = (way.per_month.to("kWh/month") * months).named("electricity of keeping it")
        parts.append((used * price).to(way.food.unit).named("electricity"))
    return total(parts, f"cost of {way.name} kept {years} years", formula="food + bought once + electricity")
