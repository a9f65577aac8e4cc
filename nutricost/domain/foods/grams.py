"""How many grams of food a line means, edible part, with the evidence used.

Order of evidence: a stated weight; the row's own household weights for the unit or count; another volume
of the same row; typical pieces, packages and densities as estimates; else unknown, saying what is missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.foods.amounts import Amount
from nutricost.domain.foods.household import HouseholdMeasure, read_households
from nutricost.domain.foods.line_quantity import Measure
from nutricost.domain.foods.lines import IngredientLine
from nutricost.domain.foods.measures import GRAMS, IMPERIAL_MILLILITERS, MILLILITERS
from nutricost.domain.foods.records import Food
from nutricost.domain.foods.tokens import words_of
from nutricost.domain.foods.typical import (
    CUPS,
    CUPS_OF_FORMS,
    DISH_DENSITY,
    DRAINED_SHARE,
    GROUP_DENSITY,
    PACKAGES,
    PIECES,
    WORD_DENSITY,
    decimals,
    typical,
)


@dataclass(frozen=True, slots=True)
class GramsResult:
    """Edible grams of a line as low, value, high; None where unknown, and then `needs` says what to give.

    `how` tells the evidence; `estimated` that a typical figure stands in for a measured one.
    """

    low: Decimal | None
    value: Decimal | None
    high: Decimal | None
    how: str
    needs: str = ""
    estimated: bool = False


_ONE = Decimal(1)
_Range = tuple[Decimal, Decimal, Decimal]
"""Low, usual and high."""

_FORMS = (
    frozenset("chopped diced cubed cube chunk piece cut".split()),
    frozenset("sliced slice strip ring".split()),
    frozenset("grated shredded".split()),
    frozenset("mashed pureed puree".split()),
    frozenset("halved half".split()),
    frozenset("crumbled crumb crushed".split()),
    frozenset("quartered section quarter wedge".split()),
)
_COUNT_ALIASES = {
    "rasher": ("slice", "strip"),
    "strip": ("strip", "slice"),
    "stick": ("stick", "stalk"),
    "rib": ("rib", "stalk"),
    "stalk": ("stalk", "spear"),
    "floret": ("floret", "floweret"),
    "crown": ("crown", "head", "bunch"),
    "bulb": ("bulb", "head"),
    "knob": ("knob", "piece"),
    "leaf": ("leaf",),
    "link": ("link", "sausage", "frankfurter"),
    "envelope": ("envelope", "packet", "package"),
    "package": ("package", "packet", "pkg", "box", "pouch"),
    "bag": ("bag", "package"),
    "box": ("box", "package"),
    "block": ("block", "package"),
    "half": ("half",),
    "wedge": ("wedge",),
}
_ANIMAL_PARTS = frozenset(
    "breast thigh leg wing drumstick drumette neck back foot tail cheek shank shoulder rib loin tenderloin "
    "saddle liver kidney heart gizzard giblet tongue brain".split()
)
_ANIMALS = frozenset(
    "chicken turkey duck goose guinea quail squab pheasant capon grouse bird fish rabbit lamb pig".split()
)
_PARTIAL = frozenset("slice wedge ring strip cup rib cap bite leaf floweret skin neck giblet without".split())
"""First words of measures that are a part of one piece, not the piece."""
_NOT_PIECES = frozenset(
    "package can jar container box bag bottle packet pouch serving cup nlea unit recipe order carton oz "
    "yield".split()
)
_WHOLE = frozenset("whole bonein unpeeled unshelled shell skinon inshell".split())
_FLUID_HEADS = frozenset("juice nectar beverage water wine beer cream buttermilk soymilk".split())


def _scaled(amount: Amount, each: _Range) -> _Range:
    return amount.low * each[0], amount.middle * each[1], amount.high * each[2]


def _line_words(line: IngredientLine) -> frozenset[str]:
    words = set(line.words)
    for part in line.more:
        words.update(part)
    for preparation in line.preparation:
        words.update(preparation.split())
    return frozenset(words)


def _milliliters(unit: str, line: IngredientLine) -> Decimal | None:
    if line.imperial and unit in IMPERIAL_MILLILITERS:
        return IMPERIAL_MILLILITERS[unit]
    return MILLILITERS.get(unit)


def _form(words: frozenset[str]) -> set[int]:
    return {number for number, form in enumerate(_FORMS) if words & form}


def _volume_fit(measure: HouseholdMeasure, words: frozenset[str], unit: str) -> float:
    """How well a volume measure of the row fits the line's form and unit."""
    asked, offered = _form(words), _form(measure.words)
    fit = 0.0
    if asked & offered:
        fit += 2.0
    elif offered and asked:
        fit -= 1.0
    elif 3 in offered:
        fit -= 1.5
    elif 0 in offered:
        fit -= 0.1
    elif offered:
        fit -= 0.4
    told = measure.words - {
        "cup",
        "tbsp",
        "tsp",
        "tablespoon",
        "teaspoon",
        "fl",
        "oz",
        "or",
        "and",
        "of",
        "serving",
        "nlea",
    }
    fit += 0.8 * len(told & words)
    fit -= 0.15 * len(told - words - frozenset().union(*_FORMS))
    if "whipped" in told - words or "sifted" in told - words:
        fit -= 1.5
    if "packed" in told and not words & {"unpacked", "loosely"}:
        fit += 0.5
    if "unpacked" in told or {"not", "packed"} <= told:
        fit -= 0.3
    if measure.milliliters == MILLILITERS.get(unit):
        fit += 0.3
    elif (
        measure.milliliters is not None
        and measure.milliliters > 100
        and unit in ("cup", "pint", "quart", "ml", "l")
    ):
        fit += 0.2
    return fit


_FORM_WORDS = frozenset(
    "butter oil milk flour powder sauce juice paste soup cream syrup dried canned flake chip".split()
)


def _same_form(food: Food, other: Food) -> bool:
    """Whether two rows are the same kind of thing, so that a cup of both weighs the same."""
    first, second = set(words_of(food.description)), set(words_of(other.description))
    return first & _FORM_WORDS == second & _FORM_WORDS and food.group == other.group


def _has_volume(food: Food) -> bool:
    return any(m.milliliters is not None for m in read_households(food.household_weights))


def _density(
    line: IngredientLine, food: Food | None, relatives: Sequence[Food], unit: str
) -> tuple[_Range, str, bool] | None:
    """Grams a millilitre: the row's own, a near row's, the group's."""
    words = _line_words(line)
    if food is not None:
        described = words | frozenset(words_of(food.description))
        table = CUPS_OF_FORMS if _has_volume(food) else CUPS_OF_FORMS + CUPS
        usual = typical(table, described, "cup")
        if usual is not None:
            cup = MILLILITERS["cup"]
            span = (usual.low / cup, usual.usual / cup, usual.high / cup)
            return span, f"a cup so cut weighs {usual.low} to {usual.high} g", True
    for number, row in enumerate([food, *relatives] if food is not None else relatives):
        if row is None:
            continue
        if number and food is not None and not _same_form(food, row):
            continue
        volumes = [m for m in read_households(row.household_weights) if m.milliliters is not None]
        if volumes:
            best = max(volumes, key=lambda m: _volume_fit(m, words, unit))
            assert best.milliliters is not None
            density = best.grams / best.milliliters
            if number == 0 and food is not None:
                return (
                    (density, density, density),
                    f"'{best.text}' of the row weighs {best.grams:.4g} g",
                    False,
                )
            spread = (density * Decimal("0.9"), density, density * Decimal("1.1"))
            return spread, f"'{best.text}' of '{row.description}' weighs {best.grams:.4g} g", True
    if food is None:
        for word in reversed(line.words):
            if word in WORD_DENSITY:
                return decimals(WORD_DENSITY[word]), f"typical density of a {word}", True
        return None
    if food.source == "survey" or food.group not in GROUP_DENSITY:
        return decimals(DISH_DENSITY), "a cup of a prepared dish weighs about 240 g", True
    return decimals(GROUP_DENSITY[food.group]), f"typical density of {food.group.lower()}", True


def _size_fit(measure: HouseholdMeasure, size: str | None, words: frozenset[str]) -> float:
    if size is not None:
        if measure.size == size:
            return 1.0
        return -0.2 if not measure.size else -0.6
    if not measure.size:
        return 0.3
    if measure.size == "large" and "egg" in words:
        return 0.9
    return {"medium": 0.8, "large": 0.1, "small": 0.05}.get(measure.size, -0.3)


def _is_whole_of(measure: HouseholdMeasure, words: frozenset[str]) -> bool:
    """Whether the measure is a whole animal though the line counts a part of it ('2 duck breasts')."""
    return bool(words & _ANIMAL_PARTS) and measure.first in _ANIMALS and not measure.words & _ANIMAL_PARTS


def _count_measure(line: IngredientLine, food: Food, unit: str) -> HouseholdMeasure | None:
    """The household measure of the row that one piece, head, slice or package of the line is."""
    words = _line_words(line)
    asked = _COUNT_ALIASES.get(unit, (unit,)) if unit else ()
    best: HouseholdMeasure | None = None
    best_fit = 0.0
    for measure in read_households(food.household_weights):
        if measure.milliliters is not None or _is_whole_of(measure, words):
            continue
        if unit:
            hits = [rank for rank, name in enumerate(asked) if name in measure.words]
            if not hits:
                continue
            fit = 2.0 - 0.3 * min(hits) + (0.5 if measure.first in asked else 0.0)
            if (
                unit not in ("slice", "leaf", "wedge", "strip", "rasher")
                and measure.first in _PARTIAL
                and measure.first not in asked
            ):
                fit -= 1.5
        else:
            if measure.first in _NOT_PIECES and measure.first not in words:
                continue
            fit = 1.0
            if measure.first in _PARTIAL and measure.first not in words:
                fit -= 1.2
            if measure.words & words:
                fit += 0.6
            if "yield" in measure.words and "juice" not in food.description.lower():
                fit -= 0.2
            if "bite" in measure.words or "pat" in measure.words:
                fit -= 0.6
            if "(1/" in measure.text and measure.first not in words:
                fit -= 1.5  # 'piece (1/12 of 12 oz cake)' is not the cake
        fit += _size_fit(measure, line.size, words)
        if fit > best_fit:
            best, best_fit = measure, fit
    return best


def _same_size(first: HouseholdMeasure, others: Sequence[HouseholdMeasure], size: str) -> Decimal | None:
    """The same measure in another size."""
    for other in others:
        if other.size != size or other.milliliters is not None:
            continue
        if other.first == first.first or {other.first, first.first} <= {"large", "medium", "small"}:
            return other.grams
    return None


def _drained(line: IngredientLine, food: Food | None) -> _Range | None:
    """Share of a can that is eaten, where the line or the row is drained."""
    states = line.states
    if food is None or "undrained" in states:
        return None
    description = frozenset(words_of(food.description))
    row_drained = "drained" in description and "canned" in description
    if not (states & {"drained", "rinsed"} or row_drained):
        return None
    if "canned" not in description and not (line.unit is not None and line.unit.name in ("can", "jar")):
        return None
    if "sauce" in description:
        return None
    for words, share in DRAINED_SHARE:
        if all(word in description for word in words):
            return decimals(share)
    return None


def _refuse(line: IngredientLine, food: Food | None) -> Decimal:
    """The share of a weight as purchased that is eaten, where the line names the whole thing."""
    if food is None or not food.refuse_fraction:
        return _ONE
    words = _line_words(line)
    bird = "whole" in words and bool(words & {"chicken", "turkey", "duck", "goose", "hen", "fish", "bird"})
    if bird or words & (_WHOLE - {"whole", "skinon"}):
        return _ONE - food.refuse_fraction
    return _ONE


def keeps_bone(line: IngredientLine, food: Food) -> bool:
    """Whether the weight still holds the bone that the line names, since the food's row states no refuse."""
    return not food.refuse_fraction and "bonein" in _line_words(line)


def _result(line: IngredientLine, span: _Range, how: str, estimated: bool = False) -> GramsResult:
    low, value, high = span
    value = (
        (low + high) / 2
        if line.amount is not None and line.amount.low != line.amount.high and not estimated
        else value
    )
    if line.negative:
        low, value, high = -high, -value, -low
    return GramsResult(low, value, high, how, "", estimated)


def _is_fluid(food: Food) -> bool:
    """Whether a package of this food is sold by fluid ounces: drinks, juices, milk, cream and broth."""
    parts = food.description.lower().split(",")
    first, described = words_of(parts[0]), set(words_of(food.description))
    if food.group == "Beverages":
        return not described & {"powder", "mix", "dry"}
    if first[:1] in (["milk"], ["cream"]):
        return not described & {"dry", "dried", "condensed", "sour"}
    if first[:1] == ["soup"]:
        second = words_of(parts[1]) if len(parts) > 1 else []
        return bool(set(second) & {"broth", "stock"}) and "condensed" not in described
    return bool(first) and first[-1] in _FLUID_HEADS


def _of_measure(
    measure: Measure, line: IngredientLine, food: Food | None, relatives: Sequence[Food]
) -> tuple[_Range, str, bool] | None:
    """Grams of one package or of a second measure."""
    unit, amount = measure.unit.name, measure.amount
    if unit in GRAMS:
        packed = line.unit is not None and line.unit.kind == "container"
        if unit == "oz" and packed and food is not None and _is_fluid(food):
            density = _density(line, food, relatives, "fl oz")
            if density is not None and not density[2]:
                ml = MILLILITERS["fl oz"]
                return _scaled(amount.times(ml), density[0]), f"fluid ounces; {density[1]}", False
        grams = GRAMS[unit]
        return _scaled(amount.times(grams), (_ONE, _ONE, _ONE)), f"1 {unit} = {grams:.6g} g", False
    milliliters = _milliliters(unit, line)
    density = _density(line, food, relatives, unit)
    if milliliters is None or density is None:
        return None
    return _scaled(amount.times(milliliters), density[0]), density[1], density[2]


def line_grams(line: IngredientLine, food: Food | None, relatives: Sequence[Food] = ()) -> GramsResult:
    """Edible grams of a line [g] of this food; `relatives` are near rows that may lend a volume weight."""
    amount, unit = line.amount, line.unit
    if amount is None and line.total is None:
        return GramsResult(None, None, None, "", "an amount: the line tells none")
    if line.total is not None and (unit is None or unit.kind in ("count", "volume", "container")):
        found = _of_measure(line.total, line, food, relatives)
        if found is not None and (line.total.unit.kind == "mass" or unit is None or unit.kind != "volume"):
            keep = _refuse(line, food)
            span = (found[0][0] * keep, found[0][1] * keep, found[0][2] * keep)
            return _result(line, span, f"weight in brackets, {found[1]}", found[2])
    if amount is None:
        return GramsResult(None, None, None, "", "an amount: the line tells none")
    if line.package is not None:
        found = _of_measure(line.package, line, food, relatives)
        if found is not None:
            span = _scaled(amount, found[0])
            how, estimated = f"{amount.middle:.4g} x package size, {found[1]}", found[2]
            return _reduced(line, food, span, how, estimated)
    if unit is None or unit.kind in ("count", "container", "length") or _is_handful(line, food):
        return _counted(line, food, amount, "" if unit is None else unit.name)
    if unit.kind == "mass":
        grams = GRAMS[unit.name]
        keep = _refuse(line, food)
        span = _scaled(amount.times(grams), (keep, keep, keep))
        how = f"stated weight, 1 {unit.name} = {grams:.6g} g"
        if keep != _ONE and food is not None:
            how += f", less {food.refuse_fraction * 100:.0f} % refuse ({food.refuse_description})"
        return _result(line, span, how)
    milliliters = _milliliters(unit.name, line)
    density = _density(line, food, relatives, unit.name)
    if milliliters is None or density is None:
        return GramsResult(None, None, None, "", f"the weight of one {unit.name} of this food")
    return _result(line, _scaled(amount.times(milliliters), density[0]), density[1], density[2])


def _reduced(line: IngredientLine, food: Food | None, span: _Range, how: str, estimated: bool) -> GramsResult:
    """Takes off what is poured away from a can, or the refuse of whole things."""
    share = _drained(line, food) if line.unit is not None and line.unit.name in ("can", "jar") else None
    if share is not None:
        span = (span[0] * share[0], span[1] * share[1], span[2] * share[2])
        return _result(line, span, f"{how}; drained, about {share[1]:.2f} of it", True)
    keep = _refuse(line, food)
    if keep != _ONE:
        span = (span[0] * keep, span[1] * keep, span[2] * keep)
        how += f"; less {(_ONE - keep) * 100:.0f} % refuse"
    return _result(line, span, how, estimated)


def _is_handful(line: IngredientLine, food: Food | None) -> bool:
    """Whether the line gives a handful of something whose handfuls are known better than by volume."""
    if food is None or line.unit is None or line.unit.name != "handful":
        return False
    words = _line_words(line) | frozenset(words_of(food.description))
    return typical(PIECES, words, "handful") is not None


def _counted(line: IngredientLine, food: Food | None, amount: Amount, unit: str) -> GramsResult:
    """Grams of so many pieces, heads, slices or packages."""
    named = _line_words(line)
    words = named | (frozenset(words_of(food.description)) if food is not None else frozenset())
    if named & _ANIMAL_PARTS:
        words -= {"whole", "giblet", "fryer"} - named  # the row's 'from whole bird' is not what is counted
    container = line.unit is not None and line.unit.kind == "container"
    usual = None if container else typical(PIECES, words, unit)
    prefer_usual = usual is not None and usual.words[:1] in (
        ("chicken",),
        ("garlic",),
        ("turkey",),
        ("bacon",),
        ("pork",),
        ("duck",),
        ("goose",),
        ("rabbit",),
    )
    measure = (
        _count_measure(line, food, unit)
        if food is not None and not (prefer_usual and usual is not None)
        else None
    )
    if measure is not None and container and measure.package_oz is None:
        sold = typical(PACKAGES, words, unit)
        if sold is not None and sold.words and not sold.low * 7 <= measure.grams * 10 <= sold.high * 14:
            measure = None  # SR28's 'can' of tomatoes is 190 g, a size no longer sold
    if measure is not None and food is not None:
        each = measure.grams
        low = high = each
        if line.size is None and measure.size == "medium":
            others = read_households(food.household_weights)
            low = min(each, _same_size(measure, others, "small") or each)
            high = max(each, _same_size(measure, others, "large") or each)
        span = _scaled(amount, (low, each, high))
        how = f"'{measure.text}' of the row weighs {each:.4g} g"
        if container and _drained(line, food) is not None and "drained" not in words_of(food.description):
            return _reduced(line, food, span, how, low != high)
        return _result(line, span, how, low != high)
    if usual is None and container:
        usual = typical(PACKAGES, words, unit)
    if usual is None and unit:
        usual = typical(PIECES, words, "")
        if usual is not None and unit in ("slice", "leaf", "sprig", "wedge", "strip", "floret", "spear"):
            usual = None
    if usual is None or food is None:
        what = f"one {unit}" if unit else "one piece"
        return GramsResult(None, None, None, "", f"the weight of {what} of this food")
    span = _scaled(amount, (Decimal(usual.low), Decimal(usual.usual), Decimal(usual.high)))
    how = f"a typical {unit or 'piece'} weighs {usual.low} to {usual.high} g"
    if container:
        return _reduced(line, food, span, how, True)
    return _result(line, span, how, True)
