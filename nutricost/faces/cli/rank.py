"""`nutricost rank`: order offers by a ratio."""

from __future__ import annotations

import click

from nutricost.faces.cli.options import number_option
from nutricost.faces.cli.output import json_option, print_heading, print_json, print_list, print_table


@click.command(epilog="Example: nutricost rank 'calories per dollar' chili.toml --pouches pouches.csv")
@click.argument("measure", metavar="MEASURE")
@click.argument("batches", nargs=-1, metavar="BATCH...")
@click.option("--pouches", metavar="CSV", help="Commercial products to rank with them (CSV or XLSX).")
@click.option(
    "--prices", metavar="CSV", help="Plain groceries at a price: columns line, paid and, optionally, for."
)
@click.option("--rivals", metavar="TOML", help="Other ways to keep the food: freezing, canning, shop's cans.")
@click.option("--years", metavar="N", default="1", show_default=True, help="Years that rivals keep the food.")
@json_option
def command(
    measure: str,
    batches: tuple[str, ...],
    pouches: str | None,
    prices: str | None,
    rivals: str | None,
    years: str,
    as_json: bool,
) -> None:
    """Order offers by MEASURE, best first: 'calories per dollar', 'dollars per 1000 calories', any 'A per B'.

    Quantities: energy (calories), protein, fat, saturated fat, carbohydrate, fiber, sugar, sodium, weight,
    water, cost (dollars), serving, machine hour.
    """
    from nutricost.api.documents import rank_files
    from nutricost.api.views import rank_view
    from nutricost.domain.quantities.display import shown_with_range

    kept = number_option("--years", years, "years, 0 or more", low=0)
    asked, ranked, warnings = rank_files(measure, batches, pouches, prices, rivals_path=rivals, years=kept)
    if as_json:
        print_json({**rank_view(asked, ranked), "warnings": warnings})
        return
    unit = ranked[0].unit if ranked else ""
    inverse = ranked[0].inverse_unit if ranked else ""
    print_heading(f"By {asked.text}, best first")
    print_table(
        ["", "kind", unit, f"inverse: {inverse}"],
        [
            [
                entry.offer.name,
                entry.offer.kind,
                shown_with_range(entry.value),
                shown_with_range(entry.inverse),
            ]
            for entry in ranked
        ],
        left=2,
    )
    print_list("Mind", warnings)
