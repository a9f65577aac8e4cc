"""The same functions over tables: partition by partition, with nothing shared between partitions.

Each function takes a pandas DataFrame and returns a new one with columns added, so it runs as it is on
any engine that hands out partitions; `on_dask` puts one on a Dask collection and `over_parquet` feeds it
from Parquet and writes Parquet. What is not known is missing (NaN), never zero.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from nutricost.domain.documents import LABEL_NUTRIENTS, Printed
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.labels.rounding import printed_interval, servings_interval
from nutricost.errors import InputError
from nutricost.sources.documents.labels import read_count, read_printed
from nutricost.sources.documents.values import Fault

if TYPE_CHECKING:
    import pandas as pd
    from scipy import sparse

    from nutricost.sources.bulk_tables import BulkMatcher
    from nutricost.sources.matching_engine import Matcher

Floats = npt.NDArray[np.float64]
PartitionFunction = Callable[..., "pd.DataFrame"]
Sparse: TypeAlias = "sparse.csr_array | sparse.csr_matrix"

PER_CONTAINER = "calories_per_container"
_MATCH_COLUMNS: Mapping[str, str] = {
    "status": "str",
    "food": "str",
    "description": "str",
    "confidence": "float64",
    "weight_low_g": "float64",
    "weight_g": "float64",
    "weight_high_g": "float64",
}


def match(
    frame: pd.DataFrame, *, column: str = "line", sources: tuple[str, ...] = (), table: str | None = None
) -> pd.DataFrame:
    """The frame with the match of each ingredient line: status, food key, description, confidence, weight.

    `column` holds the lines; `sources` limits the embedded tables; `table` is the folder of an imported
    table to match against instead. A line is matched once, however often it stands in the partition.
    """
    import pandas as pd

    _need(frame, column)
    matcher = _matcher(sources, table)
    codes, distinct = pd.factorize(frame[column])
    rows: list[tuple[object, ...]] = []
    for line in distinct:
        found = matcher.match(str(line))
        food = found.food
        grams = (found.grams.low, found.grams.value, found.grams.high)
        rows.append(
            (
                found.status,
                None if food is None else food.key,
                None if food is None else food.description,
                found.confidence,
                *(np.nan if amount is None else float(amount) for amount in grams),
            )
        )
    rows.append(("none", None, None, 0.0, np.nan, np.nan, np.nan))  # for a line that is missing: code -1
    answers = pd.DataFrame(rows, columns=list(_MATCH_COLUMNS)).astype(dict(_MATCH_COLUMNS))
    added = answers.take(np.where(codes < 0, len(distinct), codes)).set_index(frame.index)
    return pd.concat([frame, added], axis=1)


def label_intervals(frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with `_low` and `_high` for every printed figure: what rounding lets stand behind it.

    Columns are named as in a label or pouch document (calories, fat_g, sodium_mg, calories_per_container,
    servings ...) and hold numbers or texts such as '<1'. The column itself becomes the number. `problem`
    names the first figure of a row that no label prints; it counts as not known. Rules: 21 CFR 101.9(b)(8)
    and (c), as `domain.labels.rounding` has them.
    """
    import pandas as pd

    result = frame.copy()
    problem = pd.Series(pd.NA, index=frame.index, dtype="str")
    for column, nutrient in _printed_columns(frame).items():
        value, low, high, bad = _intervals(frame[column], nutrient)
        result[column], result[f"{column}_low"], result[f"{column}_high"] = value, low, high
        problem = problem.mask(
            pd.Series(bad, index=frame.index) & problem.isna(), f"{column} is no printed figure"
        )
    result["problem"] = problem
    return result


def measures(frame: pd.DataFrame, *, currency: str = "USD") -> pd.DataFrame:
    """The frame with the measures of each pouch or shelf item, each with `_low` and `_high`.

    Needed: price [currency], servings, calories; used where present: calories_per_container, net_weight_g
    [g], protein_g, sodium_mg. The content of a package is taken by the best evidence, as for one label: a
    printed container figure, else per serving x container calories / serving calories, else per serving x
    printed servings. Columns: those of `compare`, such as cost_per_serving and kcal_per_usd.
    """
    for column in ("price", "servings", "calories"):
        _need(frame, column)
    read = label_intervals(frame)
    price = _Interval.of(read, "price").where_positive()
    servings, calories = _Interval.of(read, "servings"), _Interval.of(read, "calories")
    container = _Interval.of(read, PER_CONTAINER)
    count = (container / calories).or_else(servings)
    energy = container.or_else(calories * servings)
    code = currency.lower()
    found = {
        "cost_per_serving": price / servings,
        "cost_per_100_kcal": price.times(100) / energy,
        f"kcal_per_{code}": energy / price,
        "kcal_per_gram": energy / _Interval.of(read, "net_weight_g"),
        f"protein_g_per_{code}": _Interval.of(read, "protein_g") * count / price,
        "sodium_mg_per_1000_kcal": _Interval.of(read, "sodium_mg").times(1000) / calories,
    }
    for name, figure in found.items():
        read[name], read[f"{name}_low"], read[f"{name}_high"] = figure
    return read


def recipe_sums(weights: Sparse, nutrients: Floats) -> Floats:
    """Nutrient totals of many batches: edible weight x value per 100 g / 100, summed over the lines.

    A row a batch, a column a nutrient [kcal, g, mg or ug]. `weights`: a row a batch, a column a food [g];
    `nutrients`: a row a food, a column a nutrient [per 100 g], NaN where unknown. An unknown value adds
    nothing: `recipe_coverage` tells how much of a batch is known. Raises InputError for unequal foods.
    """
    _check_foods(weights, nutrients)
    sums: Floats = weights @ (np.nan_to_num(nutrients) / 100)
    return sums


def recipe_coverage(weights: Sparse, nutrients: Floats) -> Floats:
    """The share of each batch's weight whose value is known [0..1], for the arguments of `recipe_sums`."""
    _check_foods(weights, nutrients)
    total = np.asarray(weights.sum(axis=1)).reshape(-1, 1)
    known: Floats = weights @ (~np.isnan(nutrients)).astype(float)
    return np.divide(known, total, out=np.ones_like(known), where=total != 0)


def _check_foods(weights: Sparse, nutrients: Floats) -> None:
    if weights.shape[1] != nutrients.shape[0]:
        raise InputError(
            f"weights are of {weights.shape[1]} foods, nutrients of {nutrients.shape[0]} (accepted: the same)"
        )


def on_dask(function: PartitionFunction, collection: Any, **options: Any) -> Any:
    """The function on every partition of a Dask DataFrame; lazy, with the columns it will have.

    Runs on whatever cluster the Dask client in force is connected to.
    """
    return collection.map_partitions(function, meta=function(collection._meta, **options), **options)


def over_parquet(
    function: PartitionFunction,
    source: str | Path,
    target: str | Path,
    *,
    rows: int = 100_000,
    **options: Any,
) -> int:
    """The number of rows written, after the function was put on a Parquet file or folder, part by part.

    One process reads, computes and writes `rows` at a time. `target` is a folder, made anew.
    """
    import pyarrow as pa
    from pyarrow import dataset

    target = Path(target)
    target.mkdir(parents=True, exist_ok=True)
    written = 0
    read = dataset.dataset(str(source), format="parquet")
    for place, batch in enumerate(read.to_batches(batch_size=rows)):
        if len(batch):
            answer = pa.Table.from_pandas(function(batch.to_pandas(), **options), preserve_index=False)
            dataset.write_dataset(
                answer,
                str(target),
                format="parquet",
                basename_template=f"part-{place:06d}-{{i}}.parquet",
                existing_data_behavior="overwrite_or_ignore",
            )
            written += len(answer)
    return written


# --- inside ---------------------------------------------------------------------------------------


class _Interval(NamedTuple):
    """A column with its bounds, NaN where not known."""

    value: Floats
    low: Floats
    high: Floats

    @classmethod
    def of(cls, frame: pd.DataFrame, column: str) -> _Interval:
        """A column of a frame; its bounds where it has them, all unknown where there is no such column."""
        if column not in frame:
            return cls(*([np.full(len(frame), np.nan)] * 3))
        value = frame[column].to_numpy(dtype=float, na_value=np.nan)
        if f"{column}_low" not in frame:
            return cls(value, value, value)
        bounds = (frame[f"{column}_{end}"].to_numpy(dtype=float, na_value=np.nan) for end in ("low", "high"))
        return cls(value, *bounds)

    def __mul__(self, other: Any) -> _Interval:
        return _Interval(*(mine * theirs for mine, theirs in zip(self, other, strict=True)))

    def __truediv__(self, other: _Interval) -> _Interval:
        """The quotient of what is not negative; unknown where the divisor may be zero."""
        with np.errstate(divide="ignore", invalid="ignore"):
            parts = (self.value / other.value, self.low / other.high, self.high / other.low)
        usable = other.low > 0
        return _Interval(*(np.where(usable, part, np.nan) for part in parts))

    def times(self, factor: float) -> _Interval:
        """Times a number."""
        return _Interval(*(part * factor for part in self))

    def or_else(self, other: _Interval) -> _Interval:
        """This where it is known, the other elsewhere."""
        known = ~np.isnan(self.value)
        return _Interval(*(np.where(known, mine, theirs) for mine, theirs in zip(self, other, strict=True)))

    def where_positive(self) -> _Interval:
        """Unknown where it is zero or less."""
        return _Interval(*(np.where(self.low > 0, part, np.nan) for part in self))


def _need(frame: pd.DataFrame, column: str) -> None:
    if column not in frame:
        raise InputError(f"no column {column!r} in the table (it has: {', '.join(map(str, frame.columns))})")


def _printed_columns(frame: pd.DataFrame) -> dict[str, str]:
    """Columns of printed figures -> their nutrient; 'servings' stands for itself."""
    known = {key: nutrient for nutrient, key in LABEL_NUTRIENTS.items()}
    known |= {f"{key}_per_container": nutrient for key, nutrient in known.items()}
    known |= {"servings": "servings", "servings_per_container": "servings"}
    return {column: known[column] for column in frame.columns if column in known}


def _intervals(column: pd.Series[Any], nutrient: str) -> tuple[Floats, Floats, Floats, npt.NDArray[np.bool_]]:
    """Value, low, high and whether unreadable, for each cell; each distinct figure is read once."""
    import pandas as pd

    codes, distinct = pd.factorize(column)
    table = np.full((len(distinct) + 1, 3), np.nan)  # the last row is for what is missing: code -1
    bad = np.zeros(len(distinct) + 1, dtype=bool)
    for place, cell in enumerate(distinct):
        try:
            table[place] = _read(cell, nutrient)
        except Fault:
            bad[place] = True
    return table[codes, 0], table[codes, 1], table[codes, 2], bad[codes]


def _read(cell: Any, nutrient: str) -> tuple[float, float, float]:
    """Value and bounds of one printed figure, by the rules for one label. Raises Fault."""
    raw = cell
    if isinstance(cell, float | int | np.floating | np.integer) and not isinstance(cell, bool | np.bool_):
        number = float(cell)
        raw = int(number) if number.is_integer() else Decimal(repr(number))
    if nutrient == "servings":
        count, about = read_count(raw)
        low, high = servings_interval(count, about)
        return float(count), float(low), float(high)
    unit = NUTRIENTS[nutrient].unit
    printed: Printed = read_printed(raw, "mcg" if unit == "ug" else unit)
    low, high = printed_interval(nutrient, printed)
    value = (low + high) / 2 if printed.less_than else printed.amount
    return float(value), float(low), float(high)


@lru_cache(maxsize=4)
def _matcher(sources: tuple[str, ...], table: str | None) -> Matcher | BulkMatcher:
    """The matcher of this process; it only reads."""
    if table is not None:
        from nutricost.sources.bulk_tables import BulkMatcher, BulkTable

        return BulkMatcher(BulkTable(Path(table)))
    from nutricost.sources.matching_engine import Matcher

    return Matcher.open(sources or None)
