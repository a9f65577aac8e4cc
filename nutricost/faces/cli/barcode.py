"""`nutricost find --barcode`: a packaged food as a label for a batch file."""

from __future__ import annotations

import click

from nutricost.faces.cli.output import note, print_json


def find_barcode(
    barcode: str, sources: tuple[str, ...], as_json: bool, *, offline: bool = False, refresh: bool = False
) -> None:
    """Prints the label of the food with this barcode, ready for a batch file."""
    from nutricost.api.food_tables import food_by_barcode
    from nutricost.api.food_views import found_view

    answer, notices = food_by_barcode(barcode, sources, offline=offline, refresh=refresh)
    for notice in notices:
        note(notice)
    if as_json:
        print_json(None if answer is None else {**found_view(answer.food), "label": answer.block or None})
        return
    if answer is None:
        note(f"no food with the barcode {barcode}; type its label in by hand")
        return
    note(f"{answer.food.description}, {answer.food.key}, from {answer.found_in}")
    if answer.block:
        click.echo(answer.block, nl=False)
    else:
        note('it declares no label; pin it instead: food = "' + answer.food.key + '"')
