"""The labels of a batch's bags."""

from __future__ import annotations

from datetime import date
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.cautions import batch_facts
from nutricost.domain.cautions import allergens
from nutricost.domain.documents import Batch
from nutricost.domain.drying.balance import as_volume
from nutricost.domain.packing.bag_label import BagLabel, bag_label
from nutricost.domain.packing.bags import bags_as_filled
from nutricost.domain.packing.keeping import keeping
from nutricost.domain.quantities import Figure, floor
from nutricost.errors import DocumentError, Problem

MOST_BAGS = 1000
"""More labels than this are a slip of the pen, not a batch."""


def bag_labels(card: Card, *, packed_on: date | None = None, lot: str | None = None) -> list[BagLabel]:
    """One label a bag: by its filled weight where packing.bag_weights is given, else all alike.

    `packed_on` and `lot` count before what the batch says. Water is as it turned out where
    [rehydration] says so, else as computed. Raises DocumentError where the number of bags is not known.
    """
    batch = card.batch
    facts = batch_facts(batch, card.lines, card.content)
    packing = batch.packing
    day = packed_on or (packing.packed_on if packing else None) or batch.made_on
    keeps = keeping(
        day,
        oxygen_free=facts.oxygen_free,
        fat_fraction_of_solids=facts.fat_fraction_of_solids,
        residual_moisture=card.content.residual_moisture,
    )
    return [
        bag_label(
            batch.title,
            raw=any(caution.code.startswith("raw_") for caution in card.cautions),
            cooked=facts.cooked,
            servings=holds["servings"],
            energy_per_serving=card.per_serving["energy"],
            water_to_add=holds["water"],
            allergens=[found.name for found in allergens(facts.foods)],
            packed_on=day,
            lot=lot if lot is not None else (packing.lot if packing else ""),
            best_by=keeps.best_by if keeps else None,
            weight=holds["weight"],
        )
        for holds in _bags(batch, card)
    ]


def _bags(batch: Batch, card: Card) -> list[dict[str, Figure]]:
    """Servings, water [mL] and weight [g] of each bag."""
    totals = {
        "servings": card.content.servings,
        "water": _water(batch, card),
        "weight": card.per_batch["weight_dry"],
    }
    packing = batch.packing
    if packing is not None and packing.bag_weights:
        filled = bags_as_filled(packing.bag_weights, totals)
        return [{**bag.holds, "weight": bag.weight} for bag in filled]
    count = packing.bags.value if packing is not None and packing.bags is not None else None
    if count is None or count != floor(count) or not 1 <= count <= MOST_BAGS:
        what = "is not given" if count is None else f"{count:f} is no number of bags to label"
        raise DocumentError(
            [Problem(f"{batch.where}: packing.bags", what, f"a whole number from 1 to {MOST_BAGS}")]
        )
    each = {key: whole / count for key, whole in totals.items()}
    return [each] * int(count)


def _water(batch: Batch, card: Card) -> Figure:
    """Water for the whole batch. [mL]"""
    turned_out = batch.rehydration
    if turned_out is not None and turned_out.water_used is not None:
        return turned_out.water_used / Figure.exact(1, "serving", "one serving") * card.content.servings
    return as_volume(card.per_batch["water_to_add"])


def label_view(label: BagLabel) -> dict[str, Any]:
    """The public form of a bag's label; `lines` is what is printed."""
    return {
        "title": label.title,
        "state": label.cooked_words,
        "servings": label.servings,
        "energy_per_serving": label.energy_per_serving,
        "water_to_add": label.water_to_add,
        "weight": label.weight,
        "allergens": list(label.allergens),
        "packed_on": label.packed_on.isoformat() if label.packed_on else None,
        "best_by": label.best_by.isoformat() if label.best_by else None,
        "lot": label.lot,
        "lines": list(label.lines),
    }
