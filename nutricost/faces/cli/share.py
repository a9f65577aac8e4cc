"""`nutricost share`: what each batch of one cycle takes of it."""

from __future__ import annotations

from typing import Any, Literal

import click

from nutricost.faces.cli.output import json_option, print_json, print_table


@click.command(epilog="Example: nutricost share chili.toml rice.toml --by water")
@click.argument("batches", metavar="BATCH...", nargs=-1, required=True)
@click.option("--by", type=click.Choice(["trays", "water"]), default="trays", show_default=True)
@json_option
def command(batches: tuple[str, ...], by: Literal["trays", "water"], as_json: bool) -> None:
    """Share the hours, electricity and money of one cycle among the batches in it.

    Hours, energy and cost under [drying] are those of the whole cycle, in one batch or alike in all.
    """
    from nutricost.api.sharing import share_files
    from nutricost.domain.quantities.display import shown_range

    cycle = share_files(batches, by)
    if as_json:
        print_json(cycle.view())
        return
    everyone = [*cycle.shares, cycle.rest] if cycle.rest is not None else list(cycle.shares)
    rows = [
        [
            each.title,
            *(_cell(figure) for figure in (each.part, each.share, each.hours, each.energy, each.cost)),
            shown_range(each.cost),
        ]
        for each in everyone
    ]
    whole = (cycle.hours, cycle.energy, cycle.cost)
    rows.append(["the cycle", "", "", *(_cell(figure) for figure in whole), shown_range(cycle.cost)])
    part = "trays" if by == "trays" else "water g"
    print_table(["batch", part, "share", "hours", "kWh", cycle.cost.shown_unit, "range"], rows)


def _cell(figure: Any) -> str:
    from nutricost.domain.quantities.display import shown

    return shown(figure) if figure.is_known else "?"
