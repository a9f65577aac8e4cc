"""Several programs on one book, and programs killed in the middle of a write."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from nutricost.errors import StaleEdit
from nutricost.store.batches import list_batches, load_batch, remove_batch, save_batch
from nutricost.store.care import check_book
from nutricost.store.connection import open_book
from nutricost.store.maintenance import list_entries
from nutricost.store.purchases import list_purchases

WRITERS = Path(__file__).with_name("writers.py")
BATCH = 'title = "Invented chili"\nservings = 8\n'


def test_two_processes_writing_at_once(path: Path) -> None:
    """The book is not even made when they start."""
    writers = [
        subprocess.Popen(
            [sys.executable, WRITERS, "write", path, name, "30"], stderr=subprocess.PIPE, text=True
        )
        for name in ("one", "two")
    ]
    errors = [writer.communicate()[1] for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0], errors
    with open_book(path) as book:
        # Each numbered its row by those before it, so a lost or doubled write would show.
        assert sorted(int(one.price) for one in list_purchases(book)) == list(range(60))
        assert len(list_entries(book)) == 60


def _faults(command: str, path: Path, kills: int) -> list[str]:
    done = subprocess.run(
        [sys.executable, WRITERS, command, path, str(kills), "8"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    faults: list[str] = json.loads(done.stdout)
    return faults


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")
def test_killed_at_a_hundred_random_points(path: Path) -> None:
    """Nothing committed is lost, nothing half-written appears."""
    assert _faults("kill", path, 100) == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")
def test_killed_while_the_book_is_made(tmp_path: Path) -> None:
    """The next program makes it whole."""
    assert _faults("kill-makers", tmp_path, 25) == []


def test_the_second_of_two_edits_is_told_and_nothing_is_lost(path: Path) -> None:
    with open_book(path) as first, open_book(path) as second:
        with first.transaction():
            batch = save_batch(first, BATCH)
        seen = load_batch(second, batch.name)
        with first.transaction():
            save_batch(first, BATCH + "# mine\n", name=batch.name, seen_revision=batch.revision)
        with (
            pytest.raises(StaleEdit, match="changed in the book since you opened it") as told,
            second.transaction(),
        ):
            save_batch(second, BATCH + "# yours\n", name=seen.name, seen_revision=seen.revision)
        assert (told.value.yours, told.value.stored) == (BATCH + "# yours\n", BATCH + "# mine\n")
        assert told.value.stored_revision == 2
        with second.transaction():
            save_batch(second, BATCH + "# both\n", name=seen.name, seen_revision=2)
        assert load_batch(first, batch.name).revision == 3


def test_an_edit_of_what_was_removed(path: Path) -> None:
    with open_book(path) as book:
        with book.transaction():
            batch = save_batch(book, BATCH)
            remove_batch(book, batch.name, seen_revision=1)
        with pytest.raises(StaleEdit, match="removed from the book") as told, book.transaction():
            save_batch(book, BATCH, name=batch.name, seen_revision=1)
        assert told.value.stored is None


def test_removing_what_somebody_changed(path: Path) -> None:
    with open_book(path) as book:
        with book.transaction():
            batch = save_batch(book, BATCH)
            save_batch(book, BATCH + "# more\n", name=batch.name, seen_revision=1)
        with pytest.raises(StaleEdit), book.transaction():
            remove_batch(book, batch.name, seen_revision=1)
        assert len(list_batches(book)) == 1
        assert check_book(book) == []


def test_a_new_document_does_not_replace_one_of_its_name(path: Path) -> None:
    with open_book(path) as book:
        with book.transaction():
            batch = save_batch(book, BATCH)
        with pytest.raises(StaleEdit), book.transaction():
            save_batch(book, BATCH, name=batch.name, seen_revision=0)


def test_a_stale_edit_survives_pickling() -> None:
    error = pickle.loads(pickle.dumps(StaleEdit("batch 'x'", "mine", "theirs", 4)))
    assert (error.yours, error.stored, error.stored_revision) == ("mine", "theirs", 4)
