"""`nutricost demo`: invented documents, and the whole job run on them."""

from __future__ import annotations

from pathlib import Path

import click

from nutricost.faces.cli.card import print_card
from nutricost.faces.cli.compare import print_comparison
from nutricost.faces.cli.output import json_option, print_json


@click.command(epilog="Example: nutricost demo my-demo")
@click.argument("folder", metavar="[DIR]", default="nutricost-demo", type=click.Path(path_type=Path))
@json_option
def command(folder: Path, as_json: bool) -> None:
    """Write demo documents (an invented scenario) and run the whole job on them."""
    from nutricost.api.cards import Card
    from nutricost.api.comparing import compare_offers
    from nutricost.api.demo import BATCHES, write_demo
    from nutricost.api.documents import cards_of, pouches_file, read_batches
    from nutricost.api.views import card_view

    written = write_demo(folder)
    batches = read_batches([str(folder / name) for name in BATCHES])
    cards: list[Card] = cards_of(batches)
    pouches, warnings = pouches_file(str(folder / "pouches.csv"), batches[0].currency)
    comparison = compare_offers(cards, pouches, "serving", warnings)
    if as_json:
        print_json(
            {
                "invented": True,
                "card": card_view(cards[0]),
                "compare": comparison.view(),
                "files": [str(path) for path in written],
            }
        )
        return
    click.echo("An invented scenario: no such shop, product or household exists.\n")
    print_card(cards[0])
    print_comparison(comparison)
    click.echo("\nThe documents behind this (edit them and run again):")
    for path in written:
        click.echo(f"  {path}")
    click.echo(
        f"\nNext: nutricost compare {folder / BATCHES[0]} --pouches {folder / 'pouches.csv'} --basis 1000kcal"
    )
