"""Functions over tables: equal to the functions for one, whole or in partitions, here and on Dask."""

from __future__ import annotations

import random
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import sparse

from nutricost.api import bulk
from nutricost.domain.comparison import measures as measures_of_offer
from nutricost.domain.comparison import pouch_offer
from nutricost.domain.documents import Printed
from nutricost.domain.labels.rounding import printed_interval
from nutricost.errors import InputError
from nutricost.sources.documents import read_pouches
from nutricost.sources.matching_engine import Matcher

LINES = ["2 lb boneless chicken breast", "1 cup rice", "qqqq", "1 cup rice", "3 carrots, diced"]


def shelf(rows: int = 200, seed: int = 1) -> pd.DataFrame:
    """Invented shelf items with printed figures."""
    rng = random.Random(seed)
    return pd.DataFrame(
        [
            {
                "name": f"item {number}",
                "price": rng.choice([4.5, 8.99, 12.0]),
                "servings": rng.choice([1, 2, 2.5, 4, 9]),
                "net_weight_g": rng.choice([100.0, 140.0, None]),
                "calories": rng.choice([45, 170, 210, 340]),
                "calories_per_container": rng.choice([None, None, 420, 680]),
                "fat_g": rng.choice([0, 0.5, 6, None]),
                "protein_g": rng.choice([0, 3, 13, None]),
                "sugar_g": rng.choice(["<1", "4", "0", None]),
                "sodium_mg": rng.choice([0, 35, 590, None]),
            }
            for number in range(rows)
        ]
    )


def test_label_intervals_are_those_of_one_label() -> None:
    frame = bulk.label_intervals(shelf())
    for row in frame.to_dict("records"):
        for column, nutrient in (("calories", "energy"), ("fat_g", "fat"), ("sodium_mg", "sodium")):
            if row[column] != row[column]:
                assert row[f"{column}_low"] != row[f"{column}_low"]
                continue
            low, high = printed_interval(nutrient, Printed(Decimal(str(row[column]))))
            assert (row[f"{column}_low"], row[f"{column}_high"]) == (float(low), float(high))
    less = frame[frame["sugar_g"] == 0.5]
    assert len(less)
    assert set(less["sugar_g_low"]) == {0.0}
    assert set(less["sugar_g_high"]) == {1.0}
    assert frame["problem"].isna().all()


def test_an_unreadable_figure_is_named_and_not_known() -> None:
    frame = pd.DataFrame({"fat_g": ["much", "3", None], "calories": [100, -1, 100]})
    read = bulk.label_intervals(frame)
    assert read["problem"].tolist()[:2] == ["fat_g is no printed figure", "calories is no printed figure"]
    assert read["fat_g"].isna().tolist() == [True, False, True]
    assert read["calories_low"].isna().tolist() == [False, True, False]


def test_measures_are_those_of_one_pouch(tmp_path: Path) -> None:
    frame = shelf(120, seed=5)
    written = frame.rename(columns={"net_weight_g": "net_weight"})
    written["net_weight"] = written["net_weight"].map(lambda grams: f"{grams} g", na_action="ignore")
    (tmp_path / "p.csv").write_text(written.to_csv(index=False), encoding="utf-8")
    pouches = read_pouches(tmp_path / "p.csv").pouches
    assert len(pouches) == len(frame)
    answer = bulk.measures(frame)
    for pouch, row in zip(pouches, answer.to_dict("records"), strict=True):
        for name, figure in measures_of_offer(pouch_offer(pouch, "USD")).items():
            if figure.value is None:
                assert np.isnan(row[name]), (pouch.name, name)
                continue
            found = [row[name], row[f"{name}_low"], row[f"{name}_high"]]
            expected = [float(x) for x in (figure.value, figure.low, figure.high) if x is not None]
            assert found == pytest.approx(expected, rel=1e-12), (pouch.name, name)


def test_match_is_that_of_one_line() -> None:
    frame = pd.DataFrame({"line": [*LINES, None], "id": range(6)}, index=range(10, 16))
    answer = bulk.match(frame)
    matcher = Matcher.open()
    assert list(answer.index) == list(frame.index)
    for line, row in zip(LINES, answer.to_dict("records"), strict=False):
        found = matcher.match(line)
        assert row["status"] == found.status
        assert (row["food"] if isinstance(row["food"], str) else None) == (
            found.food.key if found.food else None
        )
        assert row["weight_g"] == pytest.approx(
            float("nan") if found.grams.value is None else float(found.grams.value), nan_ok=True
        )
    assert answer["status"].iloc[-1] == "none"


def test_a_missing_column_is_named() -> None:
    with pytest.raises(InputError, match="no column 'line'"):
        bulk.match(pd.DataFrame({"text": []}))
    with pytest.raises(InputError, match="no column 'price'"):
        bulk.measures(pd.DataFrame({"text": []}))


def test_partitions_give_the_same_as_the_whole() -> None:
    frame = shelf(90, seed=3)
    whole = bulk.measures(frame)
    parts = pd.concat([bulk.measures(frame.iloc[start : start + 17]) for start in range(0, 90, 17)])
    pd.testing.assert_frame_equal(whole, parts)
    assert list(bulk.measures(frame.iloc[:0]).columns) == list(whole.columns)


def test_recipe_sums_by_hand() -> None:
    weights = sparse.csr_array(np.array([[200.0, 0.0], [100.0, 300.0], [0.0, 0.0]]))
    nutrients = np.array([[50.0, 1.0], [100.0, np.nan]])
    sums = bulk.recipe_sums(weights, nutrients)
    assert sums.tolist() == [[100, 2], [350, 1], [0, 0]]  # 1 x 50 + 3 x 100 = 350
    assert bulk.recipe_coverage(weights, nutrients).tolist() == [[1, 1], [1, 0.25], [1, 1]]
    with pytest.raises(InputError, match="accepted: the same"):
        bulk.recipe_sums(weights, nutrients[:1])


def test_from_parquet_to_parquet(tmp_path: Path) -> None:
    frame = shelf(250)
    frame.to_parquet(tmp_path / "in.parquet", index=False)
    assert bulk.over_parquet(bulk.measures, tmp_path / "in.parquet", tmp_path / "out", rows=60) == 250
    pd.testing.assert_frame_equal(pd.read_parquet(tmp_path / "out"), bulk.measures(frame), check_dtype=False)


def test_on_dask_with_two_processes(tmp_path: Path) -> None:
    """A local cluster of two processes, fed from and written to Parquet, gives what one process gives."""
    distributed: Any = pytest.importorskip("distributed", reason="Dask is an optional extra: nutricost[dask]")
    dd: Any = pytest.importorskip("dask.dataframe", reason="Dask is an optional extra: nutricost[dask]")

    frame = shelf(400, seed=9)
    lines = pd.DataFrame({"line": LINES * 8})
    dd.from_pandas(frame, npartitions=4).to_parquet(str(tmp_path / "in"), write_index=False)
    options: dict[str, Any] = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": ":0"}
    with distributed.LocalCluster(**options) as cluster, distributed.Client(cluster):
        read = dd.read_parquet(str(tmp_path / "in"))
        bulk.on_dask(bulk.measures, read, currency="EUR").to_parquet(str(tmp_path / "out"), write_index=False)
        matched = bulk.on_dask(bulk.match, dd.from_pandas(lines, npartitions=2)).compute()
    found = pd.read_parquet(tmp_path / "out").sort_values("name", ignore_index=True)
    expected = bulk.measures(frame, currency="EUR").sort_values("name", ignore_index=True)
    pd.testing.assert_frame_equal(found, expected, check_dtype=False)
    pd.testing.assert_frame_equal(matched, bulk.match(lines), check_dtype=False)
