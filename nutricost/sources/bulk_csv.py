"""FoodData Central's CSV download, streamed into a table: foods, labels, portions, nutrients."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from nutricost.domain.foods.records import HouseholdWeight
from nutricost.errors import SourceError
from nutricost.sources.bulk_archive import Member
from nutricost.sources.bulk_files import BLOCK, BRANDED_SCHEMA, DATA_TYPES, FoodBlock, TableWriter
from nutricost.sources.bulk_rows import TEXT, Tell, csv_batches, small_file, small_mapping
from nutricost.sources.bulk_values import CODE_UNITS, CODES, LESS_THAN, STANDINGS, NutrientRows
from nutricost.sources.embedded import packed_weights
from nutricost.sources.fdc_labels import described_portion, portion_weight, serving_unit
from nutricost.sources.fdc_reading import in_unit, standing_of_value

KINDS: Mapping[str, str] = {
    "branded_food": "Branded",
    "sr_legacy_food": "SR Legacy",
    "foundation_food": "Foundation",
    "survey_fndds_food": "Survey (FNDDS)",
}
"""`data_type` in food.csv -> the data type's name; other rows are samples, not foods to cook with."""

READ = ("food.csv", "branded_food.csv", "food_portion.csv", "food_nutrient.csv")
"""The large files, in the order in which they are read."""

MOST_ID = 100_000_000
"""Largest FDC id that is believed; the service is at about 3 million."""


def looks_like_csv(members: Mapping[str, Member]) -> bool:
    """Whether these are the files of a CSV download."""
    return "food.csv" in members


def import_csv(members: Mapping[str, Member], writer: TableWriter, tell: Tell) -> None:
    """Reads all files into the writer. Raises SourceError naming file and fault."""
    for name in ("food.csv", "food_nutrient.csv", "nutrient.csv"):
        if name not in members:
            raise SourceError(
                f"{name} is missing (accepted: FoodData Central's CSV download with all its tables)"
            )
    foods = _foods(members, tell)
    number = len(foods)
    ids = foods["fdc_id"].to_numpy()
    if number and int(ids.max()) > MOST_ID:
        raise SourceError(f"food.csv: fdc_id {ids.max()} is larger than {MOST_ID}")
    row_of = np.full(int(ids.max(initial=0)) + 1, -1, dtype=np.int32)
    row_of[ids] = np.arange(number, dtype=np.int32)
    kinds = foods["kind"].to_numpy()
    labels = _labels(members, row_of, number, writer, tell)
    branded, per_100_ml, label_groups = labels
    weights = _weights(members, row_of, tell)
    ndbs = _ndb_numbers(members, row_of, tell)
    groups = _groups(members, foods, row_of, tell)
    factors = _factors(members, row_of, tell)
    values = _nutrients(members, row_of, kinds, tell).sorted(number)
    for start in range(0, number, BLOCK):
        end = min(start + BLOCK, number)
        part = foods.slice(start, end - start)
        rows = range(start, end)
        own = np.array([factors.get(row, (np.nan,) * 3) for row in rows]).T if factors else None
        group = pc.coalesce(groups.slice(start, end - start), label_groups.slice(start, end - start))
        writer.add_foods(
            FoodBlock(
                fdc_ids=part["fdc_id"].combine_chunks(),
                data_types=kinds[start:end],
                descriptions=part["description"].combine_chunks(),
                groups=_one(pc.fill_null(group, "")),
                ndbs=pa.array([ndbs.get(row) for row in rows], TEXT) if ndbs else pa.nulls(end - start, TEXT),
                weights=pa.array([packed_weights(weights.get(row, ())) for row in rows], TEXT)
                if weights
                else pa.array([""] * (end - start), TEXT),
                per_100_ml=per_100_ml[start:end],
                branded=branded[start:end],
                values=values.block(start, end),
                factors=own,
            )
        )


def _one(column: pa.Array | pa.ChunkedArray) -> pa.Array:
    return column.combine_chunks() if isinstance(column, pa.ChunkedArray) else column


def _foods(members: Mapping[str, Member], tell: Tell) -> pa.Table:
    """fdc_id, kind, description and category of every food, the first of rows with one id."""
    columns = {"fdc_id": pa.int64(), "data_type": TEXT, "description": TEXT, "food_category_id": TEXT}
    parts: list[pa.RecordBatch] = []
    names = pa.array(KINDS)
    codes = pa.array([DATA_TYPES.index(kind) for kind in KINDS.values()], pa.uint8())
    for batch in csv_batches(members, "food.csv", columns, tell, ("food_category_id",), newlines=True):
        kind = codes.take(pc.index_in(batch["data_type"], value_set=names))
        named = pc.not_equal(batch["description"], "")
        good = pc.and_(pc.and_(kind.is_valid(), named), pc.greater(batch["fdc_id"], 0))
        text = pc.utf8_trim_whitespace(batch["description"])
        columns_kept = [batch["fdc_id"], kind, text, batch["food_category_id"]]
        made = pa.record_batch(columns_kept, names=["fdc_id", "kind", "description", "category"])
        parts.append(made.filter(good))
    schema = pa.schema({"fdc_id": pa.int64(), "kind": pa.uint8(), "description": TEXT, "category": TEXT})
    table = pa.Table.from_batches(parts, schema=schema)
    _, firsts = np.unique(table["fdc_id"].to_numpy(), return_index=True)
    return table if len(firsts) == len(table) else table.take(pa.array(np.sort(firsts)))


def _labels(
    members: Mapping[str, Member], row_of: npt.NDArray[np.int32], foods: int, writer: TableWriter, tell: Tell
) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.bool_], pa.ChunkedArray]:
    """Adds the labels; for each food its label, whether its values are per 100 mL, and its group."""
    columns = {
        "fdc_id": pa.int64(),
        "gtin_upc": TEXT,
        "ingredients": TEXT,
        "serving_size": pa.float64(),
        "serving_size_unit": TEXT,
        "household_serving_fulltext": TEXT,
        "branded_food_category": TEXT,
        "package_weight": TEXT,
    }
    branded = np.full(foods, -1, dtype=np.int32)
    per_100_ml = np.zeros(foods, dtype=bool)
    group_of = np.full(foods, -1, dtype=np.int32)
    groups: dict[str, int] = {}
    count = 0
    for batch in csv_batches(members, "branded_food.csv", columns, tell, tuple(columns)[1:], newlines=True):
        rows = _rows(batch["fdc_id"], row_of)
        known = np.flatnonzero(rows >= 0)
        batch = batch.take(pa.array(known))
        rows = rows[known]
        units = batch["serving_size_unit"].dictionary_encode()
        read = [serving_unit(text) or "" for text in units.dictionary.to_pylist()]
        unit = pa.array(read, TEXT).take(units.indices)
        category = batch["branded_food_category"].dictionary_encode()
        numbers = [groups.setdefault(text, len(groups)) for text in category.dictionary.to_pylist()]
        branded[rows] = np.arange(count, count + len(rows), dtype=np.int32)
        count += len(rows)
        per_100_ml[rows] = pc.equal(unit, "mL").to_numpy(zero_copy_only=False)
        group_of[rows] = np.array(numbers, dtype=np.int32)[category.indices.to_numpy(zero_copy_only=False)]
        writer.add_labels(
            pa.record_batch(
                [
                    batch["gtin_upc"],
                    batch["serving_size"],
                    unit,
                    batch["household_serving_fulltext"],
                    batch["package_weight"],
                    batch["ingredients"],
                    batch["branded_food_category"],
                ],
                schema=BRANDED_SCHEMA,
            )
        )
    indices = pa.array(group_of, mask=group_of < 0)
    return branded, per_100_ml, pa.chunked_array([pa.array(list(groups), TEXT).take(indices)], TEXT)


def _rows(ids: pa.Array, row_of: npt.NDArray[np.int32]) -> npt.NDArray[np.int32]:
    """Numbers of the foods with these ids, -1 where there is none."""
    numbers = pc.fill_null(ids, -1).to_numpy(zero_copy_only=False)
    inside = (numbers >= 0) & (numbers < len(row_of))
    rows: npt.NDArray[np.int32] = np.where(inside, row_of[np.where(inside, numbers, 0)], -1).astype(np.int32)
    return rows


def _weights(
    members: Mapping[str, Member], row_of: npt.NDArray[np.int32], tell: Tell
) -> dict[int, list[HouseholdWeight]]:
    """Household weights by food."""
    units = small_mapping(members, "measure_unit.csv", ("id", "name"), tell)
    names = ("fdc_id", "amount", "measure_unit_id", "portion_description", "modifier", "gram_weight")
    found: dict[int, list[HouseholdWeight]] = defaultdict(list)
    columns: dict[str, pa.DataType] = {name: pa.int64() if name == "fdc_id" else TEXT for name in names}
    for batch in csv_batches(members, "food_portion.csv", columns, tell, names[1:], newlines=True):
        rows = _rows(batch["fdc_id"], row_of)
        texts = (pc.fill_null(batch[name], "").to_pylist() for name in names[1:])
        for row, amount, unit, described, modifier, grams in zip(rows.tolist(), *texts, strict=True):
            if row < 0:
                continue
            name = units.get(unit, "")
            name = "" if name == "undetermined" else name
            if described:
                weight = described_portion(described, _decimal(grams))
            else:
                weight = portion_weight(_decimal(amount), name, modifier, _decimal(grams))
            if weight is not None:
                found[row].append(weight)
    return found


def _decimal(text: str) -> Decimal | None:
    """A number as written, or None for none; what is no number counts as none."""
    try:
        number = Decimal(text)
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


def _ndb_numbers(members: Mapping[str, Member], row_of: npt.NDArray[np.int32], tell: Tell) -> dict[int, str]:
    """NDB numbers in five digits, by food."""
    found: dict[int, str] = {}
    for name in ("sr_legacy_food.csv", "foundation_food.csv"):
        for fdc_id, ndb in small_file(members, name, ("fdc_id", "NDB_number"), tell):
            row = _row(fdc_id, row_of)
            if row >= 0 and ndb.isdecimal():
                found[row] = ndb.zfill(5)
    return found


def _row(text: str, row_of: npt.NDArray[np.int32]) -> int:
    number = int(text) if text.isdecimal() and len(text) < 10 else -1
    return int(row_of[number]) if 0 <= number < len(row_of) else -1


def _groups(
    members: Mapping[str, Member], foods: pa.Table, row_of: npt.NDArray[np.int32], tell: Tell
) -> pa.ChunkedArray:
    """Group of each food that has one in food_category.csv or, of a survey food, in its own files."""
    named = small_mapping(members, "food_category.csv", ("id", "description"), tell)
    encoded = foods["category"].combine_chunks().dictionary_encode()
    texts = pa.array(
        [named.get(number) if number else None for number in encoded.dictionary.to_pylist()], TEXT
    )
    groups = texts.take(encoded.indices)
    columns = ("wweia_food_category", "wweia_food_category_description")
    survey = small_mapping(members, "wweia_food_category.csv", columns, tell)
    for column in ("wweia_category_code", "wweia_category_number"):
        own = {
            _row(fdc_id, row_of): survey[code]
            for fdc_id, code in small_file(members, "survey_fndds_food.csv", ("fdc_id", column), tell)
            if code in survey
        }
        own.pop(-1, None)
        if own:
            mask = np.zeros(len(foods), dtype=bool)
            mask[sorted(own)] = True
            groups = pc.replace_with_mask(
                groups, pa.array(mask), pa.array([own[row] for row in sorted(own)], TEXT)
            )
            break
    return pa.chunked_array([groups], TEXT)


def _factors(
    members: Mapping[str, Member], row_of: npt.NDArray[np.int32], tell: Tell
) -> dict[int, tuple[float, float, float]]:
    """Energy factors [kcal/g] of protein, fat and carbohydrate by food, NaN for one not given."""
    key = "food_nutrient_conversion_factor_id"
    names = (key, "protein_value", "fat_value", "carbohydrate_value")
    values = {
        row[0]: row[1:] for row in small_file(members, "food_calorie_conversion_factor.csv", names, tell)
    }
    found: dict[int, tuple[float, float, float]] = {}
    if values:
        for number, fdc_id in small_file(
            members, "food_nutrient_conversion_factor.csv", ("id", "fdc_id"), tell
        ):
            row = _row(fdc_id, row_of)
            if row >= 0 and number in values:
                protein, fat, carbohydrate = (_decimal(text) for text in values[number])
                found[row] = (_float(protein), _float(fat), _float(carbohydrate))
    return found


def _float(value: Decimal | None) -> float:
    return float("nan") if value is None else float(value)


# --- nutrients ------------------------------------------------------------------------------------


def _columns(
    members: Mapping[str, Member], tell: Tell
) -> tuple[npt.NDArray[np.int16], npt.NDArray[np.float64]]:
    """For each nutrient id its column, -1 for none, and the factor into the engine's unit.

    Some downloads give nutrient numbers in the place of ids (survey tables); ids start at 1001 and numbers
    end below, so both are looked up.
    """
    column = np.full(100_000, -1, dtype=np.int16)
    factor = np.ones(100_000)
    for number_id, unit, number in small_file(
        members, "nutrient.csv", ("id", "unit_name", "nutrient_nbr"), tell
    ):
        number = number.removesuffix(".0")
        if number not in CODES or not number_id.isdecimal() or int(number_id) >= len(column):
            continue
        scale = in_unit(Decimal(1), unit, CODE_UNITS[number])
        if scale is None:
            if CODE_UNITS[number] == "kcal":
                continue
            raise SourceError(f"nutrient.csv: nutrient {number} in {unit!r}, {CODE_UNITS[number]} expected")
        for place in [int(number_id)] + ([int(number)] if number.isdecimal() else []):
            column[place], factor[place] = CODES[number], float(scale)
    if not np.any(column >= 0):
        raise SourceError("nutrient.csv: none of USDA's nutrient numbers is in it")
    return column, factor


def _standing_codes(members: Mapping[str, Member], tell: Tell) -> npt.NDArray[np.uint8]:
    """Standing by data type and derivation id; id 0 stands for none."""
    codes = {
        int(number): code
        for number, code in small_file(members, "food_nutrient_derivation.csv", ("id", "code"), tell)
        if number.isdecimal() and int(number) < 10_000
    }
    table = np.empty((len(DATA_TYPES), 10_000), dtype=np.uint8)
    for kind, data_type in enumerate(DATA_TYPES):
        table[kind] = STANDINGS.index(standing_of_value(data_type, ""))
        for number, code in codes.items():
            table[kind, number] = (
                STANDINGS.index(standing_of_value(data_type, code)) | (code == "LCSL") * LESS_THAN
            )
    return table


def _nutrients(
    members: Mapping[str, Member], row_of: npt.NDArray[np.int32], kinds: npt.NDArray[np.uint8], tell: Tell
) -> NutrientRows:
    """The nutrient rows of known foods and nutrients that have an amount."""
    column, factor = _columns(members, tell)
    standing = _standing_codes(members, tell)
    columns: dict[str, Any] = {
        "fdc_id": pa.int64(),
        "nutrient_id": pa.int32(),
        "amount": pa.float64(),
        "derivation_id": pa.int32(),
    }
    found = NutrientRows()
    for batch in csv_batches(members, "food_nutrient.csv", columns, tell, ("amount", "derivation_id")):
        rows = _rows(batch["fdc_id"], row_of)
        ids = pc.fill_null(batch["nutrient_id"], 0).to_numpy(zero_copy_only=False)
        ids = np.where((ids >= 0) & (ids < len(column)), ids, 0)
        amounts = batch["amount"].to_numpy(zero_copy_only=False)
        derivations = pc.fill_null(batch["derivation_id"], 0).to_numpy(zero_copy_only=False)
        good = (rows >= 0) & (column[ids] >= 0) & np.isfinite(amounts)
        if not good.all():
            rows, ids, amounts, derivations = rows[good], ids[good], amounts[good], derivations[good]
        scale = factor[ids]
        found.food.append(rows)
        found.code.append(column[ids].astype(np.uint8))
        found.amount.append(amounts if np.all(scale == 1) else np.round(amounts * scale, 9))
        derivations = np.where((derivations >= 0) & (derivations < standing.shape[1]), derivations, 0)
        found.standing.append(standing[kinds[rows], derivations])
    return found
