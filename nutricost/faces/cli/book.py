"""`nutricost book`: what is stored in the kitchen book, and moving it in and out."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from nutricost.faces.cli.book_documents import COMMANDS
from nutricost.faces.cli.book_labels import labels, settings
from nutricost.faces.cli.book_machine import load, maintenance, tariff
from nutricost.faces.cli.book_options import book_path, cell, day, on_option
from nutricost.faces.cli.book_recovered import recovered
from nutricost.faces.cli.output import Group, json_option, note, print_json, print_table

FOLDER = click.Path(path_type=Path, file_okay=False)
FILE = click.Path(path_type=Path)


@click.group(cls=Group, epilog="Example: nutricost book shelf")
@click.option(
    "--book",
    "path",
    type=FILE,
    metavar="FILE",
    help="The book [NUTRICOST_BOOK, else the user's data folder].",
)
@click.pass_context
def book(ctx: click.Context, path: Path | None) -> None:
    """The kitchen book: batches, purchases, the shelf, the load in waiting, the machine's care."""
    ctx.find_root().meta["nutricost.book"] = path


command = book
for part in (*COMMANDS, labels, settings, load, maintenance, tariff, recovered):
    book.add_command(part)


# -- in and out -----------------------------------------------------------------------------------


@book.command("export", epilog="Example: nutricost book export kitchen-2026")
@click.argument("folder", type=FOLDER)
@json_option
def export_command(folder: Path, as_json: bool) -> None:
    """Write the whole book to a new FOLDER of plain documents (TOML and CSV)."""
    from nutricost.api.book import export_to

    written = export_to(book_path(), folder)
    if as_json:
        print_json({"folder": str(written)})
    else:
        click.echo(f"written: {written}")


@book.command("import", epilog="Example: nutricost book --book new.sqlite import kitchen-2026")
@click.argument("folder", type=FOLDER)
@click.option("--replace", is_flag=True, help="Empty the book first, in the same transaction.")
@json_option
def import_command(folder: Path, replace: bool, as_json: bool) -> None:
    """Read a FOLDER of plain documents into the book: all of it, or nothing if anything is wrong."""
    from nutricost.api.book import import_from

    warnings = [str(warning) for warning in import_from(book_path(), folder, replace=replace)]
    if as_json:
        print_json({"folder": str(folder), "warnings": warnings})
        return
    for warning in warnings:
        note(f"warning: {warning}")
    click.echo(f"read: {folder}")


@book.command("check", epilog="Example: nutricost book check")
@json_option
def check_command(as_json: bool) -> None:
    """Check the file, its references, figures and documents. Changes nothing; exit 1 if a fault is found."""
    from nutricost.api.book import check

    problems = [str(problem) for problem in check(book_path())]
    if as_json:
        print_json({"sound": not problems, "problems": problems})
    elif not problems:
        click.echo("the book is sound")
    for problem in problems:
        note(f"error: {problem}")
    if problems:
        click.get_current_context().exit(1)


@book.command("backup", epilog="Example: nutricost book backup book-2026-03.sqlite")
@click.argument("target", type=FILE)
@json_option
def backup_command(target: Path, as_json: bool) -> None:
    """Copy the book to TARGET, a new file or a folder, even while it is in use."""
    from nutricost.api.book import backup

    written = backup(book_path(), target)
    if as_json:
        print_json({"file": str(written)})
    else:
        click.echo(f"written: {written}")


# -- the shelf ------------------------------------------------------------------------------------


@book.command("shelf", epilog="Example: nutricost book shelf chili")
@click.argument("words", nargs=-1)
@json_option
def shelf_command(words: tuple[str, ...], as_json: bool) -> None:
    """What is left on the shelf, in the order to eat it: earliest best-by first, then oldest."""
    from nutricost.api.book import shelf, shelf_view

    left = shelf(book_path(), " ".join(words))
    if as_json:
        print_json(shelf_view(left))
        return
    print_table(
        ["lot", "name", "packed", "best by", "bags", "servings", "kcal"],
        [
            [
                str(one.lot.id),
                one.lot.name,
                str(one.lot.packed_on),
                cell(one.lot.best_by),
                str(one.bags_left),
                cell(one.servings_left),
                "not known" if one.kcal_left is None else f"{one.kcal_left:.0f}",
            ]
            for one in left
        ],
        left=4,
        wrap=(1,),
    )


@book.command("pack", epilog="Example: nutricost book pack turkey-chili --best-by 2041-03-01")
@click.argument("batch")
@click.option("--bags", type=click.IntRange(1), help="Bags, where [packing] of the batch does not say.")
@click.option("--servings", help="Servings in all of them; those of the batch without it.")
@click.option("--best-by", callback=day, metavar="DATE")
@on_option("Day of packing.")
@json_option
def pack_command(
    batch: str, bags: int | None, servings: str | None, best_by: date | None, on: date, as_json: bool
) -> None:
    """Put the bags of BATCH on the shelf, with its servings and calories."""
    from nutricost.api.book import view
    from nutricost.api.book_meals import pack

    lot = pack(book_path(), batch, packed_on=on, best_by=best_by, bags=bags, servings=servings)
    if as_json:
        print_json(view(lot))
    else:
        click.echo(f"lot {lot.id}: {lot.name}, {lot.bags} bags, {cell(lot.servings)} servings")


@book.command(
    "eat", epilog="Example: nutricost book eat 'Turkey chili' 2 --replaced pouch --name 'Invented stew'"
)
@click.argument("what")
@click.argument("servings", default="1")
@click.option(
    "--replaced",
    type=click.Choice(["pouch", "meal", "nothing", "lost"]),
    default="nothing",
    show_default=True,
    help="What was not bought because of it; 'lost' for a failed bag.",
)
@click.option("--name", "replaced_name", default="", help="Which pouch or meal.")
@click.option(
    "--cost", "replaced_cost", metavar="MONEY", help="What it would have cost; a pouch of the book knows."
)
@click.option("--note", "remark", default="")
@on_option("Day it was eaten.")
@json_option
def eat_command(
    what: str,
    servings: str,
    replaced: str,
    replaced_name: str,
    replaced_cost: str | None,
    remark: str,
    on: date,
    as_json: bool,
) -> None:
    """Take SERVINGS of WHAT (a name or a lot's number) off the shelf, first to expire first."""
    from nutricost.api.book import eat, view

    events = eat(
        book_path(),
        what,
        servings,
        eaten_on=on,
        replaced=replaced,
        replaced_name=replaced_name,
        replaced_cost=replaced_cost,
        note=remark,
    )
    if as_json:
        print_json([view(event) for event in events])
        return
    for event in events:
        saved = (
            "" if event.replaced_cost is None else f", {cell(event.replaced_cost)} {event.currency} not spent"
        )
        click.echo(f"lot {event.lot}: {cell(event.servings)} servings{saved}")


# -- confirmed matches ----------------------------------------------------------------------------


@book.group(epilog="Example: nutricost book matches list")
def matches() -> None:
    """Which food a phrase means in this kitchen, as you confirmed it."""


@matches.command("list", epilog="Example: nutricost book matches list --json")
@json_option
def list_command(as_json: bool) -> None:
    """List the confirmed matches."""
    from nutricost.api.book import list_matches, view

    found = list_matches(book_path())
    if as_json:
        print_json([view(one) for one in found])
    else:
        print_table(
            ["phrase", "food", "since"],
            [[one.phrase, one.food, str(one.confirmed_on)] for one in found],
            left=3,
        )


@matches.command("forget", epilog="Example: nutricost book matches forget 'sweet corn'")
@click.argument("phrase")
@json_option
def forget_command(phrase: str, as_json: bool) -> None:
    """Forget what was confirmed for PHRASE."""
    from nutricost.api.book import forget_match

    forget_match(book_path(), phrase)
    if as_json:
        print_json({"forgotten": phrase})
    else:
        click.echo(f"forgotten: {phrase}")


@matches.command("export", epilog="Example: nutricost book matches export matches.csv")
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True), default="-")
@json_option
def export_matches_command(file: Path, as_json: bool) -> None:
    """Write the confirmed matches as CSV to FILE, or to standard output."""
    from nutricost.api.book import list_matches, matches_csv, view
    from nutricost.api.files import write_file

    if as_json:
        print_json([view(one) for one in list_matches(book_path())])
    elif str(file) == "-":
        click.echo(matches_csv(book_path()), nl=False)
    else:
        write_file(file, matches_csv(book_path()).encode())
        click.echo(f"written: {file}")
