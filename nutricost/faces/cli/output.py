"""What every command shares: JSON or tables on stdout, notes on stderr."""

from __future__ import annotations

import codecs
import shutil
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

WIDTH = 80
"""Columns of text output; a narrower terminal gets its own width."""


class Group(click.Group):
    """A group whose help shows each command's first sentence whole; click cuts it to one line."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        commands = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        rows = [(name, command.get_short_help_str(1000)) for name, command in commands if command]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


def json_option(command: F) -> F:
    """Adds --json."""
    return click.option("--json", "as_json", is_flag=True, help="One JSON value on stdout, for machines.")(
        command
    )


def print_json(view: Any) -> None:
    """Prints a view in its public form; money is written from its Decimal.

    Where standard output is not UTF-8, characters beyond ASCII are written as JSON's \\u escapes.
    """
    import simplejson

    from nutricost.api.public_form import plain

    escaped = codecs.lookup(sys.stdout.encoding or "utf-8").name != "utf-8"
    click.echo(simplejson.dumps(plain(view), use_decimal=True, ensure_ascii=escaped, indent=2))


def print_heading(text: str) -> None:
    """A heading above a table."""
    click.secho(f"\n{text}", bold=True)


def print_table(
    headers: Sequence[str], rows: Iterable[Sequence[str]], *, left: int = 1, wrap: Sequence[int] = (0,)
) -> None:
    """An aligned table: the first `left` columns to the left, numbers to the right.

    Columns named in `wrap` may be broken over lines where the table is too wide.
    """
    from rich.box import Box
    from rich.console import Console
    from rich.table import Table

    table = Table(
        box=Box("    \n    \n -- \n    \n    \n    \n    \n    \n", ascii=True),
        pad_edge=False,
        show_edge=False,
    )
    for i, header in enumerate(headers):
        table.add_column(
            header,
            justify="left" if i < left else "right",
            no_wrap=i not in wrap,
            overflow="fold",
            vertical="top",
        )
    for row in rows:
        table.add_row(*(cell.replace("[", r"\[") for cell in row))
    width = min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns) if sys.stdout.isatty() else WIDTH
    console = Console(width=width, highlight=False, markup=True, soft_wrap=False)
    with console.capture() as captured:
        console.print(table)
    for line in captured.get().splitlines():
        click.echo(line.rstrip())  # columns are padded to the right, which a copied table need not keep


def print_list(title: str, items: Sequence[str]) -> None:
    """A titled list, each item wrapped at the width; nothing where it is empty."""
    if not items:
        return
    print_heading(title)
    for item in items:
        click.echo(click.wrap_text(item, WIDTH, initial_indent="  - ", subsequent_indent="    "))


def note(text: str) -> None:
    """A note to the person at the terminal, on stderr."""
    click.echo(text, err=True)
