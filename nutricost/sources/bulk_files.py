"""The files of one imported table: how they are written, once, and read by memory mapping.

foods.arrow     a row a food: names, and its nutrients as lists of column, amount and standing
branded.arrow   a row a label: barcode, serving size, package, ingredients
gtins.npy, gtin_foods.npy    barcodes in order, and the food of each
words.arrow, word_rows.npy, word_counts.npy    the word index (bulk_words)
rejected.csv    rows that broke a law, with the reason
meta.json       format, name, origin, counts
"""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
import pyarrow as pa

from nutricost.domain.foods.laws import broken_laws
from nutricost.domain.foods.records import AtwaterFactors, Food, NutrientValue
from nutricost.errors import SourceError
from nutricost.sources.bulk_values import KEYS, LESS_THAN, STANDINGS, Block, Floats
from nutricost.sources.bulk_words import index_words, write_words

FORMAT = 1
FOODS, BRANDED, META, REJECTED = "foods.arrow", "branded.arrow", "meta.json", "rejected.csv"
GTINS, GTIN_FOODS = "gtins.npy", "gtin_foods.npy"
BLOCK = 65536
"""Foods in one batch of a file."""

DATA_TYPES = ("Branded", "SR Legacy", "Foundation", "Survey (FNDDS)")
"""FoodData Central's data types by the code that foods.arrow keeps."""

FOODS_SCHEMA = pa.schema(
    [
        ("fdc_id", pa.int32()),
        ("data_type", pa.uint8()),
        ("description", pa.string()),
        ("food_group", pa.string()),
        ("ndb", pa.string()),
        ("weights", pa.string()),
        ("per_100_ml", pa.bool_()),
        ("branded", pa.int32()),  # row of branded.arrow, -1 for none
        ("codes", pa.list_(pa.uint8())),
        ("amounts", pa.list_(pa.float64())),
        ("standings", pa.list_(pa.uint8())),
    ]
)
BRANDED_SCHEMA = pa.schema(
    [
        ("gtin", pa.string()),
        ("serving", pa.float64()),
        ("unit", pa.string()),
        ("household", pa.string()),
        ("package", pa.string()),
        ("ingredients", pa.string()),
        ("food_group", pa.string()),
    ]
)


@dataclass(frozen=True, slots=True)
class TableFacts:
    """What is known of an imported table. `rejected` counts rows that broke a law, by law."""

    name: str
    origin: str
    foods: int
    labels: int
    rejected: dict[str, int]
    rejected_foods: int
    format: int = FORMAT


@dataclass(frozen=True)
class FoodBlock:
    """Some foods to be written: columns of equal length. `branded` and `factors` may be left out."""

    fdc_ids: pa.Array
    data_types: np.ndarray[Any, np.dtype[np.uint8]]
    descriptions: pa.Array
    groups: pa.Array
    ndbs: pa.Array
    weights: pa.Array
    per_100_ml: np.ndarray[Any, np.dtype[np.bool_]]
    branded: np.ndarray[Any, np.dtype[np.int32]]
    values: Block
    factors: Floats | None = None


class TableWriter:
    """Writes the files of one table into an empty folder; `finish` makes it whole."""

    def __init__(self, folder: Path, name: str, origin: str) -> None:
        self._folder, self._name, self._origin = folder, name, origin
        self._foods = pa.ipc.new_file(str(folder / FOODS), FOODS_SCHEMA)
        self._branded = pa.ipc.new_file(str(folder / BRANDED), BRANDED_SCHEMA)
        self._rejects = (folder / REJECTED).open("w", encoding="utf-8", newline="")
        self._reject = csv.writer(self._rejects)
        self._reject.writerow(("key", "description", "law", "reason", "accepted"))
        self._count = self._labels = self._rejected_foods = 0
        self._laws: dict[str, int] = {}
        self._gtins: list[np.ndarray[Any, np.dtype[np.uint64]]] = []
        self._descriptions: list[pa.Array] = []
        self._label_of_food: list[np.ndarray[Any, np.dtype[np.int32]]] = []

    def __enter__(self) -> TableWriter:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._foods.close()
        self._branded.close()
        self._rejects.close()

    def add_labels(self, labels: pa.RecordBatch) -> None:
        """Adds rows of BRANDED_SCHEMA; their numbers go on from the rows added before."""
        self._branded.write_batch(labels)
        self._labels += len(labels)
        digits = pa.compute.replace_substring_regex(labels["gtin"], "[^0-9]", "")
        fits = pa.compute.less_equal(pa.compute.utf8_length(digits), 14)
        number = pa.compute.if_else(pa.compute.and_(fits, pa.compute.not_equal(digits, "")), digits, "0")
        self._gtins.append(number.cast(pa.uint64()).to_numpy(zero_copy_only=False))

    def add_foods(self, block: FoodBlock) -> None:
        """Adds foods, those apart that break a law."""
        chosen = block.values.chosen()
        kept = np.ones(len(block.data_types), dtype=bool)
        suspects = set(chosen.suspects().tolist())
        if block.factors is not None:
            suspects.update(chosen.off_own_factors(block.factors).tolist())
        for place in sorted(suspects):
            kept[place] = not self._breaks_law(block, chosen, place)
        there = ~np.isnan(chosen.amounts) & kept
        by_food = there.T
        codes = np.broadcast_to(np.arange(len(KEYS), dtype=np.uint8), by_food.shape)[by_food]
        offsets = np.concatenate(([0], np.cumsum(by_food.sum(axis=1)[kept]))).astype(np.int32)
        mask = pa.array(kept)
        columns = [
            block.fdc_ids.filter(mask).cast(pa.int32()),
            pa.array(block.data_types[kept]),
            block.descriptions.filter(mask),
            block.groups.filter(mask),
            block.ndbs.filter(mask),
            block.weights.filter(mask),
            pa.array(block.per_100_ml[kept]),
            pa.array(block.branded[kept]),
            pa.ListArray.from_arrays(offsets, pa.array(codes)),
            pa.ListArray.from_arrays(offsets, pa.array(chosen.amounts.T[by_food])),
            pa.ListArray.from_arrays(offsets, pa.array(chosen.standings.T[by_food])),
        ]
        self._foods.write_batch(pa.record_batch(columns, schema=FOODS_SCHEMA))
        self._count += int(kept.sum())
        self._descriptions.append(columns[2])
        self._label_of_food.append(block.branded[kept])

    def _breaks_law(self, block: FoodBlock, chosen: Block, place: int) -> bool:
        factors = AtwaterFactors()
        if block.factors is not None:
            own = [None if np.isnan(f) else Decimal(repr(float(f))) for f in block.factors[:, place]]
            factors = AtwaterFactors(*own)
        food = Food(
            key=f"fdc:{block.fdc_ids[place].as_py()}",
            source="",
            description=block.descriptions[place].as_py(),
            nutrients=nutrients_of(
                list(range(len(KEYS))), chosen.amounts[:, place].tolist(), chosen.standings[:, place].tolist()
            ),
            factors=factors,
        )
        broken = broken_laws(food)
        if block.per_100_ml[place]:
            broken.pop("proximates", None)  # 100 mL may weigh more than 100 g
        for law, problem in broken.items():
            self._laws[law] = self._laws.get(law, 0) + 1
            self._reject.writerow((food.key, food.description, law, problem.what, problem.accepted))
        self._rejected_foods += bool(broken)
        return bool(broken)

    def finish(self) -> TableFacts:
        """Writes the indexes and the facts; SourceError where no food was added."""
        self.__exit__(None, None, None)
        if not self._count:
            raise SourceError(
                f"{self._origin} has no food of a known kind (accepted: {', '.join(DATA_TYPES)})"
            )
        write_words(index_words(pa.chunked_array(self._descriptions)), self._folder)
        label_of_food = np.concatenate(self._label_of_food)
        labelled = np.flatnonzero(label_of_food >= 0)
        gtins = np.concatenate([*self._gtins, np.empty(0, dtype=np.uint64)])[label_of_food[labelled]]
        real = gtins > 0
        gtins, labelled = gtins[real], labelled[real]
        order = np.argsort(gtins, kind="stable")
        np.save(self._folder / GTINS, gtins[order])
        np.save(self._folder / GTIN_FOODS, labelled[order].astype(np.uint32))
        facts = TableFacts(
            self._name, self._origin, self._count, self._labels, self._laws, self._rejected_foods
        )
        (self._folder / META).write_text(json.dumps(asdict(facts), indent=1) + "\n", encoding="utf-8")
        return facts


def nutrients_of(
    codes: Sequence[int], amounts: Sequence[float], standings: Sequence[int]
) -> dict[str, NutrientValue]:
    """The values of one food by the engine's keys; NaN is none.

    An amount keeps the digits it was printed with: the shortest text of the float is that.
    """
    found: dict[str, NutrientValue] = {}
    for code, amount, standing in zip(codes, amounts, standings, strict=True):
        if amount == amount:
            number = int(amount) if amount.is_integer() else Decimal(repr(amount))
            found[KEYS[code]] = NutrientValue(Decimal(number), STANDINGS[standing & ~LESS_THAN])
    return found


def read_facts(folder: Path) -> TableFacts:
    """What is known of the table in a folder; SourceError where it is no table or of another format."""
    try:
        facts = TableFacts(**json.loads((folder / META).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError) as error:
        raise SourceError(f"{folder} holds no food table ({error})") from None
    if facts.format != FORMAT:
        raise SourceError(f"the table {facts.name!r} is of another format; import it anew")
    return facts
