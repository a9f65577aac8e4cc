"""`nutricost book recovered`: money that really came back, beside the forecast."""

from __future__ import annotations

from datetime import date

import click

from nutricost.faces.cli.book_options import book_path, day, on_option
from nutricost.faces.cli.output import json_option, print_heading, print_json, print_list, print_table


@click.command(epilog="Example: nutricost book recovered --machine machine.toml --pouches pouches.csv")
@click.option("--machine", metavar="TOML", help="The freeze dryer [the book's].")
@click.option("--pouches", metavar="CSV", help="The pouches of the forecast [the book's].")
@click.option("--against", metavar="NAME", help="One pouch by its name; without it, the one hardest to beat.")
@click.option("--since", callback=day, metavar="DATE", help="First day that counts [the first packing].")
@on_option("Last day that counts.")
@json_option
def recovered(
    machine: str | None,
    pouches: str | None,
    against: str | None,
    since: date | None,
    on: date,
    as_json: bool,
) -> None:
    """What meals from the shelf really gave back, beside what the payback promised.

    A meal gives back what it replaced less what it cost; one that replaced nothing, or was lost, gives
    back less than nothing. Food still on the shelf has given back nothing yet.
    """
    from nutricost.api.recovered import recovered as recovered_of
    from nutricost.domain.quantities.display import shown, shown_range

    report = recovered_of(
        book_path(), on, machine_path=machine, pouches_path=pouches, against=against, since=since
    )
    if as_json:
        print_json(report.view())
        return
    found, money = report.progress, report.outlay.unit
    against_text = f" against {report.forecast.against}" if report.forecast else ""
    figures = [
        (f"outlay: machine and accessories [{money}]", report.outlay),
        (f"recovered to date [{money}]", found.recovered),
        (f"forecast to date{against_text} [{money}]", found.forecast),
        (f"ahead of the forecast [{money}]", found.ahead),
        (f"still to recover [{money}]", found.left),
    ]
    print_heading(f"What really came back, {report.since} to {report.as_of}")
    print_table(["", "", "range"], [[name, shown(figure), shown_range(figure)] for name, figure in figures])
    click.echo(f"\n{found.meals} meals counted, of which {found.replacing_nothing} replaced nothing.")
    print_heading("Meals")
    print_table(
        ["eaten", "what", "instead of", "servings", f"cost\n{money}", f"replaced\n{money}"],
        [
            [
                meal.eaten_on.isoformat(),
                meal.name,
                meal.replaced,
                shown(meal.servings),
                shown(meal.cost),
                shown(meal.replaced_cost),
            ]
            for meal in report.meals
        ],
        left=3,
        wrap=(1, 2),
    )
    print_list("Not known", [f"{name}: {figure.why}" for name, figure in figures if not figure.is_known])
    print_list("Mind", list(report.warnings))
