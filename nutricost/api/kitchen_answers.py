"""What the kitchen book answers: comparison, payback, deal, foods for a line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.comparing import Comparison, offers_of
from nutricost.api.decisions import alternative, deal_view, home_batch, load_of
from nutricost.api.kitchen import Kitchen
from nutricost.api.payback import payback_view
from nutricost.api.views import offer_view
from nutricost.domain.comparison import (
    BASES,
    Offer,
    Statement,
    compare_statements,
    measures,
    serving_size_warnings,
)
from nutricost.domain.deal import Deal, Load, Rival, deal
from nutricost.domain.documents import Machine, Pouch
from nutricost.domain.labels import label_problems, read_label
from nutricost.domain.payback import Equal, Payback, payback
from nutricost.domain.quantities import Figure, read_quantity
from nutricost.errors import InputError


@dataclass(frozen=True, slots=True, eq=False)
class PageComparison:
    """The comparison of a page: all offers, and statements of each batch against one pouch.

    The same object as long as nothing in it changed.
    """

    whole: Comparison
    against: str | None
    batches: tuple[tuple[str, str], ...]
    view: Mapping[str, Any]


def comparison_of(
    kitchen: Kitchen, basis: str = "serving", only: Sequence[str] = (), against: str | None = None
) -> PageComparison:
    """The comparison of the book's batches (all, or those named) and pouches.

    Statements put each batch beside the pouch `against`; without it, beside the one that gives most
    energy for its money. Raises InputError for an unknown basis or pouch.
    """
    if basis not in BASES:
        raise InputError(f"unknown basis {basis!r} (accepted: {', '.join(BASES)})")
    found = kitchen.offers()
    worked = [one for one in found.batches if not only or one.stored.name in only]
    cards = [one.card for one in worked if one.card is not None]
    said = [f"{one.stored.title} is left out: {problem}" for one in worked for problem in one.problems]
    currencies = [card.batch.currency for card in cards]
    for card in cards:
        if card.batch.currency != currencies[0]:
            said.append(
                f"{card.batch.title} is left out: it is in {card.batch.currency}, not {currencies[0]}"
            )
    same = [card for card in cards if card.batch.currency == currencies[0]]
    pouches = [pouch for pouch in found.pouches if not same or pouch.price.unit == currencies[0]]
    return _compared(
        basis,
        tuple(_Same(card) for card in same),
        tuple(_Same(pouch) for pouch in pouches),
        against,
        (*said, *found.left_out),
        tuple((one.stored.name, one.stored.title) for one in found.batches),
    )


class _Same:
    """Something compared by being the same object, so that a cache can be keyed by it cheaply."""

    __slots__ = ("what",)

    def __init__(self, what: Any) -> None:
        self.what = what

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.what is self.what

    def __hash__(self) -> int:
        return id(self.what)


@lru_cache(maxsize=24)
def _compared(
    basis: str,
    cards: tuple[_Same, ...],
    pouches: tuple[_Same, ...],
    against: str | None,
    said: tuple[str, ...],
    batches: tuple[tuple[str, str], ...],
) -> PageComparison:
    own: list[Card] = [same.what for same in cards]
    others: list[Pouch] = [same.what for same in pouches]
    offers, currency = offers_of(own, others)
    rival = _rival([offer for offer in offers if offer.kind == "pouch"], against)
    statements: list[Statement] = (
        compare_statements([offer for offer in offers if offer.kind == "home"], [rival]) if rival else []
    )
    warnings = list(said)
    warnings += [f"{card.batch.title}: {warning}" for card in own for warning in card.warnings]
    warnings += [str(problem) for pouch in others for problem in label_problems(read_label(pouch.label))]
    if basis == "serving":
        shown = [offer for offer in offers if offer.kind == "home" or offer is rival]
        warnings += serving_size_warnings(shown)
    whole = Comparison(basis, currency, tuple(offers), tuple(statements), tuple(dict.fromkeys(warnings)))
    rival_name = rival.name if rival else None
    view = {
        "basis": basis,
        "currency": currency,
        "against": rival_name,
        "offers": [offer_view(offer, basis) for offer in offers],
        "statements": [statement.text for statement in statements],
        "warnings": list(whole.warnings),
    }
    return PageComparison(whole, rival_name, batches, view)


def _rival(pouches: Sequence[Offer], against: str | None) -> Offer | None:
    if against:
        named = [offer for offer in pouches if offer.name == against]
        if not named:
            raise InputError(f"there is no pouch {against!r} in the comparison")
        return named[0]
    known = [offer for offer in pouches if (offer.whole["energy"] / offer.cost).is_known]
    return max(known, key=lambda offer: (offer.whole["energy"] / offer.cost).must(), default=None)


def verdicts(kitchen: Kitchen) -> list[tuple[str, str]]:
    """For each batch: its title and what is said first of it beside the best pouch; empty without pouches."""
    try:
        found = comparison_of(kitchen)
    except InputError:
        return []
    first: dict[str, str] = {}
    for statement in found.whole.statements:
        first.setdefault(statement.subject, statement.text)
    return list(first.items())


@dataclass(frozen=True, slots=True)
class PagePayback:
    """The payback against each pouch, and the numbers of the picture."""

    paybacks: tuple[Payback, ...]
    currency: str
    view: tuple[Mapping[str, Any], ...]


def payback_of(
    kitchen: Kitchen, equal: Equal = "kcal", only: Sequence[str] = (), against: str | None = None
) -> PagePayback:
    """When the book's machine has paid for itself, with its batches as an average one.

    Raises InputError where machine, batches or pouches are missing.
    """
    machine = needed_machine(kitchen)
    cards = [
        one.card
        for one in kitchen.batches()
        if one.card is not None
        and (not only or one.stored.name in only)
        and one.card.batch.currency == machine.currency
    ]
    if not cards:
        raise InputError(f"there is no batch in {machine.currency} yet: the payback needs one (see Batches)")
    found = comparison_of(kitchen)
    pouches = [offer for offer in found.whole.offers if offer.kind == "pouch"]
    if against:
        pouches = [offer for offer in pouches if offer.name == against]
    if not pouches:
        raise InputError("there is no pouch to compare with yet: add one (see Pouches)")
    homes = [home_batch(card) for card in cards]
    results = tuple(payback(homes, alternative(offer), machine, equal) for offer in pouches)
    view = tuple({**payback_view(result), "warnings": list(result.warnings)} for result in results)
    return PagePayback(results, machine.currency, view)


def needed_machine(kitchen: Kitchen) -> Machine:
    """The machine of the book. Raises InputError where none is written down."""
    machine = kitchen.machine()
    if machine is None:
        raise InputError("there is no machine in the book yet: enter it under 'Your machine'")
    return machine


def deal_of(
    kitchen: Kitchen,
    name: str,
    *,
    price: str = "",
    days: str = "",
    space: str = "",
    against: str | None = None,
) -> tuple[Deal, Mapping[str, Any]]:
    """The verdict on a price at the shelf, with its public form; the batch named describes one load.

    `price` of one package [money], `days` to the date [day], `space` free in the freezer: as typed, ""
    where not given. Raises InputError, naming the field in front.
    """
    card = kitchen.batch(name).card
    if card is None:
        raise InputError(f"batch: the document of {name!r} can't be worked out; open it to see why")
    machine = needed_machine(kitchen)
    load = load_of(card, machine)
    if price.strip():
        load = at_price(load, _number("price", price), card.batch.currency)
    pouches = [offer for offer in comparison_of(kitchen).whole.offers if offer.kind == "pouch"]
    rival = _rival(pouches, against)
    room = None
    if space.strip():
        try:
            room = Figure.exact(read_quantity(space, "mass"), "g", "freezer space", source="as typed")
        except InputError as error:
            raise InputError(f"space: {error}") from None
    found = deal(
        load,
        machine,
        Rival(rival.name, rival.cost, rival.whole["energy"]) if rival else None,
        days_to_date=_number("days", days) if days.strip() else None,
        space=room,
    )
    return found, deal_view(found, card.batch.currency)


def at_price(load: Load, price: Decimal, currency: str) -> Load:
    """The load with every package at another price [money]; all else as it was."""
    each = Figure.exact(price, f"{currency}/package", "price of a package", source="as typed")
    paid = (each * load.packages).named("paid for the packages", formula="price x packages")
    rest = load.cost - load.paid
    return replace(load, paid=paid, cost=(rest + paid).named("cost of the load"))


def _number(field: str, text: str) -> Decimal:
    try:
        number = Decimal(text.strip())
    except ArithmeticError:
        raise InputError(
            f"{field}: {text.strip()!r} is no number (accepted: a number such as 2.50)"
        ) from None
    if not number.is_finite() or not 0 <= number < Decimal("1e9"):
        raise InputError(f"{field}: {text.strip()} (accepted: 0 or more)")
    return number


def kcal_per_currency(offer: Offer) -> Figure:
    """Energy for one unit of money [kcal/money]."""
    return measures(offer)[f"kcal_per_{offer.currency.lower()}"]
