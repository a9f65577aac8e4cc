"""Bulk files and tables: import, search, recipe sums, Dask. Everything measured on is generated.

python -m scripts.bench_parts.bulk           100,000 foods
python -m scripts.bench_parts.bulk --full    2 million foods, 26 million nutrient rows (about 1.7 GB)
"""

from __future__ import annotations

import importlib
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv as pa_csv
from scipy import sparse

from nutricost.api import bulk

FOODS, FULL_FOODS = 100_000, 2_000_000
LABEL_ROWS = 1_000_000
BATCHES, NUTRIENTS = 100_000, 40
CHUNK = 200_000
SEARCH_COLD_S, SEARCH_WARM_S, MOST_MEMORY_GIB = 0.5, 0.02, 2.0

_NUTRIENTS = (  # id, number, unit, largest amount
    (1003, "203", "G", 20), (1004, "204", "G", 30), (1005, "205", "G", 40), (1008, "208", "KCAL", 0),
    (1079, "291", "G", 0), (1087, "301", "MG", 200), (1089, "303", "MG", 5), (1092, "306", "MG", 500),
    (1093, "307", "MG", 900), (1253, "601", "MG", 90), (1257, "605", "G", 0), (1258, "606", "G", 0),
    (2000, "269", "G", 0),
)  # fmt: skip
_WORDS = (
    "tomato soup chicken noodle rice bean lentil chili stew beef carrot pea corn apple pear bread wheat oat "
    "milk cheese butter cream sauce pasta salad tuna salmon almond peanut honey sugar salt "
    "pepper garlic onion potato"
)

_IMPORT = """
import re, sys, time
from pathlib import Path
from nutricost.sources.bulk_import import import_table
began = time.perf_counter()
import_table(Path(sys.argv[1]), Path(sys.argv[2]), "bench")
# Not ru_maxrss: that keeps the size of the process this one was forked from.
status = Path("/proc/self/status").read_text()
print(time.perf_counter() - began, int(re.search(r"VmHWM:\\s*(\\d+)", status)[1]) / 2**20)
"""
_SEARCH = """
import sys, time
from pathlib import Path
start = time.perf_counter()
from nutricost.sources.bulk_tables import BulkMatcher, BulkTable
loaded = time.perf_counter()
matcher = BulkMatcher(BulkTable(Path(sys.argv[1])))
matcher.search("tomato soup")
cold = time.perf_counter()
times = []
for query in ("chicken noodle soup", "lentil chili", "apple", "bread", "rice bean stew") * 3:
    began = time.perf_counter()
    matcher.search(query)
    times.append(time.perf_counter() - began)
print(cold - loaded, cold - start, sorted(times)[len(times) // 2])
"""


def write_download(folder: Path, foods: int) -> None:
    """Writes a generated CSV download of so many branded foods, thirteen nutrient rows each."""
    rng = np.random.default_rng(7)
    letters = np.array(list("abcdefghijklmnopqrstuvwxyz"))
    made = ["".join(rng.choice(letters, size=7)) for _ in range(40_000)]
    words = np.array(_WORDS.split() + made, dtype=object)
    chances = 1 / (np.arange(len(words)) + 8.0)
    chances /= chances.sum()
    writers: dict[str, pa_csv.CSVWriter] = {}

    def write(name: str, columns: dict[str, Any]) -> None:
        table = pa.table(columns)
        if name not in writers:
            writers[name] = pa_csv.CSVWriter(str(folder / name), table.schema)
        writers[name].write(table)

    for start in range(0, foods, CHUNK):
        count = min(CHUNK, foods - start)
        ids = np.arange(1_000_000 + start, 1_000_000 + start + count)
        picked = [pa.array(words[rng.choice(len(words), size=count, p=chances)]) for _ in range(6)]
        names = pc.utf8_upper(pc.binary_join_element_wise(*picked, " "))
        write("food.csv", {"fdc_id": ids, "data_type": ["branded_food"] * count, "description": names,
                           "food_category_id": pa.nulls(count, pa.int32()),
                           "publication_date": ["2021-03-19"] * count})  # fmt: skip
        write("branded_food.csv", {
            "fdc_id": ids, "brand_owner": ["INVENTED"] * count,
            "gtin_upc": pa.array(ids * 10).cast(pa.string()),
            "ingredients": pc.binary_join_element_wise(names, names, names, names, ", "),
            "serving_size": np.round(rng.random(count) * 200 + 5, 1), "serving_size_unit": ["g"] * count,
            "household_serving_fulltext": ["1 cup"] * count, "branded_food_category": ["Soups"] * count,
            "package_weight": ["15 oz/425 g"] * count, "modified_date": ["2021-03-19"] * count})  # fmt: skip
        amounts = np.round(rng.random((count, len(_NUTRIENTS))) * [row[3] for row in _NUTRIENTS], 2)
        protein, fat, carbohydrate = amounts[:, 0], amounts[:, 1], amounts[:, 2]
        amounts[:, 3] = np.round(4 * protein + 9 * fat + 4 * carbohydrate)
        amounts[:, 4], amounts[:, 11] = np.round(carbohydrate / 10, 1), np.round(fat * 0.4, 2)
        amounts[:, 12] = np.round(carbohydrate / 2, 2)
        rows = amounts.size
        empty = pa.nulls(rows, pa.float64())
        write("food_nutrient.csv", {
            "id": np.arange(rows) + start * len(_NUTRIENTS), "fdc_id": np.repeat(ids, len(_NUTRIENTS)),
            "nutrient_id": np.tile([row[0] for row in _NUTRIENTS], count), "amount": amounts.ravel(),
            "data_points": empty, "derivation_id": np.full(rows, 70), "min": empty, "max": empty,
            "median": empty, "footnote": pa.nulls(rows, pa.string()),
            "min_year_acquired": pa.nulls(rows, pa.int32())})  # fmt: skip
    for writer in writers.values():
        writer.close()
    lines = [f'"{number_id}","n","{unit}","{number}"' for number_id, number, unit, _ in _NUTRIENTS]
    (folder / "nutrient.csv").write_text("\n".join(['"id","name","unit_name","nutrient_nbr"', *lines]) + "\n")
    (folder / "food_nutrient_derivation.csv").write_text('"id","code","description"\n"70","LCCS","x"\n')


def _spoken(script: str, *arguments: str) -> list[float]:
    """The numbers that a script prints in a process of its own."""
    command = [sys.executable, "-c", script, *arguments]
    return [
        float(word)
        for word in subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    ]


def _fastest(call: Callable[[], object], rounds: int) -> float:
    """The fastest of several calls [s]."""
    best = float("inf")
    for _ in range(rounds):
        began = time.perf_counter()
        call()
        best = min(best, time.perf_counter() - began)
    return best


def importing(foods: int) -> list[tuple[str, float, float]]:
    """Import of a generated download and search over it; references: pyarrow reading it, and fixed bounds."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "csv").mkdir()
        write_download(folder / "csv", foods)

        def read_all() -> None:
            for name in ("food.csv", "branded_food.csv", "food_nutrient.csv"):
                pa_csv.read_csv(folder / "csv" / name)

        read_all()  # so that neither side pays for reading the disk
        reading = _fastest(read_all, 2)
        seconds, memory = min(_spoken(_IMPORT, str(folder / "csv"), str(folder)) for _ in range(2))
        table = str(folder / "tables" / "bench")
        _spoken(_SEARCH, table)
        cold, whole, warm = min(_spoken(_SEARCH, table) for _ in range(3))
        size = f"{foods:,} foods"
        return [
            (f"import of {size} : pyarrow reading the same CSV", seconds, reading),
            (f"import of {size}, peak memory [GiB] : 2 GiB", memory, MOST_MEMORY_GIB),
            (f"first search over {size}, files opened : 0.5 s", cold, SEARCH_COLD_S),
            (f"first search over {size}, imports of Python too : 0.5 s", whole, SEARCH_COLD_S),
            (f"later search over {size}, median : 20 ms", warm, SEARCH_WARM_S),
        ]


def sums() -> list[tuple[str, float, float]]:
    """Recipe sums of many batches against the bare sparse product."""
    rng = np.random.default_rng(3)
    foods, lines = 9_000, 8
    columns = rng.integers(0, foods, BATCHES * lines)
    starts = np.arange(0, BATCHES * lines + 1, lines)
    weights = sparse.csr_array((rng.random(BATCHES * lines) * 500, columns, starts), shape=(BATCHES, foods))
    nutrients = rng.random((foods, NUTRIENTS)) * 50
    nutrients[rng.random(nutrients.shape) < 0.02] = np.nan
    plain = np.nan_to_num(nutrients)
    ours = _fastest(lambda: bulk.recipe_sums(weights, nutrients), 5)
    reference = _fastest(lambda: weights @ plain, 5)
    return [(f"recipe sums, {BATCHES:,} x {NUTRIENTS} : scipy sparse product", ours, reference)]


def on_dask() -> list[tuple[str, float, float]]:
    """Label rows on two Dask workers against one; no row where Dask is not installed."""
    try:
        dd: Any = importlib.import_module("dask.dataframe")
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        return []
    rng = np.random.default_rng(5)
    frame = pd.DataFrame({
        "price": np.round(rng.random(LABEL_ROWS) * 20 + 1, 2),
        "servings": rng.choice([1.0, 2, 2.5, 4, 8], LABEL_ROWS),
        "net_weight_g": np.round(rng.random(LABEL_ROWS) * 500 + 20),
        **{key: rng.integers(0, 400, LABEL_ROWS).astype(float) for key in ("calories", "sodium_mg")},
        **{f"{key}_g": rng.integers(0, 60, LABEL_ROWS).astype(float)
           for key in ("fat", "saturated_fat", "carbohydrate", "fiber", "sugar", "protein")},
    })  # fmt: skip
    frame["calories"] = frame["calories"] * 10
    seconds: dict[int, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        source = f"{folder}/in"
        dd.from_pandas(frame, npartitions=16).to_parquet(source, write_index=False)
        for workers in (1, 2):
            options: dict[str, Any] = {
                "n_workers": workers,
                "threads_per_worker": 1,
                "dashboard_address": ":0",
            }
            with distributed.LocalCluster(**options) as cluster, distributed.Client(cluster):
                read = dd.read_parquet(source)
                times = []
                for code in ("AAA", "AAB", "AAC", "AAD"):  # another question each time: answers are kept
                    began = time.perf_counter()
                    answer = bulk.on_dask(bulk.measures, read, currency=code)
                    answer[f"kcal_per_{code.lower()}"].count().compute()
                    times.append(time.perf_counter() - began)
                seconds[workers] = min(times[1:])  # the first pays for imports
    return [(f"{LABEL_ROWS:,} label rows, two Dask workers : one worker", seconds[2], seconds[1])]


def run(foods: int = FOODS) -> list[tuple[str, float, float]]:
    """Rows of (measure, ours [s], reference [s])."""
    return [*importing(foods), *sums(), *on_dask()]


if __name__ == "__main__":
    for name, ours, reference in run(FULL_FOODS if "--full" in sys.argv else FOODS):
        print(f"{name:<78}{ours:>11.5f}{reference:>11.5f}{ours / reference:>9.3f}")
