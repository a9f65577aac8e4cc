"""Comparing batches with pouches, and ranking them by a measure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.collector import collector_resting
from nutricost.api.lines import ResolvedLine
from nutricost.api.views import offer_view
from nutricost.domain.comparison import (
    BASES,
    Offer,
    Statement,
    compare_statements,
    pouch_offer,
    serving_size_warnings,
)
from nutricost.domain.documents import Pouch
from nutricost.domain.labels import read_label
from nutricost.domain.labels.checks import label_problems
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError


@dataclass(frozen=True, slots=True)
class Comparison:
    """Offers on one basis with what may be said of them; `cards` and `pouches` are what they came from."""

    basis: str
    currency: str
    offers: tuple[Offer, ...]
    statements: tuple[Statement, ...]
    warnings: tuple[str, ...]
    cards: tuple[Card, ...] = ()
    pouches: tuple[Pouch, ...] = ()

    @collector_resting()
    def view(self) -> dict[str, Any]:
        """The public form of the comparison."""
        return {
            "basis": self.basis,
            "offers": [offer_view(offer, self.basis) for offer in self.offers],
            "statements": [statement.text for statement in self.statements],
            "warnings": list(self.warnings),
        }


def offers_of(cards: Sequence[Card], pouches: Sequence[Pouch]) -> tuple[list[Offer], str]:
    """Offers in the order given, and their one currency. Raises InputError where currencies differ.

    Where several have one title (the same dish made twice), the later ones are numbered: "Chili (2)".
    """
    currencies = list(dict.fromkeys([card.batch.currency for card in cards]))
    if len(currencies) > 1:
        raise InputError(
            f"the batches are in {' and '.join(currencies)} (accepted: one currency in a comparison)"
        )
    currency = currencies[0] if currencies else (pouches[0].price.unit if pouches else "USD")
    for pouch in pouches:
        if pouch.price.unit != currency:
            raise InputError(
                f"{pouch.where}: priced in {pouch.price.unit} (accepted: {currency}, as the batches are)"
            )
    offers = [card.offer for card in cards] + [pouch_offer(pouch, currency) for pouch in pouches]
    return told_apart(offers), currency


def told_apart(offers: Sequence[Offer]) -> list[Offer]:
    """The offers, each with a name of its own; what is bought keeps its name, as `against` means it."""
    taken: set[str] = set()
    named = dict(enumerate(offers))
    for place in sorted(named, key=lambda place: offers[place].kind == "home"):
        offer, count = offers[place], 1
        while named[place].name in taken:
            count += 1
            named[place] = replace(offer, name=f"{offer.name} ({count})")
        taken.add(named[place].name)
    return list(named.values())


@collector_resting()
def compare_offers(
    cards: Sequence[Card],
    pouches: Sequence[Pouch],
    basis: str = "serving",
    warnings: Sequence[str] = (),
    rivals: Sequence[Offer] = (),
) -> Comparison:
    """The comparison on a basis; `rivals`: other ways to keep the food.

    Raises InputError for an unknown basis.
    """
    if basis not in BASES:
        raise InputError(f"unknown basis {basis!r} (accepted: {', '.join(BASES)})")
    offers, currency = offers_of(cards, pouches)
    offers = told_apart([*offers, *rivals])
    homes = [offer for offer in offers if offer.kind == "home"]
    others = [offer for offer in offers if offer.kind != "home"]
    said = list(warnings)
    said += [f"{card.batch.title}: {warning}" for card in cards for warning in card.warnings]
    said += [str(problem) for pouch in pouches for problem in label_problems(read_label(pouch.label))]
    if basis == "serving":
        said += serving_size_warnings(offers)
    return Comparison(
        basis,
        currency,
        tuple(offers),
        tuple(compare_statements(homes, others)),
        tuple(dict.fromkeys(said)),
        tuple(cards),
        tuple(pouches),
    )


def grocery_offer(line: ResolvedLine, currency: str) -> Offer:
    """A plain food at a price as an offer; it has no servings and needs no machine."""
    content = line.recipe_line.content
    name = line.recipe_line.ingredient.line
    servings = Figure.unknown("serving", "a plain food has no servings", "servings")
    whole = {
        **content.nutrients,
        "weight": content.weight,
        "water": Figure.exact(0, "g", "water to add", source="a plain food is eaten as it is"),
        "machine_hour": Figure.exact(0, "h", "machine hours", source="a plain food takes none"),
    }
    return Offer(
        name=name,
        kind="food",
        currency=currency,
        cost=line.recipe_line.cost,
        servings=servings,
        whole=whole,
        per_serving={key: figure / servings for key, figure in whole.items()},
        packs=Figure.exact(1, "package", "one purchase", source="definition"),
    )
