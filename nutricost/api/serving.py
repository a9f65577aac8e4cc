"""What has to be there before the book is served."""

from __future__ import annotations

from pathlib import Path

from nutricost.settings import load_settings
from nutricost.store.connection import open_book


def prepare_book(path: Path | None) -> Path:
    """The path of the book, made if need be. Raises StoreError where it can't be opened."""
    chosen = path or load_settings().book
    with open_book(chosen):
        return chosen
