"""`nutricost plan`: what to make, buy and store."""

from __future__ import annotations

import sys
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING, Any

import click

from nutricost.faces.cli.options import day_option, number_option
from nutricost.faces.cli.output import json_option, note, print_heading, print_json, print_list, print_table
from nutricost.faces.cli.waiting import Waiting, stdout_kept_clean

if TYPE_CHECKING:
    from nutricost.api.planning import PlanReport
    from nutricost.domain.planning import Infeasible, PlanResult

MOST_RUNS_SHOWN = 12


@click.command(epilog="Example: nutricost plan plan.toml --export plan.html")
@click.argument("plan", metavar="PLAN")
@click.option(
    "--least", type=click.Choice(["cost", "weight", "cycles"]), default="cost", show_default=True,
    help="What to keep lowest; among equals the cheapest.",
)  # fmt: skip
@click.option("--start", metavar="DATE", help="First day of the calendar, such as 2026-12-01.")
@click.option(
    "--time-limit", metavar="S", default="60", show_default=True, help="Seconds for choosing the best plan."
)
@click.option(
    "--gap",
    metavar="F",
    default="0.001",
    show_default=True,
    help="How far from the best it may stay unproven.",
)
@click.option(
    "--export", "exports", multiple=True, metavar="FILE",
    help="Also write the comparison of the offers: .csv .xlsx .md .html .parquet .pdf",
)  # fmt: skip
@json_option
def command(
    plan: str,
    least: str,
    start: str | None,
    time_limit: str,
    gap: str,
    exports: tuple[str, ...],
    as_json: bool,
) -> None:
    """What to make, buy and store for people and days.

    PLAN is a TOML document: days, [[people]], [limits], batches, pouches, [on_hand]. Where no plan keeps
    every limit, the limits that clash are named and the exit code is 1.
    """
    from nutricost.api.planning import plan_file
    from nutricost.domain.planning import Infeasible

    seconds = number_option("--time-limit", time_limit, "seconds above 0", above=0)
    unproven = number_option("--gap", gap, "a fraction of 0 or more and below 1", low=0, below=1)
    first = day_option("--start", start) if start is not None else None
    with Waiting() as waiting, stdout_kept_clean():
        report = plan_file(
            plan,
            objective=least,  # type: ignore[arg-type]
            gap=float(unproven),
            time_limit_s=float(seconds),
            start=first,
            progress=waiting.say,
        )
    if as_json:
        print_json(report.view())
    elif isinstance(report.result, Infeasible):
        _print_clash(report, report.result)
    else:
        _print_plan(report, report.result)
    for path in exports:
        from nutricost.faces.exports import export_comparison

        export_comparison(report.comparison, path, report.curves)
        note(f"wrote {path}")
    if not report.is_feasible:
        sys.exit(1)


def _print_plan(report: PlanReport, found: PlanResult) -> None:
    from nutricost.domain.quantities.display import shown, shown_range, shown_with_range

    money = found.cost.unit
    count = f"{found.people} {'person' if found.people == 1 else 'people'}"
    days = f"{found.days.normalize():f} {'day' if found.days == 1 else 'days'}"
    print_heading(f"What to make, buy and take from the shelf: {count}, {days}, least {found.objective}")
    print_table(
        ["", "how many", "servings\neaten", "from the\nshelf", "left\nover", f"cost\n{money}", "kcal"],
        [
            [
                one.offer.name,
                _how_many(one),
                shown(one.servings),
                shown(one.from_shelf),
                shown(one.left_over),
                shown(one.cost),
                shown(one.energy),
            ]
            for one in found.offers
        ],
    )
    day = found.per_person_day
    figures = [
        (f"cost in all [{money}]", found.cost),
        (f"cost per person and day [{money}]", day["cost"]),
        ("energy per person and day [kcal]", day["energy"]),
        ("protein per person and day [g]", day["protein"]),
        ("sodium per person and day [mg]", day["sodium"]),
        ("cycles of the machine", found.cycles),
        ("machine days", found.machine_days),
        ("packed weight [kg]", found.weight.to("kg")),
        ("packed volume [L]", found.volume.to("L")),
        ("water to store [kg or L]", found.water.to("kg")),
        ("of it to pour back [kg or L]", found.rehydration.to("kg")),
    ]
    print_heading("What it comes to")
    print_table(["", "", "range"], [[name, shown(figure), shown_range(figure)] for name, figure in figures])
    print_heading("Shopping list")
    print_table(
        ["", "packages", f"cost\n{money}"],
        [
            [one.item, shown(one.packages), "" if one.cost is None else shown_with_range(one.cost)]
            for one in report.purchases
        ],
    )
    _print_calendar(report)
    print_list(
        "Limits that hold the plan back, and what one unit more is worth",
        [_worth(one) for one in report.view()["binding"]],
    )
    reasons = [f"{name}: {figure.why}" for name, figure in figures if not figure.is_known]
    print_list("Not known", reasons)
    print_list("Mind", [*report.warnings, _SODIUM])


def _worth(one: dict[str, Any]) -> str:
    from nutricost.domain.quantities.display import shown_number

    worth = one["worth"]
    if not worth["value"]:
        return f"{one['limit']}: at its bound, but one unit more would save nothing"
    linear = " (of the plan with fractions of batches and pouches)" if one["from_linear_form"] else ""
    return f"{one['limit']}: {shown_number(worth['value'], worth['unit'].split()[0])} {worth['unit']}{linear}"


_SODIUM = (
    "Stored water is one US gallon a person and day, or the water to pour back where that is more. "
    "Sodium is bounded only where the plan asks for it."
)


def _how_many(one: Any) -> str:
    """'3 batches', '1 pouch', or nothing where it all comes from the shelf."""
    if not one.units:
        return ""
    word, plural = ("batch", "batches") if one.offer.kind == "home" else ("pouch", "pouches")
    return f"{one.units.normalize():f} {word if one.units == 1 else plural}"


def _print_calendar(report: PlanReport) -> None:
    if not report.runs:
        return
    print_heading("Cycles of the machine, one after another")
    shown_runs = [report.run_view(run) for run in report.runs[:MOST_RUNS_SHOWN]]
    print_table(
        ["", "batch", "loads"],
        [
            [str(run["cycle"]), run["batch"], (run["starts"] or f"day {run['day']}").replace("T", " ")]
            for run in shown_runs
        ],
        left=2,
        wrap=(1,),
    )
    if len(report.runs) > MOST_RUNS_SHOWN:
        click.echo(f"... and {len(report.runs) - MOST_RUNS_SHOWN} more (--json has them all)")


def _print_clash(report: PlanReport, found: Infeasible) -> None:
    click.secho("No plan keeps every limit.", bold=True)
    print_list("These clash: no plan keeps them all, and each of them counts", found.clash)
    print_list(
        "The least that would do, one limit alone and the others kept",
        [_relaxed(one) for one in report.view()["relaxations"]],
    )
    print_list("Mind", report.warnings)


def _relaxed(one: dict[str, Any]) -> str:
    """'budget: 612.35 USD instead of 600', rounded away from the clash so that it really does."""
    raised = one["to"] > one["bound"]
    step = Decimal("0.0001") if one["limit"] == "max_share_per_offer" else Decimal("0.01")
    to = one["to"].quantize(step, rounding=ROUND_CEILING if raised else ROUND_FLOOR)
    unit = f" {one['unit']}" if one["unit"] else ""
    return f"{one['limit']}: {to.normalize():f}{unit} instead of {one['bound'].normalize():f}"
