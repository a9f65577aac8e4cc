"""The recipe card as rows of figures with names and units, for every document made of it."""

from __future__ import annotations

from dataclasses import dataclass

from nutricost.api.cards import Card
from nutricost.api.lines import ResolvedLine
from nutricost.domain.drying.balance import as_cups, as_volume, water_per_100g_dry
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.quantities import Figure
from nutricost.domain.recipes.lines import REPORTED

_WEIGHTS = {"weight_wet": "weight before drying", "weight_dry": "weight dry", "water_to_add": "water to add"}


@dataclass(frozen=True, slots=True)
class ContentRow:
    """A nutrient or weight of a card [unit]; `per_100g_dry` is None where that says nothing."""

    name: str
    unit: str
    per_serving: Figure
    per_batch: Figure
    per_100g_dry: Figure | None


def content_rows(card: Card) -> list[ContentRow]:
    """What is in a batch: nutrients, then weights and the water to add."""
    names = {key: NUTRIENTS[key].name for key in REPORTED} | _WEIGHTS
    return [
        ContentRow(
            name,
            NUTRIENTS[key].unit if key in NUTRIENTS else "g",
            card.per_serving[key],
            card.per_batch[key],
            card.per_100g_dry.get(key),
        )
        for key, name in names.items()
    ]


def cost_rows(card: Card) -> list[tuple[str, Figure]]:
    """Where the money went [currency], total last, then what is known of it where the total is not."""
    costs = card.costs
    rows = [
        ("ingredients", costs.ingredients),
        ("energy", costs.energy),
        ("packing", costs.packing),
        ("other", costs.other),
        ("total", costs.total),
    ]
    if costs.total.known is not None:
        rows.append(("what is known of it", costs.total.known))
    return rows


def drying_rows(card: Card) -> list[tuple[str, Figure]]:
    """What the machine did, each with its own unit."""
    content = card.content
    return [
        ("solids", content.solids),
        ("water removed", content.water_removed),
        ("residual moisture, fraction", content.residual_moisture),
        ("least energy by physics", content.minimum_energy),
        ("electricity used", content.measured_energy),
    ]


def water_rows(card: Card) -> list[tuple[str, Figure]]:
    """Water to pour back: a serving in mL and US cups, and for 100 g dry; then as it turned out."""
    water, serving = card.per_batch["water_to_add"], as_volume(card.per_serving["water_to_add"])
    rows = [
        ("a serving", serving),
        ("a serving, US cups", as_cups(serving)),
        ("for 100 g dry", water_per_100g_dry(water, card.per_batch["weight_dry"])),
    ]
    turned_out = card.batch.rehydration
    if turned_out is not None and turned_out.water_used is not None:
        rows.append(("a serving, as it turned out", turned_out.water_used))
    return rows


def partly_known(card: Card) -> list[str]:
    """Nutrients of which only part of the batch is known, each with the share by weight."""
    return [
        f"{NUTRIENTS[key].name}: {100 * part:.0f} % of the weight is known"
        for key, part in card.content.coverage.items()
        if part is not None and part < 1
    ]


def taken_as(line: ResolvedLine) -> str:
    """What a line was taken to be: its label, its food, or nothing."""
    if line.label is not None:
        return f"label '{line.label}'"
    if line.match is None or line.match.food is None:
        return "no food found"
    doubt = "" if line.match.status == "matched" else " (not sure)"
    return f"{line.match.food.description}{doubt}"
