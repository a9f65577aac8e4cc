"""What a batch holds, from its lines, cooking and drying.

The water balance of method: solids are conserved from pot to bag, and where less is dried than was
cooked, everything scales by loaded / cooked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.documents import Batch, Drying
from nutricost.domain.drying.balance import (
    as_weighed,
    assumed_residual_moisture,
    dry_weight_from_solids,
    drying_problems,
    residual_moisture_from_weights,
    solids_problem,
    water_removed,
)
from nutricost.domain.drying.dryness import weighing_problems
from nutricost.domain.drying.thermodynamics import minimum_energy
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.quantities import ONE, ZERO, Figure, total
from nutricost.domain.recipes.lines import REPORTED, RecipeLine
from nutricost.errors import DocumentError, Problem

LOAD_TOLERANCE = Decimal("0.02")
"""How far the loaded weight may exceed the cooked weight before it is refused: kitchen scales differ
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class BatchContent:
    """What the finished batch holds, in all that will be eaten.

    `nutrients` by key [kcal, g, mg]; weights and solids [g]; `servings` are those that count, losses
    taken off; `scale` is loaded / cooked; `coverage` by nutrient is the mass fraction known, None where
    the weight of a line is unknown. `loaded`, `loaded_solids` and `dried` [g] are what was in the
    machine, before losses; `water_removed` and the energies go with them.
    """

    servings: Figure
    scale: Figure
    nutrients: Mapping[str, Figure]
    weight_wet: Figure
    weight_dry: Figure
    solids: Figure
    loaded: Figure
    loaded_solids: Figure
    dried: Figure
    water_removed: Figure
    residual_moisture: Figure
    minimum_energy: Figure
    measured_energy: Figure
    coverage: Mapping[str, Decimal | None]
    warnings: tuple[str, ...]


def batch_content(batch: Batch, lines: Sequence[RecipeLine]) -> BatchContent:
    """What the batch holds. Raises DocumentError where its weights contradict each other."""
    drying = batch.drying or Drying()
    where = f"{batch.where}: "
    if impossible := drying_problems(drying, where):
        raise DocumentError(impossible)
    cooked, loaded, warnings = _weights(batch, drying, lines)
    scale = _scale(batch, cooked, loaded)
    kept, servings = _kept(batch)
    factor = (scale * kept).named(
        "share that is dried and eaten", formula="loaded / cooked x servings that count"
    )

    nutrients = {
        key: (_sum(lines, key) * factor).named(f"{NUTRIENTS[key].name} of the batch") for key in REPORTED
    }
    if negative := _negative_problems(batch, nutrients):
        raise DocumentError(negative)
    all_solids = total([line.content.solids for line in lines], "solids of all lines", unit="g")
    solids = (all_solids * scale).named("solids loaded", formula="solids of all lines x loaded / cooked")
    dry, moisture = _dry_weight(batch, drying, solids, loaded)
    removed = water_removed(loaded, dry)
    problem = _balance_problem(batch, loaded, dry)
    if problem:
        raise DocumentError([problem])
    least, measured = minimum_energy(removed), _measured_energy(drying)
    more = _energy_warning(measured, least)
    more += [str(each) for each in weighing_problems(drying.weighings, where)]
    return BatchContent(
        servings=servings,
        scale=scale,
        nutrients=nutrients,
        weight_wet=(loaded * kept).named("weight loaded"),
        weight_dry=(dry * kept).named("weight dry"),
        solids=(solids * kept).named("solids"),
        loaded=loaded,
        loaded_solids=solids,
        dried=dry,
        water_removed=removed,
        residual_moisture=moisture,
        minimum_energy=least,
        measured_energy=measured,
        coverage={key: _coverage(lines, key) for key in REPORTED},
        warnings=(*warnings, *more),
    )


def _sum(lines: Sequence[RecipeLine], key: str) -> Figure:
    parts = [line.content.nutrients[key] for line in lines]
    return total(parts, f"{NUTRIENTS[key].name} of all lines", unit=NUTRIENTS[key].unit)


def _weights(batch: Batch, drying: Drying, lines: Sequence[RecipeLine]) -> tuple[Figure, Figure, list[str]]:
    """Cooked and loaded weight [g]: wet_weight, else cooking.weight, else the sum of the lines."""
    pot = total([line.content.weight for line in lines], "weight of all lines", unit="g")
    weighed = as_weighed(drying.wet_weight, drying.scale_step)
    loaded = total(weighed, "weight loaded") if weighed else None
    cooked = batch.cooked_weight or loaded or pot
    warnings = []
    if batch.cooked_weight is not None and pot.is_known and batch.cooked_weight.low > pot.high * 3:
        warnings.append(
            f"the cooked weight ({batch.cooked_weight.must():.0f} g) is over three times the weight of the "
            f"lines ({pot.must():.0f} g); is a line missing, or water that was not listed?"
        )
    return cooked, loaded or cooked, warnings


def _scale(batch: Batch, cooked: Figure, loaded: Figure) -> Figure:
    if loaded is cooked:
        return Figure.exact(1, "", "loaded / cooked", source="all that was cooked is dried")
    if loaded.low > cooked.high * (ONE + LOAD_TOLERANCE):
        raise DocumentError(
            [
                Problem(
                    f"{batch.where}: drying.wet_weight",
                    f"{loaded.must():.0f} g loaded is more than the {cooked.must():.0f} g cooked",
                    "at most cooking.weight; leave cooking.weight out if all that was cooked was dried",
                )
            ]
        )
    if loaded.must() >= cooked.must():
        return Figure.exact(
            1, "", "loaded / cooked", source="all that was cooked is dried, within the scales"
        )
    return (loaded / cooked).named("loaded / cooked")


def _kept(batch: Batch) -> tuple[Figure, Figure]:
    """The share of servings that counts, and their number, after losses."""
    if not batch.losses:
        return Figure.exact(
            1, "", "share of servings that counts", source="no losses entered"
        ), batch.servings
    lost = total([loss.servings for loss in batch.losses], "servings lost")
    left = (batch.servings - lost).named("servings that count", formula="servings - losses")
    if left.low <= 0:
        raise DocumentError(
            [
                Problem(
                    f"{batch.where}: losses",
                    f"{lost.must()} servings are lost of {batch.servings.must()}",
                    "fewer losses than servings",
                )
            ]
        )
    return (left / batch.servings).named("share of servings that counts"), left


def _negative_problems(batch: Batch, nutrients: Mapping[str, Figure]) -> list[Problem]:
    """Nutrients of which more is poured off than the lines hold."""
    return [
        Problem(
            f"{batch.where}: ingredients",
            f"more {NUTRIENTS[key].name} is poured off than the lines hold "
            f"({figure.must():.1f} {figure.shown_unit} are left)",
            "a line with a negative amount only for what other lines brought in",
        )
        for key, figure in nutrients.items()
        if figure.is_known and figure.high < 0
    ]


def _dry_weight(batch: Batch, drying: Drying, solids: Figure, loaded: Figure) -> tuple[Figure, Figure]:
    """Dry weight [g] and residual moisture [fraction]: measured where weighed, else from the solids.

    Food that goes in drier than the moisture assumed (candy, nuts) comes out as it went in.
    """
    if drying.dry_weight:
        dry = total(as_weighed(drying.dry_weight, drying.scale_step), "weight dry, as weighed")
        problem = solids_problem(dry, solids, f"{batch.where}: drying.dry_weight")
        if problem:
            raise DocumentError([problem])
        return dry, residual_moisture_from_weights(dry, solids)
    moisture = drying.residual_moisture or assumed_residual_moisture()
    dry = dry_weight_from_solids(solids, moisture)
    if not (dry.is_known and loaded.is_known) or dry.high <= loaded.low:
        return dry, moisture
    contradicts = dry.low if drying.residual_moisture is not None else solids.low
    if contradicts > loaded.high:
        return dry, moisture
    dry = (loaded - water_removed(loaded, dry)).named(
        "dry weight", formula="solids / (1 - residual moisture), at most the weight loaded"
    )
    return dry, residual_moisture_from_weights(dry, solids)


def _balance_problem(batch: Batch, loaded: Figure, dry: Figure) -> Problem | None:
    if loaded.is_known and dry.is_known and dry.low > loaded.high:
        return Problem(
            f"{batch.where}: drying",
            f"the dry weight ({dry.must():.0f} g) is above the wet weight ({loaded.must():.0f} g)",
            "a dry weight below the wet weight; check the weights, and that no line is missing",
        )
    return None


def _measured_energy(drying: Drying) -> Figure:
    """Electricity of this batch's share of the cycle, by trays. [kWh]"""
    if drying.energy is None:
        return Figure.unknown("kWh", "drying.energy is not given", "electricity of the cycle")
    return (drying.energy * tray_share(drying)).named(
        "electricity", formula="electricity of the cycle x share of trays"
    )


def _energy_warning(measured: Figure, least: Figure) -> list[str]:
    """Less electricity than the water takes as heat of sublimation: no resistance-heated machine does it."""
    if not (measured.is_known and least.is_known) or measured.high >= least.low:
        return []
    return [
        f"the electricity, {measured.must():.2f} kWh, is below the {least.must():.2f} kWh that the water "
        "takes at least: check the meter, the weights and the trays of the cycle"
    ]


def tray_share(drying: Drying) -> Figure:
    """This batch's share of the cycle's trays [fraction]; 1 where it had the machine to itself.

    Weights given tray by tray count the trays; unknown where the cycle was shared and nothing counts them.
    """
    if drying.cycle_trays is None:
        return Figure.exact(1, "", "share of the cycle", source="the batch had the cycle to itself")
    trays, weighed = drying.trays, max(len(drying.wet_weight), len(drying.dry_weight))
    if trays is None and weighed > 1:
        trays = Figure.exact(weighed, "tray", "trays", source="weights given tray by tray")
    if trays is None:
        return Figure.unknown("", "drying.trays is not given beside drying.cycle_trays", "share of the cycle")
    return (trays / drying.cycle_trays).named("share of the cycle", formula="trays / trays in the whole load")


def _coverage(lines: Sequence[RecipeLine], key: str) -> Decimal | None:
    weights = [(line.content.weight.value, line.content.nutrients[key].is_known) for line in lines]
    if any(weight is None for weight, _ in weights):
        return None
    whole = sum((abs(weight) for weight, _ in weights if weight is not None), ZERO)
    known = sum((abs(weight) for weight, there in weights if there and weight is not None), ZERO)
    return known / whole if whole else None
