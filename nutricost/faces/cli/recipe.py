"""`nutricost recipe`: recipes from elsewhere to batch documents, and back."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

import click

from nutricost.faces.cli.output import Group, note


def _positive(context: click.Context, parameter: click.Parameter, text: str | None) -> Decimal | None:
    if text is None:
        return None
    try:
        number = Decimal(text)
    except InvalidOperation:
        number = Decimal(0)
    if not number.is_finite() or number <= 0:
        raise click.BadParameter(f"{text!r} is no number above 0")
    return number


@click.group(cls=Group, epilog="Example: nutricost recipe read saved-page.html > stew.toml")
def command() -> None:
    """Recipes in schema.org's JSON-LD to batch documents, and back. Nothing is fetched."""


@command.command(epilog="Example: nutricost recipe read saved-page.html --servings 6 > stew.toml")
@click.argument("file")
@click.option("--servings", callback=_positive, metavar="N", help="Where the recipe does not tell how many.")
@click.option("--number", type=click.IntRange(1), default=1, show_default=True, help="Which one, of several.")
def read(file: str, servings: Decimal | None, number: int) -> None:
    """Print a batch document made of the recipe in FILE (JSON-LD, or a saved web page)."""
    from nutricost.api.recipes_elsewhere import batch_of_recipe

    text, notes = batch_of_recipe(file, servings, number)
    for line in notes:
        note(line)
    click.echo(text, nl=False)


@command.command(epilog="Example: nutricost recipe write stew.toml > stew.json")
@click.argument("batch")
def write(batch: str) -> None:
    """Print BATCH as a schema.org recipe (JSON-LD)."""
    from nutricost.api.recipes_elsewhere import recipe_of_batch

    click.echo(recipe_of_batch(batch), nl=False)
