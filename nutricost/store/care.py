"""Looking after the book: is it whole, and a copy of it."""

from __future__ import annotations

import os
from pathlib import Path

from nutricost.domain.tariff import check_bands
from nutricost.errors import InputError, Problem, StoreError
from nutricost.store import rows
from nutricost.store.batches import list_batches
from nutricost.store.connection import Book, copy_committed
from nutricost.store.labels import label_name, list_labels
from nutricost.store.machine import load_machine
from nutricost.store.shelf import on_shelf
from nutricost.store.tables import TABLES
from nutricost.store.tariff import load_tariff
from nutricost.store.texts import parsed


def check_book(book: Book) -> list[Problem]:
    """Everything wrong with the book: file structure, references, figures, documents. Changes nothing."""
    with book.snapshot():
        return [*_structure(book), *_records(book), *_documents(book)]


def _structure(book: Book) -> list[Problem]:
    faults = [str(row[0]) for row in book.read("PRAGMA integrity_check")]
    problems = [Problem(str(book.path), fault) for fault in faults if fault != "ok"]
    for row in book.read("PRAGMA foreign_key_check"):
        problems.append(Problem(f"{row[0]} {row[1]}", f"refers to a {row[2]} that is not in the book"))
    return problems


def _records(book: Book) -> list[Problem]:
    problems = []
    for table in TABLES:
        try:
            rows.fetch(book, table.name, table.record, order=table.order)
        except StoreError as error:
            problems.append(Problem(table.name, str(error)))
    if not problems:
        for one in on_shelf(book, all_lots=True):
            if one.servings_left < 0:
                problems.append(Problem(f"shelf lot {one.lot.id}", "more was eaten than it held"))
        try:
            if bands := load_tariff(book):
                check_bands(bands)
        except InputError as error:
            problems.append(Problem("tariff", str(error)))
    return problems


def _documents(book: Book) -> list[Problem]:
    problems = []
    for batch in list_batches(book):
        try:
            if parsed(batch.text, "batch").get("title") != batch.title:
                problems.append(Problem(f"batch {batch.name}", "its title differs from its document"))
        except InputError as error:
            problems.append(Problem(f"batch {batch.name}", str(error)))
    for label in list_labels(book):
        try:
            if label_name(label.text) != label.name:
                problems.append(Problem(f"label {label.name}", "its name differs from its document"))
        except InputError as error:
            problems.append(Problem(f"label {label.name}", str(error)))
    machine = load_machine(book)
    try:
        if machine:
            parsed(machine.text, "machine")
    except InputError as error:
        problems.append(Problem("machine", str(error)))
    return problems


def backup_book(book: Book, target: Path) -> Path:
    """The path of a copy of the book, made while others may use it. Raises StoreError.

    An existing file is not overwritten; a folder gets a file of the book's own name.
    """
    if os.path.isdir(target):
        target = target / book.path.name
    if os.path.exists(target):
        raise StoreError(f"{target}: a file of this name is there already (accepted: a new name)")
    copy_committed(book.path, target)
    return target
