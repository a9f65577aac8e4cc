"""`nutricost trace`: how one figure came about."""

from __future__ import annotations

import click

from nutricost.faces.cli.output import json_option, note, print_json


@click.command(epilog="Example: nutricost trace chili.toml per_serving.cost")
@click.argument("batch", metavar="BATCH")
@click.argument("figure", metavar="FIGURE")
@click.option("--pouches", metavar="CSV", help="Needed where FIGURE is one of a pouch in the comparison.")
@click.option(
    "--basis", default="serving", show_default=True, help="The basis that FIGURE of a comparison is on."
)
@click.option("--depth", type=click.IntRange(1), help="Stop after this many steps (text only).")
@click.option("--html", "html_path", metavar="FILE", help="Also write a page that folds.")
@click.option(
    "--set", "overrides", multiple=True, metavar="KEY=VALUE", help="What if: change a key of the batch."
)
@json_option
def command(
    batch: str,
    figure: str,
    pouches: str | None,
    basis: str,
    depth: int | None,
    html_path: str | None,
    overrides: tuple[str, ...],
    as_json: bool,
) -> None:
    """Show how FIGURE of BATCH came about, down to table rows, labels, prices and weighings.

    FIGURE is its path in the JSON of card or compare, such as per_batch.energy, per_serving.cost,
    lines[0].grams, measures.kcal_per_usd or offers[1].cost.
    """
    from nutricost.api.tracing import trace_file, trace_lines, trace_view

    traced = trace_file(batch, figure, pouches, basis, overrides)
    if html_path is not None:
        from nutricost.faces.exports import write_trace_page

        write_trace_page(traced, figure, html_path)
        note(f"wrote {html_path}")
    if as_json:
        print_json(trace_view(traced))
    else:
        for line in trace_lines(traced, depth):
            click.echo(line)
