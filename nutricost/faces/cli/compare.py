"""`nutricost compare`: batches beside pouches."""

from __future__ import annotations

from typing import Any

import click

from nutricost.domain.comparison.bases import BASES
from nutricost.faces.cli.output import json_option, note, print_heading, print_json, print_list, print_table


@click.command(
    epilog="Example: nutricost compare chili.toml --pouches pouches.csv --basis 100kcal --export table.xlsx"
)
@click.argument("batches", nargs=-1, required=True, metavar="BATCH...")
@click.option("--pouches", metavar="CSV", help="Commercial products to compare with (CSV or XLSX).")
@click.option(
    "--basis", type=click.Choice(list(BASES)), default="serving", show_default=True, help="Equal terms."
)
@click.option(
    "--export", "exports", multiple=True, metavar="FILE", help="Also write .csv .xlsx .md .html .parquet .pdf"
)
@click.option(
    "--set", "overrides", multiple=True, metavar="KEY=VALUE", help="What if: change a key of every batch."
)
@click.option("--sensitivity", is_flag=True, help="Show which inputs move the answer most.")
@json_option
def command(
    batches: tuple[str, ...],
    pouches: str | None,
    basis: str,
    exports: tuple[str, ...],
    overrides: tuple[str, ...],
    sensitivity: bool,
    as_json: bool,
) -> None:
    """Compare home batches with commercial pouches on equal terms."""
    from nutricost.api.documents import compare_files

    comparison = compare_files(batches, pouches, basis, overrides)
    if as_json:
        print_json(comparison.view())
    else:
        print_comparison(comparison)
    if sensitivity and not as_json:
        _print_sensitivity(comparison)
    for path in exports:
        from nutricost.faces.cli.exporting import export_comparison

        export_comparison(comparison, path)
        note(f"wrote {path}")


def print_comparison(comparison: Any) -> None:
    """The comparison as text: the basis table, the measures, statements, warnings."""
    from nutricost.domain.comparison import at_basis, measures
    from nutricost.domain.quantities.display import shown, shown_range

    money = comparison.currency
    print_heading(f"On equal terms: {BASES[comparison.basis]}")
    rows = []
    for offer in comparison.offers:
        figures = at_basis(offer, comparison.basis)
        cells = [figures[key] for key in ("servings", "cost", "energy", "protein", "sodium", "weight")]
        rows.append([offer.name, *(shown(cell) for cell in cells)])
        spreads = [shown_range(cell) for cell in cells]
        if any(spreads):
            rows.append(["", *spreads])
    print_table(
        ["", "servings", f"cost\n{money}", "energy\nkcal", "protein\ng", "sodium\nmg", "weight\ng"],
        rows,
    )
    print_heading("Measures (second line: the range that rounding and estimates allow)")
    rows = []
    for offer in comparison.offers:
        cells = list(measures(offer).values())
        rows.append([offer.name, *(shown(cell) for cell in cells)])
        spreads = [shown_range(cell) for cell in cells]
        if any(spreads):
            rows.append(["", *(spread.replace(" to ", "-") for spread in spreads)])
    print_table(
        [
            "", f"{money} per\nserving", f"{money} per\n100 kcal", f"kcal\nper {money}", "kcal\nper g",
            f"protein g\nper {money}", "sodium mg\nper 1000 kcal",
        ],
        rows,
    )  # fmt: skip
    print_list("What this says", [statement.text for statement in comparison.statements])
    print_list("Mind", list(comparison.warnings))


def _print_sensitivity(comparison: Any) -> None:
    from nutricost.api.sensitivity import sensitivity_rows

    for offer in comparison.offers:
        if offer.kind == "home":
            rows = sensitivity_rows(offer)
            if rows:
                print_heading(f"What moves kcal per {comparison.currency} of {offer.name} most")
                print_table(["input", "its range", f"kcal per {comparison.currency}"], rows, left=1)
