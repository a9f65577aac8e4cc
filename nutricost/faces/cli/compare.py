"""`nutricost compare`: batches beside pouches."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from nutricost.domain.comparison.bases import BASES
from nutricost.faces.cli.options import number_option
from nutricost.faces.cli.output import json_option, note, print_heading, print_json, print_list, print_table

if TYPE_CHECKING:
    from nutricost.api.sensitivity import Sensitivity
    from nutricost.domain.comparison import Offer


@click.command(
    epilog="Example: nutricost compare chili.toml --pouches pouches.csv --basis 100kcal --export table.xlsx"
)
@click.argument("batches", nargs=-1, required=True, metavar="BATCH...")
@click.option("--pouches", metavar="CSV", help="Commercial products to compare with (CSV or XLSX).")
@click.option(
    "--basis", type=click.Choice(list(BASES)), default="serving", show_default=True, help="Equal terms."
)
@click.option(
    "--export",
    "exports",
    multiple=True,
    metavar="FILE",
    help="Also write .csv .xlsx .md .html .parquet .pdf, or .svg .png of the picture.",
)
@click.option("--machine", metavar="TOML", help="Adds the payback's picture to pages written by --export.")
@click.option("--rivals", metavar="TOML", help="Other ways to keep the food: freezing, canning, shop's cans.")
@click.option("--years", metavar="N", default="1", show_default=True, help="Years that rivals keep the food.")
@click.option(
    "--set", "overrides", multiple=True, metavar="KEY=VALUE", help="What if: change a key of every batch."
)
@click.option("--sensitivity", is_flag=True, help="Show which inputs move the answer most.")
@click.option("--plot", metavar="FILE", help="Draw that for the first batch (.svg or .png).")
@json_option
def command(
    batches: tuple[str, ...],
    pouches: str | None,
    basis: str,
    exports: tuple[str, ...],
    machine: str | None,
    rivals: str | None,
    years: str,
    overrides: tuple[str, ...],
    sensitivity: bool,
    plot: str | None,
    as_json: bool,
) -> None:
    """Compare home batches with commercial pouches on equal terms."""
    from nutricost.api.documents import compare_files
    from nutricost.api.sensitivity import home_sensitivities, sensitivity_view

    if machine is not None and pouches is None:
        raise click.UsageError("--machine needs --pouches: what the batches are eaten instead of")
    kept = number_option("--years", years, "years, 0 or more", low=0)
    comparison = compare_files(batches, pouches, basis, overrides, rivals_path=rivals, years=kept)
    moved = home_sensitivities(comparison.offers) if sensitivity or plot is not None else []
    if as_json:
        view = comparison.view()
        if sensitivity:
            view["sensitivity"] = [sensitivity_view(offer, found) for offer, found in moved]
        print_json(view)
    else:
        print_comparison(comparison)
        if sensitivity:
            _print_sensitivity(moved, comparison.currency)
    if plot is not None:
        from nutricost.faces.exports.pictures import sensitivity_picture, write_picture

        offer, found = moved[0]
        write_picture(sensitivity_picture(found, offer.name, f"kcal per {comparison.currency}"), plot)
        note(f"wrote {plot}")
    curves = None
    if machine is not None:
        from nutricost.api.payback import curves_beside

        curves = curves_beside(comparison, machine)
    for path in exports:
        from nutricost.faces.exports import export_comparison

        export_comparison(comparison, path, curves)
        note(f"wrote {path}")


def print_comparison(comparison: Any) -> None:
    """The comparison as text: the basis table, the measures, how sure they are, statements, warnings."""
    from nutricost.api.tables import statements_by_pair
    from nutricost.domain.comparison import at_basis, measures
    from nutricost.domain.quantities.display import shown, shown_with_range

    money = comparison.currency
    on_basis = {offer.name: at_basis(offer, comparison.basis) for offer in comparison.offers}
    measured = {offer.name: measures(offer) for offer in comparison.offers}
    print_heading(f"On equal terms: {BASES[comparison.basis]}")
    columns = ("servings", "cost", "energy", "protein", "sodium", "weight")
    print_table(
        ["", "servings", f"cost\n{money}", "energy\nkcal", "protein\ng", "sodium\nmg", "weight\ng"],
        [[name, *(shown(figures[key]) for key in columns)] for name, figures in on_basis.items()],
    )
    print_heading("Measures")
    print_table(
        [
            "", f"{money} per\nserving", f"{money} per\n100 kcal", f"kcal\nper {money}", "kcal\nper g",
            f"protein g\nper {money}", "sodium mg per\n1000 kcal",
        ],
        [[name, *(shown(figure) for figure in figures.values())] for name, figures in measured.items()],
    )  # fmt: skip
    print_heading("How sure: what rounding of labels, estimates and ranges given allow")
    print_table(
        ["", f"{money} per 100 kcal", f"kcal per {money}", "kcal per g"],
        [
            [
                name,
                *(shown_with_range(figures[key]) for key in figures if "kcal" in key and "sodium" not in key),
            ]
            for name, figures in measured.items()
        ],
    )
    print_list(
        "What this says",
        [
            f"{pair}: {'; '.join(statement.short for statement in said)}."
            for pair, said in statements_by_pair(comparison.statements)
        ],
    )
    print_list("Mind", list(comparison.warnings))


def _print_sensitivity(moved: Sequence[tuple[Offer, Sensitivity]], currency: str) -> None:
    what = f"kcal per {currency}"
    for offer, found in moved:
        if not found.figure.is_known:
            note(f"{offer.name}: {what} is not known ({found.figure.why})")
            continue
        for title, effects in (
            (f"What moves {what} of {offer.name} most, by what is not known of it", found.by_range),
            ("What it would do if an exact input were 10 % lower or higher", found.if_ten_percent_off),
        ):
            if effects:
                print_heading(title)
                print_table(["input", "from, to", what], found.rows(effects), wrap=(0, 1))
