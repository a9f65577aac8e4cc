"""`nutricost deal`: the verdict at the shelf."""

from __future__ import annotations

import click

from nutricost.faces.cli.output import json_option, print_heading, print_json, print_list, print_table


@click.command(
    epilog="Example: nutricost deal kits.toml --pouches pouches.csv --machine machine.toml --days-to-date 5"
)
@click.argument("batch", metavar="BATCH")
@click.option("--pouches", required=True, metavar="CSV", help="The pouches to beat.")
@click.option("--machine", required=True, metavar="TOML", help="The freeze dryer and what it holds.")
@click.option("--against", metavar="NAME", help="One pouch by its name; without it, the one hardest to beat.")
@click.option("--days-to-date", metavar="N", help="Days to the date on the package; leave out if none binds.")
@click.option("--space", metavar="WEIGHT", help="What the freezer still holds, such as '6 kg'.")
@json_option
def command(
    batch: str,
    pouches: str,
    machine: str,
    against: str | None,
    days_to_date: str | None,
    space: str | None,
    as_json: bool,
) -> None:
    """At the shelf: is this price worth a load, and how many packages can be dried before the date.

    BATCH describes one load at the price on the shelf. A 'best by' on shelf-stable cans binds nothing:
    leave --days-to-date out.
    """
    from nutricost.api.decisions import deal_files, deal_view
    from nutricost.domain.quantities import read_number
    from nutricost.domain.quantities.display import shown, shown_range

    days = read_number(days_to_date) if days_to_date is not None else None
    found = deal_files(batch, pouches, machine, against, days, space)
    money = found.cost_per_serving.unit.split("/")[0]
    if as_json:
        print_json(deal_view(found, money))
        return
    click.secho(found.name, bold=True)
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
