"""`nutricost again`: the same again, larger or smaller."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

import click

from nutricost.faces.cli.output import json_option, note, print_heading, print_json, print_list, print_table

if TYPE_CHECKING:
    from nutricost.api.again import Unit

_LOAD = {
    "servings": "servings",
    "trays": "trays",
    "bags": "bags",
    "weight_wet": "weight before drying [g]",
    "weight_dry": "weight dry [g]",
    "water_removed": "water removed [g]",
    "water_to_add": "water to add [mL]",
    "water_to_add_per_serving": "water to add a serving [mL]",
    "energy": "energy [kcal]",
}


@click.command(epilog="Example: nutricost again chili.toml --packages 7 --write chili-again.toml")
@click.argument("batch", metavar="BATCH")
@click.option("--packages", type=click.IntRange(min=1), help="Packages to make this time, as in '6 cans'.")
@click.option("--trays", type=click.IntRange(min=1), help="Trays to fill.")
@click.option("--servings", type=click.IntRange(min=1), help="Servings to make.")
@click.option("--of", metavar="TEXT", help="Which line's packages are meant, where several count packages.")
@click.option(
    "--write", metavar="FILE", help="Write the scaled batch as a new document, without what was measured."
)
@click.option(
    "--set", "overrides", multiple=True, metavar="KEY=VALUE", help="What if: change a key of the batch."
)
@json_option
def command(
    batch: str,
    packages: int | None,
    trays: int | None,
    servings: int | None,
    of: str | None,
    write: str | None,
    overrides: tuple[str, ...],
    as_json: bool,
) -> None:
    """A past batch scaled: what the same again, larger or smaller, weighs, makes, drinks and costs."""
    from nutricost.api.again import again_file

    asked: tuple[tuple[Unit, int | None], ...] = (
        ("packages", packages), ("trays", trays), ("servings", servings)
    )  # fmt: skip
    given = [(unit, count) for unit, count in asked if count is not None]
    if len(given) != 1:
        raise click.UsageError("Give one of --packages, --trays and --servings.")
    if of is not None and packages is None:
        raise click.UsageError("--of belongs to --packages.")
    unit, count = given[0]
    again = again_file(batch, Decimal(count), unit, of, overrides)
    if write is not None:
        from nutricost.api.again_document import write_again

        write_again(again, write)
        note(f"wrote {write}")
    if as_json:
        print_json(again.view())
    else:
        _print(again.view(), f"{count} {unit}")


def _print(view: Any, wanted: str) -> None:
    from nutricost.domain.quantities.display import shown, shown_range, shown_with_range

    click.secho(f"{view['title']}, {wanted}", bold=True)
    click.echo(f"{shown(view['factor'])} times the past batch")
    print_heading("Lines")
    print_table(
        ["line", "g", view["currency"]],
        [
            [
                each["line"] if each["scaled"] else f"{each['line']} (amount not scaled)",
                shown(each["grams"]),
                shown(each["cost"]),
            ]
            for each in view["lines"]
        ],
    )
    print_heading("The load")
    rows = [[name, shown(view["load"][key]), shown_range(view["load"][key])] for key, name in _LOAD.items()]
    print_table(["", "", "range"], rows)
    print_heading("What it costs")
    rows = [[name, shown(figure), shown_range(figure)] for name, figure in view["costs"].items()]
    print_table([f"[{view['currency']}]", "", "range"], rows)
    click.echo(f"a serving: {shown_with_range(view['load']['cost_per_serving'])}")
    print_list("Taken for granted", view["assumptions"])
