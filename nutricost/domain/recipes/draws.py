"""How much of a labelled product a line draws: packages, servings, a weight, or a volume."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from nutricost.domain.documents import Ingredient
from nutricost.domain.foods.lines import IngredientLine, Measure, read_line
from nutricost.domain.foods.measures import GRAMS, MILLILITERS
from nutricost.domain.foods.records import Food
from nutricost.domain.labels import LabelReading, weight_of_volume
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.units import unit_quotient


def label_amount(ingredient: Ingredient, line: IngredientLine, reading: LabelReading) -> Figure:
    """The amount that a line draws on a label: in packages, servings or grams, by its unit.

    A count with a container word, another word or none is a count of packages ('8 cans', '2 kits',
    '3 chili'); 'servings' are the label's; a weight or a volume is a part of the food. Unknown where a
    volume is drawn and the label's serving size does not give both a volume and grams.
    """
    where = f"{ingredient.where}.line"
    name = f"amount in '{line.text}'"
    if ingredient.grams is not None:
        return ingredient.grams
    if line.amount is None:
        return Figure.exact(
            1, "package", name, source=f"{where}: no amount, taken as one package", standing="assumed"
        )
    unit = line.unit
    if (
        unit is None
        or unit.kind in ("container", "length")
        or (unit.kind == "count" and unit.name != "serving")
    ):
        return _range(line.amount.low, line.amount.high, "package", name, where, line.negative)
    if unit.name == "serving":
        return _range(line.amount.low, line.amount.high, "serving", name, where, line.negative)
    quantity = measured(Measure(line.amount, unit), name, where, negative=line.negative)
    return weight_of_volume(reading, quantity) if quantity.unit == "mL" else quantity


def is_cups_of_a_cup(line: IngredientLine, label: str) -> bool:
    """Whether a line in cups draws on a label that is itself sold as a cup, so that either may be meant.

    The line is read by the measure ('2 cups soup'), as everywhere; the user is told.
    """
    a_cup = line.unit is not None and line.unit.name == "cup"
    return a_cup and not {"cup", "cups"}.isdisjoint(label.lower().split())


def measured(measure: Measure, name: str, where: str, *, negative: bool = False) -> Figure:
    """A weight [g] or volume [mL] as written. The measure's unit is one of weight or volume."""
    unit = measure.unit.name
    factor, into = (GRAMS[unit], "g") if unit in GRAMS else (MILLILITERS[unit], "mL")
    return _range(measure.amount.low * factor, measure.amount.high * factor, into, name, where, negative)


def _range(low: Decimal, high: Decimal, unit: str, name: str, where: str, negative: bool = False) -> Figure:
    if negative:
        low, high = -high, -low
    return Figure.between(low, high, unit, name, source=where, standing="given")


_WITHOUT_REFUSE = frozenset("boneless skinless peeled shelled pitted".split())


def as_bought(ingredient: Ingredient, edible: Figure, food: Food) -> Figure:
    """What the edible weight of counted pieces weighed when it was bought, with peel, bone or shell. [g]

    Edible / (1 - refuse), the refuse as the food table publishes it. Other lines keep their weight:
    a stated weight is compared as stated, and a cup of food may have been bought trimmed.
    """
    line = read_line(ingredient.line)
    pieces = line.amount is not None and (line.unit is None or line.unit.kind == "count")
    stated = line.total is not None or line.package is not None
    trimmed = bool(line.removed) or not _WITHOUT_REFUSE.isdisjoint(line.words)
    if not food.refuse_fraction or not pieces or stated or trimmed:
        return edible
    kept = Figure.exact(
        1 - food.refuse_fraction, "", f"edible share of {food.description}", source=f"refuse, {food.release}"
    )
    return (edible / kept).named("weight as bought", formula="edible weight / (1 - refuse)")


def used_and_bought(ingredient: Ingredient, weight: Figure) -> tuple[Figure, Figure] | None:
    """What the line uses and what its money bought, in one unit; None where they can't be compared.

    `for` may be a weight ("5 lb", "2 bags (5 lb)"), a volume, or a count in the words of the line
    ("12 cans"). `weight` [g] is what the line uses, as it was bought.
    """
    if ingredient.shared_for is None:
        return None
    bought = read_line(ingredient.shared_for)
    used = read_line(ingredient.line)
    where = f"{ingredient.where}.for"
    name = f"bought: {ingredient.shared_for}"
    if bought.amount is None:
        return None
    used_where = f"{ingredient.where}.line"
    if whole := _bought_weight(used, bought, name, where):
        stated = _stated(used, GRAMS, "used", used_where)
        return (weight if stated is None else _same_draw(stated, weight)), whole
    if used.amount is None:
        return None
    used_volume = _stated(used, MILLILITERS, "used", used_where)
    volume = _stated(bought, MILLILITERS, name, where)
    if used_volume is not None and volume is not None:
        return _same_draw(used_volume, weight), volume
    if not _counts_alike(used, bought):
        return None
    count = _range(used.amount.low, used.amount.high, "package", "used", used_where)
    return _same_draw(count, weight), _range(bought.amount.low, bought.amount.high, "package", name, where)


def _same_draw(used: Figure, weight: Figure) -> Figure:
    """The amount used, made from the input of the weight that is the same written range ('2-3 cups').

    An input counts once: what is charged and what is eaten grow with the one amount. Itself where the
    amount is exact, or where no input of the weight is proportional to it.
    """
    if used.is_exact:
        return used
    for leaf in weight.leaves():
        if leaf.is_exact or not leaf.value:
            continue
        ends = (leaf.low * used.must(), leaf.high * used.must())
        if ends == (used.low * leaf.value, used.high * leaf.value):
            each = Figure.exact(used.must() / leaf.value, unit_quotient(used.unit, leaf.unit), "for each")
            return (leaf * each).to(used.unit).named("used", source=used.source)
    return used


def _stated(line: IngredientLine, units: Mapping[str, Decimal], name: str, where: str) -> Figure | None:
    """The amount the line states in one of these units [g or mL], None where it states none."""
    if line.amount is None or line.unit is None or line.unit.name not in units:
        return None
    return measured(Measure(line.amount, line.unit), name, where)


def _bought_weight(used: IngredientLine, bought: IngredientLine, name: str, where: str) -> Figure | None:
    """The weight bought [g]: stated, or so many packages of a stated weight; None where neither is."""
    amount, package = bought.amount, bought.package
    if amount is None:
        return None
    if stated := _stated(bought, GRAMS, name, where):
        return stated
    if package is None or package.unit.name not in GRAMS:
        return None
    if used.amount is not None and _counts_alike(used, bought):
        return None
    grams = GRAMS[package.unit.name]
    low, high = amount.low * package.amount.low, amount.high * package.amount.high
    return _range(low * grams, high * grams, "g", name, where)


def _counts_alike(used: IngredientLine, bought: IngredientLine) -> bool:
    """Whether both count the same things: '12 cans' or '12' for '8 cans', '4 sticks' for '2 sticks'."""
    if used.unit is not None and used.unit.name in {*GRAMS, *MILLILITERS}:
        return False
    if bought.unit is not None:
        return used.unit is not None and bought.unit.name == used.unit.name
    if used.unit is not None and bought.words == (used.unit.name,):
        return True  # '4 sticks' alone: a counting word with no food after it is read as the food
    return not bought.words or not set(bought.words).isdisjoint(used.words)
