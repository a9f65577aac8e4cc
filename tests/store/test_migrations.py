"""Steps from an older book to the present one: a copy first, then all steps or none."""

from __future__ import annotations

from pathlib import Path

import pytest

from nutricost.errors import StoreError
from nutricost.store import migrations
from nutricost.store.book_settings import load_settings, save_setting
from nutricost.store.connection import open_book

NEXT = ("ALTER TABLE setting ADD COLUMN why TEXT", "CREATE TABLE note (text TEXT NOT NULL) STRICT")


@pytest.fixture
def old(path: Path) -> Path:
    with open_book(path) as book, book.transaction():
        save_setting(book, "currency", "EUR")
    return path


def _with(monkeypatch: pytest.MonkeyPatch, *steps: tuple[str, ...]) -> None:
    monkeypatch.setattr(migrations, "MIGRATIONS", [*migrations.MIGRATIONS, *steps])


def test_a_copy_is_kept_before_the_steps(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    version = migrations.latest()
    with monkeypatch.context() as patch:
        _with(patch, NEXT, ("CREATE TABLE other (text TEXT NOT NULL) STRICT",))
        with open_book(old) as book:
            assert book.read("PRAGMA user_version")[0][0] == version + 2
            assert load_settings(book) == {"currency": "EUR"}
    copies = [path.name for path in old.parent.glob("*.before-*")]
    assert copies == [f"book.sqlite.before-{version + 1}"]
    with open_book(old.parent / copies[0], create=False) as before:
        assert load_settings(before) == {"currency": "EUR"}


def test_a_step_that_fails_leaves_the_book_as_it_was(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    version = migrations.latest()
    with monkeypatch.context() as patch:
        _with(patch, NEXT, ("CREATE TABLE setting (wrong TEXT) STRICT",))
        with pytest.raises(StoreError, match="refused"):
            open_book(old)
    with open_book(old) as book:
        assert book.read("PRAGMA user_version")[0][0] == version
        assert book.read("SELECT 1 FROM sqlite_schema WHERE name = 'note'") == []


def test_a_read_only_old_book_must_be_updated_first(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _with(monkeypatch, NEXT)
    with pytest.raises(StoreError, match="must be updated first"):
        open_book(old, read_only=True)


def test_the_first_opening_of_two_wins(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _with(monkeypatch, NEXT)
    with open_book(old), open_book(old) as second:
        assert load_settings(second) == {"currency": "EUR"}
