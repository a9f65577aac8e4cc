"""Household weights and labels in FoodData Central's answers: portions come in three shapes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Literal

from nutricost.domain.foods.amounts import read_amount
from nutricost.domain.foods.records import HouseholdWeight, NutrientValue
from nutricost.domain.foods.tokens import scan
from nutricost.sources.fdc_keys import mapping, number_at, rows_at, text_at

_SERVING_UNITS: Mapping[str, Literal["g", "mL"]] = {
    "g": "g", "grm": "g", "gm": "g", "gram": "g", "grams": "g",
    "ml": "mL", "mlt": "mL", "milliliter": "mL", "milliliters": "mL",
}  # fmt: skip
_IGNORED_PORTIONS = frozenset({"quantity not specified", "guideline amount per fl oz of beverage"})
_UNDETERMINED_UNIT = 9999

_LABEL_KEYS: Mapping[str, str] = {
    "calories": "energy",
    "fat": "fat",
    "saturatedFat": "saturated_fat",
    "carbohydrates": "carbohydrate",
    "fiber": "fiber",
    "sugars": "sugar",
    "protein": "protein",
    "sodium": "sodium",
}
"""`labelNutrients` of the API -> this program's nutrient keys."""


@dataclass(frozen=True, slots=True)
class DeclaredLabel:
    """What a branded food declares per serving, before it is written as a label of a document.

    `per_serving` is in the units of NUTRIENTS; `less_than` names those declared as 'less than 1 g'.
    """

    description: str
    gtin: str
    serving_amount: Decimal
    serving_unit: Literal["g", "mL"]
    household_text: str = ""
    package_text: str = ""
    ingredients_text: str = ""
    per_serving: Mapping[str, Decimal] = field(default_factory=dict)
    less_than: frozenset[str] = frozenset()


def household_weights(item: Mapping[str, Any], where: str) -> tuple[HouseholdWeight, ...]:
    """Household weights of the portions, in their sequence; the serving of a branded food in grams."""
    portions = [mapping(row, where, "foodPortions") for row in rows_at(item, "foodPortions", where)]
    portions.sort(key=lambda row: row["sequenceNumber"] if isinstance(row.get("sequenceNumber"), int) else 0)
    weights = [_portion(row, where) for row in portions]
    for row in rows_at(item, "foodMeasures", where):
        entry = mapping(row, where, "foodMeasures")
        weights.append(described_portion(text_at(entry, "disseminationText", where), _grams(entry, where)))
    household = text_at(item, "householdServingFullText", where)
    if household and serving_unit_of(item, where) == "g":
        weights.append(described_portion(household, number_at(item, "servingSize", where)))
    return tuple(weight for weight in weights if weight is not None)


def _portion(entry: Mapping[str, Any], where: str) -> HouseholdWeight | None:
    """One portion in the shape of SR Legacy, Survey or Foundation foods; None where it says nothing."""
    grams = _grams(entry, where)
    described = text_at(entry, "portionDescription", where)
    if described:
        return described_portion(described, grams)  # Survey: its `modifier` is only a code
    amount = number_at(entry, "amount", where)
    unit = mapping(entry.get("measureUnit") or {}, where, "measureUnit")
    name = text_at(unit, "name", where)
    if unit.get("id") == _UNDETERMINED_UNIT or name == "undetermined":
        name = ""
    return portion_weight(amount, name, text_at(entry, "modifier", where), grams)


def portion_weight(
    amount: Decimal | None, unit_name: str, modifier: str, grams: Decimal | None
) -> HouseholdWeight | None:
    """Household weight of a portion given as amount, unit and modifier; None where one is missing.

    An amount left out is 1: the bulk files leave it out where the API states 1.
    """
    measure = ", ".join(text for text in (" ".join(unit_name.split()), " ".join(modifier.split())) if text)
    count = Decimal(1) if amount is None else amount
    if not measure or grams is None or grams <= 0 or count <= 0:
        return None
    return HouseholdWeight(count, measure, grams)


def described_portion(text: str, grams: Decimal | None) -> HouseholdWeight | None:
    """Household weight of a portion given in words: '1 banana', '1/2 cup'; None where it says nothing."""
    text = " ".join(text.split())
    if not text or text.lower() in _IGNORED_PORTIONS or grams is None or grams <= 0:
        return None
    tokens = scan(text)
    read = read_amount(tokens, 0) if tokens and tokens[0].kind == "number" else None
    if read is None or read[0].low != read[0].high or read[0].low <= 0:
        return HouseholdWeight(Decimal(1), text, grams)
    amount, end = read
    measure = "".join((" " if token.space else "") + token.raw for token in tokens[end:]).strip()
    return HouseholdWeight(amount.low, measure, grams) if measure else None


def _grams(entry: Mapping[str, Any], where: str) -> Decimal | None:
    return number_at(entry, "gramWeight", where)


def serving_unit_of(item: Mapping[str, Any], where: str) -> Literal["g", "mL"] | None:
    """Unit of the serving size: 'g', 'mL', or None for another or none."""
    return serving_unit(text_at(item, "servingSizeUnit", where))


def serving_unit(text: str) -> Literal["g", "mL"] | None:
    """'g' or 'mL' for the codes in use ('g', 'GRM', 'ml', 'MLT'), or None for another."""
    return _SERVING_UNITS.get(text.strip().lower())


def label_of(
    item: Mapping[str, Any],
    description: str,
    values: Mapping[str, NutrientValue],
    less_than: Sequence[str],
    where: str,
) -> DeclaredLabel | None:
    """The label of a branded food; None where its serving size is unknown."""
    size, unit = number_at(item, "servingSize", where), serving_unit_of(item, where)
    if size is None or size <= 0 or unit is None:
        return None
    printed: dict[str, Decimal] = {}
    panel = item.get("labelNutrients")
    if panel is not None:
        for name, entry in mapping(panel, where, "labelNutrients").items():
            key = _LABEL_KEYS.get(name)
            if key is not None and entry is not None:
                amount = number_at(mapping(entry, where, f"labelNutrients.{name}"), "value", where)
                if amount is not None:
                    printed[key] = amount
    return declared_label(
        description,
        text_at(item, "gtinUpc", where),
        size,
        unit,
        values,
        printed=printed,
        less_than=less_than,
        household_text=text_at(item, "householdServingFullText", where),
        package_text=text_at(item, "packageWeight", where),
        ingredients_text=text_at(item, "ingredients", where),
    )


def declared_label(
    description: str,
    gtin: str,
    serving_amount: Decimal,
    unit: Literal["g", "mL"],
    values: Mapping[str, NutrientValue],
    *,
    printed: Mapping[str, Decimal],
    less_than: Sequence[str] = (),
    household_text: str = "",
    package_text: str = "",
    ingredients_text: str = "",
) -> DeclaredLabel:
    """The label that `printed` figures per serving give; those it lacks come from `values` per 100.

    Computed energy is left out: it was not declared. `less_than` are values the label gives as 'less than'.
    """
    per_serving = {
        key: values[key].amount_per_100g * serving_amount / 100
        for key in _LABEL_KEYS.values()
        if key in values and values[key].standing != "estimated"
    }
    per_serving.update(printed)
    return DeclaredLabel(
        description=description,
        gtin=gtin,
        serving_amount=serving_amount,
        serving_unit=unit,
        household_text=household_text,
        package_text=package_text,
        ingredients_text=ingredients_text,
        per_serving={key: per_serving[key] for key in _LABEL_KEYS.values() if key in per_serving},
        less_than=frozenset(less_than) & per_serving.keys(),
    )
