"""`nutricost log`: the cycles so far, and what a planned load is likely to take."""

from __future__ import annotations

from typing import Any

import click

from nutricost.faces.cli.output import json_option, print_heading, print_json, print_list, print_table


@click.command(
    epilog='Example: nutricost log chili.toml stew.toml --machine machine.toml --load "5 kg" --trays 5'
)
@click.argument("batches", metavar="BATCH...", nargs=-1, required=True)
@click.option("--machine", metavar="TOML", help="The machine: trays, tray capacity, turnaround hours.")
@click.option("--load", metavar="WEIGHT", help="A load to come, weighed before drying.")
@click.option("--trays", type=click.IntRange(min=1), help="Its trays; the machine's where left out.")
@json_option
def command(
    batches: tuple[str, ...], machine: str | None, load: str | None, trays: int | None, as_json: bool
) -> None:
    """Past cycles side by side, and from the third on what a load to come is likely to take.

    Hours and electricity are fitted against water removed per tray by least squares; the range is where
    one new cycle falls in 95 of 100 cases.
    """
    from nutricost.api.cycle_log import log_files

    if trays is not None and load is None:
        raise click.UsageError("--trays belongs to a planned load: give --load too")
    log = log_files(batches, machine, load, trays)
    view = log.view()
    if as_json:
        print_json(view)
        return
    _print_cycles(view["cycles"])
    _print_forecast(view)
    print_list("Water as it turned out", [_learned(each) for each in view["rehydration"]])
    print_list("Mind", view["warnings"])


def _print_cycles(cycles: Any) -> None:
    from nutricost.domain.quantities.display import shown

    def cell(figure: Any) -> str:
        return shown(figure) if figure.is_known else "?"

    keys = ("trays", "loaded", "water_removed", "water_per_tray", "hours", "energy", "energy_per_kg_water")
    print_table(
        ["cycle", "trays", "wet g", "water g", "a tray", "hours", "kWh", "kWh/kg"],
        [[" + ".join(each["batches"]), *(cell(each[key]) for key in keys)] for each in cycles],
    )


def _print_forecast(view: Any) -> None:
    from nutricost.domain.quantities.display import shown, shown_with_range

    for key, unit in (("hours", "h"), ("energy", "kWh")):
        fit = view["fit"][key]
        if fit is not None and fit["slope_per_kg_water_a_tray"] is not None:
            click.echo(
                f"{key}: {fit['intercept']:.2f} {unit} and {fit['slope_per_kg_water_a_tray']:.2f} {unit} for "
                f"each kg of water a tray, by {fit['cycles']} cycles (standard deviation "
                f"{fit['standard_deviation']:.2f} {unit})"
            )
    planned = view["forecast"]
    if planned is not None:
        print_heading(f"A load of {shown(planned['load'])} g on {shown(planned['trays'])} trays")
        click.echo(f"water to remove: {shown_with_range(planned['water_per_tray'])} g a tray")
        for key, name in (("hours", "hours"), ("energy", "electricity [kWh]")):
            figure = planned[key]
            click.echo(
                f"{name}: {shown_with_range(figure) if figure.is_known else f'not known: {figure.why}'}"
            )
    weekly = view["cycles_per_week"]
    if weekly.is_known:
        text = f"Cycles a week, run back to back: {shown_with_range(weekly)}"
        if view["load_per_week"] is not None:
            text += f"; {shown_with_range(view['load_per_week'])} g of food a week"
        click.echo(text)


def _learned(dish: Any) -> str:
    from nutricost.domain.quantities.display import shown_with_range

    minutes = ", ".join(f"{each:f}" for each in dish["minutes"])
    text = (
        f"{dish['title']}: {shown_with_range(dish['learned_ratio'])} times the water computed, "
        f"by {len(dish['ratios'])} {'batch' if len(dish['ratios']) == 1 else 'batches'}"
    )
    if dish["water_next_time"].is_known:
        text += f"; next time {shown_with_range(dish['water_next_time'])} mL a serving"
    return f"{text}; minutes: {minutes}." if minutes else f"{text}."
