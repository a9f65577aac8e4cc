"""Use cases of the book that work a batch out: packing it, and what its servings cost when eaten."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from nutricost.api.book import COST_STEP, changing, figure, reading
from nutricost.api.cards import Card
from nutricost.api.choices import choices_in
from nutricost.api.documents import cards_of
from nutricost.domain.payback.ledger import Meal
from nutricost.domain.quantities import Figure
from nutricost.errors import DocumentError, InputError
from nutricost.sources.documents import read_batch
from nutricost.store import batches
from nutricost.store import shelf as shelves


def pack(
    path: Path | None,
    batch: str,
    *,
    packed_on: date,
    best_by: date | None = None,
    bags: int | None = None,
    servings: str | None = None,
) -> shelves.ShelfLot:
    """The lot of a batch, now on the shelf; servings, bags and calories from its document unless given.

    Raises InputError where the document does not say how many bags.
    """
    with changing(path) as book:
        stored = batches.load_batch(book, batch)
        card = _card(stored, choices_in(book))
        packing = card.batch.packing
        if bags is None and packing is not None and packing.bags is not None:
            bags = int(packing.bags.must())
        if bags is None:
            raise InputError(
                f"batch {batch!r} does not say how many bags (accepted: bags in [packing], or --bags)"
            )
        portions = figure(servings, "servings") if servings else card.content.servings.must()
        energy = card.per_serving["energy"].value
        lot = shelves.ShelfLot(
            stored.title, packed_on, bags, portions, batch, best_by, energy and energy.quantize(COST_STEP)
        )
        return dataclasses.replace(lot, id=shelves.store_bags(book, lot))


def _card(stored: batches.StoredBatch, choices: Mapping[str, str]) -> Card:
    return cards_of([read_batch((stored.text, stored.name))], choices)[0]


def eaten_meals(path: Path | None) -> list[Meal]:
    """What was eaten, as the ledger of the payback reads it; lost servings cost and replace nothing."""
    with reading(path) as book:
        lots = {one.lot.id: one.lot for one in shelves.on_shelf(book, all_lots=True)}
        events = shelves.list_eaten(book)
        stored = {one.name: one for one in batches.list_batches(book)}
        choices = choices_in(book)
    costs: dict[str, Figure] = {}
    meals = []
    for event in events:
        lot = lots[event.lot]
        if lot.batch and lot.batch not in costs:
            costs[lot.batch] = _serving_cost(stored[lot.batch], choices)
        per_serving = costs.get(lot.batch or "") or Figure.unknown(
            f"{event.currency}/serving", "the lot names no batch", f"cost of {lot.name}"
        )
        servings = Figure.exact(event.servings, "serving", f"servings of {lot.name}", source="the book")
        meals.append(
            Meal(
                event.eaten_on, lot.name, servings, servings * per_serving, _in_words(event), _replaced(event)
            )
        )
    return meals


def _serving_cost(stored: batches.StoredBatch, choices: Mapping[str, str]) -> Figure:
    try:
        return _card(stored, choices).per_serving["cost"]
    except DocumentError as error:
        return Figure.unknown(f"{stored.currency}/serving", str(error.problems[0]), f"cost of {stored.title}")


def _in_words(event: shelves.Eaten) -> str:
    return event.replaced_name or {"pouch": "a pouch", "meal": "a bought meal"}.get(
        event.replaced, event.replaced
    )


def _replaced(event: shelves.Eaten) -> Figure:
    if event.replaced in ("nothing", "lost"):
        return Figure.exact(0, event.currency, "replaced nothing", source="the book")
    if event.replaced_cost is None:
        return Figure.unknown(event.currency, "what it replaced has no cost in the book", _in_words(event))
    return Figure.exact(event.replaced_cost, event.currency, _in_words(event), source="the book")
