"""FoodData Central's JSON downloads, streamed food by food into a table."""

from __future__ import annotations

import codecs
import json
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from typing import Any

import numpy as np
import pyarrow as pa

from nutricost.errors import SourceError
from nutricost.sources.bulk_archive import CountingFile, Member
from nutricost.sources.bulk_files import BRANDED_SCHEMA, DATA_TYPES, FoodBlock, TableWriter
from nutricost.sources.bulk_values import CODES, LESS_THAN, STANDINGS, NutrientRows
from nutricost.sources.embedded import packed_weights
from nutricost.sources.fdc_reading import FdcFood, read_food, values_by_number

PIECE = 1 << 20
MOST_FOOD = 32 << 20
"""Characters of one food's JSON; the largest real ones have about 1 MB (common practice)."""

BLOCK = 8192


def import_json(
    members: Mapping[str, Member], writer: TableWriter, tell: Callable[[str, int, int], None]
) -> None:
    """Reads all JSON files into the writer; a food that can't be read is a SourceError that names it."""
    names = [name for name in members if name.lower().endswith(".json")]
    if not names:
        raise SourceError("no food.csv and no JSON file in it (accepted: a download of FoodData Central)")
    seen: set[int] = set()
    labels = 0
    block: list[tuple[FdcFood, dict[str, Any]]] = []
    for name in names:
        for item in json_items(members[name], tell):
            found = read_food(item)
            if found.food.fdc_id in seen or found.data_type not in DATA_TYPES or found.food.fdc_id is None:
                continue
            seen.add(found.food.fdc_id)
            block.append((found, item))
            tell(name, 1, 0)
            if len(block) == BLOCK:
                labels = _add(writer, block, labels)
                block = []
    if block:
        _add(writer, block, labels)


def json_items(member: Member, tell: Callable[[str, int, int], None]) -> Iterator[dict[str, Any]]:
    """The foods of one file: the objects of its outermost list, one after the other.

    The list may be the whole file or the value of a key, as in {"BrandedFoods": [...]}.
    """
    stream = CountingFile(member, lambda size: tell(member.name, 0, size))
    decoder = json.JSONDecoder(parse_float=Decimal)
    text = codecs.getincrementaldecoder("utf-8-sig")()
    buffer = ""
    ended = False

    def more() -> None:
        nonlocal buffer, ended
        data = stream.read(PIECE)
        ended = not data
        try:
            buffer += text.decode(data, final=ended)
        except UnicodeDecodeError:
            raise SourceError(f"{member.name}: the text is not UTF-8") from None

    try:
        more()
        start = buffer.find("[")
        if start < 0 or buffer[:start].lstrip()[:1] not in ("", "{") or start > 1000:
            raise SourceError(f"{member.name}: no list of foods in it")
        buffer = buffer[start + 1 :]
        while True:
            buffer = buffer.lstrip(" \t\r\n,")
            if not buffer and not ended:
                more()
                continue
            if buffer[:1] == "]":
                return
            try:
                item, end = decoder.raw_decode(buffer)
            except (json.JSONDecodeError, RecursionError):
                if ended or len(buffer) > MOST_FOOD:
                    raise SourceError(f"{member.name}: cut off, or no JSON, at {buffer[:40]!r}") from None
                more()
                continue
            if not isinstance(item, dict):
                raise SourceError(f"{member.name}: {str(item)[:40]!r} in the list of foods is no food")
            yield item
            buffer = buffer[end:]
    finally:
        stream.close()


def _add(writer: TableWriter, block: list[tuple[FdcFood, dict[str, Any]]], labels: int) -> int:
    """Adds the foods of a block and their labels; returns the number of labels so far."""
    rows = NutrientRows()
    branded: list[int] = []
    printed: list[tuple[object, ...]] = []
    for place, (found, item) in enumerate(block):
        values, codes = values_by_number(item, found.data_type, found.food.key)
        known = [number for number in values if number in CODES]
        rows.food.append(np.full(len(known), place, dtype=np.int32))
        rows.code.append(np.array([CODES[number] for number in known], dtype=np.uint8))
        rows.amount.append(np.array([float(values[number].amount_per_100g) for number in known]))
        standings = [STANDINGS.index(values[n].standing) | (codes[n] == "LCSL") * LESS_THAN for n in known]
        rows.standing.append(np.array(standings, dtype=np.uint8))
        label = found.label
        branded.append(labels + len(printed) if label is not None else -1)
        if label is not None:
            serving = float(label.serving_amount)
            texts = (label.household_text, label.package_text, label.ingredients_text, found.food.group)
            printed.append((label.gtin, serving, label.serving_unit, *texts))
    if printed:
        columns = [
            pa.array(column, field.type)
            for column, field in zip(zip(*printed, strict=True), BRANDED_SCHEMA, strict=True)
        ]
        writer.add_labels(pa.record_batch(columns, schema=BRANDED_SCHEMA))
    foods = [found for found, _ in block]
    writer.add_foods(
        FoodBlock(
            fdc_ids=pa.array([found.food.fdc_id for found in foods], pa.int32()),
            data_types=np.array([DATA_TYPES.index(found.data_type) for found in foods], dtype=np.uint8),
            descriptions=pa.array([found.food.description for found in foods], pa.string()),
            groups=pa.array([found.food.group for found in foods], pa.string()),
            ndbs=pa.array([found.food.ndb_number for found in foods], pa.string()),
            weights=pa.array([packed_weights(found.food.household_weights) for found in foods], pa.string()),
            per_100_ml=np.array([found.basis == "100 mL" for found in foods]),
            branded=np.array(branded, dtype=np.int32),
            values=rows.sorted(len(block)).block(0, len(block)),
            factors=_factors(foods),
        )
    )
    return labels + len(printed)


def _factors(foods: list[FdcFood]) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Energy factors [kcal/g]: rows protein, fat, carbohydrate; NaN for none."""
    own = [(f.food.factors.protein, f.food.factors.fat, f.food.factors.carbohydrate) for f in foods]
    return np.array([[np.nan if value is None else float(value) for value in row] for row in own]).T
