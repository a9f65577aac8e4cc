"""`nutricost card`: the recipe card."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from nutricost.faces.cli.output import WIDTH, json_option, print_heading, print_json, print_list, print_table

if TYPE_CHECKING:
    from nutricost.api.card_parts import CardTable, Cell
    from nutricost.api.cards import Card
    from nutricost.domain.quantities import Figure


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

        click.echo(card_document(card, form, gas))


def print_card(card: Card, gas_per_litre: Figure | None = None) -> None:
    """The card as text."""
    from nutricost.api.card_parts import CardList
    from nutricost.api.card_tables import card_parts
    from nutricost.domain.quantities.display import shown

    click.secho(card.batch.title, bold=True)
    click.echo(f"{shown(card.content.servings)} servings")
    for part in card_parts(card, gas_per_litre):
        if isinstance(part, CardList):
            print_list(part.title, part.items)
        else:
            _print_table(part)
    print_list("Cautions", [f"{caution.text} [{caution.source}]" for caution in card.cautions])


def _print_table(table: CardTable) -> None:
    print_heading(table.title)
    if table.rows:
        headings = list(table.headings)
        if table.ranged:
            headings.insert(table.left + 1, "range")
        print_table(
            headings, [_row(table, row) for row in table.rows], left=table.left, wrap=range(table.left)
        )
    if table.rows and table.notes:
        click.echo()
    for note in table.notes:
        click.echo(click.wrap_text(note, WIDTH, subsequent_indent="    "))


def _row(table: CardTable, row: tuple[Cell, ...]) -> list[str]:
    from nutricost.domain.quantities.display import shown, shown_range

    cells = [cell if isinstance(cell, str) else shown(cell) for cell in row]
    if table.ranged:
        first = row[table.left]
        cells.insert(table.left + 1, "" if isinstance(first, str) else shown_range(first))
    return cells
