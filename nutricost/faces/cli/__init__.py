"""The command line. Each command lives in a module of its own, imported only when it is asked for."""

from __future__ import annotations

import importlib
import sys
from typing import Any

import click

from nutricost.faces.cli import streams
from nutricost.faces.cli.options import with_book_option

_COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("demo", "Write invented demo documents and run the whole job on them."),
    "card": ("card", "The recipe card of a batch: what is in it, and what it costs."),
    "compare": ("compare", "Batches beside pouches on equal terms."),
    "rank": ("rank", "Order offers by any ratio, such as 'calories per dollar'."),
    "find": ("find", "Search the food tables."),
    "match": ("match", "Ingredient lines to foods and grams."),
    "trace": ("trace", "Show how one figure came about."),
    "drying": ("drying", "Is it dry? Judge a series of weighings."),
    "log": ("log", "Past cycles, and what a planned load is likely to take."),
    "again": ("again", "The same again: a past batch scaled to packages, trays or servings."),
    "share": ("share", "Hours, electricity and money of one cycle among its batches."),
    "deal": ("deal", "At the shelf: is this price worth a load, and how many packages?"),
    "payback": ("payback", "When the machine has paid for itself."),
    "plan": ("plan", "What to make, buy and store for people and days."),
    "labels": ("labels", "Bag labels, as text, HTML or a PDF sheet to print."),
    "serve": ("serve", "The same on a local web page."),
    "book": ("book", "The kitchen book: what is stored, and moving it in and out."),
    "recipe": ("recipe", "Recipes from elsewhere to batch documents, and back."),
    "tables": ("tables", "Food tables imported from bulk files."),
    "settings": ("settings", "Settings, their values and where each came from."),
}
"""Command name -> module in this package (with a click command `command`) and its line of help."""

_READ_THE_BOOK = (
    "card", "compare", "rank", "match", "trace", "drying", "log", "again", "share", "deal", "payback", "plan",
    "labels",
)  # fmt: skip
"""Commands that take documents named as book:TITLE (book: for the pouches and the machine), or choices."""


class _Commands(click.Group):
    """A group that imports a command's module when it is first needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in _COMMANDS:
            return None
        module = importlib.import_module(f"nutricost.faces.cli.{_COMMANDS[name][0]}")
        command: click.Command = module.command
        return with_book_option(command) if name in _READ_THE_BOOK else command

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError:  # click would end with 1, which here means a refused input
            streams.give_up()
            ctx.exit(0)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in _COMMANDS.items()])


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Start with: nutricost demo",
)
@click.version_option(package_name="nutricost", message="nutricost %(version)s")
def app() -> None:
    """What a home freeze-dried batch really holds and costs, beside the pouch on the shelf."""


def run() -> None:
    """Runs the command line; bad input ends with its problems on stderr and exit code 1."""
    from nutricost.errors import NutricostError

    streams.provide()
    try:
        try:
            app.main(prog_name="nutricost", color=False if streams.plain_style() else None)
        finally:
            sys.stdout.flush()
    except NutricostError as error:
        for line in str(error).splitlines():
            click.echo(f"error: {line}", err=True)
        sys.exit(1)
    except BrokenPipeError:  # the reader of a pipe went away
        streams.give_up()
        sys.exit(0)
    except OSError as error:  # a full disk, a folder that vanished
        streams.give_up()
        click.echo(f"error: {error.filename or 'standard output'}: {error.strerror or error}", err=True)
        sys.exit(1)
