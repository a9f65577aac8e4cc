"""Measures: the ratios that rank offers."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from nutricost.domain.comparison.offers import Offer
from nutricost.domain.quantities import Figure

Measure = Callable[[Offer], Figure]


def cost_per_serving(offer: Offer) -> Figure:
    """Money for a serving. [money/serving]"""
    return offer.cost_per_serving


def cost_per_100_kcal(offer: Offer) -> Figure:
    """Money for 100 kcal. [money/100 kcal]"""
    return (offer.cost / offer.whole["energy"].to("hundred_kcal")).named(
        "cost per 100 kcal", formula="cost / energy"
    )


def kcal_per_currency(offer: Offer) -> Figure:
    """Energy for one unit of money, the inverse of cost per energy. [kcal/money]"""
    return (offer.whole["energy"] / offer.cost).named(f"kcal per {offer.currency}", formula="energy / cost")


def kcal_per_gram(offer: Offer) -> Figure:
    """Energy a gram as packed. [kcal/g]"""
    return (offer.whole["energy"] / offer.whole["weight"]).named(
        "kcal per gram", formula="energy / weight as packed"
    )


def protein_per_currency(offer: Offer) -> Figure:
    """Protein for one unit of money. [g/money]"""
    return (offer.whole["protein"] / offer.cost).named(
        f"protein per {offer.currency}", formula="protein / cost"
    )


def sodium_per_1000_kcal(offer: Offer) -> Figure:
    """Sodium that comes with 1000 kcal, of a serving, or of the whole where there are none. [mg/1000 kcal]"""
    served = offer.per_serving["sodium"] / offer.per_serving["energy"].to("thousand_kcal/serving")
    whole = offer.whole["sodium"] / offer.whole["energy"].to("thousand_kcal")
    return (served if served.is_known else whole).named("sodium per 1000 kcal", formula="sodium / energy")


MEASURES: Mapping[str, Measure] = {
    "cost_per_serving": cost_per_serving,
    "cost_per_100_kcal": cost_per_100_kcal,
    "kcal_per_{currency}": kcal_per_currency,
    "kcal_per_gram": kcal_per_gram,
    "protein_g_per_{currency}": protein_per_currency,
    "sodium_mg_per_1000_kcal": sodium_per_1000_kcal,
}
"""Measures by key; {currency} stands for the currency's code in lower case."""


def measures(offer: Offer) -> dict[str, Figure]:
    """Every measure of an offer by its key."""
    code = offer.currency.lower()
    return {key.format(currency=code): measure(offer) for key, measure in MEASURES.items()}
