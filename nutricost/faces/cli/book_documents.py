"""`nutricost book save`, `show`, `machine`, `pouches`, `buy` ...: the documents and purchases of the book."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from nutricost.faces.cli.book_options import book_path, cell, day, on_option
from nutricost.faces.cli.output import json_option, note, print_json, print_table

FILE = click.Path(path_type=Path)


@click.command("save", epilog="Example: nutricost book save chili.toml")
@click.argument("batch", type=FILE)
@click.option("--name", help="Save as this batch, in place of what it held; a new one without it.")
@json_option
def save_command(batch: Path, name: str | None, as_json: bool) -> None:
    """Keep the document BATCH in the book, word for word."""
    from nutricost.api.book import save_batch_file, view

    stored = save_batch_file(book_path(), batch, name)
    if as_json:
        print_json(view(stored))
    else:
        click.echo(f"saved: {stored.name} ({stored.title})")


@click.command("batches", epilog="Example: nutricost book batches corn")
@click.argument("words", nargs=-1)
@json_option
def batches_command(words: tuple[str, ...], as_json: bool) -> None:
    """List the batches whose document holds all WORDS."""
    from nutricost.api.book import list_batches, view

    found = list_batches(book_path(), " ".join(words))
    if as_json:
        print_json([view(one) for one in found])
    else:
        print_table(
            ["name", "title", "servings"], [[one.name, one.title, one.servings] for one in found], left=2
        )


@click.command("show", epilog="Example: nutricost book show turkey-chili > chili.toml")
@click.argument("name")
@json_option
def show_command(name: str, as_json: bool) -> None:
    """Print the document of the batch NAME, word for word."""
    from nutricost.api.book import batch_text

    text = batch_text(book_path(), name)
    if as_json:
        print_json({"name": name, "text": text})
    else:
        click.echo(text, nl=False)


@click.command("weigh", epilog="Example: nutricost book weigh turkey-chili --hours 54 --weight '2.71 kg'")
@click.argument("batch")
@click.option("--hours", required=True, metavar="H", help="Hours since the start.")
@click.option("--weight", required=True, metavar="WEIGHT", help="On the scale; its last digit is the step.")
@json_option
def weigh_command(batch: str, hours: str, weight: str, as_json: bool) -> None:
    """Write a weighing into BATCH (name or title); one at the same hours is replaced.

    Everything else in its document stays as it is. Then: nutricost drying book:BATCH
    """
    from nutricost.api.book import view
    from nutricost.api.book_weighing import weigh

    done = weigh(book_path(), batch, hours, weight)
    if as_json:
        print_json(view(done))
        return
    instead = f" in place of {done.before}" if done.before else ""
    count = f"{done.weighings} weighing{'' if done.weighings == 1 else 's'}"
    click.echo(f"{done.batch}: {done.weight} at {cell(done.hours)} h{instead}; {count}")


@click.command("machine", epilog="Example: nutricost book machine machine.toml")
@click.argument("file", type=FILE, required=False)
@json_option
def machine_command(file: Path | None, as_json: bool) -> None:
    """Keep the machine's document FILE in the book; without FILE, print it."""
    from nutricost.api.book import machine_text, save_machine_file, view

    if file is not None:
        stored = save_machine_file(book_path(), file)
        if as_json:
            print_json(view(stored))
        else:
            click.echo("saved: the machine")
    elif as_json:
        print_json({"text": machine_text(book_path())})
    else:
        click.echo(machine_text(book_path()), nl=False)


@click.command("pouches", epilog="Example: nutricost book pouches > pouches.csv")
@click.option("--add", "file", type=FILE, metavar="FILE", help="Keep the pouches of this CSV or XLSX file.")
@click.option("--prices", "name", metavar="NAME", help="The prices seen for one pouch instead.")
@on_option("Day the prices of --add were seen.")
@json_option
def pouches_command(file: Path | None, name: str | None, on: date, as_json: bool) -> None:
    """Print the pouches as CSV, add those of a file, or show how a price went."""
    from nutricost.api.book import add_pouches_file, pouch_prices, pouches_csv, view

    if file is not None:
        count, warnings = add_pouches_file(book_path(), file, seen_on=on)
        if as_json:
            print_json({"kept": count, "warnings": warnings})
            return
        for warning in warnings:
            note(f"warning: {warning}")
        click.echo(f"kept: {count} pouches")
    elif name is not None:
        prices = pouch_prices(book_path(), name)
        if as_json:
            print_json([view(one) for one in prices])
        else:
            rows = [[str(one.seen_on), one.place, cell(one.price), one.currency] for one in prices]
            print_table(["seen", "place", "price", ""], rows, left=2)
    elif as_json:
        print_json({"csv": pouches_csv(book_path())})
    else:
        click.echo(pouches_csv(book_path()), nl=False)


@click.command(
    "buy", epilog="Example: nutricost book buy 'frozen corn' 8.97 --usual 12 --package '5 lb' --at market"
)
@click.argument("what")
@click.argument("price")
@click.option("--usual", metavar="MONEY", help="What it would have cost at the usual price.")
@click.option("--quantity", default="1", show_default=True, metavar="N", help="Packages bought.")
@click.option("--package", default="", help="What one package holds, such as '5 lb'.")
@click.option("--date-on-package", callback=day, metavar="DATE")
@click.option("--at", "place", default="", help="Where, in your words.")
@on_option("Day of the purchase.")
@json_option
def buy_command(
    what: str,
    price: str,
    usual: str | None,
    quantity: str,
    package: str,
    date_on_package: date | None,
    place: str,
    on: date,
    as_json: bool,
) -> None:
    """Keep a purchase: WHAT for PRICE in all."""
    from nutricost.api.book import add_purchase, view

    bought = add_purchase(
        book_path(),
        what,
        price,
        bought_on=on,
        usual_price=usual,
        quantity=quantity,
        package=package,
        date_on_package=date_on_package,
        place=place,
    )
    if as_json:
        print_json(view(bought))
    else:
        click.echo(f"purchase {bought.id}: {bought.what}, {cell(bought.price)} {bought.currency}")


@click.command("purchases", epilog="Example: nutricost book purchases corn")
@click.argument("words", nargs=-1)
@json_option
def purchases_command(words: tuple[str, ...], as_json: bool) -> None:
    """List the purchases that hold all WORDS, newest first."""
    from nutricost.api.book import list_purchases, view

    found = list_purchases(book_path(), " ".join(words))
    if as_json:
        print_json([view(one) for one in found])
        return
    print_table(
        ["date", "what", "package", "place", "paid", "usual", ""],
        [
            [
                str(one.bought_on),
                one.what,
                one.package,
                one.place,
                cell(one.price),
                cell(one.usual_price),
                one.currency,
            ]
            for one in found
        ],
        left=4,
        wrap=(1, 3),
    )


COMMANDS = (
    save_command,
    batches_command,
    show_command,
    weigh_command,
    machine_command,
    pouches_command,
    buy_command,
    purchases_command,
)
"""What `nutricost book` offers of this module."""
