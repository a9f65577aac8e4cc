"""The words on forms: label, hint and how a field is typed, in the order a cook fills them in."""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its key in the document, the words beside it, an example, how it is typed."""

    key: str
    label: str
    hint: str = ""
    mode: str = "text"
    choices: tuple[tuple[str, str], ...] = ()
    wide: bool = False


BASICS = (
    Field("title", "What it is", "such as Bean chili with corn", wide=True),
    Field("servings", "Servings it makes", "such as 12", "decimal"),
    Field(
        "drying.cost", "What the drying cycle cost", "3.50 to 5.00; or kWh and their price, below", "decimal"
    ),
    Field("made_on", "Made on", mode="date"),
    Field("currency", "Currency", "three letters; USD if left empty"),
)

LINE = (
    Field("line", "Ingredient", "as you would write it: 2 lb frozen corn, 6 cans chili", wide=True),
    Field("paid", "Paid", "12.50", "decimal"),
)
LINE_MORE = (
    Field("normal", "Usual price", "if it was marked down", "decimal"),
    Field("for", "The money bought", "5 lb, if only part of it is used"),
    Field("grams", "Weight, if you weighed it", "1360 or 3 lb", "decimal"),
    Field("label", "Label", "name of a label below, if it has one"),
    Field("other_food", "Another food, by its key", "ndb:11178, from the page Foods"),
)

PANEL = (
    Field("servings_per_container", "Servings per container", "2.5 or about 2.5", "decimal"),
    Field("serving_size", "Serving size", "1 cup (240 g)"),
    Field("calories", "Calories", mode="decimal"),
    Field("calories_per_container", "Calories per container", "second column, if printed", "decimal"),
    Field("fat_g", "Total fat, g", mode="decimal"),
    Field("saturated_fat_g", "Saturated fat, g", mode="decimal"),
    Field("trans_fat_g", "Trans fat, g", mode="decimal"),
    Field("cholesterol_mg", "Cholesterol, mg", mode="decimal"),
    Field("sodium_mg", "Sodium, mg", mode="decimal"),
    Field("carbohydrate_g", "Total carbohydrate, g", mode="decimal"),
    Field("fiber_g", "Dietary fiber, g", mode="decimal"),
    Field("sugar_g", "Total sugars, g", mode="decimal"),
    Field("added_sugar_g", "Added sugars, g", mode="decimal"),
    Field("sugar_alcohol_g", "Sugar alcohol, g", mode="decimal"),
    Field("protein_g", "Protein, g", mode="decimal"),
    Field("net_weight", "Net weight", "13 oz or 370 g"),
    Field("net_volume", "Net volume", "1 L, for soup and broth"),
    Field("ingredients", "Ingredients, as printed", "optional; allergens are looked for in it"),
)
"""In the order of the printed panel: 21 CFR 101.9(d)(12)."""

DRYING = (
    Field("cooking.weight", "Weight out of the pots", "4.2 kg; if more than was dried, the rest was eaten"),
    Field("drying.wet_weight", "Weight loaded", "4.2 kg, or one a tray: 0.9 kg, 0.85 kg"),
    Field("drying.dry_weight", "Weight when dry", "1.08 kg"),
    Field("drying.trays", "Trays of this batch", "4", "decimal"),
    Field("drying.cycle_trays", "Trays in the whole load", "5, if other food shared the cycle", "decimal"),
    Field("drying.hours", "Hours", "50", "decimal"),
    Field("drying.extra_hours", "Extra drying, hours", "4", "decimal"),
    Field("drying.energy", "Electricity of the cycle", "29 kWh"),
    Field("drying.price_per_kwh", "Price of a kWh", "0.17", "decimal"),
    Field("drying.residual_moisture", "Moisture left, as a fraction", "0.03 or 0.02 to 0.04", "decimal"),
    Field("drying.scale_step", "Step of the scale", "1 g"),
)
WEIGHING = (
    Field("hours", "Hours since the start", "50", "decimal"),
    Field("weight", "Weight on the scale", "0.885 kg"),
)

PACKING = (
    Field("packing.bags", "Bags", "8", "decimal"),
    Field("packing.bag_price", "Price of a bag", "0.55", "decimal"),
    Field("packing.absorber_price", "Price of an absorber", "0.12", "decimal"),
    Field("packing.absorbers", "Absorbers", "one a bag if left empty", "decimal"),
    Field("packing.packed_on", "Packed on", mode="date"),
    Field("packing.lot", "Lot", "anything you write on the bags"),
)
OTHER_COST = (
    Field("name", "What for", "pump oil"),
    Field("amount", "Amount", "0.80", "decimal"),
)
LOSS = (
    Field("what", "What became of them", "tasted, or left on the trays"),
    Field("servings", "Servings", "0.5", "decimal"),
)

SAFETY = (
    Field(
        "cooked", "Cooked before drying", mode="choice",
        choices=(("", "not said"), ("yes", "yes"), ("no", "no")),
    ),
    Field("leftover_age_days", "Age of leftovers, days", "2", "decimal"),
)  # fmt: skip

REHYDRATION = (
    Field("rehydration.water_used", "Water used for a serving", "170 mL"),
    Field("rehydration.minutes", "Minutes", "9", "decimal"),
    Field(
        "rehydration.rating", "How good", mode="choice",
        choices=(("", "not said"), *((str(n), f"{n} of 5") for n in range(1, 6))),
    ),
    Field("rehydration.note", "Note for next time", wide=True),
)  # fmt: skip

POUCH = (
    Field("name", "Name on the pouch", "as you call it", wide=True),
    Field("price", "Price", "10.50", "decimal"),
    Field("currency", "Currency", "three letters; USD if left empty"),
    Field("place", "Where seen", "kept with the price"),
    Field("servings", "Servings per container", "2 or about 2.5", "decimal"),
    Field("calories", "Calories", "per serving", "decimal"),
    Field("calories_per_container", "Calories per container", "second column, if printed", "decimal"),
    Field("fat_g", "Total fat, g", mode="decimal"),
    Field("saturated_fat_g", "Saturated fat, g", mode="decimal"),
    Field("sodium_mg", "Sodium, mg", mode="decimal"),
    Field("carbohydrate_g", "Total carbohydrate, g", mode="decimal"),
    Field("fiber_g", "Dietary fiber, g", mode="decimal"),
    Field("sugar_g", "Total sugars, g", mode="decimal"),
    Field("protein_g", "Protein, g", mode="decimal"),
    Field("net_weight", "Net weight", "4.9 oz or 139 g"),
    Field("water_to_add", "Water to add", "1.5 cups or 350 mL"),
    Field("note", "Note", wide=True),
)

NUTRIENT_WORDS = {
    "energy": "Energy",
    "protein": "Protein",
    "fat": "Fat",
    "saturated_fat": "Saturated fat",
    "carbohydrate": "Carbohydrate",
    "fiber": "Fiber",
    "sugar": "Sugar",
    "sodium": "Sodium",
    "weight_dry": "Weight, dry",
    "weight_wet": "Weight, before drying",
    "water_to_add": "Water to add",
    "cost": "Cost",
}

BASIS_WORDS = {
    "serving": "a serving",
    "pouch": "a pouch or bag",
    "100kcal": "100 kcal",
    "1000kcal": "1000 kcal",
    "25g-protein": "25 g of protein",
    "100g": "100 g as packed",
}

_IN_THE_FORM = {
    "drying.energy and drying.price_per_kwh not given (or drying.cost)": (
        "what the drying cycle cost is not filled in"
    ),
    "drying.hours is not given": "the hours of drying are not filled in",
    "packing.bags is not given": "the number of bags is not filled in",
}
"""Reasons that name a key of the document -> the same by the words on the form."""

_ROWS = {
    "ingredients": "Ingredient",
    "labels": "Label",
    "drying.weighings": "Weighing",
    "other_costs": "Other cost",
    "losses": "Loss",
    "accessories": "Bought with it",
    "people": "Person",
}
_GROUPS = (
    LOSS,
    OTHER_COST,
    WEIGHING,
    PANEL,
    POUCH,
    REHYDRATION,
    SAFETY,
    PACKING,
    DRYING,
    LINE_MORE,
    LINE,
    BASICS,
)
_LABELS = {field.key: field.label for group in _GROUPS for field in group}
"""What a key is called; where two forms share one, the later group counts."""


def in_the_form(reason: str) -> str:
    """A reason in the words of the form."""
    for key, words in _IN_THE_FORM.items():
        reason = reason.replace(key, words)
    return reason


def field_word(field: str) -> str:
    """What a field is called on the page: 'Ingredient 2, Paid' for ingredients[1].paid."""
    row = re.fullmatch(r"([a-z_.]+)\[(\d+)\]\.?([a-z_]*)", field)
    if row is None:
        return _LABELS.get(field, field.replace("_", " ").capitalize())
    inner = "Taken as" if row[3] == "food" else "Name" if row[3] == "name" else _LABELS.get(row[3], row[3])
    return f"{_ROWS.get(row[1], row[1])} {int(row[2]) + 1}" + (f", {inner}" if inner else "")
