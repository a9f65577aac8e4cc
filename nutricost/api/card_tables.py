"""The recipe card as tables of figures and lists of sentences, for every document made of it."""

from __future__ import annotations

from dataclasses import dataclass

from nutricost.api.card_keeping import advice_list, packing_table, tray_table, water_table
from nutricost.api.card_parts import CardList, CardPart, CardTable, Cell
from nutricost.api.cards import Card
from nutricost.api.drying_details import drying_details
from nutricost.api.lines import ResolvedLine
from nutricost.api.packing import packing_report
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import NOT_KNOWN, shown
from nutricost.domain.recipes.lines import REPORTED

_WEIGHTS = {"weight_wet": "weight before drying", "weight_dry": "weight dry", "water_to_add": "water to add"}

_SHORTER = {"carbohydrate": "carbohydrate"}
"""A label's carbohydrate is no table's difference, and the column is narrow."""

_DRYING_DETAILS = {
    "residual_moisture_doubt_from_scale": "residual moisture, doubt from the scale",
    "freezing_duty": "heat of cooling and freezing, apart",
    "energy_ratio": "electricity / least energy",
    "energy_per_kg_water": "electricity per kg of water",
    "energy_cost_per_kg_water": "cost of electricity per kg of water",
    "energy_cost_per_serving": "cost of electricity per serving",
}


@dataclass(frozen=True, slots=True)
class ContentRow:
    """A nutrient or weight of a card [unit]; `per_100g_dry` is None where that says nothing."""

    name: str
    unit: str
    per_serving: Figure
    per_batch: Figure
    per_100g_dry: Figure | None


def card_parts(card: Card, gas_per_litre: Figure | None = None) -> list[CardPart]:
    """All that a card shows below its title, in reading order; cautions apart. Empty lists are left out.

    `gas_per_litre` [g/L]: what the user's stove takes to boil water.
    """
    currency = card.batch.currency
    trays = tray_table(card)
    parts: list[CardPart] = [
        _line_table(card),
        _content_table(card),
        _cost_table(card),
        water_table(card, gas_per_litre),
        _drying_table(card),
        *([trays] if trays is not None else []),
        packing_table(packing_report(card), currency),
    ]
    lists = (
        advice_list(card),
        CardList("Known only in part", tuple(_partly_known(card))),
        CardList("Taken for granted", card.assumptions),
        CardList("Mind", card.warnings),
    )
    return parts + [each for each in lists if each.items]


def _line_table(card: Card) -> CardTable:
    rows = tuple(
        (
            line.recipe_line.ingredient.line,
            taken_as(line),
            line.recipe_line.content.weight,
            line.recipe_line.cost,
        )
        for line in card.lines
    )
    return CardTable("Lines", ("line", "taken as", "g", card.batch.currency), rows, left=2)


def content_rows(card: Card) -> list[ContentRow]:
    """What is in a batch: nutrients, then weights and the water to add."""
    names = {key: NUTRIENTS[key].name for key in REPORTED} | _SHORTER | _WEIGHTS
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


def _content_table(card: Card) -> CardTable:
    rows: list[tuple[Cell, ...]] = [
        (
            f"{row.name} [{row.unit}]",
            row.per_serving,
            row.per_batch,
            "" if row.per_100g_dry is None else row.per_100g_dry,
        )
        for row in content_rows(card)
    ]
    return CardTable("What is in it", ("", "a serving", "the batch", "100 g dry"), tuple(rows), ranged=True)


def _cost_table(card: Card) -> CardTable:
    """Where the money went, total last, then what is known of it where the total is not."""
    costs, currency = card.costs, card.batch.currency
    rows = [
        ("ingredients", costs.ingredients),
        ("electricity", costs.energy),
        ("packing", costs.packing),
        ("other", costs.other),
        ("total", costs.total),
    ]
    if not costs.total.is_known and costs.total.known is not None:
        rows.append(("what is known of it", costs.total.known))
    rows.append(("a serving", card.per_serving["cost"]))
    notes = []
    if costs.usual_total is not None and costs.saved is not None:
        usual, saved = (
            f"{shown(figure)} {currency}" if figure.is_known else NOT_KNOWN
            for figure in (costs.usual_total, costs.saved)
        )
        notes.append(f"At usual prices: {usual}; the markdown saved: {saved}.")
    return CardTable("What it costs", ("", currency), tuple(rows), ranged=True, notes=tuple(notes))


def _drying_table(card: Card) -> CardTable:
    """What the machine did; the ratios only where they are known."""
    content = card.content
    rows = [
        ("solids", content.loaded_solids),
        ("water removed", content.water_removed),
        ("residual moisture, fraction", content.residual_moisture),
        ("least energy by physics", content.minimum_energy),
        ("electricity used", content.measured_energy),
    ]
    details = drying_details(card)
    rows += [
        (name, details[key])
        for key, name in _DRYING_DETAILS.items()
        if key in details and details[key].is_known
    ]
    named = [(f"{name} [{figure.shown_unit}]" if figure.unit else name, figure) for name, figure in rows]
    return CardTable("Drying", ("", ""), tuple(named), ranged=True)


def _partly_known(card: Card) -> list[str]:
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
