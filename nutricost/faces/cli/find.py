"""`nutricost find`: search the food tables."""

from __future__ import annotations

import click

from nutricost.faces.cli.output import json_option, note, print_json, print_table


@click.command(epilog='Example: nutricost find "sweet corn frozen" --limit 5')
@click.argument("text", required=False, default="")
@click.option(
    "--source", "sources", multiple=True, metavar="S", help="sr28, survey, foundation, branded, live."
)
@click.option("--limit", type=click.IntRange(1, 200), default=10, show_default=True, help="How many foods.")
@click.option(
    "--barcode", metavar="GTIN", help="A packaged food by its barcode, as a label for a batch file."
)
@click.option("--offline", is_flag=True, help="Source live: only answers stored earlier.")
@click.option("--refresh", is_flag=True, help="Source live: ask anew what is stored.")
@json_option
def command(
    text: str,
    sources: tuple[str, ...],
    limit: int,
    barcode: str | None,
    offline: bool,
    refresh: bool,
    as_json: bool,
) -> None:
    """Search the food tables for TEXT; the key shown pins a food in a batch (food = "ndb:...")."""
    if barcode is not None:
        from nutricost.faces.cli.barcode import find_barcode

        find_barcode(barcode, sources, as_json, offline=offline, refresh=refresh)
        return
    if not text.strip():
        raise click.UsageError("Missing TEXT to search for, such as: nutricost find 'sweet corn'")
    from nutricost.api.food_views import found_view
    from nutricost.api.foods import find_foods

    notices: list[str] = []
    foods = find_foods(text, sources, limit, offline=offline, refresh=refresh, notices=notices)
    for notice in notices:
        note(notice)
    if as_json:
        print_json([found_view(food) for food in foods])
        return
    if not foods:
        note(f"no food found for {text!r}; try fewer or other words")
        return

    def cell(value: object) -> str:
        return "not known" if value is None else f"{value}"

    print_table(
        ["food", "key", "kcal", "protein\ng", "fat\ng", "carb\ng", "sodium\nmg"],
        [
            [
                food.description,
                food.key if len(food.key) < 14 else food.source,
                *(cell(food.per_100g(key)) for key in ("energy", "protein", "fat", "carbohydrate", "sodium")),
            ]
            for food in foods
        ],
        left=2,
    )
    click.echo("\nper 100 g edible portion")
