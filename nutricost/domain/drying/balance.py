"""Water and solids of a batch before and after drying.

Solids are conserved: solids S = dry weight D x (1 - residual moisture r), on a wet basis. An identity, so
nothing here is empirical but the range of residual moisture assumed where nobody weighed.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from nutricost.domain.documents import Drying
from nutricost.domain.quantities import ONE, Figure, not_below_zero, total
from nutricost.errors import InputError, Problem

WHOLE = Figure.exact(1, "", "the whole", source="a fraction of the whole")

WATER_DENSITY = Figure.exact(
    1, "mL/g", "volume of water by weight", source="1 mL/g; 1.002 mL/g at 20 C by IAPWS R7-97"
)


def assumed_residual_moisture() -> Figure:
    """The moisture left in well dried food where nobody weighed it. [fraction, wet basis]

    1 to 4 % (textbook range, from memory; a trade magazine gives 0.5 to 2 % as the usual least).
    """
    return Figure.between(
        Decimal("0.01"), Decimal("0.04"), "", "residual moisture", standing="assumed",
        source="usual range for freeze-dried food, 1 to 4 % (from memory)",
    )  # fmt: skip


def check_fraction(moisture: Figure, name: str) -> None:
    """Raises InputError where a moisture is below 0 or reaches 1."""
    if moisture.is_known and not (moisture.low >= 0 and moisture.high < 1):
        raise InputError(
            f"{name}: {_shown(moisture)} (accepted: a mass fraction from 0 to below 1, such as 0.03)"
        )


def dry_weight_from_solids(solids: Figure, residual_moisture: Figure) -> Figure:
    """What solids weigh with the moisture left in them, S / (1 - r). [unit of solids]

    Raises InputError where the moisture is below 0 or reaches 1.
    """
    check_fraction(residual_moisture, "residual moisture")
    return (solids / (WHOLE - residual_moisture)).named(
        "dry weight", formula="solids / (1 - residual moisture)"
    )


def residual_moisture_from_weights(dry: Figure, solids: Figure) -> Figure:
    """Moisture left according to a weighing, 1 - S / D, not below 0. [fraction, wet basis]

    Where the dry weight is below the solids beyond their intervals the result is 0 and
    `solids_problem` says what is wrong.
    """
    return not_below_zero(WHOLE - solids / dry).named(
        "residual moisture", formula="(dry weight - solids) / dry weight, not below 0"
    )


def with_scale_step(weight: Figure, step: Figure) -> Figure:
    """A weighing with the half step either way that the scale rounds off, not below 0. [unit of weight]"""
    half = Figure.between(
        -step.to(weight.unit).must() / 2, step.to(weight.unit).must() / 2, weight.unit,
        "rounding of the scale", source=f"scale step {step.must()} {step.unit}",
    )  # fmt: skip
    return not_below_zero(total([weight, half], "")).named(
        weight.name, formula="as read, half a scale step either way"
    )


def as_weighed(weights: Sequence[Figure], step: Figure | None) -> Sequence[Figure]:
    """Weighings with what the scale rounds off; as they are where its step is not known. [unit of weights]"""
    return weights if step is None else [with_scale_step(weight, step) for weight in weights]


def moisture_doubt_from_scale(dry: Figure, solids: Figure, step: Figure) -> Figure:
    """How far the residual moisture can be off because of the scale's step alone. [fraction]

    r = 1 - S / D, so half a step either way in D moves r by about S x step / (2 D x D) either way; the
    whole width S x step / (D x D) is returned.
    """
    return (solids / dry * (step.to(dry.unit) / dry)).named(
        "doubt about residual moisture from the scale", formula="solids / dry x scale step / dry"
    )


def water_removed(wet: Figure, dry: Figure) -> Figure:
    """Weight lost in the machine, all of it water, not below 0. [unit of wet]"""
    # Below 0 only where the intervals of both weights overlap: food gains nothing in the machine.
    return not_below_zero(wet - dry).named("water removed", formula="wet weight - dry weight")


def water_by_tray(wet: Sequence[Figure], dry: Sequence[Figure]) -> tuple[Figure, ...]:
    """Water removed from each tray, not below 0. [unit of wet] Raises InputError where the counts differ."""
    if len(wet) != len(dry):
        raise InputError(f"{len(wet)} wet weights but {len(dry)} dry weights (accepted: one of each a tray)")
    return tuple(
        water_removed(before, after).named(f"water removed, tray {number}")
        for number, (before, after) in enumerate(zip(wet, dry, strict=True), start=1)
    )


def as_volume(water: Figure) -> Figure:
    """A weight of water as kitchen volume. [mL, or mL a serving and so on] The unit must start with g."""
    return (water * WATER_DENSITY).named(water.name, formula="1 mL weighs 1 g")


def as_cups(water_volume: Figure) -> Figure:
    """A volume of water in US cups of 236.588 mL, with what it is a share of. [cup, cup/serving, ...]"""
    return water_volume.to(water_volume.unit.replace("mL", "cup")).named(water_volume.name)


def water_per_serving(water: Figure, servings: Figure) -> Figure:
    """Water to add to one serving. [mL/serving] `water` [g], `servings` [serving]."""
    return (as_volume(water) / servings).named("water to add per serving", formula="water removed / servings")


def water_per_100g_dry(water: Figure, dry: Figure) -> Figure:
    """Water to add to 100 g of the dry food. [mL/100 g]"""
    return (as_volume(water) / dry.to("hundred_g")).named(
        "water to add per 100 g dry", formula="water removed / dry weight"
    )


def per_100g_dry(per_100g_wet: Figure, residual_moisture: Figure, wet_moisture: Figure) -> Figure:
    """A nutrient per 100 g dry food from its amount per 100 g before drying. [unit of per_100g_wet]

    x (1 - r) / (1 - w); `wet_moisture` w and `residual_moisture` r are mass fractions, 0 <= f < 1.
    """
    check_fraction(residual_moisture, "residual moisture")
    check_fraction(wet_moisture, "moisture before drying")
    return (per_100g_wet * ((WHOLE - residual_moisture) / (WHOLE - wet_moisture))).named(
        f"{per_100g_wet.name}, dry", formula="per 100 g wet x (1 - residual moisture) / (1 - wet moisture)"
    )


def water_over_solids(weight: Figure, solids: Figure) -> Figure:
    """Water still in food of this weight, not below 0. [unit of weight]"""
    return not_below_zero(weight - solids).named("water left", formula="weight - solids, not below 0")


def solids_problem(dry: Figure, solids: Figure, where: str = "") -> Problem | None:
    """What is wrong where food weighs less dry than its own solids beyond both intervals, else None."""
    if not (dry.is_known and solids.is_known) or dry.high >= solids.to(dry.unit).low:
        return None
    return Problem(
        where,
        f"dry weight {_shown(dry)} is below the solids of the batch, {_shown(solids.to(dry.unit))}: "
        "solids do not evaporate",
        "a dry weight at or above the solids; check the weights and the matched foods",
    )


def drying_problems(drying: Drying, where: str = "") -> list[Problem]:
    """Everything in a [drying] table that cannot be, each with both figures. Empty where all is well."""
    found: list[Problem] = []
    trays = drying.trays.value if drying.trays is not None else None
    for key, weights in (("wet_weight", drying.wet_weight), ("dry_weight", drying.dry_weight)):
        if trays is not None and len(weights) > 1 and len(weights) != trays:
            found.append(
                Problem(
                    f"{where}drying.{key}",
                    f"{len(weights)} weights for {trays} trays",
                    "one weight, or one a tray",
                )
            )
    wet, dry = drying.wet_weight, drying.dry_weight
    by_tray = len(wet) > 1 and len(dry) > 1
    if by_tray and len(wet) != len(dry):
        found.append(
            Problem(f"{where}drying.dry_weight", f"{len(dry)} dry weights for {len(wet)} wet weights")
        )
    elif by_tray:
        pairs = zip(wet, dry, strict=True)
        for number, (before, after) in enumerate(pairs, start=1):
            found += _heavier_dry(before, after, f"{where}drying.dry_weight", f"tray {number}: ")
    elif wet and dry:
        found += _heavier_dry(
            total(wet, "wet weight"), total(dry, "dry weight"), f"{where}drying.dry_weight", ""
        )
    if drying.residual_moisture is not None:
        try:
            check_fraction(drying.residual_moisture, "residual moisture")
        except InputError as refused:
            found.append(Problem(f"{where}drying.residual_moisture", str(refused)))
    return found


def _heavier_dry(wet: Figure, dry: Figure, where: str, tray: str) -> list[Problem]:
    if not (wet.is_known and dry.is_known) or dry.low <= wet.to(dry.unit).high:
        return []
    text = f"{tray}dry weight {_shown(dry)} is above the wet weight {_shown(wet.to(dry.unit))}"
    return [Problem(where, text, "a dry weight below the wet weight")]


def _shown(figure: Figure) -> str:
    """A figure as text for a message, such as '1.08 kg' or '1000 to 1100 g'."""
    unit = f" {figure.shown_unit}" if figure.unit else ""
    if figure.is_exact:
        return f"{_plain(figure.must())}{unit}"
    return f"{_plain(figure.low)} to {_plain(figure.high)}{unit}"


def _plain(number: Decimal) -> str:
    shown = f"{number:.6g}" if abs(number) < 1 else f"{number.quantize(ONE / 10):f}"
    return shown.removesuffix(".0")
