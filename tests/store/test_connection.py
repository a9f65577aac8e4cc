"""Opening a book, and every way in which that goes wrong, in plain words."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from nutricost.errors import InputError, StoreError
from nutricost.store import connection, migrations
from nutricost.store.book_settings import load_settings, save_setting
from nutricost.store.care import backup_book
from nutricost.store.connection import Book, copy_committed, default_book_path, open_book
from nutricost.store.exporting import export_book, import_book


def test_a_new_book_has_the_promised_pragmas(book: Book) -> None:
    pragmas = {
        name: book.read(f"PRAGMA {name}")[0][0]
        for name in (
            "application_id",
            "user_version",
            "journal_mode",
            "foreign_keys",
            "synchronous",
            "busy_timeout",
        )
    }
    assert pragmas == {
        "application_id": 0x4E435354,
        "user_version": migrations.latest(),
        "journal_mode": "wal",
        "foreign_keys": 1,
        "synchronous": 2,  # FULL, sqlite.org/pragma.html#pragma_synchronous
        "busy_timeout": 10000,
    }


def test_every_table_is_strict(book: Book) -> None:
    loose = [row["name"] for row in book.read("PRAGMA table_list") if not row["strict"]]
    assert [name for name in loose if not name.startswith("sqlite_")] == []


def test_opening_again_changes_nothing(path: Path) -> None:
    with open_book(path) as book, book.transaction():
        save_setting(book, "currency", "EUR")
    with open_book(path, create=False) as book:
        assert load_settings(book) == {"currency": "EUR"}
    assert not list(path.parent.glob("*.before-*"))


def test_default_path_is_the_setting_or_the_data_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("NUTRICOST_SETTINGS", str(tmp_path / "none.toml"))
    monkeypatch.setenv("NUTRICOST_BOOK", str(tmp_path / "mine.sqlite"))
    assert default_book_path() == tmp_path / "mine.sqlite"
    monkeypatch.delenv("NUTRICOST_BOOK")
    monkeypatch.setenv("NUTRICOST_DATA_FOLDER", str(tmp_path))
    assert default_book_path() == tmp_path / "book.sqlite"


def test_missing_book(path: Path) -> None:
    with pytest.raises(StoreError, match="there is no book here"):
        open_book(path, create=False)
    assert not path.parent.exists()


def test_a_text_file_is_not_a_book(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear aunt, here is the recipe you asked for. " * 200)
    with pytest.raises(StoreError, match="not a book of nutricost"):
        open_book(path)


def test_another_programs_database_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE songs (title TEXT)")
    other.close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match="not a book of nutricost"):
        open_book(path)
    assert path.read_bytes() == before


def test_a_newer_book_is_refused_and_not_touched(path: Path) -> None:
    with open_book(path) as book:
        book.connection.execute(f"PRAGMA user_version = {migrations.latest() + 1}")
    with pytest.raises(StoreError, match=r"newer than this program.*update nutricost"):
        open_book(path)


def test_a_damaged_book(path: Path) -> None:
    with open_book(path) as book:
        for number in range(50):
            with book.transaction():
                save_setting(book, f"name{number}", "x" * 500)
    content = bytearray(path.read_bytes())
    content[4096:] = b"\x5a" * (len(content) - 4096)
    path.write_bytes(content)
    with pytest.raises(StoreError, match="damaged"), open_book(path) as book:
        load_settings(book)


def test_a_cut_off_book(path: Path) -> None:
    open_book(path).close()
    path.write_bytes(path.read_bytes()[:1000])
    with pytest.raises(StoreError, match=r"damaged|not a book"), open_book(path) as book:
        load_settings(book)


def test_a_damaged_table_whose_name_is_no_text(path: Path) -> None:
    """Found by fuzzing: SQLite quotes the damage in its message, which then is no UTF-8."""
    open_book(path).close()
    path.write_bytes(path.read_bytes().replace(b"end_hour TEXT", b"end_hour \x9cEXT"))
    with pytest.raises(StoreError, match="damaged"):
        open_book(path)


def test_a_figure_that_no_decimal_can_be(book: Book) -> None:
    with book.transaction():
        book.write("INSERT INTO tariff_band VALUES ('0', '24', 'cheap', 'USD')")
    from nutricost.store.tariff import load_tariff

    with pytest.raises(StoreError, match="damaged: table tariff_band"):
        load_tariff(book)


def test_a_folder_that_nobody_can_write_in() -> None:
    if not Path("/proc/self").is_dir():
        pytest.skip("needs a folder that refuses even the administrator")
    with pytest.raises(StoreError, match=r"cannot be made|cannot be opened"):
        open_book(Path("/proc/self/kitchen/book.sqlite"))


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "kitchen").write_text("")
    with pytest.raises(StoreError, match=r"cannot be (made|opened)"):
        open_book(tmp_path / "kitchen" / "book.sqlite")


def test_a_path_that_is_a_folder(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot be opened"):
        open_book(tmp_path)


def test_a_read_only_book_reads_and_refuses_to_write(path: Path) -> None:
    with open_book(path) as book, book.transaction():
        save_setting(book, "currency", "EUR")
    with open_book(path, read_only=True) as book:
        assert load_settings(book) == {"currency": "EUR"}
        with pytest.raises(StoreError, match="read-only; nothing was saved"), book.transaction():
            save_setting(book, "currency", "USD")
    with pytest.raises(StoreError, match="no book here"):
        open_book(path.with_name("none.sqlite"), read_only=True)


def test_a_full_disk_saves_nothing_and_keeps_the_rest(path: Path) -> None:
    with open_book(path) as book:
        with book.transaction():
            save_setting(book, "currency", "EUR")
        pages = book.read("PRAGMA page_count")[0][0]
        book.connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(StoreError, match="the disk is full; nothing was saved"), book.transaction():
            save_setting(book, "currency", "USD")
            for number in range(100):
                save_setting(book, f"name{number}", "x" * 1000)
        assert load_settings(book) == {"currency": "EUR"}
        with book.transaction():
            save_setting(book, "currency", "CAD")
        assert load_settings(book) == {"currency": "CAD"}


def test_a_book_that_another_program_holds(path: Path) -> None:
    with open_book(path) as first, open_book(path, busy_timeout_s=0.05) as second:
        with first.transaction():
            save_setting(first, "currency", "EUR")
            assert load_settings(second) == {}  # readers do not wait
            with pytest.raises(StoreError, match="another program is writing"), second.transaction():
                pass
        assert load_settings(second) == {"currency": "EUR"}


def test_a_change_outside_a_transaction_is_a_programming_error(book: Book) -> None:
    with pytest.raises(RuntimeError):
        save_setting(book, "currency", "EUR")


def test_an_exception_undoes_the_transaction(book: Book) -> None:
    with pytest.raises(KeyError), book.transaction():
        save_setting(book, "currency", "EUR")
        raise KeyError
    assert load_settings(book) == {}


def test_a_snapshot_does_not_see_later_writes(path: Path) -> None:
    with open_book(path) as reader, open_book(path) as writer:
        with reader.snapshot():
            assert load_settings(reader) == {}
            with writer.transaction():
                save_setting(writer, "currency", "EUR")
            assert load_settings(reader) == {}
        assert load_settings(reader) == {"currency": "EUR"}


def test_an_sqlite_without_strict_tables(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "MIN_SQLITE", (99, 0, 0))
    with pytest.raises(StoreError, match="too old"):
        open_book(path)


def test_a_copy_to_a_folder_that_is_not_there(book: Book, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot be"):
        copy_committed(book.path, tmp_path / "none" / "copy.sqlite")


@pytest.mark.parametrize("name", ["x" * 300, "a\0b"], ids=["too long", "null"])
def test_a_path_that_no_file_can_have(book: Book, tmp_path: Path, name: str) -> None:
    with pytest.raises(StoreError):
        open_book(tmp_path / name)
    with pytest.raises(StoreError):
        export_book(book, tmp_path / name)
    with pytest.raises((StoreError, InputError)):
        import_book(tmp_path / name, book)
    with pytest.raises(StoreError):
        backup_book(book, tmp_path / name)
