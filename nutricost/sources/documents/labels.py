"""Reading a Nutrition Facts panel as a person types it in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from nutricost.domain.documents import LABEL_NUTRIENTS, Label, Printed
from nutricost.domain.quantities.units import unit_factor
from nutricost.sources.documents.tables import Table
from nutricost.sources.documents.values import (
    NOT_NEGATIVE,
    POSITIVE,
    VULGAR,
    Fault,
    read_fraction,
    read_plain,
    read_ratio,
    read_text,
    short,
    type_word,
)

EXTRA_NUTRIENTS: Mapping[str, str] = {
    "added_sugar": "added_sugar_g",
    "sugar_alcohol": "sugar_alcohol_g",
    "alcohol": "alcohol_g",
    "trans_fat": "trans_fat_g",
    "cholesterol": "cholesterol_mg",
    "potassium": "potassium_mg",
    "calcium": "calcium_mg",
    "iron": "iron_mg",
    "vitamin_d": "vitamin_d_mcg",
}
"""Figures a label may print beside those that the engine adds up: nutrient -> key in a document."""

PER_CONTAINER = "_per_container"

SERVING_EXAMPLES = '"150 g", "1 cup (240 g)", "2 tbsp (30 mL)" or "1 oz"'

# 21 CFR 101.9(b)(5)(viii): what a household measure means inside a serving size.
LABEL_UNITS: Mapping[str, tuple[str, str]] = {
    **dict.fromkeys(("tsp", "teaspoon", "teaspoons"), ("label_tsp", "mL")),
    **dict.fromkeys(("tbsp", "tablespoon", "tablespoons"), ("label_tbsp", "mL")),
    **dict.fromkeys(("cup", "cups"), ("label_cup", "mL")),
    **dict.fromkeys(("fl oz", "fluid ounce", "fluid ounces"), ("label_floz", "mL")),
    **dict.fromkeys(("oz", "ounce", "ounces"), ("label_oz", "g")),
}
METRIC_UNITS: Mapping[str, tuple[str, str]] = {
    **dict.fromkeys(("g", "gram", "grams"), ("g", "g")),
    **dict.fromkeys(("mg",), ("mg", "g")),
    **dict.fromkeys(("kg", "kilogram", "kilograms"), ("kg", "g")),
    **dict.fromkeys(("ml", "milliliter", "milliliters", "millilitre", "millilitres"), ("mL", "mL")),
    **dict.fromkeys(("l", "liter", "liters", "litre", "litres"), ("L", "mL")),
}

_NUMBER = r"\d+\s+\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d+(?:\.\d+)?|\.\d+"
_MEASURE = re.compile(rf"({_NUMBER})\s*(fl\.?\s*oz|fluid\s+ounces?|[a-z]+)", re.IGNORECASE)
_PRINTED = re.compile(r"(<|less than)?\s*(\d+(?:\.\d+)?|\.\d+)\s*([a-z]*)\.?", re.IGNORECASE)
_ABOUT = re.compile(r"(about|approx\.?|approximately|~)?\s*(\d.*)", re.IGNORECASE)


def read_serving_size(text: str) -> tuple[Decimal | None, Decimal | None]:
    """The serving size as printed: its weight [g] and its volume [mL], None where not in it.

    A metric figure counts before a household measure of the same kind ("1 oz (28 g)" is 28 g).
    Raises Fault where the text holds neither. Source of the units: 21 CFR 101.9(b)(5)(viii).
    """
    plain = short(text)
    for sign, written in VULGAR.items():
        plain = plain.replace(sign, f" {written}")
    if re.search(r"-\s*\.?\d", plain):
        raise Fault(f"{text!r} holds a minus sign or a range", SERVING_EXAMPLES)
    metric: dict[str, Decimal] = {}
    household: dict[str, Decimal] = {}
    for number, word in _MEASURE.findall(plain):
        unit = re.sub(r"[.\s]+", " ", word.lower()).strip()
        unit = "fl oz" if unit == "floz" else unit
        for units, found in ((METRIC_UNITS, metric), (LABEL_UNITS, household)):
            if unit in units:
                name, base = units[unit]
                above, below = read_ratio(number)
                found.setdefault(base, above * unit_factor(name, base) / below)
    grams = metric.get("g", household.get("g"))
    millilitres = metric.get("mL", household.get("mL"))
    if grams is None and millilitres is None:
        raise Fault(f"{text!r} holds no weight or volume", SERVING_EXAMPLES)
    if grams == 0 or millilitres == 0:
        raise Fault(f"{text!r} is zero", SERVING_EXAMPLES)
    return grams, millilitres


def read_printed(raw: Any, unit: str) -> Printed:
    """A figure as printed on a label, such as 170, 0 or "< 1 g". `unit`: what the key is in.

    Raises Fault.
    """
    accepted = 'a number of 0 or more, or text such as "<1"'
    if not isinstance(raw, str):
        try:
            return Printed(read_plain(raw, NOT_NEGATIVE))
        except Fault as fault:
            raise Fault(fault.what, accepted) from None
    match = _PRINTED.fullmatch(short(raw).strip())
    if match is None:
        raise Fault(f"{raw!r} is no printed figure", accepted)
    if match[3] and match[3].lower() not in _unit_spellings(unit):
        raise Fault(f"{raw!r} is in {match[3]}", f"{unit}, or no unit")
    if match[1] and not Decimal(match[2]):
        raise Fault(f"{raw!r} is below zero", accepted)
    return Printed(NOT_NEGATIVE.check(Decimal(match[2]), raw), less_than=bool(match[1]))


def _unit_spellings(unit: str) -> tuple[str, ...]:
    return {
        "kcal": ("kcal", "cal", "calories", "calorie"),
        "g": ("g", "gram", "grams"),
        "mg": ("mg", "milligram", "milligrams"),
        "mcg": ("mcg", "ug", "microgram", "micrograms"),
    }[unit]


def read_count(raw: Any) -> tuple[Decimal, bool]:
    """The servings in a container and whether the label says 'about'. Raises Fault."""
    accepted = 'a number above 0, or "about 2.5"'
    if not isinstance(raw, str):
        try:
            return read_plain(raw, POSITIVE), False
        except Fault as fault:
            raise Fault(fault.what, accepted) from None
    match = _ABOUT.fullmatch(short(raw).strip())
    if match is None:
        raise Fault(type_word(raw), accepted)
    try:
        return POSITIVE.check(read_fraction(match[2]), raw), bool(match[1])
    except Fault as fault:
        raise Fault(fault.what, accepted) from None


def nutrient_keys() -> dict[str, tuple[str, str]]:
    """Every nutrient key of a document -> nutrient, unit as printed (kcal, g, mg or mcg)."""
    keys = {}
    for nutrient, key in {**LABEL_NUTRIENTS, **EXTRA_NUTRIENTS}.items():
        keys[key] = (nutrient, "kcal" if nutrient == "energy" else key.rsplit("_", 1)[1])
    return keys


def split_printed(
    read: Callable[[str, str], Printed | None],
) -> tuple[dict[str, Printed], dict[str, Printed], dict[str, Printed]]:
    """Figures per serving, in the container's column, and beside those the engine adds up.

    `read(key, unit)` gives the figure under a document key, None where not printed.
    """
    printed: dict[str, Printed] = {}
    container: dict[str, Printed] = {}
    extra: dict[str, Printed] = {}
    for key, (nutrient, unit) in nutrient_keys().items():
        main = nutrient in LABEL_NUTRIENTS
        if (figure := read(key, unit)) is not None:
            (printed if main else extra)[nutrient] = figure
        if main and (figure := read(key + PER_CONTAINER, unit)) is not None:
            container[nutrient] = figure
    return printed, container, extra


def read_label(table: Table, name: str) -> Label:
    """The label in a table; what is missing or wrong is noted with the document."""

    def printed_figure(key: str, unit: str) -> Printed | None:
        required = "calories per serving, as printed" if key == "calories" else ""
        return table.get(key, lambda raw: read_printed(raw, unit), required=required)

    serving = table.get(
        "serving_size", lambda raw: (read_text(raw), *read_serving_size(read_text(raw))),
        required=SERVING_EXAMPLES,
    )  # fmt: skip
    text, grams, millilitres = serving or ("", None, None)
    count, about = table.get("servings_per_container", read_count) or (None, False)
    printed, container, extra = split_printed(printed_figure)
    return Label(
        name=name,
        where=table.where,
        serving_text=text,
        serving_g=grams,
        serving_ml=millilitres,
        servings_per_container=count,
        servings_about=about,
        printed=printed,
        container_printed=container,
        extra=extra,
        net_weight=table.quantity("net_weight", "mass", f"net weight of {name}"),
        net_volume=table.quantity("net_volume", "volume", f"net volume of {name}"),
        ingredients_text=table.text("ingredients") or "",
    )
