"""A batch's ingredient lines made into recipe lines: label or food, grams, money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nutricost.domain.costs import charged, purchase_share
from nutricost.domain.documents import Ingredient
from nutricost.domain.foods.grams import keeps_bone
from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.records import Food
from nutricost.domain.labels import LabelReading
from nutricost.domain.quantities import Figure, Monotone, apply
from nutricost.domain.recipes.draws import as_bought, is_cups_of_a_cup, label_amount, used_and_bought
from nutricost.domain.recipes.lines import (
    FoodFigures,
    LineContent,
    RecipeLine,
    food_content,
    label_content,
    unknown_content,
)
from nutricost.errors import DocumentError, Problem, UnknownFood
from nutricost.sources.matching_engine import LineMatch, Matcher


@dataclass(frozen=True, slots=True)
class ResolvedLine:
    """A recipe line with the match it came from; `label` names the label where it drew on one."""

    recipe_line: RecipeLine
    match: LineMatch | None
    label: str | None


def resolve_lines(
    ingredients: Sequence[Ingredient],
    readings: Mapping[str, LabelReading],
    currency: str,
    matcher: Matcher,
    remembered: Mapping[str, str],
) -> list[ResolvedLine]:
    """Every line with its content and cost [currency]; raises DocumentError with all problems."""
    figures = FoodFigures()
    problems: list[Problem] = []
    resolved = []
    for ingredient in ingredients:
        try:
            resolved.append(_resolve(ingredient, currency, readings, matcher, remembered, figures))
        except DocumentError as error:
            problems.extend(error.problems)
        except UnknownFood as error:
            problems.append(Problem(f"{ingredient.where}.food", str(error)))
    if problems:
        raise DocumentError(problems)
    return resolved


def _resolve(
    ingredient: Ingredient,
    currency: str,
    readings: Mapping[str, LabelReading],
    matcher: Matcher,
    remembered: Mapping[str, str],
    figures: FoodFigures,
) -> ResolvedLine:
    label = ingredient.label
    match = None
    warnings: list[str] = []
    if label is not None:
        reading, line_read = readings[label], read_line(ingredient.line)
        amount = label_amount(ingredient, line_read, reading)
        content = label_content(reading, amount, ingredient.line)
        if amount.standing == "assumed":
            warnings.append(f"'{ingredient.line}': no amount given, taken as one package of '{label}'")
        if ingredient.grams is None and is_cups_of_a_cup(line_read, label):
            warnings.append(
                f"'{ingredient.line}': taken as measuring cups, not as packages of '{label}'; where the cup "
                "is the package, write packages"
            )
    else:
        match = matcher.match(ingredient.line, remembered, ingredient.food)
        line_read = match.line
        weight = ingredient.grams or grams_figure(match, f"{ingredient.where}.line")
        content = _matched_content(ingredient, match, weight, figures, warnings)
    share = _share(ingredient, content, match.food if match else None)
    if ingredient.paid is None and line_read.negative:
        cost = Figure.exact(0, currency, f"paid: {ingredient.line}", source="poured off: nothing is bought")
    else:
        cost = _charged(ingredient, ingredient.paid, share, currency, "paid")
    usual = (
        _charged(ingredient, ingredient.normal, share, currency, "usual price")
        if ingredient.normal is not None
        else None
    )
    line = RecipeLine(ingredient, content, share, cost, usual, match.food if match else None, tuple(warnings))
    return ResolvedLine(line, match, label)


def _matched_content(
    ingredient: Ingredient, match: LineMatch, grams: Figure, figures: FoodFigures, warnings: list[str]
) -> LineContent:
    if match.food is None:
        why = f"no food found for '{ingredient.line}'"
        warnings.append(f'{why}: pin one with food = "ndb:..." or a label (see: nutricost find)')
        return unknown_content(why, ingredient.line, grams if grams.is_known else None)
    if match.status == "unsure":
        warnings.append(
            f"'{ingredient.line}' is taken as '{match.food.description}', not surely: confirm it with food = "
            f'"{match.food.key}", or pick another (see: nutricost match)'
        )
    if not grams.is_known:
        warnings.append(f"'{ingredient.line}': weight not known ({grams.why}); give it with grams = ...")
    elif ingredient.grams is None and keeps_bone(match.line, match.food):
        warnings.append(
            f"'{ingredient.line}': the food table states no bone for this food, so the bone counts as meat; "
            "weigh the meat alone and give it with grams = ..."
        )
    return food_content(match.food, grams, figures, ingredient.line)


def grams_figure(match: LineMatch, where: str) -> Figure:
    """The edible grams of a matched line [g], with how they were found."""
    grams, name = match.grams, f"weight of {match.text}"
    if grams.low is None or grams.value is None or grams.high is None:
        return Figure.unknown("g", grams.needs or "the line gives no amount", name, source=where)
    source = f"{where}: {grams.how}"
    standing = "estimated" if grams.estimated else "given"
    return Figure.between(
        grams.low, grams.high, "g", name, value=grams.value, source=source, standing=standing
    )


def _share(ingredient: Ingredient, content: LineContent, food: Food | None) -> Figure:
    name = "share of the purchase"
    if ingredient.shared_for is None:
        return Figure.exact(1, "", name, source=f"{ingredient.where}: all of it is used here")
    weight = as_bought(ingredient, content.weight, food) if food is not None else content.weight
    compared = used_and_bought(ingredient, weight)
    if compared is None:
        raise DocumentError(
            [
                Problem(
                    f"{ingredient.where}.for",
                    f"{ingredient.shared_for!r} can't be compared with the line {ingredient.line!r}",
                    'a weight, or the same kind of package as the line, such as "5 lb" or "12 cans"',
                )
            ]
        )
    used, whole = compared
    if used is weight and used is not content.weight and used.is_known and content.weight.low <= whole.high:
        # The usual weight of peel and bone is no ground to refuse what the user says was bought.
        used = apply(Monotone(min, (1, 1)), (used, whole), "g", "used", formula="at most what was bought")
    return purchase_share(used, whole, ingredient.where)


def _charged(ingredient: Ingredient, paid: Figure | None, share: Figure, currency: str, what: str) -> Figure:
    name = f"{what}: {ingredient.line}"
    if paid is None:
        return Figure.unknown(currency, f"nothing paid is given for '{ingredient.line}'", name)
    return charged(paid, share, currency, name)
