"""An invented comparison: one home batch with ranges, a leftover that cost nothing, two pouches."""

from __future__ import annotations

from decimal import Decimal

from nutricost.api.comparing import Comparison
from nutricost.domain.comparison import Offer, compare_statements, pouch_offer
from nutricost.domain.documents import Label, Pouch, Printed
from nutricost.domain.quantities import Figure, total

D = Decimal
FORMULA_NAME = '=HYPERLINK("http://example.invalid","stew")'
MARKUP_NAME = "Bean & barley <script>alert(1)</script> $x_2$ | *soup*"


def home_offer(name: str = "Invented lentil pot") -> Offer:
    """16 servings; 5000 kcal give or take; 20.00 USD of ingredients and a cycle of 3 to 5 USD."""
    servings = Figure.exact(16, "serving", "servings", source="batch.toml: servings")
    whole = {
        "energy": Figure.between(D(4800), D(5200), "kcal", "energy of the batch", source="labels"),
        "protein": Figure.between(D(230), D(250), "g", "protein of the batch", source="labels"),
        "sodium": Figure.exact(9000, "mg", "sodium of the batch", source="labels"),
        "weight": Figure.exact(1200, "g", "weight dry", source="batch.toml: drying.dry_weight"),
        "water": Figure.exact(3000, "g", "water to add", source="weighed"),
        "machine_hour": Figure.exact(54, "h", "machine hours", source="batch.toml: drying.hours"),
        **{
            key: Figure.unknown("g", "not printed", key)
            for key in ("fat", "saturated_fat", "carbohydrate", "fiber", "sugar")
        },
    }
    cost = total(
        [
            Figure.exact(20, "USD", "ingredients", source="batch.toml: paid"),
            Figure.between(D(3), D(5), "USD", "energy", source="batch.toml: drying.cost"),
            Figure.exact(D("5.36"), "USD", "packing", source="batch.toml: packing"),
            Figure.exact(D("0.80"), "USD", "other costs", source="batch.toml: other_costs"),
        ],
        "total cost",
    )
    return Offer(
        name, "home", "USD", cost, servings, whole, {key: each / servings for key, each in whole.items()},
        Figure.exact(8, "bag", "bags", source="batch.toml: packing.bags"),
    )  # fmt: skip


def pouch(name: str, price: str, net: str | None, calories: int) -> Pouch:
    """A pouch of two servings as printed."""
    printed = {
        "energy": Printed(D(calories)), "fat": Printed(D(6)), "saturated_fat": Printed(D(1)),
        "carbohydrate": Printed(D(45)), "fiber": Printed(D(8)), "sugar": Printed(D(4)),
        "protein": Printed(D(14)), "sodium": Printed(D(640)),
    }  # fmt: skip
    return Pouch(
        name,
        "pouches.csv, line 2",
        Figure.exact(D(price), "USD", f"price of {name}", source="pouches.csv: price"),
        Label(name, "pouches.csv, line 2", "", servings_per_container=D(2), printed=printed),
    ) if net is None else Pouch(
        name,
        "pouches.csv, line 2",
        Figure.exact(D(price), "USD", f"price of {name}", source="pouches.csv: price"),
        Label(
            name, "pouches.csv, line 2", "", servings_per_container=D(2), printed=printed,
            net_weight=Figure.exact(D(net), "g", "net weight", source="pouches.csv: net_weight"),
        ),
    )  # fmt: skip


def comparison_of(home: Offer, *pouches: Pouch, basis: str = "serving") -> Comparison:
    """The comparison of a home offer with pouches, with a warning that needs escaping."""
    others = [pouch_offer(each, "USD") for each in pouches]
    said = compare_statements([home], others)
    return Comparison(
        basis, "USD", (home, *others), tuple(said), (f"{pouches[0].name}: invented, <b>mind</b>",)
    )


def invented_comparison() -> Comparison:
    """Names that a spreadsheet could run or a page could read as markup; one pouch without a net weight."""
    return comparison_of(
        home_offer(), pouch(FORMULA_NAME, "10.50", "139", 290), pouch(MARKUP_NAME, "12.95", None, 300)
    )
