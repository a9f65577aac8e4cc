"""What the commands of the book share: the file they work on, dates, numbers as text."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])


def book_path() -> Path | None:
    """The file named by --book of `nutricost book`, None for the usual place."""
    path: Path | None = click.get_current_context().find_root().meta.get("nutricost.book")
    return path


def day(ctx: click.Context, param: click.Parameter, value: str | None) -> date | None:
    """The date typed as YYYY-MM-DD. Fails as wrong usage."""
    try:
        return None if value is None else date.fromisoformat(value)
    except ValueError:
        raise click.BadParameter(
            f"{value!r} is not a date (accepted: YYYY-MM-DD, such as 2026-03-31)"
        ) from None


def _today() -> str:
    return datetime.now().astimezone().date().isoformat()


def on_option(help_text: str) -> Callable[[F], F]:
    """Adds --on DATE, today unless given."""
    return click.option(
        "--on", "on", callback=day, default=_today, metavar="DATE", help=f"{help_text} [today]"
    )


def trays_text(count: int) -> str:
    """'1 tray', '2 trays'."""
    return f"{count} tray" if count == 1 else f"{count} trays"


def cell(value: object) -> str:
    """A field for a table: '' for nothing, numbers without an exponent."""
    if value is None:
        return ""
    return f"{value:f}" if isinstance(value, Decimal) else str(value)
