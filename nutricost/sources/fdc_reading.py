"""Answers of the FoodData Central API, in any of their shapes, as foods and labels.

Three shapes carry nutrients: search hits (`nutrientNumber`, `value`), details (`nutrient.number`,
`amount`) and the abridged form (`number`, `amount`). All are read by number and unit, never by name: two
nutrients are called "Energy", one of them in kilojoules. Unknown keys are ignored, missing ones are
missing, and a key that changed its type is a SourceError that names the food.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from nutricost.domain.foods.energy import energy_value
from nutricost.domain.foods.records import (
    NUTRIENTS,
    AtwaterFactors,
    Food,
    NutrientValue,
    Standing,
)
from nutricost.domain.foods.standing import standing_of
from nutricost.errors import SourceError
from nutricost.sources.fdc_keys import mapping, number, rows_at, sequence, shown, text_at, whole
from nutricost.sources.fdc_labels import DeclaredLabel, household_weights, label_of, serving_unit_of

SOURCES: Mapping[str, str] = {
    "SR Legacy": "sr_legacy",
    "Foundation": "foundation",
    "Survey (FNDDS)": "survey",
    "Branded": "branded",
}
"""FoodData Central's data types (OpenAPI document 1.0.0) -> this program's source names."""

NUMBER_OF_ID: Mapping[int, str] = {
    1003: "203", 1004: "204", 1005: "205", 1007: "207", 1008: "208", 1018: "221", 1051: "255", 1062: "268",
    1063: "269.3", 1079: "291", 1087: "301", 1089: "303", 1090: "304", 1091: "305", 1092: "306", 1093: "307",
    1095: "309", 1098: "312", 1101: "315", 1103: "317", 1106: "320", 1109: "323", 1110: "324", 1114: "328",
    1162: "401", 1165: "404", 1166: "405", 1167: "406", 1170: "410", 1175: "415", 1177: "417", 1178: "418",
    1180: "421", 1185: "430", 1235: "539", 1253: "601", 1257: "605", 1258: "606", 2000: "269", 2033: "293",
    2047: "957", 2048: "958",
}  # fmt: skip
"""FoodData Central nutrient ids -> USDA nutrient numbers, for rows that give the id alone. Ids are from
real answers (checks.md 9) and, for the others, from memory of the nutrient file. An id is never a number."""

_ALTERNATIVES: Mapping[str, tuple[str, ...]] = {
    "sugar": ("269", "269.3"),
    "fiber": ("291", "293"),
}
"""Numbers that stand for one nutrient, best first; 269.3 and 293 are newer methods of analysis."""

MICROGRAMS_PER_IU_VITAMIN_D = Decimal("0.025")
"""Vitamin D [ug/IU]: 40 IU are 1 microgram (USDA nutrient definitions 324 and 328; from memory)."""

_UNITS: Mapping[str, str] = {
    "kcal": "kcal",
    "kj": "kJ",
    "g": "g",
    "mg": "mg",
    "ug": "ug",
    "mcg": "ug",
    "iu": "IU",
}
_GRAMS = {"g": Decimal(1), "mg": Decimal("0.001"), "ug": Decimal("0.000001")}


@dataclass(frozen=True, slots=True)
class FdcFood:
    """One food of FoodData Central, and its label where it is branded.

    `basis` is what the service's figures refer to. Where that is 100 mL the food has no values per
    100 g (the density is unknown), and the label is what can be used.
    """

    food: Food
    data_type: str
    basis: Literal["100 g", "100 mL"] = "100 g"
    label: DeclaredLabel | None = None


@dataclass(frozen=True, slots=True)
class SearchPage:
    """One page of a search: what was found, and how much there is in all."""

    total_hits: int
    page: int
    pages: int
    foods: tuple[FdcFood, ...]


def read_search(answer: object, source: str | None = None) -> SearchPage:
    """The foods of a search answer, read by `read_food`; SourceError where it has another form."""
    top = mapping(answer, "search answer", "the answer")
    foods = sequence(top.get("foods", []), "search answer", "foods")
    return SearchPage(
        total_hits=whole(top.get("totalHits", len(foods)), "search answer", "totalHits"),
        page=whole(top.get("currentPage", 1), "search answer", "currentPage"),
        pages=whole(top.get("totalPages", 1), "search answer", "totalPages"),
        foods=tuple(read_food(hit, source) for hit in foods),
    )


def read_foods(answer: object, source: str | None = None) -> list[FdcFood]:
    """The foods of a list answer (`/v1/foods`), read by `read_food`; SourceError for another form."""
    return [read_food(item, source) for item in sequence(answer, "list answer", "the answer")]


def read_food(answer: object, source: str | None = None) -> FdcFood:
    """One food, in any of the three shapes, per 100 g edible portion.

    `source` is the food's source name; by default that of its data type. Raises SourceError naming the
    food's id where a key has another type than the service has always used.
    """
    item = mapping(answer, "answer", "a food")
    fdc_id = item.get("fdcId")
    if isinstance(fdc_id, bool) or not isinstance(fdc_id, int) or fdc_id <= 0:
        raise SourceError(f"FoodData Central: a food without a usable fdcId ({shown(fdc_id)})")
    where = f"fdc:{fdc_id}"
    data_type = text_at(item, "dataType", where) or text_at(item, "datatype", where)
    description = " ".join(text_at(item, "description", where).split())
    if not description:
        raise SourceError(f"FoodData Central {where}: no description")
    by_number, codes = values_by_number(item, data_type, where)
    basis: Literal["100 g", "100 mL"] = "100 g"
    if data_type == "Branded" and serving_unit_of(item, where) == "mL":
        basis = "100 mL"
    food = Food(
        key=where,
        source=source or SOURCES.get(data_type, "live"),
        description=description,
        group=_group(item, where),
        ndb_number=_ndb_number(item, where),
        fdc_id=fdc_id,
        nutrients=by_key(by_number) if basis == "100 g" else {},
        household_weights=household_weights(item, where),
        factors=_factors(item, where),
        release=_release(item, data_type, where),
    )
    less_than = [key for key in ("sugar", "fiber") if codes.get(NUTRIENTS[key].number) == "LCSL"]
    label = (
        label_of(item, description, by_key(by_number), less_than, where) if data_type == "Branded" else None
    )
    return FdcFood(food, data_type, basis, label)


def by_key(by_number: Mapping[str, NutrientValue]) -> dict[str, NutrientValue]:
    """Values by the engine's nutrient keys, from values by USDA number [units of NUTRIENTS].

    Energy is 208, else 958, else 957, else computed (`energy_value`); vitamin D 328, else 324 in IU.
    """
    found: dict[str, NutrientValue] = {}
    for key, nutrient in NUTRIENTS.items():
        if key == "energy":
            value = energy_value(by_number)
        else:
            numbers = _ALTERNATIVES.get(key, (nutrient.number,))
            value = next((by_number[number] for number in numbers if number in by_number), None)
        if value is not None:
            found[key] = value
    if "vitamin_d" not in found and "324" in by_number:
        units = by_number["324"]
        found["vitamin_d"] = NutrientValue(
            units.amount_per_100g * MICROGRAMS_PER_IU_VITAMIN_D, units.standing, None, units.data_points
        )
    return found


def standing_of_value(data_type: str, derivation_code: str) -> Standing:
    """How FoodData Central came by a value: derivation codes that start with LC are label claims.

    Values of survey foods carry no code: they are computed from recipes (FNDDS documentation).
    """
    if derivation_code.startswith("LC") or (not derivation_code and data_type == "Branded"):
        return "declared"
    if not derivation_code and data_type == "Survey (FNDDS)":
        return "calculated"
    return standing_of("", derivation_code)


# --- nutrients ------------------------------------------------------------------------------------


_NUMBER_UNITS: Mapping[str, str] = {
    **{nutrient.number: nutrient.unit for nutrient in NUTRIENTS.values()},
    "958": "kcal", "957": "kcal", "269.3": "g", "293": "g", "324": "IU", "539": "g",
}  # fmt: skip


def values_by_number(
    item: Mapping[str, Any], data_type: str, where: str
) -> tuple[dict[str, NutrientValue], dict[str, str]]:
    """Known values by USDA number, in the engine's units, and their derivation codes."""
    values: dict[str, NutrientValue] = {}
    codes: dict[str, str] = {}
    for row in rows_at(item, "foodNutrients", where):
        entry = mapping(row, where, "foodNutrients")
        number, unit, amount = _nutrient_row(entry, where)
        expected = _NUMBER_UNITS.get(number)
        if expected is None or amount is None or number in values:
            continue  # a nutrient that is not used, a header row, or a second value
        if amount < 0:
            continue  # no food holds less than nothing (a value "by difference"): not known
        converted = in_unit(amount, unit or expected, expected)
        if converted is None:
            if expected == "kcal":
                continue  # kilojoules under the number of another row: never energy in kcal
            raise SourceError(f"FoodData Central {where}: nutrient {number} in {unit!r}, {expected} expected")
        code = _derivation_code(entry, where)
        points = entry.get("dataPoints")
        codes[number] = code
        values[number] = NutrientValue(
            converted,
            standing_of_value(data_type, code),
            None,
            points if isinstance(points, int) and not isinstance(points, bool) and points > 0 else None,
        )
    return values, codes


def _nutrient_row(entry: Mapping[str, Any], where: str) -> tuple[str, str, Decimal | None]:
    """Number, unit and amount of a nutrient row of any shape; an amount that is missing is None."""
    nested = entry.get("nutrient")
    if nested is not None:
        nutrient = mapping(nested, where, "nutrient")
        usda_number, number_id, unit = (
            nutrient.get("number"),
            nutrient.get("id"),
            text_at(nutrient, "unitName", where),
        )
        amount = entry.get("amount")
    else:
        usda_number = entry.get("number", entry.get("nutrientNumber"))
        number_id, unit = entry.get("nutrientId"), text_at(entry, "unitName", where)
        amount = entry.get("amount", entry.get("value"))
    if usda_number is None and isinstance(number_id, int):
        usda_number = NUMBER_OF_ID.get(number_id, "")
    if usda_number is not None and (
        isinstance(usda_number, bool) or not isinstance(usda_number, str | int | Decimal)
    ):
        raise SourceError(f"FoodData Central {where}: nutrient number {shown(usda_number)}, a text expected")
    text = "" if usda_number is None else str(usda_number)
    return text, unit, None if amount is None else number(amount, where, f"amount of nutrient {text}")


def in_unit(amount: Decimal, unit: str, expected: str) -> Decimal | None:
    """The amount in the expected unit, or None where the units don't go together."""
    known = _UNITS.get(unit.lower().replace("µ", "u").replace("μ", "u"))
    if known == expected:
        return amount
    if known in _GRAMS and expected in _GRAMS:
        return amount * _GRAMS[known] / _GRAMS[expected]
    return None


def _derivation_code(entry: Mapping[str, Any], where: str) -> str:
    nested = entry.get("foodNutrientDerivation")
    if nested is not None:
        return text_at(mapping(nested, where, "foodNutrientDerivation"), "code", where)
    return text_at(entry, "derivationCode", where)


def _factors(item: Mapping[str, Any], where: str) -> AtwaterFactors:
    """Energy factors where the answer carries them as `.CalorieConversionFactor` (keys from memory)."""
    for row in rows_at(item, "nutrientConversionFactors", where):
        entry = mapping(row, where, "nutrientConversionFactors")
        if text_at(entry, "type", where).endswith("CalorieConversionFactor"):
            amounts = [entry.get(key) for key in ("proteinValue", "fatValue", "carbohydrateValue")]
            return AtwaterFactors(
                *(None if amount is None else number(amount, where, "factor") for amount in amounts)
            )
    return AtwaterFactors()


def _group(item: Mapping[str, Any], where: str) -> str:
    """The food's group, which every data type keeps under another name."""
    category = item.get("foodCategory")
    if isinstance(category, Mapping):
        return text_at(category, "description", where)
    survey = item.get("wweiaFoodCategory")
    if isinstance(survey, Mapping):
        return text_at(survey, "wweiaFoodCategoryDescription", where)
    return text_at(item, "brandedFoodCategory", where) or text_at(item, "foodCategory", where)


def _ndb_number(item: Mapping[str, Any], where: str) -> str | None:
    """The NDB number in five digits; real answers give it as text or as a number."""
    value = item.get("ndbNumber")
    if value is None or value == "":
        return None
    text = str(value)
    if isinstance(value, bool) or not isinstance(value, int | str) or not re.fullmatch(r"[0-9]{1,6}", text):
        raise SourceError(f"FoodData Central {where}: ndbNumber {shown(value)}, digits expected")
    return text.zfill(5)


def _release(item: Mapping[str, Any], data_type: str, where: str) -> str:
    published = text_at(item, "publicationDate", where) or text_at(item, "publishedDate", where)
    name = f"FoodData Central {data_type}".strip()
    return f"{name}, published {published}" if published else name
