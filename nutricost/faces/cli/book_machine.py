"""`nutricost book load`, `maintenance` and `tariff`: the machine's side of the book."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from nutricost.faces.cli.book_options import book_path, cell, on_option, trays_text
from nutricost.faces.cli.output import Group, json_option, print_json, print_table

KINDS = ("run", "oil", "repair", "part", "cleaning", "other")


@click.group(
    cls=Group, epilog="Example: nutricost book load fill corn --trays 2 --weight '1.6 kg' --cost 4.50"
)
def load() -> None:
    """The load in waiting: trays filled over days until the machine is full."""


@load.command("show", epilog="Example: nutricost book load show")
@json_option
def show_command(as_json: bool) -> None:
    """What waits, oldest first, and the cycles that run."""
    from nutricost.api.book import view
    from nutricost.api.book_machine import waiting_load

    waiting = waiting_load(book_path())
    if as_json:
        print_json(
            {
                "trays": waiting.trays,
                "capacity_trays": waiting.capacity_trays,
                "full": waiting.is_full,
                "waiting": [view(one) for one in waiting.entries],
                "running": [view(one) for one in waiting.running],
            }
        )
        return
    print_table(
        ["entry", "filled", "what", "trays", "g", "cost", "", "servings"],
        [_entry_row(one) for one in waiting.entries],
        left=3,
        wrap=(2,),
    )
    capacity = "" if waiting.capacity_trays is None else f" of {waiting.capacity_trays}"
    full = "; the machine can be filled" if waiting.is_full else ""
    click.echo(f"{waiting.trays}{capacity} trays{full}")
    for cycle in waiting.running:
        click.echo(f"cycle {cycle.id} runs since {cycle.started_on}")


def _entry_row(one: Any) -> list[str]:
    money = one.currency if one.cost is not None else ""
    return [
        str(one.id),
        str(one.filled_on),
        one.what,
        str(one.trays),
        cell(one.weight_g),
        cell(one.cost),
        money,
        cell(one.servings),
    ]


@load.command("fill", epilog="Example: nutricost book load fill corn --trays 2 --weight '1.6 kg' --cost 4.50")
@click.argument("what")
@click.option("--trays", type=click.IntRange(1), default=1, show_default=True)
@click.option("--weight", metavar="WEIGHT", help="Of all these trays, such as '1.6 kg'.")
@click.option("--cost", metavar="MONEY", help="Of all these trays.")
@click.option("--servings", help="In all these trays.")
@click.option("--batch", help="The batch of the book that the food belongs to.")
@on_option("Day it was filled.")
@json_option
def fill_command(
    what: str,
    trays: int,
    weight: str | None,
    cost: str | None,
    servings: str | None,
    batch: str | None,
    on: date,
    as_json: bool,
) -> None:
    """Put trays of WHAT into the freezer to wait."""
    from nutricost.api.book import view
    from nutricost.api.book_machine import fill_trays

    entry = fill_trays(
        book_path(), what, filled_on=on, trays=trays, weight=weight, cost=cost, servings=servings, batch=batch
    )
    if as_json:
        print_json(view(entry))
    else:
        click.echo(f"entry {entry.id}: {entry.what}, {trays_text(entry.trays)}")


@load.command("remove", epilog="Example: nutricost book load remove 3")
@click.argument("entry", type=int)
@json_option
def remove_command(entry: int, as_json: bool) -> None:
    """Take the waiting ENTRY out again."""
    from nutricost.api.book_machine import take_out_trays

    take_out_trays(book_path(), entry)
    if as_json:
        print_json({"removed": entry})
    else:
        click.echo(f"removed: {entry}")


@load.command("start", epilog="Example: nutricost book load start --trays 5 --servings corn=6")
@click.option(
    "--trays",
    type=click.IntRange(1),
    help="Trays of the machine; those of the machine's document without it.",
)
@click.option(
    "--share-by",
    type=click.Choice(["trays", "water"]),
    default="trays",
    show_default=True,
    help="How its foods share money and energy.",
)
@click.option("--servings", multiple=True, metavar="WHAT=N", help="Servings of a food that has none yet.")
@on_option("Day it starts.")
@json_option
def start_command(
    trays: int | None, share_by: str, servings: tuple[str, ...], on: date, as_json: bool
) -> None:
    """Start a cycle with the oldest trays; each food becomes a batch of the book."""
    from nutricost.api.book import view
    from nutricost.api.book_machine import start_load

    cycle, entries = start_load(book_path(), started_on=on, trays=trays, share_by=share_by, servings=servings)
    if as_json:
        print_json({"cycle": cycle, "trays": [view(one) for one in entries]})
        return
    click.echo(f"cycle {cycle}:")
    for one in entries:
        click.echo(f"  {trays_text(one.trays)} of {one.what} -> batch {one.batch}")


@load.command(
    "finish", epilog="Example: nutricost book load finish 4 --hours 38 --energy '31 kWh' --dry 'corn=480 g'"
)
@click.argument("cycle", type=int)
@click.option("--hours")
@click.option("--energy", metavar="ENERGY", help="Electricity of the cycle, such as '31 kWh'.")
@click.option("--price-per-kwh", metavar="MONEY")
@click.option("--cost", metavar="MONEY", help="Cost of the cycle, where it is known instead.")
@click.option("--dry", "dry_weights", multiple=True, metavar="BATCH=WEIGHT", help="Weight after drying.")
@on_option("Day it ended.")
@json_option
def finish_command(
    cycle: int,
    hours: str | None,
    energy: str | None,
    price_per_kwh: str | None,
    cost: str | None,
    dry_weights: tuple[str, ...],
    on: date,
    as_json: bool,
) -> None:
    """Write what CYCLE took into the documents of its batches, and its hours into the maintenance."""
    from nutricost.api.book_machine import finish_load

    names = finish_load(
        book_path(),
        cycle,
        finished_on=on,
        hours=hours,
        energy=energy,
        price_per_kwh=price_per_kwh,
        cost=cost,
        dry_weights=dry_weights,
    )
    if as_json:
        print_json({"cycle": cycle, "batches": names})
    else:
        click.echo(f"cycle {cycle} written into: {', '.join(names)}")


@click.group(cls=Group, epilog="Example: nutricost book maintenance add oil --cost 21")
def maintenance() -> None:
    """The machine's care: hours it ran, oil changes, repairs and their cost."""


@maintenance.command("list", epilog="Example: nutricost book maintenance list")
@json_option
def maintenance_list_command(as_json: bool) -> None:
    """Every entry, hours since the last oil change, money spent."""
    from nutricost.api.book import view
    from nutricost.api.book_machine import upkeep

    found = upkeep(book_path())
    if as_json:
        entries = [view(one) for one in found.entries]
        print_json({"entries": entries, "hours_since_oil": found.hours_since_oil, "spent": found.spent})
        return
    print_table(
        ["date", "kind", "note", "hours", "cost", ""],
        [
            [
                str(one.done_on),
                one.kind,
                one.note,
                cell(one.hours),
                cell(one.cost),
                one.currency if one.cost else "",
            ]
            for one in found.entries
        ],
        left=3,
        wrap=(2,),
    )
    oil = (
        "not known, no oil change is written down"
        if found.hours_since_oil is None
        else f"{found.hours_since_oil:f}"
    )
    click.echo(f"Hours since the last oil change: {oil}")
    for currency, amount in found.spent.items():
        click.echo(f"Spent: {amount:f} {currency}")


@maintenance.command(
    "add", epilog="Example: nutricost book maintenance add repair --cost 80 --note 'door seal'"
)
@click.argument("kind", type=click.Choice(KINDS))
@click.option("--hours", help="Hours of a run.")
@click.option("--cost", metavar="MONEY")
@click.option("--note", "remark", default="")
@on_option("Day it was done.")
@json_option
def maintenance_add_command(
    kind: str, hours: str | None, cost: str | None, remark: str, on: date, as_json: bool
) -> None:
    """Keep an entry of KIND."""
    from nutricost.api.book import view
    from nutricost.api.book_machine import add_maintenance

    entry = add_maintenance(book_path(), kind, done_on=on, hours=hours, cost=cost, note=remark)
    if as_json:
        print_json(view(entry))
    else:
        click.echo(f"entry {entry.id}: {entry.kind}, {entry.done_on}")


@click.group(cls=Group, epilog="Example: nutricost book tariff set 23:00-07:00=0.12 07:00-23:00=0.31")
def tariff() -> None:
    """The electricity tariff: flat, or by time of day."""


@tariff.command("set", epilog="Example: nutricost book tariff set 0.17")
@click.argument("prices", nargs=-1, required=True, metavar="PRICE or FROM-TO=PRICE...")
@json_option
def set_command(prices: tuple[str, ...], as_json: bool) -> None:
    """Keep a price per kWh for the whole day, or one for each part of it."""
    from nutricost.api.book_machine import set_tariff

    _print_bands(set_tariff(book_path(), prices), as_json)


@tariff.command("show", epilog="Example: nutricost book tariff show")
@json_option
def tariff_show_command(as_json: bool) -> None:
    """The tariff as it is kept."""
    from nutricost.api.book_machine import current_tariff

    _print_bands(current_tariff(book_path()), as_json)


def _print_bands(bands: list[Any], as_json: bool) -> None:
    from nutricost.api.book import view
    from nutricost.domain.tariff import clock

    if as_json:
        print_json([view(band) for band in bands])
        return
    print_table(
        ["from", "to", "price per kWh", ""],
        [
            [clock(one.start_hour), clock(one.end_hour), cell(one.price_per_kwh), one.currency]
            for one in bands
        ],
        left=2,
    )


@tariff.command("cost", epilog="Example: nutricost book tariff cost --hours 38 --energy '31 kWh'")
@click.option("--hours", required=True, help="Length of the cycle.")
@click.option("--energy", required=True, metavar="ENERGY", help="Its electricity, such as '31 kWh'.")
@json_option
def cost_command(hours: str, energy: str, as_json: bool) -> None:
    """What a cycle costs by the hour it starts, its electricity taken as drawn evenly."""
    from nutricost.api.book_machine import cycle_costs
    from nutricost.domain.tariff import clock

    found = cycle_costs(book_path(), hours=hours, energy=energy)
    if as_json:
        print_json(
            {
                "currency": found.currency,
                "by_start_hour": [{"start_hour": hour, "cost": cost} for hour, cost in found.by_start_hour],
                "cheapest": {"start_hour": found.cheapest_start_hour, "cost": found.cheapest_cost},
            }
        )
        return
    print_table(
        ["start", found.currency], [[clock(hour), f"{cost:.2f}"] for hour, cost in found.by_start_hour]
    )
    click.echo(f"Cheapest: {clock(found.cheapest_start_hour)}, {found.cheapest_cost:.2f} {found.currency}")
