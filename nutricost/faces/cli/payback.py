"""`nutricost payback`: when the machine has paid for itself."""

from __future__ import annotations

from decimal import Decimal

import click

from nutricost.faces.cli.output import json_option, note, print_heading, print_json, print_list, print_table


@click.command(epilog="Example: nutricost payback chili.toml --pouches pouches.csv --machine machine.toml")
@click.argument("batches", nargs=-1, required=True, metavar="BATCH...")
@click.option("--pouches", required=True, metavar="CSV", help="The pouches that would have been bought.")
@click.option("--machine", required=True, metavar="TOML", help="The freeze dryer and what it costs.")
@click.option("--against", metavar="NAME", help="One pouch by its name; without it, each in turn.")
@click.option(
    "--equal", type=click.Choice(["kcal", "serving", "protein"]), default="kcal", show_default=True,
    help="What a batch replaces the same amount of.",
)  # fmt: skip
@click.option("--picture", metavar="FILE", help="Draw the money gained month by month (.svg or .png).")
@click.option("--rate", metavar="FRACTION", help="Yearly discount rate, such as 0.05.")
@json_option
def command(
    batches: tuple[str, ...],
    pouches: str,
    machine: str,
    against: str | None,
    equal: str,
    picture: str | None,
    rate: str | None,
    as_json: bool,
) -> None:
    """When the machine has paid for itself; several batches count as an average one."""
    from nutricost.api.decisions import payback_files
    from nutricost.domain.payback import CAVEAT
    from nutricost.domain.quantities import read_number
    from nutricost.domain.quantities.display import shown, shown_range

    fraction: Decimal | None = read_number(rate) if rate is not None else None
    report = payback_files(batches, pouches, machine, against, equal, fraction)  # type: ignore[arg-type]
    if picture is not None:
        from nutricost.api.breakdown import cash_curves
        from nutricost.faces.exports.pictures import payback_picture, write_picture

        write_picture(payback_picture(cash_curves(report.paybacks), report.machine.currency), picture)
        note(f"wrote {picture}")
    if as_json:
        print_json(report.view())
        return
    money = report.machine.currency
    for result, rows in zip(report.paybacks, report.sensitivities, strict=True):
        print_heading(f"Against {result.against}, for the same {_EQUAL[result.equal]}")
        figures = [
            (f"outlay: machine and accessories [{money}]", result.outlay),
            (f"a batch costs [{money}]", result.batch_cost),
            (f"the same in pouches costs [{money}]", result.replaced_cost),
            (f"saved a batch [{money}]", result.saving_per_batch),
            ("batches to break even", result.batches_to_break_even),
            ("batches a month", result.batches_per_month),
            ("months to break even", result.months_to_break_even),
        ]
        if result.if_sold is not None:
            years = f"{result.if_sold.years.normalize():f}"
            figures.append(
                (f"batches to break even, if sold after {years} years", result.if_sold.batches_to_break_even)
            )
        print_table(
            ["", "", "range"], [[name, shown(figure), shown_range(figure)] for name, figure in figures]
        )
        for figure in (result.batches_to_break_even, result.months_to_break_even):
            if not figure.is_known:
                click.echo(f"  {figure.name}: {figure.why}")
        print_heading("If one thing were 20 % lower or higher: months to break even")
        print_table(
            ["", "20 % lower", "20 % higher"],
            [
                [
                    row.what.replace("_", " "),
                    *(shown(end.months_to_break_even) for end in (row.less, row.more)),
                ]
                for row in rows
            ],
        )
        print_list("Mind", [CAVEAT, *result.warnings, *report.warnings])


_EQUAL = {"kcal": "energy", "serving": "number of servings", "protein": "protein"}
