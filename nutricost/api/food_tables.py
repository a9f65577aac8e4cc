"""Food tables beyond the embedded one: imported downloads and the live service, by name and by barcode."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutricost.domain.foods.barcodes import read_gtin
from nutricost.domain.foods.records import Food
from nutricost.errors import InputError, SourceError
from nutricost.settings import load_settings
from nutricost.sources import bulk_import
from nutricost.sources.bulk_import import ImportedTable as ImportedTable
from nutricost.sources.bulk_import import Progress as Progress
from nutricost.sources.fdc_labels import DeclaredLabel
from nutricost.sources.label_block import label_block
from nutricost.sources.web_client import FdcClient

if TYPE_CHECKING:
    from nutricost.sources.bulk_tables import BulkMatcher


@dataclass(frozen=True, slots=True)
class BarcodeAnswer:
    """A food found by barcode, its label as a block for a batch file ('' for none), and its table."""

    food: Food
    block: str
    found_in: str


def _data_folder() -> Path:
    folder: Path = load_settings()["data_folder"]
    return folder


def import_food_table(
    path: str, name: str | None = None, progress: Callable[[Progress], None] | None = None
) -> ImportedTable:
    """The table made of a FoodData Central download (CSV or JSON; zip, folder or file)."""
    return bulk_import.import_table(Path(path), _data_folder(), name, progress)


def refresh_food_table(name: str, progress: Callable[[Progress], None] | None = None) -> ImportedTable:
    """The table imported anew from the file it came from."""
    return bulk_import.refresh_table(_data_folder(), name, progress)


def food_tables() -> list[ImportedTable]:
    """The imported tables, by name."""
    return bulk_import.list_tables(_data_folder())


def remove_food_table(name: str) -> int:
    """The bytes set free by removing a table."""
    return bulk_import.remove_table(_data_folder(), name)


def table_view(table: ImportedTable) -> dict[str, Any]:
    """An imported table in its public form; `size` in bytes, `rejected` by the law that was broken."""
    facts = table.facts
    return {
        "name": facts.name,
        "foods": facts.foods,
        "labels": facts.labels,
        "rejected_foods": facts.rejected_foods,
        "rejected": dict(facts.rejected),
        "rejected_file": str(table.rejected_file),
        "size_bytes": table.size_bytes,
        "origin": facts.origin,
    }


def imported_matchers() -> list[BulkMatcher]:
    """A matcher for each imported table; SourceError where none has been imported."""
    from nutricost.sources.bulk_tables import BulkMatcher, BulkTable

    tables = food_tables()
    if not tables:
        raise SourceError(
            "no food table has been imported (accepted: first `nutricost tables import FILE.zip`)"
        )
    return [BulkMatcher(BulkTable(table.folder)) for table in tables]


def food_by_barcode(
    barcode: str, sources: Sequence[str] = (), *, refresh: bool = False, offline: bool = False
) -> tuple[BarcodeAnswer | None, list[str]]:
    """The food with this barcode, from the imported tables, else from the live service; and notices.

    `sources` may be limited to "branded" (imported tables) or "live". Raises InputError for a text that is
    no barcode, SourceError where nothing could be asked.
    """
    from nutricost.sources.bulk_tables import BulkTable

    gtin = read_gtin(barcode)
    asked = set(sources) or {"branded", "live"}
    if not asked <= {"branded", "live"}:
        raise InputError(
            f"barcodes are in no table {sorted(asked - {'branded', 'live'})[0]!r} (accepted: branded, live)"
        )
    tables = food_tables() if "branded" in asked else []
    for table in tables:
        found = BulkTable(table.folder).by_barcode(gtin)
        if found is not None:
            return _answer(found[0], found[1], table.facts.name), []
    if "live" not in asked:
        return None, [] if tables else ["no food table has been imported: nutricost tables import FILE.zip"]
    with closing(FdcClient.of_settings(load_settings(), refresh=refresh, offline=offline)) as client:
        live = client.by_barcode(gtin)
        answer = None if live is None else _answer(live.food, live.label, "FoodData Central")
        return answer, list(client.notices)


def _answer(food: Food, label: DeclaredLabel | None, found_in: str) -> BarcodeAnswer:
    return BarcodeAnswer(food, "" if label is None else label_block(label), found_in)
