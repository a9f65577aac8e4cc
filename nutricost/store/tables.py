"""Every table of records beside the documents: its name, record, file in an export, order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from nutricost.domain.tariff import TariffBand
from nutricost.domain.waiting import TrayEntry
from nutricost.store.batches import StoredWeighing
from nutricost.store.book_settings import StoredSetting
from nutricost.store.load import Cycle
from nutricost.store.maintenance import MaintenanceEntry
from nutricost.store.matches import ConfirmedMatch
from nutricost.store.pouches import PouchPrice, StoredPouch
from nutricost.store.purchases import Purchase
from nutricost.store.shelf import Eaten, ShelfLot


@dataclass(frozen=True, slots=True)
class RecordTable:
    """One table of records and the CSV file that carries it out of the book."""

    name: str
    record: type[Any]
    file: str
    order: str


TABLES = (
    RecordTable("weighing", StoredWeighing, "weighings.csv", "id"),
    RecordTable("pouch", StoredPouch, "pouches.csv", "rowid"),
    RecordTable("pouch_price", PouchPrice, "pouch_prices.csv", "id"),
    RecordTable("purchase", Purchase, "purchases.csv", "id"),
    RecordTable("food_match", ConfirmedMatch, "matches.csv", "phrase"),
    RecordTable("maintenance", MaintenanceEntry, "maintenance.csv", "id"),
    RecordTable("tariff_band", TariffBand, "tariff.csv", "rowid"),
    RecordTable("setting", StoredSetting, "settings.csv", "name"),
    RecordTable("shelf_lot", ShelfLot, "shelf.csv", "id"),
    RecordTable("eaten", Eaten, "eaten.csv", "id"),
    RecordTable("cycle", Cycle, "cycles.csv", "id"),
    RecordTable("tray", TrayEntry, "trays.csv", "id"),
)
"""In an order in which each may refer to those before it."""
