"""`nutricost card`: the recipe card."""

from __future__ import annotations

from typing import Any

import click

from nutricost.faces.cli.card_keeping import print_keeping
from nutricost.faces.cli.output import json_option, print_heading, print_json, print_list, print_table

NAMES = {
    "energy": "energy [kcal]",
    "protein": "protein [g]",
    "fat": "fat [g]",
    "saturated_fat": "saturated fat [g]",
    "carbohydrate": "carbohydrate [g]",
    "fiber": "fibre [g]",
    "sugar": "sugar [g]",
    "sodium": "sodium [mg]",
    "weight_wet": "weight before drying [g]",
    "weight_dry": "weight dry [g]",
    "water_to_add": "water to add [g]",
}


DRYING = {
    "solids": "solids [g]",
    "water_removed": "water removed [g]",
    "residual_moisture": "residual moisture [fraction]",
    "minimum_energy": "least energy by physics [kWh]",
    "freezing_duty": "heat of cooling and freezing, apart [kWh]",
    "measured_energy": "electricity used [kWh]",
    "energy_ratio": "electricity / least energy",
    "energy_per_kg_water": "electricity per kg of water [kWh/kg]",
    "energy_cost_per_kg_water": "energy cost per kg of water [money/kg]",
    "energy_cost_per_serving": "energy cost per serving [money/serving]",
}
ALWAYS = ("solids", "water_removed", "residual_moisture", "minimum_energy", "measured_energy")
"""Rows that stand there even where they are not known."""


@click.command(epilog="Example: nutricost card chili.toml --format markdown > chili.md")
@click.argument("batch", metavar="BATCH")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "markdown", "html", "json"]),
    default="text",
    show_default=True,
)
@click.option(
    "--set", "overrides", multiple=True, metavar="KEY=VALUE", help="What if: change a key of the batch."
)
@click.option(
    "--gas-per-litre", metavar="WEIGHT", help='Gas that boils a litre on your stove, such as "12 g".'
)
@json_option
def command(
    batch: str, form: str, overrides: tuple[str, ...], gas_per_litre: str | None, as_json: bool
) -> None:
    """The recipe card of a batch: what is in it per serving and in all, money, water, cautions."""
    from nutricost.api.documents import card_file
    from nutricost.api.drying_details import gas_figure
    from nutricost.api.views import card_view

    gas = gas_figure(gas_per_litre) if gas_per_litre is not None else None
    card = card_file(batch, overrides)
    if as_json or form == "json":
        print_json(card_view(card, gas))
    elif form == "text":
        print_card(card, gas)
    else:
        from nutricost.faces.exports import card_document

        click.echo(card_document(card, form))


def print_card(card: Any, gas_per_litre: Any = None) -> None:
    """The card as text."""
    from nutricost.api.views import card_view
    from nutricost.domain.quantities.display import shown, shown_range

    money = card.batch.currency
    servings = card.content.servings
    click.secho(card.batch.title, bold=True)
    click.echo(f"{shown(servings)} servings")
    print_heading("Lines")
    print_table(
        ["line", "taken as", "g", money],
        [
            [
                line.recipe_line.ingredient.line,
                _taken_as(line),
                shown(line.recipe_line.content.weight),
                shown(line.recipe_line.cost),
            ]
            for line in card.lines
        ],
        left=2,
        wrap=(0, 1),
    )
    print_heading("What is in it")
    rows = []
    for key, name in NAMES.items():
        one, all_of_it = card.per_serving[key], card.per_batch[key]
        rows.append([name, shown(one), shown_range(one), shown(all_of_it)])
    print_table(["", "a serving", "range", "the batch"], rows)
    water = card.water
    if water["per_serving"].is_known:
        click.echo(
            f"\nPour back about {shown(water['per_serving'])} mL a serving "
            f"({shown(water['cups_per_serving'])} US cups), {shown(water['per_100g_dry'])} mL to 100 g dry"
            + (f", {shown(water['per_bag'])} mL a bag." if water["per_bag"].is_known else ".")
        )
    print_heading("What it costs")
    costs = card.costs
    parts = [("ingredients", costs.ingredients), ("energy", costs.energy), ("packing", costs.packing)]
    rows = [[name, shown(figure), shown_range(figure)] for name, figure in [*parts, ("other", costs.other)]]
    rows.append(["total", shown(costs.total), shown_range(costs.total)])
    if not costs.total.is_known and costs.total.known is not None:
        rows.append(["what is known of it", shown(costs.total.known), shown_range(costs.total.known)])
    rows.append(
        [
            f"a serving [{money}/serving]",
            shown(card.per_serving["cost"]),
            shown_range(card.per_serving["cost"]),
        ]
    )
    print_table([f"[{money}]", "", "range"], rows)
    if costs.usual_total is not None and costs.saved is not None:
        click.echo(
            f"\nAt usual prices: {shown(costs.usual_total)} {money}; "
            f"the markdown saved {shown(costs.saved)} {money}."
        )
    print_heading("Drying")
    view = card_view(card, gas_per_litre)
    rows = [
        [name.replace("money", money), shown(figure), shown_range(figure)]
        for key, name in DRYING.items()
        if (figure := view["drying"][key]).is_known or key in ALWAYS
    ]
    print_table(["", "", "range"], rows)
    print_keeping(view)
    gaps = [
        f"{NAMES[key]}: known for {part:.0%} of the weight"
        for key, part in card.content.coverage.items()
        if part is not None and part < 1
    ]
    print_list("Known only in part", gaps)
    print_list("Taken for granted", list(card.assumptions))
    print_list("Mind", list(card.warnings))
    print_list("Cautions", [f"{caution.text} [{caution.source}]" for caution in card.cautions])


def _taken_as(line: Any) -> str:
    if line.label is not None:
        return f"label '{line.label}'"
    if line.match is None or line.match.food is None:
        return "no food found"
    doubt = "" if line.match.status == "matched" else " (not sure)"
    return f"{line.match.food.description}{doubt}"
