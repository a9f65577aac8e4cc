"""What a card tells of drying beyond the balance: trays, energy, advice, reheating, rehydration, boiling."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.cautions import was_cooked
from nutricost.domain.documents import Drying
from nutricost.domain.drying.balance import as_weighed, moisture_doubt_from_scale, water_by_tray
from nutricost.domain.drying.composition import Advice, Composition, drying_advice, layer_thickness
from nutricost.domain.drying.fuel import boiling_electricity, boiling_gas
from nutricost.domain.drying.reheating import Reheating, reheating
from nutricost.domain.drying.rehydration import rehydration_ratio
from nutricost.domain.drying.thermodynamics import energy_per_kg_water, energy_ratio, freezing_duty
from nutricost.domain.quantities import ZERO, Figure, read_quantity, total
from nutricost.errors import InputError

ROOM_C, SHELF_C = Decimal(20), Decimal(-20)
"""Loaded at room temperature, frozen to -20 C (common practice, no source)."""
_DENSITY = Figure.between(
    Decimal("0.9"), Decimal("1.1"), "g/mL", "density of the food", source="cooked food, assumed",
    standing="assumed",
)  # fmt: skip
ONE_SERVING = Figure.exact(1, "serving", "one serving")


def drying_details(card: Card) -> dict[str, Any]:
    """Figures of the machine's work: heat of freezing, ratios to the water removed, money, each tray.

    The energies go with the whole load in the machine, losses included.
    """
    content, drying = card.content, card.batch.drying or Drying()
    water = (content.loaded - content.loaded_solids).named("water in the load", formula="loaded - solids")
    details: dict[str, Any] = {
        "freezing_duty": freezing_duty(water, content.loaded_solids, ROOM_C, SHELF_C),
        "energy_ratio": energy_ratio(content.measured_energy, content.minimum_energy),
        "energy_per_kg_water": energy_per_kg_water(content.measured_energy, content.water_removed),
        "energy_cost_per_kg_water": energy_per_kg_water(card.costs.energy, content.water_removed),
        "energy_cost_per_serving": (card.costs.energy / content.servings).named("energy cost per serving"),
        "trays": tray_waters(drying),
    }
    if drying.scale_step is not None and drying.dry_weight:
        details["residual_moisture_doubt_from_scale"] = moisture_doubt_from_scale(
            content.dried, content.loaded_solids, drying.scale_step
        )
    return details


def tray_waters(drying: Drying) -> list[dict[str, Any]]:
    """Wet, dry and water removed of each tray [g], where every tray was weighed before and after."""
    if len(drying.wet_weight) < 2 or len(drying.wet_weight) != len(drying.dry_weight):
        return []
    wet = as_weighed(drying.wet_weight, drying.scale_step)
    dry = as_weighed(drying.dry_weight, drying.scale_step)
    return [
        {"tray": number, "wet": before, "dry": after, "water_removed": removed}
        for number, (before, after, removed) in enumerate(
            zip(wet, dry, water_by_tray(wet, dry), strict=True), start=1
        )
    ]


def batch_advice(card: Card) -> tuple[Advice, ...]:
    """Why this load dries slowly or keeps badly, and what to do about it."""
    content, drying = card.content, card.batch.drying
    water = (content.weight_wet - content.solids).named("water in the load")
    layer = None
    if drying is not None and drying.tray_area_cm2 is not None and drying.trays is not None:
        a_tray = content.loaded / drying.trays * Figure.exact(1, "tray", "one tray")
        area = Figure.exact(drying.tray_area_cm2, "cm**2", "area of a tray", source="drying.tray_area_cm2")
        layer = layer_thickness(a_tray, area, _DENSITY)
    load = Composition(
        solids=content.solids,
        water=water,
        fat=content.nutrients["fat"],
        sugar=content.nutrients["sugar"],
        sodium=content.nutrients["sodium"],
        alcohol=_alcohol(card),
        layer=layer,
    )
    return tuple(drying_advice(load))


def _alcohol(card: Card) -> Figure | None:
    """Alcohol of the table foods that have some, in what is dried and eaten [g]; None where none has."""
    parts = [each for line in card.lines if (each := line.recipe_line.content.alcohol) is not None]
    if not parts:
        return None
    content = card.content
    eaten = content.scale * (content.servings / card.batch.servings)
    return (total(parts, "alcohol") * eaten).named("alcohol")


def advice_view(advice: Advice) -> dict[str, str]:
    """The public form of one piece of advice."""
    return {
        "code": advice.code,
        "text": advice.text,
        "what_to_do": advice.what_to_do,
        "standing": advice.standing,
    }


def batch_reheating(card: Card) -> Reheating | None:
    """How hot a serving gets with water at 95 C; None unless the food was cooked before drying."""
    return reheating(
        card.per_serving["water_to_add"] * ONE_SERVING,
        card.per_serving["weight_dry"] * ONE_SERVING,
        was_cooked(card.batch),
    )


def reheating_view(card: Card) -> dict[str, Any] | None:
    """The public form of the reheating estimate, null where the food was not cooked."""
    estimate = batch_reheating(card)
    return None if estimate is None else {"temperature": estimate.temperature, "text": estimate.text}


def rehydration_view(card: Card) -> dict[str, Any] | None:
    """How rehydrating turned out, beside what was computed; null where nothing was kept."""
    kept = card.batch.rehydration
    if kept is None:
        return None
    used = (
        (kept.water_used / ONE_SERVING).named("water used per serving")
        if kept.water_used is not None
        else Figure.unknown("mL/serving", "rehydration.water_used is not given", "water used per serving")
    )
    return {
        "water_used": used,
        "water_computed": card.water["per_serving"],
        "ratio": rehydration_ratio(used, card.water["per_serving"]),
        "minutes": kept.minutes,
        "rating": kept.rating,
        "note": kept.note,
    }


def gas_figure(text: str) -> Figure:
    """Gas that boils a litre of water on the user's stove [g/L], from a weight. Raises InputError."""
    try:
        grams = read_quantity(text, "mass")
    except InputError:
        grams = ZERO
    if grams <= 0:
        raise InputError(f"gas per litre: {text!r} is no weight above 0 (accepted: grams such as 12 g)")
    return Figure.exact(grams, "g/L", "gas to boil a litre", source="your figure")


def boiling_view(card: Card, gas_per_litre: Figure | None = None) -> dict[str, Figure]:
    """Fuel that boils the water of a serving: electricity, and gas by the user's own figure [g/L]."""
    water = card.water["per_serving"]
    fuel = {"electricity": boiling_electricity(water)}
    if gas_per_litre is not None:
        fuel["gas"] = boiling_gas(water, gas_per_litre)
    return fuel
