"""The clock, read at the face alone."""

from __future__ import annotations

from datetime import UTC, date, datetime


def today() -> date:
    """Today's date where this program runs."""
    return datetime.now(tz=UTC).astimezone().date()
