"""The labels of a batch's bags."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.cautions import was_cooked
from nutricost.api.packing import FilledBag, PackingReport, packing_report
from nutricost.domain.packing.bag_label import BagLabel, bag_label
from nutricost.domain.quantities import Figure, floor
from nutricost.errors import DocumentError, Problem

MOST_BAGS = 1000
"""More labels than this are a slip of the pen, not a batch."""


def bag_labels(card: Card, *, packed_on: date | None = None, lot: str | None = None) -> list[BagLabel]:
    """One label a bag: by its filled weight where packing.bag_weights is given, else all alike.

    `packed_on` and `lot` count before what the batch says. Water is as it turned out where
    [rehydration] says so, else as computed. Raises DocumentError where the number of bags is not known.
    """
    report = packing_report(card, packed_on)
    return [
        bag_label(
            card.batch.title,
            raw=report.raw,
            cooked=was_cooked(card.batch),
            servings=bag.servings,
            energy_per_serving=card.per_serving["energy"],
            water_to_add=bag.water,
            allergens=[found.name for found in report.allergens],
            packed_on=report.packed_on,
            lot=lot if lot is not None else report.lot,
            best_by=report.keeping.best_by if report.keeping else None,
            weight=bag.weight,
            lists_missing=report.lists_missing,
        )
        for bag in _each_bag(card, report)
    ]


def _each_bag(card: Card, report: PackingReport) -> list[FilledBag]:
    """Every single bag, its water as it turned out where that was kept."""
    bags = list(report.bags)
    if not bags[0].number:
        count = report.count.value
        if count is None or count != floor(count) or not 1 <= count <= MOST_BAGS:
            what = "is not given" if count is None else f"{count:f} is no number of bags to label"
            raise DocumentError(
                [Problem(f"{card.batch.where}: packing.bags", what, f"a whole number from 1 to {MOST_BAGS}")]
            )
        bags *= int(count)
    turned_out = card.batch.rehydration
    if turned_out is None or turned_out.water_used is None:
        return bags
    a_serving = turned_out.water_used / Figure.exact(1, "serving", "one serving")
    return [replace(bag, water=a_serving * bag.servings) for bag in bags]


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
