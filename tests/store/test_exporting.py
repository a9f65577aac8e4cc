"""The book as plain documents and back, without loss."""

from __future__ import annotations

import csv
import tempfile
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from nutricost.domain.tariff import TariffBand
from nutricost.domain.waiting import TrayEntry
from nutricost.errors import DocumentError, InputError, StoreError
from nutricost.store import rows
from nutricost.store.batches import StoredWeighing, list_batches, save_batch
from nutricost.store.book_settings import save_setting
from nutricost.store.care import check_book
from nutricost.store.connection import Book, open_book
from nutricost.store.exporting import DOCUMENT_TABLES, export_book, import_book
from nutricost.store.labels import save_label
from nutricost.store.load import Cycle
from nutricost.store.machine import save_machine
from nutricost.store.maintenance import KINDS, MaintenanceEntry
from nutricost.store.matches import ConfirmedMatch
from nutricost.store.pouches import PouchPrice, StoredPouch
from nutricost.store.purchases import Purchase
from nutricost.store.shelf import REPLACED, Eaten, ShelfLot
from nutricost.store.tables import TABLES

letters = st.characters(exclude_categories=["Cs", "Cc"]) | st.sampled_from("\n\r\t,;\"'=#")
texts = st.text(letters, max_size=12)
names = st.text(letters, min_size=1, max_size=12).filter(str.strip)
decimals = st.builds(
    lambda digits, places: Decimal(digits).scaleb(-places), st.integers(0, 10**9), st.integers(0, 9)
)
days = st.dates(date(1990, 1, 1), date(2090, 1, 1))
currencies = st.sampled_from(["USD", "EUR", "JPY"])


def drawn(kind: type[Any], /, **fixed: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Records of a kind, every field not given drawn by its type."""
    by_type: dict[type[Any], st.SearchStrategy[Any]] = {
        str: texts,
        Decimal: decimals,
        date: days,
        int: st.integers(1, 9),
    }
    fields = {}
    for name, (inner, optional) in rows.fields_of(kind).items():
        drawing = currencies if name == "currency" else by_type[inner]
        fields[name] = fixed.get(name, st.none() | drawing if optional else drawing)
    return st.builds(kind, **fields)


@st.composite
def books(draw: st.DrawFn) -> dict[str, list[Any]]:
    """What a book may hold; later records refer to earlier ones."""
    none = st.none()

    def some(kind: type[Any], /, **fixed: st.SearchStrategy[Any]) -> list[Any]:
        return draw(
            st.lists(
                drawn(kind, id=none, **fixed) if "id" in rows.fields_of(kind) else drawn(kind, **fixed),
                max_size=3,
            )
        )

    pouches = list({one.name: one for one in some(StoredPouch, name=names)}.values())
    batches = draw(st.lists(st.tuples(names, texts, st.integers(1, 3)), max_size=3))
    labels = draw(st.lists(names, max_size=3, unique=True))
    files = st.sampled_from([f"batch-{number}" for number in range(len(batches))]) if batches else none
    lots = some(ShelfLot, name=names, batch=files)
    cycles = some(Cycle, share_by=st.sampled_from(["trays", "water"]))
    return {
        "batches": batches,
        "labels": [*labels],
        "machine": [draw(texts)],
        "weighing": some(StoredWeighing, batch=files) if batches else [],
        "pouch": pouches,
        "pouch_price": some(PouchPrice, pouch=st.sampled_from([one.name for one in pouches]))
        if pouches
        else [],
        "purchase": some(Purchase, label=st.sampled_from(labels) if labels else none),
        "food_match": list({one.phrase: one for one in some(ConfirmedMatch)}.values()),
        "maintenance": some(MaintenanceEntry, kind=st.sampled_from(KINDS)),
        "tariff_band": list({str(one.start_hour): one for one in some(TariffBand)}.values()),
        "shelf_lot": lots,
        "eaten": some(Eaten, lot=st.integers(1, len(lots)), replaced=st.sampled_from(REPLACED))
        if lots
        else [],
        "cycle": cycles,
        "tray": some(TrayEntry, batch=files, cycle=st.integers(1, len(cycles)) if cycles else none),
    }


def fill(book: Book, content: dict[str, list[Any]]) -> None:
    with book.transaction():
        for number, (title, comment, saves) in enumerate(content["batches"]):
            for _ in range(saves):
                text = f"# {comment.replace(chr(13), '').replace(chr(10), ' ')}\r\n" + tomlkit.dumps(
                    {"title": title}
                )
                save_batch(book, text, name=f"batch-{number}")
        for name in content["labels"]:
            save_label(book, tomlkit.dumps({"labels": {name: {"calories": 90}}}))
        for text in content["machine"]:
            save_machine(book, tomlkit.dumps({"note": text}))
        save_setting(book, "currency", "EUR")
        for table in TABLES:
            for record in content.get(table.name, []):
                rows.insert(book, table.name, record)


def everything(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, as SQLite holds it."""
    tables = [*DOCUMENT_TABLES, *(table.name for table in TABLES)]
    return {name: sorted(tuple(row) for row in book.read(f"SELECT * FROM {name}")) for name in tables}


# A failure is shown as drawn: making it smaller takes minutes, for every try writes two books.
@settings(max_examples=20, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(books())
def test_out_and_back_is_the_same_book(content: dict[str, list[Any]]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with open_book(folder / "book.sqlite") as book, open_book(folder / "again.sqlite") as again:
            fill(book, content)
            export_book(book, folder / "out")
            assert import_book(folder / "out", again) == []
            assert everything(again) == everything(book)
            assert [one.text for one in list_batches(again)] == [one.text for one in list_batches(book)]


@pytest.fixture
def folder(book: Book, tmp_path: Path) -> Path:
    """An export of a small book."""
    day = date(2026, 1, 1)
    with book.transaction():
        save_batch(book, 'title = "Invented chili"\nservings = 8\n')
        rows.insert(book, "pouch", StoredPouch("Invented stew", Decimal("9.50"), "EUR", "2", calories="250"))
        rows.insert(book, "shelf_lot", ShelfLot("chili", day, 2, Decimal(4), "invented-chili"))
        rows.insert(book, "eaten", Eaten(1, day, Decimal(1)))
    return export_book(book, tmp_path / "out")


def test_the_folder_holds_the_contracts_documents(folder: Path) -> None:
    assert (
        folder / "batches" / "invented-chili.toml"
    ).read_text() == 'title = "Invented chili"\nservings = 8\n'
    with (folder / "pouches.csv").open(newline="") as file:
        lines = list(csv.reader(file))
    assert ",".join(lines[0]) == (
        "name,price,servings,net_weight,calories,fat_g,saturated_fat_g,carbohydrate_g,fiber_g,sugar_g,protein_g,"
        "sodium_mg,calories_per_container,water_to_add,note"
    )
    assert lines[1][:3] == ["Invented stew", "9.50 EUR", "2"]


def test_an_export_never_mixes_with_what_is_there(book: Book, folder: Path, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="not an empty folder"):
        export_book(book, folder)
    (tmp_path / "empty").mkdir()
    assert export_book(book, tmp_path / "empty").is_dir()


def test_an_export_that_fails_leaves_nothing(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: Path, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(StoreError, match="No space left"):
        export_book(book, tmp_path / "out")
    assert [path.name for path in tmp_path.iterdir()] == ["kitchen"]


def test_a_full_book_is_only_replaced_on_request(book: Book, folder: Path) -> None:
    before = everything(book)
    with pytest.raises(InputError, match="not empty"):
        import_book(folder, book)
    with book.transaction():
        save_batch(book, 'title = "Later"\n')
    import_book(folder, book, replace=True)
    assert everything(book) == before


def test_every_fault_of_a_folder_is_reported_and_nothing_is_kept(
    book: Book, folder: Path, tmp_path: Path
) -> None:
    (folder / "batches" / "broken.toml").write_text("title = ")
    (folder / "batches" / "Bad Name.toml").write_text('title = "a"')
    (folder / "batches" / "latin.toml").write_bytes(b'title = "caf\xe9"')
    (folder / "pouches.csv").write_text("name,price,servings,colour\nStew,lots,2,red\nStew,1,2,\nStew,2,2,\n")
    (folder / "eaten.csv").write_text("lot,eaten_on,servings\n7,2026-01-01,1\n1,soon,1\n1,2026-01-01\n")
    (folder / "revisions.csv").write_text("document,name,revision\nbatch,invented-chili,many\n")
    with open_book(tmp_path / "new.sqlite") as new:
        with pytest.raises(DocumentError) as told:
            import_book(folder, new)
        assert all(rows == [] for rows in everything(new).values())
    assert [problem.where for problem in told.value.problems] == [
        "batches/Bad Name.toml",
        "batches/broken.toml",
        "batches/latin.toml",
        "revisions.csv: line 2",
        "pouches.csv: line 2",
        "pouches.csv: line 4",
        "eaten.csv: line 3",
        "eaten.csv: line 4",
        "eaten 1",
    ]


def test_a_folder_written_by_hand_is_accepted(tmp_path: Path, book: Book) -> None:
    folder = tmp_path / "mine"
    (folder / "batches").mkdir(parents=True)
    (folder / "batches" / "soup.toml").write_text('title = "Soup"\nservings = 3\n')
    (folder / "pouches.csv").write_text("\ufeffservings,name,price,calories,colour\r\n2,Stew,8.5,250,red\r\n")
    warnings = import_book(folder, book)
    assert [str(warning) for warning in warnings] == [
        "pouches.csv: column 'colour' is not known and was left out"
    ]
    assert [batch.revision for batch in list_batches(book)] == [1]
    assert check_book(book) == []


def test_no_folder_and_a_newer_folder(tmp_path: Path, book: Book, folder: Path) -> None:
    with pytest.raises(InputError, match="no such folder"):
        import_book(tmp_path / "none", book)
    (folder / "book.toml").write_text("version = 999\n")
    with pytest.raises(StoreError, match="newer version"):
        import_book(folder, book, replace=True)
