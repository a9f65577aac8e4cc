"""The electricity tariff: one flat price, or prices by time of day."""

from __future__ import annotations

from collections.abc import Sequence

from nutricost.domain.tariff import TariffBand, check_bands
from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book


def save_tariff(book: Book, bands: Sequence[TariffBand]) -> None:
    """Keep the bands in place of the tariff before; none at all forgets it. Raises InputError."""
    if bands:
        check_bands(bands)
    if any(band.price_per_kwh < 0 for band in bands):
        raise InputError("the tariff has a price below 0 (accepted: 0 or more)")
    book.write("DELETE FROM tariff_band")
    for band in bands:
        rows.insert(book, "tariff_band", band)


def load_tariff(book: Book) -> list[TariffBand]:
    """The bands by their start; empty where no tariff was saved."""
    found = rows.fetch(book, "tariff_band", TariffBand, order="rowid")
    return sorted(found, key=lambda band: band.start_hour)
