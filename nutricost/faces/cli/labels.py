"""`nutricost labels`: bag labels to print."""

from __future__ import annotations

from datetime import date, datetime

import click

from nutricost.faces.cli.output import json_option, note, print_json


@click.command(epilog="Example: nutricost labels chili.toml --format pdf --out labels.pdf --lot A-17")
@click.argument("batch", metavar="BATCH")
@click.option(
    "--format", "form", type=click.Choice(["text", "html", "pdf"]), default="text", show_default=True,
    help="html and pdf are sheets to print and cut.",
)  # fmt: skip
@click.option("--out", metavar="FILE", help="Where to write; needed for pdf, else the terminal.")
@click.option(
    "--date", "packed_on", metavar="YYYY-MM-DD", type=click.DateTime(["%Y-%m-%d"]), help="The day of packing."
)
@click.option("--lot", metavar="TEXT", help="The lot; counts before packing.lot of the batch.")
@json_option
def command(
    batch: str, form: str, out: str | None, packed_on: datetime | None, lot: str | None, as_json: bool
) -> None:
    """Bag labels of BATCH: contents, servings, kcal, water to add, allergens, cooked or RAW, dates, lot."""
    from nutricost.api.bag_labels import bag_labels, label_view
    from nutricost.api.documents import card_file
    from nutricost.faces.exports import labels_document

    if form == "pdf" and out is None and not as_json:
        raise click.UsageError("A PDF needs a file to go to: --out labels.pdf")
    day: date | None = packed_on.date() if packed_on is not None else None
    card = card_file(batch)
    labels = bag_labels(card, packed_on=day, lot=lot)
    for caution in card.cautions:  # whoever prints labels may not have read the card
        if caution.severity == "danger":
            note(f"caution: {caution.text} [{caution.source}]")
    if as_json:
        print_json([label_view(label) for label in labels])
    if out is not None:
        from nutricost.api.files import write_file

        write_file(out, labels_document(labels, form))
        note(f"wrote {out}")
    elif not as_json:
        click.echo(labels_document(labels, form).decode("utf-8"), nl=False)
