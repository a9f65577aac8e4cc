"""The embedded food table against USDA's own text files.

Source of the sample: USDA National Nutrient Database for Standard Reference, Release 28, NUT_DATA.txt,
raw rows of 240 foods drawn by a fixed seed (fixtures/README.md).
"""

from __future__ import annotations

import csv
import gc
import hashlib
import sqlite3
import tomllib
from collections import Counter, defaultdict
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from pathlib import Path

import pytest

import nutricost.data
from nutricost.domain.foods.laws import broken_laws
from nutricost.domain.foods.records import NUTRIENTS, HouseholdWeight
from nutricost.domain.foods.standing import standing_of
from nutricost.errors import SourceError, UnknownFood
from nutricost.sources.contract import FoodTable
from nutricost.sources.embedded import EmbeddedTable

ROOT = Path(__file__).resolve().parents[2]
DATA = Path(nutricost.data.__path__[0])
TABLE = EmbeddedTable()


def sampled(name: str) -> dict[str, list[list[str]]]:
    """Rows of a sample file by NDB number, without that number."""
    rows: dict[str, list[list[str]]] = defaultdict(list)
    with (ROOT / "fixtures/reference" / name).open(encoding="utf-8", newline="") as file:
        reader = csv.reader(file)
        next(reader)
        for ndb, *rest in reader:
            rows[ndb].append(rest)
    return rows


def text(number: object) -> str:
    return "" if number is None else str(number)


def test_every_nutrient_of_240_sampled_foods_is_as_in_the_source_file() -> None:
    keys = {nutrient.number: nutrient.key for nutrient in NUTRIENTS.values()}
    foods = sampled("sr28_sample.csv")
    assert len(foods) == 240
    for ndb, rows in foods.items():
        nutrients = TABLE.food(f"ndb:{ndb}").nutrients
        assert set(nutrients) == {keys[number] for number, *_ in rows}
        for number, amount, points, error, source, derivation, degrees in rows:
            value = nutrients[keys[number]]
            assert text(value.degrees_of_freedom) == degrees
            assert [text(value.amount_per_100g), text(value.data_points)] == [amount, points]
            assert text(value.standard_error) == error
            assert value.standing == standing_of(source, derivation)


def test_household_weights_of_the_sample_are_as_in_the_source_file() -> None:
    weights = sampled("sr28_sample_weights.csv")
    assert len(weights) >= 200
    for ndb, rows in weights.items():
        stated = tuple(
            HouseholdWeight(Decimal(amount), " ".join(measure.split()), Decimal(grams))
            for _, amount, measure, grams in rows
        )
        assert TABLE.food(f"ndb:{ndb}").household_weights == stated


def test_refuse_and_factors_of_the_sample_are_as_in_the_source_file() -> None:
    for ndb, [[refuse_pct, *stated]] in sampled("sr28_sample_factors.csv").items():
        food = TABLE.food(f"ndb:{ndb}")
        factors = food.factors
        found = [factors.nitrogen, factors.protein, factors.fat, factors.carbohydrate]
        assert [text(factor) for factor in found] == stated
        assert food.refuse_fraction * 100 == Decimal(refuse_pct or 0)


def test_sr28_is_whole() -> None:
    # Source: SR28, 8,789 foods in 25 food groups (FOOD_DES.txt, FD_GROUP.txt); group counts from FOOD_DES.
    groups = Counter(row.group for row in TABLE.rows(["sr28"]))
    assert groups.total() == 8789
    assert len(groups) == 25
    counted = {
        "Beef Products": 961,
        "Baked Products": 879,
        "Vegetables and Vegetable Products": 836,
        "Meals, Entrees, and Side Dishes": 125,
        "Restaurant Foods": 109,
        "Spices and Herbs": 64,
    }
    assert {group: groups[group] for group in counted} == counted


def test_first_food_of_sr28_field_by_field() -> None:
    # Source: SR28 FOOD_DES, WEIGHT and NUT_DATA rows of NDB 01001.
    food = TABLE.food("ndb:01001")
    assert (food.description, food.group) == ("Butter, salted", "Dairy and Egg Products")
    assert food.household_weights == (
        HouseholdWeight(Decimal(1), 'pat (1" sq, 1/3" high)', Decimal("5.0")),
        HouseholdWeight(Decimal(1), "tbsp", Decimal("14.2")),
        HouseholdWeight(Decimal(1), "cup", Decimal(227)),
        HouseholdWeight(Decimal(1), "stick", Decimal(113)),
    )
    factors = food.factors
    assert (factors.nitrogen, factors.protein, factors.fat, factors.carbohydrate) == tuple(
        Decimal(text) for text in ("6.38", "4.27", "8.79", "3.87")
    )
    protein = food.nutrients["protein"]
    assert (str(protein.amount_per_100g), protein.standing) == ("0.85", "measured")
    assert (protein.standard_error, protein.data_points) == (Decimal("0.074"), 16)
    assert food.release == "SR28"


def test_refuse_is_carried() -> None:
    # Source: SR28 FOOD_DES, NDB 09040 bananas, raw: refuse 36 %, skin.
    food = TABLE.food("ndb:09040")
    assert food.refuse_fraction == Decimal("0.36")
    assert food.refuse_description == "Skin"


@pytest.mark.parametrize("key", ["ndb:01001", "ndb:1001", "NDB: 1001", "fdc:173410", "fdc:0173410"])
def test_forms_of_a_key(key: str) -> None:
    assert TABLE.food(key).key == "ndb:01001"


def test_rows_without_ndb_number_are_found_by_id_and_by_description() -> None:
    # Source: FoodData Central 2262072 and 2709225 (checks on both in USDA's sample files).
    assert TABLE.food("fdc:2262072").description == "Peanut butter, creamy"
    assert TABLE.food("foundation:Peanut butter, creamy").key == "fdc:2262072"
    assert TABLE.food("survey:banana, BAKED").key == "fdc:2709225"


def test_survey_row_against_the_published_record() -> None:
    # Source: FNDDS 2021-2023, 'Banana, baked', FDC 2709225, published per 100 g (third party's copy).
    food = TABLE.food("fdc:2709225")
    published = {
        "protein": "0.820",
        "carbohydrate": "32.4",
        "fiber": "1.80",
        "fat": "3.21",
        "potassium": "322",
        "vitamin_c": "10.4",
        "energy": "161",
    }
    for key, text in published.items():
        amount = food.per_100g(key)
        assert amount is not None
        assert abs(amount - Decimal(text)) <= Decimal("0.005") * Decimal(text), key
    assert food.per_100g("water") is None


def test_foundation_energy_by_specific_factors() -> None:
    # Source: USDA's own figure, nutrient 958 of FDC 2262072.
    assert TABLE.food("fdc:2262072").per_100g("energy") == Decimal("589.383006")


@pytest.mark.parametrize(
    ("key", "named"),
    [
        ("ndb:01000", "ndb:01001"),
        ("fdc:173411111", "fdc:1734"),
        ("survey:Bananna, baked", "survey:Banana, baked"),
        ("sr28:butter, salt", "sr28:Butter, salted"),
        ("butter", "ndb:01001"),
        ("", "ndb:01001"),
        ("ndb:", "ndb:01001"),
        ("fdc:999999999999999999999999", "fdc:"),
        ("ndb:١٢", "ndb:"),
    ],
)
def test_an_unknown_key_names_near_ones(key: str, named: str) -> None:
    with pytest.raises(UnknownFood, match="no food") as caught:
        TABLE.food(key)
    assert named in str(caught.value)


def test_rows_and_foods_agree_and_can_be_limited_to_sources() -> None:
    rows = list(TABLE.rows(["foundation"]))
    foods = list(TABLE.foods(["foundation"]))
    assert [(row.source, row.key, row.description, row.group) for row in rows] == [
        (food.source, food.key, food.description, food.group) for food in foods
    ]
    some = [rows[7].id, rows[3].id]
    assert [food.key for food in TABLE.foods_at(some)] == [rows[7].key, rows[3].key]
    with pytest.raises(UnknownFood):
        TABLE.foods_at([10**9])
    assert list(TABLE.rows([])) == []


def test_keys_are_unique_and_sources_complete() -> None:
    table: FoodTable = TABLE
    rows = list(table.rows())
    assert len({row.key for row in rows}) == len(rows)
    assert {row.source for row in rows} == set(table.names)


def test_shipped_rows_keep_the_import_laws_or_are_listed() -> None:
    with (DATA / "foods.exceptions.csv").open(encoding="utf-8", newline="") as file:
        listed = list(csv.DictReader(file))
    kept = {(row["key"], row["law"]) for row in listed if row["kept_or_dropped"] == "kept"}
    dropped = {row["key"] for row in listed if row["kept_or_dropped"] == "dropped"}
    broken = {(food.key, law) for food in TABLE.foods() for law in broken_laws(food)}
    assert broken == kept
    assert all(key.startswith("ndb:") for key, _ in kept)
    assert dropped.isdisjoint(row.key for row in TABLE.rows())


def test_provenance_is_of_this_file() -> None:
    provenance = tomllib.loads((DATA / "foods.provenance.toml").read_text(encoding="utf-8"))
    shipped = (DATA / "foods.sqlite").read_bytes()
    assert provenance["table"]["sha256"] == hashlib.sha256(shipped).hexdigest()
    assert len(shipped) <= 15_000_000
    taken = {source: facts["taken"] for source, facts in provenance["rows"].items()}
    assert taken == Counter(row.source for row in TABLE.rows())
    assert all(
        len(entry["sha256"]) == 64 and "public domain" in entry["licence"] for entry in provenance["files"]
    )


def test_the_table_can_be_read_from_several_threads() -> None:
    keys = [row.key for row in TABLE.rows(["foundation"])]
    with ThreadPoolExecutor(4) as pool:
        assert [food.key for food in pool.map(TABLE.food, keys)] == keys


def test_the_table_cannot_be_written() -> None:
    with pytest.raises(SourceError, match="readonly"):
        TABLE.read("DELETE FROM food")


def test_a_table_nobody_holds_closes_its_file() -> None:
    # Python 3.13 and later warn of a connection that is collected while open; warnings are errors here.
    table = EmbeddedTable()
    assert table.food("ndb:01001").ndb_number == "01001"
    del table
    gc.collect()


def test_a_closed_table_opens_again() -> None:
    table = EmbeddedTable()
    table.close()
    assert table.food("ndb:01001").ndb_number == "01001"
    table.close()
    assert table.food("ndb:01002").ndb_number == "01002"
    table.close()


def test_a_damaged_or_missing_file_is_a_source_error(tmp_path: Path) -> None:
    rubbish = tmp_path / "rubbish ?#.sqlite"
    rubbish.write_bytes(b"\x00\xffnot a database" * 100)
    old = tmp_path / "old.sqlite"
    connection = sqlite3.connect(old)
    connection.execute("CREATE TABLE meta (name TEXT, value TEXT)")
    connection.close()
    for path in (rubbish, old, tmp_path / "missing.sqlite"):
        with pytest.raises(SourceError, match="the food table"):
            EmbeddedTable(str(path)).food("ndb:01001")
