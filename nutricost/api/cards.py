"""The recipe card of a batch: everything known about it, as figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nutricost.api.cautions import batch_cautions
from nutricost.api.lines import ResolvedLine, resolve_lines
from nutricost.domain.cautions import Caution
from nutricost.domain.comparison import Offer
from nutricost.domain.costs import BatchCosts, batch_costs
from nutricost.domain.documents import Batch
from nutricost.domain.drying.balance import (
    as_cups,
    as_volume,
    water_per_100g_dry,
    water_per_serving,
    water_removed,
)
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.labels import LabelReading, read_label
from nutricost.domain.labels.checks import label_problems
from nutricost.domain.quantities import Figure
from nutricost.domain.recipes.batch import BatchContent, batch_content, tray_share
from nutricost.domain.recipes.lines import REPORTED
from nutricost.sources.matching_engine import Matcher


@dataclass(frozen=True, slots=True)
class Card:
    """A batch worked out.

    `per_batch` and `per_serving` by key: the reported nutrients, `weight_dry`, `weight_wet`,
    `water_to_add` [g] and `cost`; per-serving figures add /serving. `per_100g_dry` and `per_100g_wet`
    hold the nutrients alone. `water` to pour back: `per_serving`, `per_100g_dry`, `per_bag` [mL] and
    `cups_per_serving` [US cups].
    """

    batch: Batch
    lines: tuple[ResolvedLine, ...]
    readings: Mapping[str, LabelReading]
    content: BatchContent
    costs: BatchCosts
    per_batch: Mapping[str, Figure]
    per_serving: Mapping[str, Figure]
    per_100g_dry: Mapping[str, Figure]
    per_100g_wet: Mapping[str, Figure]
    water: Mapping[str, Figure]
    cautions: tuple[Caution, ...]
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def offer(self) -> Offer:
        """The batch as an offer in a comparison."""
        whole = {key: self.per_batch[key] for key in REPORTED}
        per_serving = {key: self.per_serving[key] for key in REPORTED}
        extra = {
            "weight": (self.per_batch["weight_dry"], self.per_serving["weight_dry"]),
            "water": (self.per_batch["water_to_add"], self.per_serving["water_to_add"]),
            "machine_hour": (hours := _machine_hours(self.batch), hours / self.content.servings),
        }
        packing = self.batch.packing
        bags = packing.bags if packing is not None else None
        return Offer(
            name=self.batch.title,
            kind="home",
            currency=self.batch.currency,
            cost=self.costs.total,
            servings=self.content.servings,
            whole=whole | {key: pair[0] for key, pair in extra.items()},
            per_serving=per_serving | {key: pair[1] for key, pair in extra.items()},
            packs=bags or Figure.unknown("bag", "packing.bags is not given", "bags"),
        )


def _machine_hours(batch: Batch) -> Figure:
    drying = batch.drying
    if drying is None or drying.hours is None:
        return Figure.unknown("h", "drying.hours is not given", "machine hours")
    hours = drying.hours + drying.extra_hours if drying.extra_hours is not None else drying.hours
    return (hours * tray_share(drying)).named("machine hours", formula="hours of the cycle x share of trays")


def recipe_card(
    batch: Batch, *, matcher: Matcher | None = None, remembered: Mapping[str, str] | None = None
) -> Card:
    """The card of a batch. Raises DocumentError where its figures contradict each other."""
    readings = {name: read_label(label) for name, label in batch.labels.items()}
    lines = resolve_lines(
        batch.ingredients, readings, batch.currency, matcher or Matcher.open(), remembered or {}
    )
    recipe_lines = [line.recipe_line for line in lines]
    content = batch_content(batch, recipe_lines)
    costs = batch_costs(batch, recipe_lines, content.scale)
    per_batch = {
        **content.nutrients,
        "weight_dry": content.weight_dry,
        "weight_wet": content.weight_wet,
        "water_to_add": water_removed(content.weight_wet, content.weight_dry).named(
            "water to add", formula="wet - dry weight"
        ),
        "cost": costs.total,
    }
    return Card(
        batch=batch,
        lines=tuple(lines),
        readings=readings,
        content=content,
        costs=costs,
        per_batch=per_batch,
        per_serving={
            key: (figure / content.servings).named(
                f"{figure.name or key}, per serving", formula="batch / servings"
            )
            for key, figure in per_batch.items()
        },
        per_100g_dry=_per_100g(content, content.weight_dry, "dry"),
        per_100g_wet=_per_100g(content, content.weight_wet, "before drying"),
        water=_water(batch, content, per_batch["water_to_add"]),
        cautions=batch_cautions(batch, lines, content),
        assumptions=_assumptions(content, costs, per_batch),
        warnings=_warnings(readings, lines, content),
    )


def _per_100g(content: BatchContent, weight: Figure, what: str) -> dict[str, Figure]:
    return {
        key: (content.nutrients[key] / weight.to("hundred_g")).named(
            f"{NUTRIENTS[key].name} per 100 g {what}"
        )
        for key in REPORTED
    }


def _water(batch: Batch, content: BatchContent, water: Figure) -> dict[str, Figure]:
    """Water to pour back, by serving, by 100 g dry and by bag (bags taken as equal)."""
    bags = batch.packing.bags if batch.packing is not None else None
    serving = water_per_serving(water, content.servings)
    return {
        "per_serving": serving,
        "cups_per_serving": as_cups(serving),
        "per_100g_dry": water_per_100g_dry(water, content.weight_dry),
        "per_bag": (
            (as_volume(water) / bags).named("water to add per bag", formula="water to add / bags")
            if bags is not None
            else Figure.unknown("mL/bag", "packing.bags is not given", "water to add per bag")
        ),
    }


def _assumptions(
    content: BatchContent, costs: BatchCosts, per_batch: Mapping[str, Figure]
) -> tuple[str, ...]:
    """What was taken for granted: the assumed inputs of the figures, and costs taken as none."""
    said = list(costs.assumptions)
    for figure in (*per_batch.values(), content.residual_moisture):
        for leaf in figure.leaves():
            if leaf.standing == "assumed" and not leaf.source.startswith("no ["):
                spread = (
                    f"{leaf.value:f}"
                    if leaf.is_exact
                    else f"{leaf.low.normalize():f} to {leaf.high.normalize():f}"
                )
                said.append(f"{leaf.name}: {spread} {leaf.shown_unit}".rstrip() + f" ({leaf.source})")
            elif leaf.standing == "estimated":
                said.append(f"{leaf.name}: estimated by difference")
    return tuple(dict.fromkeys(said))


def _warnings(
    readings: Mapping[str, LabelReading], lines: list[ResolvedLine], content: BatchContent
) -> tuple[str, ...]:
    said = [str(problem) for reading in readings.values() for problem in label_problems(reading)]
    said += [note for reading in readings.values() for note in reading.notes]
    said += [warning for line in lines for warning in line.recipe_line.warnings]
    said += content.warnings
    for key in REPORTED:
        missing = [
            line.recipe_line.ingredient.line
            for line in lines
            if not line.recipe_line.content.nutrients[key].is_known
        ]
        if missing:
            said.append(f"{NUTRIENTS[key].name} is not known for: {', '.join(missing)}")
    return tuple(dict.fromkeys(said))
