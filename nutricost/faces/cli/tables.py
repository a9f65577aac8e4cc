"""`nutricost tables`: food tables imported from bulk files."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from nutricost.faces.cli.output import Group, json_option, note, print_json, print_table

if TYPE_CHECKING:
    from nutricost.api.food_tables import ImportedTable


@click.group(cls=Group, epilog="Example: nutricost tables import FoodData_Central_csv.zip --name branded")
def command() -> None:
    """Food tables imported from FoodData Central's downloads, searched with find --source branded."""


@command.command(name="import", epilog="Example: nutricost tables import FoodData_Central_csv.zip")
@click.argument("file")
@click.option("--name", help="Name of the table; made of the file's name where it is left out.")
@json_option
def import_(file: str, name: str | None, as_json: bool) -> None:
    """Import FILE (a .zip, .json or folder of CSV files) as a table; all of it or nothing."""
    from nutricost.api.food_tables import import_food_table

    with _progress() as tell:
        table = import_food_table(file, name, tell)
    _show(table, as_json)


@command.command(epilog="Example: nutricost tables refresh branded")
@click.argument("name")
@json_option
def refresh(name: str, as_json: bool) -> None:
    """Import the table NAME anew from the file it came from."""
    from nutricost.api.food_tables import refresh_food_table

    with _progress() as tell:
        table = refresh_food_table(name, tell)
    _show(table, as_json)


@command.command(name="list", epilog="Example: nutricost tables list")
@json_option
def list_(as_json: bool) -> None:
    """List the imported tables with their sizes."""
    from nutricost.api.food_tables import food_tables, table_view

    tables = food_tables()
    if as_json:
        print_json([table_view(table) for table in tables])
    elif not tables:
        note("no table has been imported; start with: nutricost tables import FILE.zip")
    else:
        print_table(
            ["table", "foods", "labels", "rejected", "MB"],
            [
                [
                    table.facts.name,
                    f"{table.facts.foods:,}",
                    f"{table.facts.labels:,}",
                    f"{table.facts.rejected_foods:,}",
                    f"{table.size_bytes / 1e6:,.1f}",
                ]
                for table in tables
            ],
        )


@command.command(epilog="Example: nutricost tables remove branded")
@click.argument("name")
@json_option
def remove(name: str, as_json: bool) -> None:
    """Remove the table NAME from the disk."""
    from nutricost.api.food_tables import remove_food_table

    freed = remove_food_table(name)
    if as_json:
        print_json({"removed": name, "freed_bytes": freed})
    else:
        click.echo(f"removed {name}, {freed / 1e6:,.1f} MB free")


def _show(table: ImportedTable, as_json: bool) -> None:
    from nutricost.api.food_tables import table_view

    facts = table.facts
    if as_json:
        print_json(table_view(table))
        return
    click.echo(
        f"{facts.name}: {facts.foods:,} foods, {facts.labels:,} labels, {table.size_bytes / 1e6:,.1f} MB"
    )
    if facts.rejected_foods:
        laws = ", ".join(f"{law} {count:,}" for law, count in sorted(facts.rejected.items()))
        click.echo(f"left out: {facts.rejected_foods:,} foods that break a law ({laws})")
        click.echo(f"the reasons are in {table.rejected_file}")


@contextmanager
def _progress() -> Iterator[Any]:
    """A bar on stderr with file, rows and time left; nothing where stderr is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[rows]:,} rows"),
        TextColumn("{task.fields[left]}"),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=1.0, rows=0, left="")

        def tell(step: Any) -> None:
            left = "" if step.seconds_left is None else f"{step.seconds_left:.0f} s left"
            bar.update(task, description=step.file, completed=step.done_fraction, rows=step.rows, left=left)

        yield tell
