"""`nutricost deal`: the verdict at the shelf."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from nutricost.faces.cli.options import number_option
from nutricost.faces.cli.output import json_option, print_heading, print_json, print_list, print_table

if TYPE_CHECKING:
    from nutricost.api.decisions import DealReport
    from nutricost.domain.deal import Deal


@click.command(
    epilog="Example: nutricost deal kits.toml --pouches pouches.csv --machine machine.toml --days-to-date 5"
)
@click.argument("batches", nargs=-1, required=True, metavar="BATCH...")
@click.option("--pouches", required=True, metavar="CSV", help="The pouches to beat.")
@click.option("--machine", required=True, metavar="TOML", help="The freeze dryer and what it holds.")
@click.option("--against", metavar="NAME", help="One pouch by its name; without it, the one hardest to beat.")
@click.option(
    "--days-to-date", multiple=True, metavar="N",
    help="Days to the date on the package; leave out if none binds. One for all deals, or one each.",
)  # fmt: skip
@click.option("--space", metavar="WEIGHT", help="What the freezer still holds, such as '6 kg'.")
@click.option(
    "--hours", metavar="H", help="Of several deals: hours of machine time, to say what to dry in them."
)
@json_option
def command(
    batches: tuple[str, ...],
    pouches: str,
    machine: str,
    against: str | None,
    days_to_date: tuple[str, ...],
    space: str | None,
    hours: str | None,
    as_json: bool,
) -> None:
    """At the shelf: is this price worth a load, and how many packages can be dried before the date.

    BATCH describes one load at the price on the shelf; several are ranked by what a machine hour saves.
    A 'best by' on shelf-stable cans binds nothing: leave --days-to-date out.
    """
    from nutricost.api.decisions import deal_files

    days = [number_option("--days-to-date", text, "days, 0 or more", low=0) for text in days_to_date]
    time = number_option("--hours", hours, "hours above 0", above=0) if hours is not None else None
    report = deal_files(batches, pouches, machine, against, days, space, time)
    if as_json:
        print_json(report.view())
        return
    for found in report.deals:
        _print_deal(found, report.currency)
    if len(report.deals) > 1:
        _print_ranking(report)


def _print_deal(found: Deal, money: str) -> None:
    from nutricost.api.decisions import verdict
    from nutricost.domain.quantities.display import shown, shown_range

    click.secho(found.name, bold=True)
    click.echo(verdict(found))
    figures = [
        (f"a finished serving costs [{money}]", found.cost_per_serving),
        (f"kcal per {money}", found.kcal_per_money),
    ]
    if found.rival_kcal_per_money is not None:
        figures.append((f"kcal per {money} of {found.against}", found.rival_kcal_per_money))
    figures += [
        (f"highest price of a package that still wins [{money}]", found.tie_price_per_package),
        ("packages in a load", found.packages_per_load),
        ("loads before the date", found.loads_before_date),
        ("packages to buy", found.packages_to_buy),
        (f"saved by buying that many [{money}]", found.money_saved),
    ]
    print_heading("The deal")
    print_table(["", "", "range"], [[name, shown(figure), shown_range(figure)] for name, figure in figures])
    click.echo(f"\nThe number to buy is limited by: {', '.join(found.limited_by)}.")
    reasons = [f"{name}: {figure.why}" for name, figure in figures if not figure.is_known]
    print_list("Not known", reasons)
    print_list("Mind", list(found.warnings))
    click.echo()


def _print_ranking(report: DealReport) -> None:
    from nutricost.api.decisions import saving_per_hour
    from nutricost.domain.quantities.display import shown, shown_number, shown_range

    money = report.currency
    print_heading("What to dry first: money saved per machine hour")
    print_table(
        ["", f"{money} an hour", "range", "hours a load"],
        [
            [one.name, shown(per := saving_per_hour(one)), shown_range(per), shown(one.hours_per_load)]
            for one in report.deals
        ],
    )
    choice = report.choice
    if choice is None:
        click.echo("\nWith --hours H, the loads that save most in that time are named.")
        return
    loads = [f"{name}: {count} {'load' if count == 1 else 'loads'}" for name, count in choice.loads]
    print_list(
        f"Saving most: {shown_number(choice.saving, money)} {money} in "
        f"{shown_number(choice.hours, 'h')} machine hours",
        loads or ["nothing: no load saves anything, or none fits"],
    )
