"""`nutricost payback`: when the machine has paid for itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from nutricost.faces.cli.options import number_option
from nutricost.faces.cli.output import json_option, note, print_heading, print_json, print_list, print_table

if TYPE_CHECKING:
    from nutricost.api.payback import PaybackReport, Returns
    from nutricost.domain.payback import Payback, Sensitivity
    from nutricost.domain.quantities import Figure


@click.command(epilog="Example: nutricost payback chili.toml --pouches pouches.csv --machine machine.toml")
@click.argument("batches", nargs=-1, required=True, metavar="BATCH...")
@click.option("--pouches", required=True, metavar="CSV", help="The pouches that would have been bought.")
@click.option("--machine", required=True, metavar="TOML", help="The freeze dryer and what it costs.")
@click.option("--against", metavar="NAME", help="One pouch by its name; without it, each in turn.")
@click.option(
    "--equal", type=click.Choice(["kcal", "serving", "protein"]), default="kcal", show_default=True,
    help="What a batch replaces the same amount of.",
)  # fmt: skip
@click.option(
    "--rate", metavar="FRACTION",
    help="Yearly discount rate, such as 0.05: adds net present value and discounted payback.",
)  # fmt: skip
@click.option(
    "--years", metavar="N", help="Years of use, after which the machine may be sold (the machine's, else 10)."
)
@click.option(
    "--picture", "pictures", multiple=True, metavar="FILE", help="Also draw money over time: .svg or .png"
)
@json_option
def command(
    batches: tuple[str, ...],
    pouches: str,
    machine: str,
    against: str | None,
    equal: str,
    rate: str | None,
    years: str | None,
    pictures: tuple[str, ...],
    as_json: bool,
) -> None:
    """When the machine has paid for itself; several batches count as an average one."""
    from nutricost.api.payback import payback_files

    fraction = (
        number_option("--rate", rate, "a fraction from 0 to 1, such as 0.05", low=0, below=1)
        if rate is not None
        else None
    )
    used = number_option("--years", years, "years above 0", above=0) if years is not None else None
    report = payback_files(batches, pouches, machine, against, equal, fraction, used)  # type: ignore[arg-type]
    if as_json:
        print_json(report.view())
    else:
        _print_report(report)
    for path in pictures:
        from nutricost.faces.exports.pictures import payback_picture, write_picture

        write_picture(payback_picture(report.curves, report.machine.currency), path)
        note(f"wrote {path}")


def _print_report(report: PaybackReport) -> None:
    from nutricost.domain.payback import CAVEAT

    money = report.machine.currency
    for result, returns, rows in zip(report.paybacks, report.returns, report.sensitivities, strict=True):
        print_heading(f"Against {result.against}, for the same {_EQUAL[result.equal]}")
        _print_figures(_figures(result, money))
        years = f"{returns.years.normalize():f}"
        print_heading(f"Over {years} years of use")
        _print_figures(_over_years(result, returns, money))
        _print_sensitivity(rows)
        print_list("Mind", [CAVEAT, *result.warnings, *report.warnings])


def _print_figures(figures: list[tuple[str, Figure]]) -> None:
    from nutricost.domain.quantities.display import shown, shown_range

    print_table(["", "", "range"], [[name, shown(figure), shown_range(figure)] for name, figure in figures])
    for why in dict.fromkeys(figure.why for _, figure in figures if not figure.is_known):
        click.echo(click.wrap_text(why, 80, initial_indent="  ", subsequent_indent="  "))


def _figures(result: Payback, money: str) -> list[tuple[str, Figure]]:
    return [
        (f"outlay: machine and accessories [{money}]", result.outlay),
        (f"a batch costs [{money}]", result.batch_cost),
        (f"the same in pouches costs [{money}]", result.replaced_cost),
        (f"saved a batch [{money}]", result.saving_per_batch),
        ("batches to break even", result.batches_to_break_even),
        ("batches a month", result.batches_per_month),
        ("months to break even", result.months_to_break_even),
    ]


def _over_years(result: Payback, returns: Returns, money: str) -> list[tuple[str, Figure]]:
    figures = [
        (f"saved a year [{money}]", returns.saving_per_year),
        (f"the machine's share of a cycle, not in the batch's cost [{money}]", returns.share_per_cycle),
    ]
    if result.if_sold is not None:
        figures.append(("batches to break even, if sold then", result.if_sold.batches_to_break_even))
    for name, figure in [
        (f"net present value at {returns.rate}, without selling [{money}]", returns.net_present_value),
        (f"net present value at {returns.rate}, if sold then [{money}]", returns.value_if_sold),
        (f"years to break even, discounted at {returns.rate}", returns.discounted_payback),
    ]:
        if figure is not None:
            figures.append((name, figure))
    return figures


def _print_sensitivity(rows: tuple[Sensitivity, ...]) -> None:
    from nutricost.domain.quantities.display import shown

    print_heading("If one thing were 20 % lower or higher: months to break even")
    print_table(
        ["", "20 % lower", "20 % higher"],
        [
            [row.what.replace("_", " "), *(shown(end.months_to_break_even) for end in (row.less, row.more))]
            for row in rows
        ],
    )


_EQUAL = {"kcal": "energy", "serving": "number of servings", "protein": "protein"}
