"""`nutricost drying`: is it dry?"""

from __future__ import annotations

import click

from nutricost.faces.cli.output import json_option, print_json, print_list


@click.command(epilog="Example: nutricost drying chili.toml")
@click.argument("batch", metavar="BATCH")
@click.option(
    "--set", "overrides", multiple=True, metavar="KEY=VALUE", help="What if: change a key of the batch."
)
@json_option
def command(batch: str, overrides: tuple[str, ...], as_json: bool) -> None:
    """Judge the weighings of BATCH: dry, not yet, or can't tell.

    Weigh warm, dry on for two hours or more, weigh again, and add both to [drying]:
    weighings = [{hours = 54, weight = "2.71 kg"}, {hours = 56, weight = "2.70 kg"}]
    Without scale_step, the last digit you typed counts as the step of the scale.
    """
    from nutricost.api.drying import judge_file
    from nutricost.domain.quantities.display import shown, shown_with_range

    report = judge_file(batch, overrides)
    if as_json:
        print_json(report.view())
        return
    verdict = report.verdict
    click.secho(f"{report.title}: {verdict.state}", bold=True)
    if verdict.further_hours is not None:
        click.echo(f"Further hours, {verdict.hours_are}: {shown_with_range(verdict.further_hours)} h")
    if verdict.moisture is not None and verdict.moisture.is_known:
        click.echo(f"Moisture left by the last weighing: {shown_with_range(verdict.moisture)} of the weight")
    if report.water_left is not None:
        click.echo(f"Water left over the solids: {shown_with_range(report.water_left)} g")
    if report.scale_step is not None:
        step = report.scale_step
        click.echo(f"Step of the scale: {shown(step)} g ({step.source})")
    if report.if_packed_now is not None:
        click.echo(report.if_packed_now["text"])
    print_list("Why", list(verdict.reasons))
    print_list(
        "Will it dry and keep well?", [f"{a.text} {a.what_to_do} [{a.standing}]" for a in report.advice]
    )
    print_list("Mind", list(verdict.warnings))
