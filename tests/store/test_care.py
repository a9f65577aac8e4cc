"""Checking the book and copying it."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.errors import StoreError
from nutricost.store.batches import list_batches, save_batch
from nutricost.store.care import backup_book, check_book
from nutricost.store.connection import Book, open_book
from nutricost.store.shelf import ShelfLot, store_bags


@pytest.fixture
def filled(book: Book) -> Book:
    with book.transaction():
        save_batch(book, 'title = "Invented chili"\nservings = 8\n')
        store_bags(book, ShelfLot("chili", date(2026, 1, 1), 2, Decimal(4)))
    return book


def test_a_sound_book_has_no_problem(filled: Book) -> None:
    assert check_book(filled) == []


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("UPDATE batch SET title = 'other'", "batch invented-chili: its title differs from its document"),
        ("UPDATE batch SET text = 'title ='", "batch invented-chili: .*not TOML"),
        ("INSERT INTO label VALUES ('a', '[labels.b]', 1)", "label a: its name differs"),
        ("INSERT INTO label VALUES ('a', 'x = 1', 1)", "label a: label: the text must hold one label"),
        ("INSERT INTO machine VALUES ('machine', 'x', 1)", "machine: machine: not TOML"),
        ("UPDATE shelf_lot SET servings = 'many'", "shelf_lot: .*damaged"),
        ("UPDATE shelf_lot SET servings = '0.5'", "shelf lot 1: more was eaten than it held"),
        ("INSERT INTO tariff_band VALUES ('0', '12', '1', 'USD')", "tariff: .*no price"),
        ("UPDATE eaten SET lot = 9", "eaten 1: refers to a shelf_lot"),
    ],
)
def test_what_is_wrong_is_named(filled: Book, change: str, says: str) -> None:
    filled.connection.execute("PRAGMA foreign_keys = OFF")
    with filled.transaction():
        filled.write("INSERT INTO eaten VALUES (1, 1, '2026-01-02', '1', 'nothing', '', NULL, 'USD', '')")
        filled.write(change)
    problems = [str(problem) for problem in check_book(filled)]
    assert len(problems) == 1
    assert re.search(says, problems[0])


def test_a_backup_is_one_whole_book(filled: Book, tmp_path: Path) -> None:
    target = backup_book(filled, tmp_path / "copy.sqlite")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["copy.sqlite", "kitchen"]
    with open_book(target, create=False) as copy:
        assert list_batches(copy) == list_batches(filled)
    with pytest.raises(StoreError, match="is there already"):
        backup_book(filled, target)
    (tmp_path / "folder").mkdir()
    assert backup_book(filled, tmp_path / "folder").name == "book.sqlite"
    with pytest.raises(StoreError, match="cannot be"):
        backup_book(filled, tmp_path / "none" / "copy.sqlite")
