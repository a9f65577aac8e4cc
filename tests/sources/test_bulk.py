"""Imported tables: the same foods as the embedded ones they were made of; laws; what is refused."""

from __future__ import annotations

import csv
import shutil
import stat
import zipfile
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from bulk_samples import GTIN, LABELS, TYPES, csv_files, embedded_foods, json_file, zipped
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.foods.laws import broken_laws
from nutricost.domain.foods.records import NUTRIENTS, AtwaterFactors, Food, NutrientValue
from nutricost.errors import InputError, SourceError, UnknownFood
from nutricost.sources import bulk_archive, bulk_json
from nutricost.sources.bulk_files import nutrients_of
from nutricost.sources.bulk_import import (
    ImportedTable,
    Progress,
    find_table,
    import_table,
    list_tables,
    refresh_table,
    remove_table,
)
from nutricost.sources.bulk_tables import BulkMatcher, BulkTable
from nutricost.sources.bulk_values import CODES, KEYS, STANDINGS, Block
from nutricost.sources.bulk_words import BulkIndex, index_words, write_words
from nutricost.sources.fdc_reading import SOURCES, by_key

FOODS = embedded_foods()


@pytest.fixture(scope="module")
def imported(tmp_path_factory: pytest.TempPathFactory) -> ImportedTable:
    folder = tmp_path_factory.mktemp("bulk")
    return import_table(zipped(folder / "Some Download 2024.zip", csv_files(FOODS)), folder / "data")


@pytest.fixture(scope="module")
def table(imported: ImportedTable) -> BulkTable:
    return BulkTable(imported.folder)


def same_values(own: Food, other: Food) -> bool:
    """Whether two foods have the same amounts; energy of a food without one was computed."""
    amounts = [{key: value.amount_per_100g for key, value in food.nutrients.items()} for food in (own, other)]
    return amounts[0] == amounts[1]


def test_csv_import_gives_the_foods_it_was_made_of(imported: ImportedTable, table: BulkTable) -> None:
    assert imported.facts.name == "some-download-2024"
    assert (imported.facts.foods, imported.facts.labels) == (len(FOODS) + 3, 4)
    assert len(table) == imported.facts.foods
    assert table.names[:3] == ("sr_legacy", "foundation", "survey")
    for own in FOODS:
        found = table.food(f"fdc:{own.fdc_id}")
        assert same_values(own, found), own.key
        assert found.description == own.description
        assert found.group == own.group
        assert found.ndb_number == own.ndb_number
        assert found.source == SOURCES[TYPES[own.source]]
        assert [(w.grams, w.measure) for w in found.household_weights] == [
            (w.grams, w.measure) for w in own.household_weights
        ]


def test_rejected_rows_are_listed_with_the_reason(imported: ImportedTable) -> None:
    assert imported.facts.rejected == {"sugar": 1}
    with imported.rejected_file.open(encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    assert row == {
        "key": "fdc:9000004",
        "description": "INVENTED IMPOSSIBLE BAR",
        "law": "sugar",
        "reason": "sugars 60 g, carbohydrate 40 g",
        "accepted": "sugars <= carbohydrate",
    }


def test_json_import_gives_the_same_table(tmp_path: Path, table: BulkTable) -> None:
    path = tmp_path / "foods.json"
    path.write_bytes(json_file(FOODS))
    other = BulkTable(import_table(path, tmp_path / "data").folder)
    mine, theirs = list(table.foods()), {food.key: food for food in other.foods()}
    assert len(mine) == len(theirs)
    for food in mine:
        twin = theirs[food.key]
        assert same_values(food, twin)
        assert (food.description, food.group, food.ndb_number) == (
            twin.description,
            twin.group,
            twin.ndb_number,
        )
        assert table.label(food.key) == other.label(food.key)
    zipped(tmp_path / "foods.zip", {"foods.json": path.read_bytes()}, folder="")
    assert import_table(tmp_path / "foods.zip", tmp_path / "data").facts.foods == len(mine)


def test_rows_and_foods_of_a_source(table: BulkTable) -> None:
    rows = list(table.rows(["branded"]))
    assert [row.description for row in rows] == [label["description"] for label in LABELS[:3]]
    assert [food.key for food in table.foods(["branded"])] == [row.key for row in rows]
    assert [table.foods_at([row.id])[0].key for row in rows] == [row.key for row in rows]
    with pytest.raises(UnknownFood, match="fdc:173410"):
        table.food("ndb:01001")
    with pytest.raises(UnknownFood):
        table.food("fdc:8000001")


def test_labels_and_barcodes(table: BulkTable) -> None:
    label = table.label("fdc:9000001")
    assert label is not None
    assert label.per_serving["energy"] == 160  # 64 kcal per 100 g x 250 g
    assert label.less_than == {"sugar"}
    assert label.ingredients_text == 'WATER, LENTILS,\n"SEA" SALT.'
    found = table.by_barcode(GTIN)
    assert found is not None
    assert found[0].key == "fdc:9000002"  # the later of two with this barcode
    assert found[0].household_weights[0].grams == 245
    assert table.by_barcode("6291041500213") is None
    with pytest.raises(InputError, match="last digit"):
        table.by_barcode("0012345678904")
    assert table.label(f"fdc:{FOODS[0].fdc_id}") is None


def test_values_per_100_ml_are_on_the_label_alone(table: BulkTable) -> None:
    drink = table.food("fdc:9000003")
    label = table.label("fdc:9000003")
    assert dict(drink.nutrients) == {}
    assert label is not None
    assert label.serving_unit == "mL"
    assert label.per_serving["energy"] == Decimal("50.4")  # 21 kcal per 100 mL x 240 mL


def test_search_and_match_as_in_the_embedded_table(table: BulkTable) -> None:
    matcher = BulkMatcher(table)
    assert matcher.search("lentil stew")[0].food.description == "INVENTED LENTIL STEW, SPICY"
    found = matcher.match("1 cup spicy lentil stew")
    assert found.candidates[0].food.fdc_id in (9000001, 9000002)
    key = found.key
    assert matcher.match("2 cups spicy lentil stew", {key: "fdc:9000002"}).confidence == 1
    with pytest.raises(UnknownFood):
        matcher.match("2 cups spicy lentil stew", {key: "ndb:01001"})
    for own in FOODS[::5]:
        best = matcher.search(own.description)
        assert own.description in [candidate.food.description for candidate in best], own.description


def test_branded_names_are_taken_as_people_say_them(tmp_path: Path) -> None:
    """The synonyms turn 'tomato soup' into USDA's words for it, which no package has."""
    soup = {**LABELS[0], "fdc_id": 9000009, "description": "INVENTED TOMATO SOUP"}
    path = zipped(tmp_path / "a.zip", csv_files([], [*LABELS[:3], soup]))
    table = BulkTable(import_table(path, tmp_path / "data").folder)
    assert BulkMatcher(table).search("tomato soup")[0].food.description == "INVENTED TOMATO SOUP"


def test_import_again_replaces_and_failure_keeps_the_old(tmp_path: Path) -> None:
    data, path = tmp_path / "data", tmp_path / "a.zip"
    zipped(path, csv_files(FOODS[:4]))
    assert import_table(path, data, "mine").facts.foods == 7
    zipped(path, csv_files(FOODS[:6]))
    assert refresh_table(data, "mine").facts.foods == 9
    path.write_bytes(b"PK\x03\x04 broken")
    with pytest.raises(SourceError):
        refresh_table(data, "mine")
    assert [table.facts.foods for table in list_tables(data)] == [9]
    zipped(
        path, csv_files(FOODS[:4]) | {"food_nutrient.csv": b'"fdc_id","nutrient_id","amount"\n"x","y","z"\n'}
    )
    with pytest.raises(SourceError, match=r"food_nutrient\.csv"):
        refresh_table(data, "mine")
    assert sorted(entry.name for entry in (data / "tables").iterdir()) == ["mine"]
    assert find_table(data, "mine").size_bytes > 1000
    assert remove_table(data, "mine") > 1000
    assert list_tables(data) == []
    with pytest.raises(InputError, match="none has been imported"):
        remove_table(data, "mine")


def test_progress_goes_up_to_the_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ticks = iter(range(10**6))
    monkeypatch.setattr("nutricost.sources.bulk_import.time.monotonic", lambda: next(ticks))
    told: list[Progress] = []
    import_table(zipped(tmp_path / "a.zip", csv_files(FOODS)), tmp_path / "data", progress=told.append)
    done = [step.done_fraction for step in told]
    assert done == sorted(done)
    assert done[-1] == 1
    assert told[-1].file == "food_nutrient.csv"
    assert told[-1].rows > 1000
    assert told[-1].seconds_left == 0


# --- what is refused ------------------------------------------------------------------------------


def without(name: str) -> dict[str, bytes]:
    return {key: value for key, value in csv_files(FOODS[:3]).items() if key != name}


@pytest.mark.parametrize(
    ("files", "message"),
    [
        (without("food_nutrient.csv"), r"food_nutrient\.csv is missing"),
        (without("food.csv"), r"no food\.csv and no JSON"),
        (
            csv_files(FOODS[:3]) | {"food.csv": "fdc_id,description\n1,Käse\n".encode("latin-1")},
            "not UTF-8|no column",
        ),
        (
            csv_files(FOODS[:3]) | {"food.csv": csv_files(FOODS[:3])["food.csv"].decode().encode("utf-16")},
            r"food\.csv",
        ),
        (
            csv_files(FOODS[:3])
            | {"nutrient.csv": b'"id","unit_name","nutrient_nbr"\n"1003","slug","203"\n'},
            "slug",
        ),
        (
            csv_files(FOODS[:3]) | {"nutrient.csv": b'"id","unit_name","nutrient_nbr"\n'},
            "USDA's nutrient numbers",
        ),
        (csv_files([], []), "no food of a known kind"),
        ({"a.json": b"<!doctype html>"}, "no list of foods"),
        ({"a.json": b'{"Foods": [{"fdcId": 1, "descr'}, "cut off"),
        ({"a.json": b'{"Foods": [3]}'}, "is no food"),
        ({"a.json": b'{"Foods": [{"fdcId": 1}]}'}, "fdc:1: no description"),
        ({"a.json": '{"Foods": [{"fdcId": 1, "description": "Käse"}]}'.encode("latin-1")}, "not UTF-8"),
        ({"a.json": b'{"Foods": []}'}, "no food of a known kind"),
    ],
)
def test_a_wrong_download_is_refused_and_leaves_nothing(
    tmp_path: Path, files: dict[str, bytes], message: str
) -> None:
    path = zipped(tmp_path / "a.zip", files)
    with pytest.raises(SourceError, match=message):
        import_table(path, tmp_path / "data")
    assert list((tmp_path / "data" / "tables").iterdir()) == []


@pytest.mark.parametrize(
    "name", ["../food.csv", "/food.csv", "a/../../food.csv", "C:\\food.csv", "..\\food.csv"]
)
def test_a_name_that_leads_out_is_refused(tmp_path: Path, name: str) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr(name, b"x")
    with pytest.raises(SourceError, match="leads out of the archive"):
        import_table(tmp_path / "a.zip", tmp_path / "data")


def test_a_link_and_a_doubled_name_are_refused(tmp_path: Path) -> None:
    link = zipfile.ZipInfo("food.csv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr(link, b"/etc/passwd")
    with pytest.raises(SourceError, match="is a link"):
        import_table(tmp_path / "a.zip", tmp_path / "data")
    with zipfile.ZipFile(tmp_path / "b.zip", "w") as archive:
        archive.writestr("a/food.csv", b"x")
        archive.writestr("b/food.csv", b"x")
    with pytest.raises(SourceError, match="twice"):
        import_table(tmp_path / "b.zip", tmp_path / "data")


def test_a_bomb_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("food.csv", b"0" * (bulk_archive.SMALL_BYTES + 1))
    with pytest.raises(SourceError, match="times its size"):
        import_table(tmp_path / "a.zip", tmp_path / "data")
    monkeypatch.setattr(bulk_archive, "MOST_BYTES", 1000)
    with pytest.raises(SourceError, match="unpacks to more than"):
        import_table(tmp_path / "a.zip", tmp_path / "data")


def test_a_file_that_lies_about_its_size_is_cut_short(tmp_path: Path) -> None:
    """A member whose entry announces fewer bytes than come out fails its checksum or its size."""
    path = zipped(tmp_path / "a.zip", csv_files(FOODS[:3]))
    data = bytearray(path.read_bytes())
    at = data.rindex(b"PK\x01\x02", 0, data.rindex(b"sr_legacy_food.csv"))
    data[at + 24 : at + 28] = (5).to_bytes(4, "little")
    path.write_bytes(data)
    with pytest.raises(SourceError):
        import_table(path, tmp_path / "data")


@pytest.mark.parametrize("name", ["../x", "", "A", "x" * 41, ".hidden"])
def test_a_name_that_can_be_no_table(tmp_path: Path, name: str) -> None:
    path = zipped(tmp_path / "a.zip", csv_files(FOODS[:3]))
    if name:
        with pytest.raises(InputError, match="can't name a table"):
            import_table(path, tmp_path / "data", name)
    for wrong in (tmp_path / "none.zip", tmp_path / "a.txt"):
        (tmp_path / "a.txt").write_text("no archive", encoding="utf-8")
        with pytest.raises(SourceError, match="accepted"):
            import_table(wrong, tmp_path / "data")


def test_a_table_of_another_format_is_not_opened(imported: ImportedTable, tmp_path: Path) -> None:
    folder = tmp_path / "tables" / "copy"
    shutil.copytree(imported.folder, folder)
    meta = folder / "meta.json"
    meta.write_text(meta.read_text(encoding="utf-8").replace('"format": 1', '"format": 99'), encoding="utf-8")
    with pytest.raises(SourceError, match="another format"):
        BulkTable(folder)
    assert list_tables(tmp_path) == []


def test_json_food_by_food_over_the_edges_of_pieces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "foods.json"
    path.write_bytes(json_file(FOODS[:20]))
    monkeypatch.setattr(bulk_json, "PIECE", 37)
    monkeypatch.setattr(bulk_json, "BLOCK", 7)
    assert import_table(path, tmp_path / "data").facts.foods == 23


# --- arrays against the rules for one food --------------------------------------------------------

_amounts = st.one_of(st.none(), st.decimals(-1, 120, places=2), st.sampled_from([Decimal(0), Decimal(100)]))


@settings(max_examples=60)
@given(
    st.lists(st.dictionaries(st.sampled_from(sorted(CODES)), _amounts, max_size=12), min_size=1, max_size=6)
)
def test_a_block_chooses_and_judges_as_for_one_food(foods: list[dict[str, Decimal | None]]) -> None:
    amounts = np.full((len(CODES), len(foods)), np.nan)
    for column, food in enumerate(foods):
        for number, amount in food.items():
            if amount is not None:
                amounts[CODES[number], column] = float(amount)
    chosen = Block(amounts, np.zeros(amounts.shape, dtype=np.uint8)).chosen()
    suspects = set(chosen.suspects().tolist())
    for column, food in enumerate(foods):
        by_number = {number: NutrientValue(amount) for number, amount in food.items() if amount is not None}
        expected = by_key(by_number)
        found = nutrients_of(
            range(len(KEYS)), chosen.amounts[:, column].tolist(), chosen.standings[:, column].tolist()
        )
        assert {key: value.amount_per_100g for key, value in found.items()} == {
            key: value.amount_per_100g for key, value in expected.items()
        }
        assert {key: value.standing for key, value in found.items()} == {
            key: value.standing for key, value in expected.items()
        }
        if broken_laws(Food("fdc:1", "", "", nutrients=expected)):
            assert column in suspects


@settings(max_examples=40)
@given(
    st.lists(st.decimals(0, 40, places=1), min_size=4, max_size=4),
    st.lists(st.decimals(1, 9, places=2), min_size=3, max_size=3),
)
def test_own_factors_are_judged_as_for_one_food(values: list[Decimal], factors: list[Decimal]) -> None:
    keys = ("protein", "fat", "carbohydrate", "energy")
    amounts = np.full((len(KEYS), 1), np.nan)
    for key, value in zip(keys, values, strict=True):
        amounts[KEYS.index(key), 0] = float(value)
    block = Block(amounts, np.zeros(amounts.shape, dtype=np.uint8))
    nutrients = {key: NutrientValue(value) for key, value in zip(keys, values, strict=True)}
    food = Food("fdc:1", "", "", nutrients=nutrients, factors=AtwaterFactors(*factors))
    if "energy" in broken_laws(food):
        assert block.off_own_factors(np.array([[float(f)] for f in factors])).tolist() == [0]


def test_standings_are_kept_by_code() -> None:
    assert len(set(STANDINGS)) == len(STANDINGS) == 6
    assert tuple(KEYS) == tuple(NUTRIENTS)


def test_words_that_belong_together(tmp_path: Path) -> None:
    names = [
        "Egg, hard-boiled",
        "BREAD,WHOLE WHEAT",
        "Oats",
        "",
        "Peanut butter",
        "hard cheese",
        "boiled water",
    ]
    column = pa.chunked_array([pa.array(names[:3]), pa.array(names[3:])])
    write_words(index_words(column), tmp_path)
    index = BulkIndex(tmp_path, column, lambda row: "branded")
    assert list(index.rows_with("hardboiled")) == [0]
    assert list(index.rows_with("wholewheat")) == [1]
    assert list(index.rows_with("oat")) == [2]
    assert list(index.rows_with("nothing")) == []
    assert "hardboiled" in index.table_words
    assert index.best_rows({"egg": 1.0, "bread": 0.5}).tolist() == [0, 1]
    narrow = index.narrowed({"hard": 1.0})
    assert list(narrow.rows_with("hard")) == [5]
    assert len(narrow.rows_with("boiled")) == 1  # how many have it in the whole table
    assert list(narrow.rows_with("boiled")) == []


def test_the_index_of_nothing() -> None:
    empty: Any = pa.chunked_array([pa.array([""])])
    assert index_words(empty).words == []
