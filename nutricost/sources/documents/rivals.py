"""Reading other ways to keep the same food: freezing, canning, the shop's own cans."""

from __future__ import annotations

from collections.abc import Callable

from nutricost.domain.documents import LABEL_NUTRIENTS
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.planning.rivals import Keeping
from nutricost.domain.quantities import Figure
from nutricost.sources.documents.loading import Source, load_toml, source_name
from nutricost.sources.documents.tables import Document, Table, needed
from nutricost.sources.documents.values import NOT_NEGATIVE, POSITIVE


def read_rivals(source: Source) -> tuple[list[Keeping], str]:
    """The ways of a TOML document in its order, and its currency.

    Raises DocumentError with every problem of the document.
    """
    document = Document(source_name(source), load_toml(source))
    root = document.root
    document.read_currency()
    price = root.money("price_per_kwh", "price of electricity", per="kWh")
    makers = [
        _way(table, price) for table in root.tables("ways", required="one [[ways]] or more to keep the food")
    ]
    seen: set[str] = set()
    for number, (name, _) in enumerate(makers):
        if name and name.casefold() in seen:
            document.problem(("ways", number, "name"), f"{name!r} stands twice", "a name of its own each")
        seen.add(name.casefold())
    document.finish()
    return [make() for _, make in makers], document.money_unit


def _way(table: Table, price: Figure | None) -> tuple[str, Callable[[], Keeping]]:
    """The way's name, and how to make it once the document has been let pass."""
    name = table.text("name", required="what this way is called, such as 'chest freezer'") or ""
    contents = {}
    for key, written in LABEL_NUTRIENTS.items():
        unit = NUTRIENTS[key].unit
        required = "kcal in all of the food, above 0" if key == "energy" else ""
        bounds = POSITIVE if key == "energy" else NOT_NEGATIVE
        amount = table.amount(written, unit, f"{written} of {name}", bounds, required=required)
        if amount is not None:
            contents[key] = amount
    weight = table.quantity("weight", "mass", f"weight of {name}")
    if weight is not None:
        contents["weight"] = weight
    food = table.money("food", f"food of {name}", required="what the food cost, such as 12.50")
    monthly = table.quantity("energy_per_month", "energy", f"electricity a month of {name}", NOT_NEGATIVE)
    once = table.table("once")
    servings = table.amount("servings", "serving", f"servings of {name}")
    own_price = table.money("price_per_kwh", "price of electricity", per="kWh")
    lasts = table.number("lasts_years", POSITIVE)
    bought = once.named_money() if once is not None else {}

    def make() -> Keeping:
        return Keeping(
            name=name,
            contents=contents,
            food=needed(food),
            servings=servings,
            once=bought,
            per_month=None if monthly is None else monthly / Figure.exact(1, "month", "a month"),
            price_per_kwh=own_price or price,
            lasts_years=lasts,
        )

    return name, make
