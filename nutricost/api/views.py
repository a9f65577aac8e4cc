"""The public JSON of every command, as plain data whose leaves are figures.

A view is what a face renders; `public_form.plain` turns it into JSON values. The path of a figure in a
view is also how `trace` names it.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.drying_details import (
    advice_view,
    batch_advice,
    boiling_view,
    drying_details,
    reheating_view,
    rehydration_view,
)
from nutricost.api.food_views import food_view
from nutricost.api.lines import ResolvedLine, grams_figure
from nutricost.api.packing import packing_report, packing_view
from nutricost.api.public_form import figure_json
from nutricost.domain.comparison import Offer, Ranked, RankMeasure, at_basis, measures
from nutricost.domain.foods.lines import IngredientLine, read_line
from nutricost.domain.quantities import Figure
from nutricost.sources.matching_engine import LineMatch


def _amount_view(line: IngredientLine) -> dict[str, Any] | None:
    """The amount as written, below zero where it is poured off; None where the line tells none."""
    if line.amount is None:
        return None
    low, high = line.amount.low, line.amount.high
    if line.negative:
        low, high = -high, -low
    return {"low": low, "high": high, "unit": None if line.unit is None else line.unit.name}


def match_view(match: LineMatch) -> dict[str, Any]:
    """One line of `match`."""
    return {
        "line": match.text,
        "status": match.status,
        "amount": _amount_view(match.line),
        "grams": grams_figure(match, "the line"),
        "food": food_view(match.food) if match.food else None,
        "confidence": Decimal(str(round(match.confidence, 4))),
        "candidates": [
            {**food_view(candidate.food), "confidence": Decimal(str(round(candidate.confidence, 4)))}
            for candidate in match.candidates
        ],
    }


def line_view(line: ResolvedLine) -> dict[str, Any]:
    """One line of `card`: as from `match`, with its money; a line that draws on a label names it."""
    recipe_line = line.recipe_line
    if line.match is not None:
        view = match_view(line.match)
        view["grams"] = recipe_line.content.weight
    else:
        view = {
            "line": recipe_line.ingredient.line,
            "status": "matched",
            "amount": _amount_view(read_line(recipe_line.ingredient.line)),
            "grams": recipe_line.content.weight,
            "food": {"ndb_number": None, "fdc_id": None, "source": "label", "description": line.label},
            "confidence": 1,
            "candidates": [],
        }
    view["cost"] = recipe_line.cost
    view["share_of_purchase"] = recipe_line.share
    view["nutrients"] = dict(recipe_line.content.nutrients)
    view["water"] = recipe_line.content.water
    view["solids"] = recipe_line.content.solids
    return view


def card_view(card: Card, gas_per_litre: Figure | None = None) -> dict[str, Any]:
    """The public form of a recipe card; `gas_per_litre` [g/L]: what the user's stove takes to boil water."""
    content, costs = card.content, card.costs
    view: dict[str, Any] = {
        "title": card.batch.title,
        "servings": content.servings.must(),
        "currency": card.batch.currency,
        "lines": [line_view(line) for line in card.lines],
        "per_serving": dict(card.per_serving),
        "per_batch": dict(card.per_batch),
        "per_100g_dry": dict(card.per_100g_dry),
        "per_100g_wet": dict(card.per_100g_wet),
        "costs": {
            "ingredients": costs.ingredients,
            "energy": costs.energy,
            "packing": costs.packing,
            "other": costs.other,
            "total": costs.total,
        },
        "water": dict(card.water),
        "drying": {
            "solids": content.loaded_solids,
            "water_removed": content.water_removed,
            "residual_moisture": content.residual_moisture,
            "minimum_energy": content.minimum_energy,
            "measured_energy": content.measured_energy,
            **drying_details(card),
        },
        "packing": packing_view(packing_report(card)),
        "advice": [advice_view(advice) for advice in batch_advice(card)],
        "reheating": reheating_view(card),
        "rehydration": rehydration_view(card),
        "boiling": boiling_view(card, gas_per_litre),
        "coverage": dict(content.coverage),
        "cautions": [caution_view(caution) for caution in card.cautions],
        "assumptions": list(card.assumptions),
        "warnings": list(card.warnings),
    }
    if costs.usual_total is not None:
        view["costs"]["usual_total"] = costs.usual_total
        view["costs"]["saved_by_markdown"] = costs.saved
    return view


def caution_view(caution: Any) -> dict[str, Any]:
    """A caution: stable code, text, source."""
    return {
        "code": caution.code,
        "text": caution.text,
        "source": caution.source,
        "severity": caution.severity,
    }


def offer_view(offer: Offer, basis: str) -> dict[str, Any]:
    """One offer of `compare`."""
    return {"name": offer.name, "kind": offer.kind, **at_basis(offer, basis), "measures": measures(offer)}


def rank_view(measure: RankMeasure, ranked: Sequence[Ranked]) -> dict[str, Any]:
    """The answer of `rank`, figures already in the units the question asked for."""
    first = ranked[0] if ranked else None
    return {
        "measure": measure.text,
        "unit": first.unit if first else "",
        "inverse_unit": first.inverse_unit if first else "",
        "offers": [
            {
                "name": entry.offer.name,
                "kind": entry.offer.kind,
                "value": figure_json(entry.value, entry.unit),
                "inverse": figure_json(entry.inverse, entry.inverse_unit),
            }
            for entry in ranked
        ],
    }
