"""Numbers and days given as options, refused with the option's name and what is accepted."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import click

from nutricost.errors import InputError


def number_option(
    option: str, text: str, accepted: str, *, low: int | None = None, above: int | None = None,
    below: int | None = None,
) -> Decimal:  # fmt: skip
    """The number that an option was given. Raises InputError outside [low, below) or at most `above`."""
    from nutricost.domain.quantities import read_number

    try:
        value = read_number(text)
    except InputError:
        raise InputError(f"{option}: {text!r} is not a number (accepted: {accepted})") from None
    if (
        (low is not None and value < low)
        or (above is not None and value <= above)
        or (below is not None and value >= below)
    ):
        raise InputError(f"{option}: {text} is out of range (accepted: {accepted})")
    return value


def day_option(option: str, text: str) -> date:
    """The day that an option was given. Raises InputError."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"{option}: {text!r} is no date (accepted: a day such as 2026-12-01)") from None


def with_book_option(command: click.Command) -> click.Command:
    """The command with --book FILE: where its book:TITLE documents and confirmed choices come from."""
    if all(parameter.name != "book" for parameter in command.params):
        command.params.append(
            click.Option(
                ["--book"],
                type=click.Path(exists=True, dir_okay=False, path_type=Path),
                metavar="FILE",
                expose_value=False,
                callback=_use_book,
                help="The book that book:TITLE is read from [NUTRICOST_BOOK, else the user's data folder].",
            )
        )
    return command


def _use_book(context: click.Context, _: click.Parameter, path: Path | None) -> None:
    if path is not None:
        from nutricost.api.inputs import using_book

        context.with_resource(using_book(path))
