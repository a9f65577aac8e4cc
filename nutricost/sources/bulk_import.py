"""Importing a download of FoodData Central as a table beside the embedded one: all of it or nothing."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from nutricost.errors import InputError, SourceError
from nutricost.sources.bulk_archive import Member, members
from nutricost.sources.bulk_csv import READ, import_csv, looks_like_csv
from nutricost.sources.bulk_files import REJECTED, TableFacts, TableWriter, read_facts
from nutricost.sources.bulk_json import import_json

TABLES_FOLDER = "tables"
_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")


@dataclass(frozen=True, slots=True)
class Progress:
    """How far an import is: the file being read, its rows so far, the share done [0..1], the time left [s].

    `seconds_left` is None as long as it can't be told.
    """

    file: str
    rows: int
    done_fraction: float
    seconds_left: float | None


@dataclass(frozen=True, slots=True)
class ImportedTable:
    """A table on disk: what is known of it, its folder and size, and where its rejected rows are listed."""

    facts: TableFacts
    folder: Path
    size_bytes: int

    @property
    def rejected_file(self) -> Path:
        """CSV file of the rows that broke a law, with the reason."""
        return self.folder / REJECTED


def import_table(
    path: Path, data_folder: Path, name: str | None = None, progress: Callable[[Progress], None] | None = None
) -> ImportedTable:
    """The table made of a download (CSV or JSON, a zip archive or a folder), in place of one of that name.

    Nothing is left behind where it fails. Raises SourceError for a file that is no such download, is
    damaged or not safe, InputError for a name that can't be one.
    """
    name = checked_name(name or _name_of(path))
    found = members(path)
    parent = data_folder / TABLES_FOLDER
    work = parent / f".{name}.part"
    try:
        parent.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(work, ignore_errors=True)
        work.mkdir()
        tell = _teller(found, progress)
        with TableWriter(work, name, str(path.resolve())) as writer:
            if looks_like_csv(found):
                import_csv(found, writer, tell)
            else:
                import_json(found, writer, tell)
            facts = writer.finish()
        _put(work, parent / name)
    except OSError as error:
        raise SourceError(f"the table can't be written to {parent} ({error})") from None
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return ImportedTable(facts, parent / name, _size(parent / name))


def refresh_table(
    data_folder: Path, name: str, progress: Callable[[Progress], None] | None = None
) -> ImportedTable:
    """The table imported anew from the file it came from; InputError where there is no such table."""
    table = find_table(data_folder, name)
    return import_table(Path(table.facts.origin), data_folder, name, progress)


def list_tables(data_folder: Path) -> list[ImportedTable]:
    """The imported tables by name; a folder that holds no readable table is left out."""
    found: list[ImportedTable] = []
    parent = data_folder / TABLES_FOLDER
    folders = sorted(parent.iterdir()) if parent.is_dir() else []
    for folder in folders:
        if folder.is_dir() and _NAME.fullmatch(folder.name):
            try:
                found.append(ImportedTable(read_facts(folder), folder, _size(folder)))
            except SourceError:
                continue
    return found


def find_table(data_folder: Path, name: str) -> ImportedTable:
    """The table of this name; InputError naming the others where there is none."""
    tables = list_tables(data_folder)
    for table in tables:
        if table.facts.name == name:
            return table
    names = ", ".join(table.facts.name for table in tables) or "none has been imported"
    raise InputError(f"no table {name!r} (accepted: {names})")


def remove_table(data_folder: Path, name: str) -> int:
    """The bytes set free by removing a table; InputError where there is no such table."""
    table = find_table(data_folder, name)
    try:
        shutil.rmtree(table.folder)
    except OSError as error:
        raise SourceError(f"the table {name!r} can't be removed ({error})") from None
    return table.size_bytes


def checked_name(name: str) -> str:
    """The name, if it can be a table's; InputError otherwise."""
    if not _NAME.fullmatch(name):
        raise InputError(
            f"{name[:60]!r} can't name a table (accepted: small letters, digits, '-' and '_', at most 40)"
        )
    return name


def _name_of(path: Path) -> str:
    """A table's name made of its file's name: small letters, digits, '-' and '_'."""
    made = re.sub(r"[^a-z0-9_-]+", "-", path.stem.lower()).strip("-_")[:40].rstrip("-_")
    return made or "table"


def _put(work: Path, final: Path) -> None:
    """Moves the finished folder into its place; an older one goes only when the new one stands."""
    old = final.with_name(f".{final.name}.old")
    shutil.rmtree(old, ignore_errors=True)
    if final.exists():
        final.rename(old)
    try:
        work.rename(final)
    except OSError:
        if old.exists():
            old.rename(final)
        raise
    shutil.rmtree(old, ignore_errors=True)


def _size(folder: Path) -> int:
    return sum(file.stat().st_size for file in folder.iterdir() if file.is_file())


def _teller(
    found: Mapping[str, Member], progress: Callable[[Progress], None] | None
) -> Callable[[str, int, int], None]:
    """Counts rows and bytes and passes progress on, at most ten times a second."""
    wanted = READ if looks_like_csv(found) else tuple(found)
    total = sum(member.size_bytes for name, member in found.items() if name in wanted) or 1
    rows: dict[str, int] = {}
    state = {"bytes": 0.0, "told": 0.0}
    began = time.monotonic()

    def tell(file: str, more_rows: int, more_bytes: int) -> None:
        if file not in wanted:
            return
        rows[file] = rows.get(file, 0) + more_rows
        state["bytes"] += more_bytes
        now = time.monotonic()
        if progress is not None and now - state["told"] >= 0.1:
            state["told"] = now
            done = min(state["bytes"] / total, 1.0)
            left = (now - began) * (1 - done) / done if done > 0.01 else None
            progress(Progress(file, rows[file], done, left))

    return tell
