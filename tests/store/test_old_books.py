"""The book of every released version opens in this one and adds up to the same."""

from __future__ import annotations

import json
import shutil
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from types import ModuleType

import pytest

from nutricost.store.care import check_book
from nutricost.store.connection import open_book
from nutricost.store.exporting import export_book, import_book

ROOT = Path(__file__).resolve().parents[2]
BOOKS = sorted((ROOT / "fixtures" / "old_stores").glob("book-*.sqlite"))


def _script() -> ModuleType:
    loader = SourceFileLoader("make_old_book", str(ROOT / "scripts" / "make-old-book"))
    spec = spec_from_loader(loader.name, loader)
    assert spec is not None
    module = module_from_spec(spec)
    loader.exec_module(module)
    return module


def test_there_is_one() -> None:
    assert "book-0.1.0.sqlite" in [path.name for path in BOOKS]


@pytest.mark.parametrize("old", BOOKS, ids=lambda path: path.stem)
def test_the_same_totals(old: Path, tmp_path: Path) -> None:
    expected = json.loads(
        old.with_name(old.name.replace("book-", "totals-")).with_suffix(".json").read_text()
    )
    copy = Path(shutil.copy(old, tmp_path))
    with open_book(copy) as book, open_book(tmp_path / "again.sqlite") as again:
        assert check_book(book) == []
        assert _script().totals(book) == expected
        import_book(export_book(book, tmp_path / "out"), again)
        assert _script().totals(again) == expected
