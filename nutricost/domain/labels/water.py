"""Water and solids of a label food, by difference: a label prints neither."""

from __future__ import annotations

from nutricost.domain.foods.composition import SALT_PER_SODIUM
from nutricost.domain.labels.reading import LabelReading, nutrient_word, serving_weight
from nutricost.domain.quantities import Figure, not_below_zero, total

SALT_OF_SODIUM = Figure.exact(
    SALT_PER_SODIUM, "", "salt in one part of sodium", source="molar masses, NaCl 58.44 / Na 22.99"
)

ESTIMATED = "estimated"

_MACROS = ("fat", "carbohydrate", "protein")


def serving_ash(reading: LabelReading) -> Figure:
    """Ash of a serving: the salt its sodium implies, and an allowance for other minerals. [g/serving]

    The value is the salt alone ('at least'); the allowance widens the interval upwards. Where sodium is
    not printed, the salt is that of prepared foods.
    """
    weight, name = serving_weight(reading), reading.label.name
    sodium = reading.per_serving["sodium"]
    if not weight.is_known:
        return Figure.unknown("g/serving", weight.why, f"ash of '{name}'", source=reading.label.where)
    other = weight * reading.other_minerals
    if sodium.is_known:
        salt = sodium.to("g/serving") * SALT_OF_SODIUM
    else:
        salt = weight * reading.unprinted_salt
    return total(
        [salt.named(f"salt of a serving of '{name}'", formula=salt.formula or "sodium x 2.54"), other],
        f"ash of a serving of '{name}'", formula="salt + other minerals",
    )  # fmt: skip


def serving_water(reading: LabelReading) -> Figure:
    """Water of a serving: weight - fat - carbohydrate - protein - ash - alcohol, not below 0. [g/serving]

    Unknown where the weight or a macronutrient is; `why` says which. Fibre, sugars and sugar alcohol
    are part of the carbohydrate; alcohol counts where the label prints it.
    """
    weight, label = serving_weight(reading), reading.label
    name = f"water in a serving of '{label.name}', by difference"
    missing = [nutrient_word(key) for key in _MACROS if not reading.per_serving[key].is_known]
    if missing or not weight.is_known:
        why = f"the label '{label.name}' does not print {' and '.join(missing)}" if missing else weight.why
        return Figure.unknown("g/serving", f"water by difference: {why}", name, source=label.where)
    dry = [reading.per_serving[key] for key in _MACROS]
    if "alcohol" in reading.extra:
        dry.append(reading.extra["alcohol"])
    solids = total([*dry, serving_ash(reading)], f"solids and alcohol in a serving of '{label.name}'")
    water = (weight - solids).named(name, formula="weight - fat - carbohydrate - protein - ash - alcohol")
    water = not_below_zero(water)
    water.standing = ESTIMATED
    return water


def serving_solids(reading: LabelReading) -> Figure:
    """Solids of a serving: weight - water (and alcohol, which dries off). [g/serving]"""
    weight, water = serving_weight(reading), serving_water(reading)
    name = f"solids in a serving of '{reading.label.name}'"
    parts = [water]
    if "alcohol" in reading.extra:
        parts.append(reading.extra["alcohol"])
    solids = (weight - total(parts, "water and alcohol")).named(name, formula="weight - water - alcohol")
    solids.standing = ESTIMATED
    return solids


def water_per_gram(reading: LabelReading) -> Figure:
    """Mass fraction of water in the food, by difference. [g/g, a pure number]"""
    share = serving_water(reading) / serving_weight(reading)
    share = share.named(f"water in a gram of '{reading.label.name}'", formula="water / serving weight")
    share.standing = ESTIMATED
    return share
