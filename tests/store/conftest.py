"""A fresh book for each test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from nutricost.store.connection import Book, open_book


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "kitchen" / "book.sqlite"


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    with open_book(path) as opened:
        yield opened
