"""Small downloads in the form of FoodData Central's, made of embedded rows and invented labels."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from nutricost.domain.foods.laws import broken_laws
from nutricost.domain.foods.records import NUTRIENTS, AtwaterFactors, Food
from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.fdc_reading import NUMBER_OF_ID

ID_OF_NUMBER = {number: number_id for number_id, number in NUMBER_OF_ID.items()}
KINDS = {"sr28": "sr_legacy_food", "foundation": "foundation_food", "survey": "survey_fndds_food"}
TYPES = {"sr28": "SR Legacy", "foundation": "Foundation", "survey": "Survey (FNDDS)"}
GTIN = "00012345678905"

LABELS: tuple[dict[str, Any], ...] = (
    {
        "fdc_id": 9000001, "description": "INVENTED LENTIL STEW, SPICY", "gtin": "012345678905",
        "size": "250", "unit": "GRM", "household": "1 cup", "package": "15 oz/425 g",
        "ingredients": 'WATER, LENTILS,\n"SEA" SALT.',
        "group": "Canned soup", "amounts": {"208": "64", "204": "1", "606": "0", "205": "10.8", "291": "3.2",
                                             "269": "0.4", "203": "3.6", "307": "192"},
    },
    {
        "fdc_id": 9000002, "description": "INVENTED LENTIL STEW, SPICY", "gtin": GTIN, "size": "245",
        "unit": "g", "household": "1 cup", "package": "", "ingredients": "", "group": "Canned soup",
        "amounts": {"208": "65.3", "204": "1.02", "205": "11.02", "203": "3.67", "307": "196"},
    },
    {
        "fdc_id": 9000003, "description": "INVENTED TOMATO DRINK", "gtin": "0012345678912", "size": "240",
        "unit": "MLT", "household": "8 fl oz", "package": "32 fl oz/946 mL", "ingredients": "TOMATOES.",
        "group": "Juice", "amounts": {"208": "21", "204": "0", "205": "4.6", "203": "0.8", "307": "263"},
    },
    {
        "fdc_id": 9000004, "description": "INVENTED IMPOSSIBLE BAR", "gtin": "", "size": "50", "unit": "g",
        "household": "", "package": "", "ingredients": "", "group": "",
        "amounts": {"208": "400", "204": "20", "205": "40", "269": "60", "203": "10"},
    },
)  # fmt: skip
"""The last one has more sugar than carbohydrate."""


def embedded_foods(each: int = 25) -> list[Food]:
    """Some embedded foods of every source that have an FDC id and keep all laws without own factors."""
    table = EmbeddedTable()
    found: list[Food] = []
    for source in KINDS:
        plain = (replace(food, factors=AtwaterFactors()) for food in table.foods([source]))
        with_id = [food for food in plain if food.fdc_id is not None and not broken_laws(food)]
        found += with_id[:: len(with_id) // each][:each]
    return found


def csv_files(foods: Sequence[Food], labels: Iterable[dict[str, Any]] = LABELS) -> dict[str, bytes]:
    """The files of a CSV download."""
    labels = list(labels)
    rows: dict[str, list[list[object]]] = {
        "food.csv": [["fdc_id", "data_type", "description", "food_category_id", "publication_date"]],
        "branded_food.csv": [["fdc_id", "brand_owner", "gtin_upc", "ingredients", "serving_size",
                              "serving_size_unit", "household_serving_fulltext", "branded_food_category",
                              "package_weight"]],
        "food_nutrient.csv": [["id", "fdc_id", "nutrient_id", "amount", "data_points",
                               "derivation_id", "footnote"]],
        "nutrient.csv": [["id", "name", "unit_name", "nutrient_nbr", "rank"]],
        "food_nutrient_derivation.csv": [["id", "code", "description"], [1, "A", ""], [70, "LCCS", ""],
                                         [71, "LCSL", ""]],
        "food_category.csv": [["id", "code", "description"]],
        "measure_unit.csv": [["id", "name"], [9999, "undetermined"], [1000, "cup"]],
        "food_portion.csv": [["id", "fdc_id", "seq_num", "amount", "measure_unit_id", "portion_description",
                              "modifier", "gram_weight"]],
        "sr_legacy_food.csv": [["fdc_id", "NDB_number"]],
    }  # fmt: skip
    units = {n.number: n.unit.upper() for n in NUTRIENTS.values()} | {
        "268": "kJ",
        "957": "KCAL",
        "958": "KCAL",
        "324": "IU",
    }
    for number, number_id in ID_OF_NUMBER.items():
        rows["nutrient.csv"].append([number_id, f"nutrient {number}", units.get(number, "G"), number, ""])
    groups = sorted({food.group for food in foods})
    rows["food_category.csv"] += [[place, "", group] for place, group in enumerate(groups, 1)]
    count = 0

    def nutrient(fdc_id: object, number: str, amount: object, derivation: object) -> None:
        nonlocal count
        count += 1
        rows["food_nutrient.csv"].append([count, fdc_id, ID_OF_NUMBER[number], amount, "", derivation, ""])

    for food in foods:
        group = groups.index(food.group) + 1
        rows["food.csv"].append([food.fdc_id, KINDS[food.source], food.description, group, "2019-04-01"])
        if food.ndb_number:
            rows["sr_legacy_food.csv"].append([food.fdc_id, str(int(food.ndb_number))])
        for key, value in food.nutrients.items():
            if key in ("energy",):
                nutrient(food.fdc_id, "268", round(value.amount_per_100g * 4), 1)
            nutrient(food.fdc_id, NUTRIENTS[key].number, value.amount_per_100g, 1)
        for weight in food.household_weights:
            described = f"{weight.amount} {weight.measure}" if food.source == "survey" else ""
            modifier = "90000" if described else weight.measure
            amount = "" if described else weight.amount
            rows["food_portion.csv"].append(
                [1, food.fdc_id, 1, amount, 9999, described, modifier, weight.grams]
            )
    rows["food.csv"].append([8000001, "sub_sample_food", "not a food to cook with", "", ""])
    for label in labels:
        rows["food.csv"].append([label["fdc_id"], "branded_food", label["description"], "", "2024-01-01"])
        rows["branded_food.csv"].append([label["fdc_id"], "INVENTED", label["gtin"], label["ingredients"],
                                         label["size"], label["unit"], label["household"], label["group"],
                                         label["package"]])  # fmt: skip
        for number, amount in label["amounts"].items():
            nutrient(label["fdc_id"], number, amount, 71 if number == "269" else 70)
    files: dict[str, bytes] = {}
    for name, lines in rows.items():
        text = io.StringIO()
        csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\n").writerows(lines)
        files[name] = text.getvalue().encode()
    return files


def json_file(foods: Sequence[Food], labels: Iterable[dict[str, Any]] = LABELS) -> bytes:
    """The same foods as a JSON download."""

    def row(number: str, amount: object, code: str) -> dict[str, Any]:
        unit = next((n.unit for n in NUTRIENTS.values() if n.number == number), "g")
        nutrient = {"id": ID_OF_NUMBER[number], "number": number, "unitName": {"ug": "µg"}.get(unit, unit)}
        return {"nutrient": nutrient, "amount": float(str(amount)), "foodNutrientDerivation": {"code": code}}

    items: list[dict[str, Any]] = [
        {
            "fdcId": food.fdc_id,
            "dataType": TYPES[food.source],
            "description": food.description,
            "foodCategory": {"description": food.group},
            **({"ndbNumber": food.ndb_number} if food.ndb_number else {}),
            "foodNutrients": [
                row(NUTRIENTS[key].number, value.amount_per_100g, "A")
                for key, value in food.nutrients.items()
            ],
            "foodPortions": [
                {
                    "amount": float(weight.amount),
                    "modifier": weight.measure,
                    "gramWeight": float(weight.grams),
                }
                for weight in food.household_weights
            ],
        }
        for food in foods
    ]
    items += [
        {
            "fdcId": label["fdc_id"],
            "dataType": "Branded",
            "description": label["description"],
            "gtinUpc": label["gtin"],
            "ingredients": label["ingredients"],
            "servingSize": float(label["size"]),
            "servingSizeUnit": label["unit"],
            "householdServingFullText": label["household"],
            "brandedFoodCategory": label["group"],
            "packageWeight": label["package"],
            "foodNutrients": [
                row(number, amount, "LCSL" if number == "269" else "LCCS")
                for number, amount in label["amounts"].items()
            ],
        }
        for label in labels
    ]
    return json.dumps({"Foods": items}, ensure_ascii=False, indent=1).encode()


def zipped(path: Path, files: dict[str, bytes], folder: str = "FoodData_Central_csv/") -> Path:
    """A zip archive of the files, in a folder as the service packs them."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(folder + name, data)
    return path
