"""The same again, larger or smaller: what a past batch foretells for another load."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from nutricost.api.cards import Card
from nutricost.api.documents import cards_of
from nutricost.api.inputs import input_of
from nutricost.domain.documents import Drying, Packing
from nutricost.domain.drying.balance import as_volume
from nutricost.domain.drying.scaling import load_factor, moisture_change, scaled_load, whole_pieces
from nutricost.domain.foods.lines import read_line
from nutricost.domain.quantities import Figure, total
from nutricost.domain.recipes.draws import label_amount
from nutricost.domain.recipes.scaled_lines import scaled_line
from nutricost.errors import DocumentError, InputError, Problem
from nutricost.sources.documents import batch_from_table
from nutricost.sources.documents.loading import load_toml, source_name
from nutricost.sources.documents.overrides import apply_overrides

Unit = Literal["packages", "trays", "servings"]

SAID = (
    "the same recipe at the same prices; ingredients, energy and other costs go with the load, bags are "
    "whole",
    "hours of a cycle do not go with the load: see nutricost log",
    "losses of last time are not counted",
)


@dataclass(frozen=True, slots=True)
class ScaledLine:
    """One ingredient of the new load; `text` is None where its amount can't be put into words."""

    was: str
    text: str | None
    grams: Figure
    cost: Figure


@dataclass(frozen=True, slots=True)
class SameAgain:
    """A past batch scaled by `factor`. `load` by key: see `view`; `costs` as on a card [money]."""

    card: Card
    content: Mapping[str, Any]
    factor: Figure
    lines: tuple[ScaledLine, ...]
    load: Mapping[str, Figure]
    costs: Mapping[str, Figure]

    def view(self) -> dict[str, Any]:
        """The public form."""
        return {
            "title": self.card.batch.title,
            "currency": self.card.batch.currency,
            "factor": self.factor,
            "lines": [
                {
                    "line": each.text or each.was,
                    "scaled": each.text is not None,
                    "grams": each.grams,
                    "cost": each.cost,
                }
                for each in self.lines
            ],
            "load": dict(self.load),
            "costs": dict(self.costs),
            "assumptions": [*SAID, *self._eaten],
        }

    @property
    def part_was_eaten(self) -> bool:
        """Whether less was dried last time than was cooked."""
        scale = self.card.content.scale
        return scale.is_known and scale.must() < 1

    @property
    def _eaten(self) -> list[str]:
        if not self.part_was_eaten:
            return []
        percent = (self.card.content.scale.must() * 100).quantize(Decimal(1))
        return [
            f"as last time {percent} % of what is cooked is dried and charged; the lines are the whole pot"
        ]


def again_file(
    path: str,
    count: Decimal,
    unit: Unit,
    of: str | None = None,
    overrides: Sequence[str] = (),
) -> SameAgain:
    """The batch scaled to a number of packages, trays or servings.

    `of` names the line whose packages are meant where several count packages. Raises DocumentError for
    a batch that does not tell what it is scaled by, InputError for a number not above 0.
    """
    source = input_of(path, "batch")
    name = source_name(source)
    content = apply_overrides(load_toml(source), overrides, name)
    batch = batch_from_table(content, name)
    return same_again(cards_of([batch])[0], count, unit, of, content)


def same_again(
    card: Card, count: Decimal, unit: Unit, of: str | None = None, content: Mapping[str, Any] | None = None
) -> SameAgain:
    """The batch of a card scaled; `content` is its parsed document, needed to write the new one."""
    done = _done(card, unit, of)
    factor = load_factor(done, Figure.exact(count, done.unit, f"{unit} wanted", source=f"--{unit}"))
    drying, packing = card.batch.drying or Drying(), card.batch.packing or Packing()
    batch = card.content
    load = scaled_load(
        {"servings": card.batch.servings, "weight_wet": batch.loaded, "weight_dry": batch.dried}, factor
    )
    if drying.dry_weight:
        load["weight_dry"] = (load["weight_dry"] * moisture_change()).named(
            "weight dry", formula="past load x load factor, dried a little more or less"
        )
    water = (load["weight_wet"] - load["weight_dry"]).named("water removed", formula="wet - dry weight")
    load["water_removed"] = water
    load["water_to_add"] = as_volume(water)
    load["water_to_add_per_serving"] = (load["water_to_add"] / load["servings"]).named(
        "water to add per serving"
    )
    load["energy"] = (card.per_serving["energy"] * load["servings"]).named(
        "energy", formula="per serving x servings"
    )
    load["trays"] = _pieces(drying.trays, factor, "tray", "drying.trays", "trays")
    load["bags"] = _pieces(packing.bags, factor, "bag", "packing.bags", "bags")
    costs = _costs(card, packing, factor, load["bags"])
    load["cost_per_serving"] = (costs["total"] / load["servings"]).named(
        "cost per serving", formula="total / servings"
    )
    return SameAgain(card, content or {}, factor, tuple(_lines(card, factor)), load, costs)


def _done(card: Card, unit: Unit, of: str | None) -> Figure:
    """How many packages, trays or servings the past batch was."""
    if unit == "servings":
        return card.batch.servings
    if unit == "trays":
        drying = card.batch.drying
        if drying is None or drying.trays is None:
            raise DocumentError(
                [Problem(f"{card.batch.where}: drying.trays", "missing", "the trays this batch filled")]
            )
        return drying.trays
    counted = _packages(card)
    if of is not None:
        counted = {line: count for line, count in counted.items() if of.casefold() in line.casefold()}
    if len(counted) == 1:
        return next(iter(counted.values()))
    known = ", ".join(repr(line) for line in (counted or _packages(card)))
    if not known:
        raise InputError(f"{card.batch.where}: no line counts packages (accepted: --trays or --servings)")
    wrong = "names no line that counts packages" if not counted else "could be several lines"
    raise InputError(f"--packages {wrong}: say which with --of (accepted: a part of {known})")


def _packages(card: Card) -> dict[str, Figure]:
    """Lines that count packages with their number. [package]"""
    counted: dict[str, Figure] = {}
    for line in card.lines:
        ingredient = line.recipe_line.ingredient
        read = read_line(ingredient.line)
        if read.amount is None or read.negative:
            continue
        if line.label is not None and ingredient.grams is None:
            drawn = label_amount(ingredient, read, card.readings[line.label])
            if drawn.unit == "package":
                counted[ingredient.line] = drawn
        elif read.unit is not None and read.unit.kind == "container":
            counted[ingredient.line] = Figure.between(
                read.amount.low, read.amount.high, "package", "packages", source=f"{ingredient.where}.line"
            )
    return counted


def _pieces(pieces: Figure | None, factor: Figure, unit: str, key: str, name: str) -> Figure:
    if pieces is None:
        return Figure.unknown(unit, f"{key} is not given", name)
    return whole_pieces((pieces * factor).named(name))


def _costs(card: Card, packing: Packing, factor: Figure, bags: Figure) -> dict[str, Figure]:
    costs = card.costs
    by_load = {"ingredients": costs.ingredients, "energy": costs.energy, "other": costs.other}
    scaled = scaled_load(by_load, factor)
    packed = costs.packing * bags / packing.bags if packing.bags is not None else costs.packing * factor
    scaled["packing"] = packed.named("packing", formula="past packing x whole bags / bags")
    parts = [scaled[key] for key in ("ingredients", "energy", "packing", "other")]
    scaled["total"] = total(parts, "total cost", formula="ingredients + energy + packing + other")
    return scaled


def _lines(card: Card, factor: Figure) -> list[ScaledLine]:
    return [
        ScaledLine(
            line.recipe_line.ingredient.line,
            scaled_line(line.recipe_line.ingredient.line, factor.must()),
            (line.recipe_line.content.weight * factor).named("weight"),
            (line.recipe_line.cost * factor).named("cost"),
        )
        for line in card.lines
    ]
