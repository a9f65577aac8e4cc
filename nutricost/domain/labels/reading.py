"""A label read back: each printed figure as one Figure, and what a serving and a package hold.

Serving grams and net weight are taken as printed and exact: they are what weights are divided by, and
the rounding that 21 CFR 101.9(c) describes is that of the nutrient figures. The label checks, which
must not warn for rounding alone, allow for the rounding of serving grams themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.documents import LABEL_NUTRIENTS, Label, Printed
from nutricost.domain.foods.records import NUTRIENTS
from nutricost.domain.labels.rounding import (
    RULES,
    Interval,
    could_be_printed,
    printed_interval,
    servings_interval,
)
from nutricost.domain.quantities import ONE, ZERO, Figure, dec

IntervalOf = Callable[[str, Printed], Interval]

AS_PRINTED = "as printed"

ON_CONTAINER = "printed for the container"

OTHER_MINERALS_MOST_G_PER_100G = dec("1.76")
"""Most ash beyond salt [g/100 g]: 95th percentile of ash - 2.54 sodium over the 1,049 prepared foods of
SR28 that have both (soups and sauces, meals, fast foods, restaurant foods); the median is 0.69."""

SALT_TYPICAL_G_PER_100G = dec("1.16")
SALT_MOST_G_PER_100G = dec("2.91")
"""Salt where no sodium is printed [g/100 g]: median and 95th percentile of 2.54 sodium over the 1,062
foods of the same groups of SR28 that have sodium."""

PREPARED_FOODS = "prepared foods of SR28"

ONE_PACKAGE = Figure.exact(ONE, "package", "one package", source="by definition")


@dataclass(frozen=True, slots=True, eq=False)
class LabelReading:
    """The figures of one label, each printed figure one object so that intervals count it once.

    `per_serving`: every nutrient of a label, unknown where not printed [kcal/serving, g/serving,
    mg/serving]. `per_container`: what the second column prints [kcal/package ...]. `extra`: other
    printed per-serving figures (sugar_alcohol, alcohol ...). `servings` [serving/package],
    `serving_grams` [g/serving], `serving_volume` [mL/serving], `net_weight` [g/package] and
    `net_volume` [mL/package] are None where not printed. `other_minerals` and `unprinted_salt` are the
    assumed parts of its ash [g/g]. `notes` say what was read in a special way.
    """

    label: Label
    per_serving: Mapping[str, Figure]
    per_container: Mapping[str, Figure]
    extra: Mapping[str, Figure]
    servings: Figure | None
    serving_grams: Figure | None
    serving_volume: Figure | None
    net_weight: Figure | None
    net_volume: Figure | None
    other_minerals: Figure
    unprinted_salt: Figure
    notes: tuple[str, ...]


def nutrient_unit(nutrient: str) -> str:
    """The unit a label prints a nutrient in; g for those the tables do not know (sugar alcohol)."""
    known = NUTRIENTS.get(nutrient)
    return known.unit if known else "g"


def nutrient_word(nutrient: str) -> str:
    """The nutrient as a label names it."""
    return "calories" if nutrient == "energy" else nutrient.replace("_", " ")


def read_label(label: Label, *, interval: IntervalOf = printed_interval) -> LabelReading:
    """The label's figures, built once. Build it once a label and hand the reading on.

    `interval` says what may stand behind a printed figure: rounding alone, or with
    `compliance.lawful_interval` what the law tolerates. Value as printed; of '<1' the midpoint.
    """

    def figure(nutrient: str, printed: Printed, per: str) -> Figure:
        low, high = interval(nutrient, printed)
        value = None if printed.less_than else printed.amount
        where = f"{label.where} ({RULES[nutrient].paragraph})" if nutrient in RULES else label.where
        name = f"{nutrient_word(nutrient)} of '{label.name}' a {per}, {AS_PRINTED}"
        return Figure.between(
            low, high, f"{nutrient_unit(nutrient)}/{per}", name,
            value=value, source=where, standing=AS_PRINTED,
        )  # fmt: skip

    def missing(nutrient: str) -> Figure:
        word = nutrient_word(nutrient)
        return Figure.unknown(
            f"{nutrient_unit(nutrient)}/serving", f"{word} not printed on the label '{label.name}'",
            f"{word} of '{label.name}'", source=label.where,
        )  # fmt: skip

    servings = None
    if label.servings_per_container is not None:
        low, high = servings_interval(label.servings_per_container, label.servings_about)
        servings = Figure.between(
            low, high, "serving/package", f"servings in a package of '{label.name}', {AS_PRINTED}",
            value=label.servings_per_container, source=f"{label.where} (21 CFR 101.9(b)(8))",
            standing=AS_PRINTED,
        )  # fmt: skip

    def of_serving(amount: Decimal | None, unit: str, what: str) -> Figure | None:
        if amount is None:
            return None
        name = f"{what} of a serving of '{label.name}'"
        return Figure.exact(amount, f"{unit}/serving", name, source=label.where, standing=AS_PRINTED)

    return LabelReading(
        label=label,
        per_serving={
            key: figure(key, label.printed[key], "serving") if key in label.printed else missing(key)
            for key in LABEL_NUTRIENTS
        },
        per_container={key: figure(key, value, "package") for key, value in label.container_printed.items()},
        extra={key: figure(key, value, "serving") for key, value in label.extra.items()},
        servings=servings,
        serving_grams=of_serving(label.serving_g, "g", "weight"),
        serving_volume=of_serving(label.serving_ml, "mL", "volume"),
        net_weight=_of_package(label.net_weight, f"net weight of a package of '{label.name}'"),
        net_volume=_of_package(label.net_volume, f"net volume of a package of '{label.name}'"),
        other_minerals=_mass_fraction(
            f"minerals other than salt in '{label.name}'", ZERO, OTHER_MINERALS_MOST_G_PER_100G
        ),
        unprinted_salt=_mass_fraction(
            f"salt in '{label.name}', not printed", SALT_TYPICAL_G_PER_100G, SALT_MOST_G_PER_100G
        ),
        notes=_notes(label),
    )


def _of_package(amount: Figure | None, name: str) -> Figure | None:
    return None if amount is None else (amount / ONE_PACKAGE).named(name, formula="as printed, a package")


def _mass_fraction(name: str, typical_g_per_100g: Decimal, most_g_per_100g: Decimal) -> Figure:
    """An assumed mass fraction between 0 and a bound. [g/g]"""
    return Figure.between(
        ZERO, most_g_per_100g / 100, "", name,
        value=typical_g_per_100g / 100, source=PREPARED_FOODS, standing="assumed",
    )  # fmt: skip


def _notes(label: Label) -> tuple[str, ...]:
    return tuple(
        f"{nutrient_word(key)} {'<' if printed.less_than else ''}{printed.amount} of '{label.name}' is not a "
        f"figure {RULES[key].paragraph} would print; read as printed more precisely"
        for figures in (label.printed, label.container_printed, label.extra)
        for key, printed in figures.items()
        if not could_be_printed(key, printed)
    )


def label_serving(reading: LabelReading) -> Mapping[str, Figure]:
    """What a serving holds, by nutrient key; unknown where not printed. [kcal, g or mg per serving]"""
    return reading.per_serving


def serving_weight(reading: LabelReading) -> Figure:
    """Weight of a serving: as printed, else net weight over printed servings, else unknown. [g/serving]"""
    name = f"weight of a serving of '{reading.label.name}'"
    if reading.serving_grams is not None:
        return reading.serving_grams
    if reading.net_weight is not None and reading.servings is not None:
        return (reading.net_weight / reading.servings).named(name, formula="net weight / printed servings")
    why = f"the label '{reading.label.name}' gives neither serving grams nor net weight with servings"
    return Figure.unknown("g/serving", why, name, source=reading.label.where)


def package_weight(reading: LabelReading) -> Figure:
    """Net weight of a package: printed, else from volume, else from servings, else unknown. [g/package]"""
    name = f"net weight of a package of '{reading.label.name}'"
    grams, volume = reading.serving_grams, reading.serving_volume
    if reading.net_weight is not None:
        return reading.net_weight
    if reading.net_volume is not None and grams is not None and volume is not None:
        weight = reading.net_volume * (grams / volume)
        return weight.named(name, formula="net volume x serving grams / serving mL")
    if reading.servings is not None and grams is not None:
        return (reading.servings * grams).named(name, formula="printed servings x serving grams")
    why = f"the label '{reading.label.name}' gives no net weight, and no servings with their grams"
    return Figure.unknown("g/package", why, name, source=reading.label.where)


def servings_routes(reading: LabelReading) -> dict[str, Figure]:
    """Servings in a package by each way the label allows, best first, keyed by formula. [serving/package]"""
    routes: dict[str, Figure] = {}
    name = f"servings in a package of '{reading.label.name}'"

    def add(formula: str, figure: Figure) -> None:
        routes[formula] = figure.named(name, formula=formula)

    if reading.net_weight is not None and reading.serving_grams is not None:
        add("net weight / serving weight", reading.net_weight / reading.serving_grams)
    elif reading.net_volume is not None and reading.serving_volume is not None:
        add("net volume / serving volume", reading.net_volume / reading.serving_volume)
    whole, serving = reading.per_container.get("energy"), reading.per_serving["energy"]
    if whole is not None and serving.is_known and serving.low > 0:
        add("container calories / serving calories", whole / serving)
    if reading.servings is not None:
        add("printed servings", reading.servings)
    return routes


def content_routes(reading: LabelReading, nutrient: str) -> dict[str, Figure]:
    """What a package holds of a nutrient by each way the label allows, best first, keyed by formula."""
    routes: dict[str, Figure] = {}
    name = f"{nutrient_word(nutrient)} in a package of '{reading.label.name}'"
    printed = reading.per_container.get(nutrient)
    if printed is not None:
        routes[ON_CONTAINER] = printed.named(name, formula=ON_CONTAINER)
    serving = reading.per_serving[nutrient]
    if not serving.is_known:
        return routes
    for formula, servings in servings_routes(reading).items():
        if nutrient != "energy" or not formula.startswith("container calories"):
            full = f"per serving x ({formula})"
            routes[full] = (serving * servings).named(name, formula=full)
    return routes


def package_content(reading: LabelReading) -> dict[str, Figure]:
    """What a package holds, each nutrient by the best evidence for it; `formula` says which.

    Order: printed for the container; per serving x net weight / serving weight; per serving x container
    calories / serving calories; per serving x printed servings. [kcal, g or mg per package]
    """
    content = {}
    for nutrient in LABEL_NUTRIENTS:
        routes = content_routes(reading, nutrient)
        content[nutrient] = next(iter(routes.values())) if routes else _no_content(reading, nutrient)
    return content


def _no_content(reading: LabelReading, nutrient: str) -> Figure:
    serving = reading.per_serving[nutrient]
    why = serving.why or f"the label '{reading.label.name}' does not say how much a package holds"
    name = f"{nutrient_word(nutrient)} in a package of '{reading.label.name}'"
    return Figure.unknown(f"{nutrient_unit(nutrient)}/package", why, name, source=reading.label.where)


def per_gram(reading: LabelReading) -> dict[str, Figure]:
    """What a gram of the food holds. [kcal/g, g/g as a pure number, mg/g]

    A printed container figure over the net weight where both are printed (so that the parts of a
    package add up to the package), else per serving over serving weight.
    """
    name, net = reading.label.name, reading.net_weight
    weight = serving_weight(reading)
    content = {}
    for nutrient, serving in reading.per_serving.items():
        whole = reading.per_container.get(nutrient)
        title = f"{nutrient_word(nutrient)} in a gram of '{name}'"
        if whole is not None and net is not None:
            content[nutrient] = (whole / net).named(title, formula="printed for the container / net weight")
        else:
            content[nutrient] = (serving / weight).named(title, formula="per serving / serving weight")
    return content


def content_of_weight(reading: LabelReading, weight: Figure) -> dict[str, Figure]:
    """What a weight [g] of the food holds. [kcal, g or mg]"""
    name = reading.label.name
    return {
        nutrient: (share * weight).named(
            f"{nutrient_word(nutrient)} in {weight.name or 'a weight'} of '{name}'",
            formula="per gram x weight",
        )
        for nutrient, share in per_gram(reading).items()
    }


def weight_of_volume(reading: LabelReading, volume: Figure) -> Figure:
    """What a volume [mL] of the food weighs, from a serving size with both; else unknown. [g]"""
    name = f"weight of {volume.name or 'a volume'} of '{reading.label.name}'"
    if reading.serving_grams is None or reading.serving_volume is None:
        why = f"the serving size of '{reading.label.name}' does not give both a volume and grams"
        return Figure.unknown("g", why, name, source=reading.label.where)
    density = reading.serving_grams / reading.serving_volume
    return (volume * density).named(name, formula="volume x serving grams / serving mL")
