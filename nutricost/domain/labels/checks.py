"""A label held against itself. Findings are warnings: labels are reported, never rejected.

Every comparison is made between intervals, so that lawful rounding alone never warns.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from nutricost.domain.labels.compliance import LEAST_SHARE, MOST_SHARE
from nutricost.domain.labels.reading import (
    LabelReading,
    content_routes,
    nutrient_word,
    serving_weight,
    servings_routes,
)
from nutricost.domain.labels.rounding import HALF, Interval
from nutricost.domain.labels.water import SALT_OF_SODIUM
from nutricost.domain.quantities import ZERO, Figure, dec, display_unit, total
from nutricost.errors import Problem

PROTEIN_KCAL_PER_G = dec(4)
FAT_KCAL_PER_G = dec(9)
CARBOHYDRATE_KCAL_PER_G = dec(4)
"""General factors 4-4-9, 21 CFR 101.9(c)(1)(i)(B)."""

ALCOHOL_KCAL_PER_G = dec(7)
"""General factor of alcohol, USDA Agriculture Handbook 74 (from memory)."""

CONTAINED: tuple[tuple[str, str], ...] = (
    ("sugar", "carbohydrate"),
    ("fiber", "carbohydrate"),
    ("sugar_alcohol", "carbohydrate"),
    ("added_sugar", "sugar"),
    ("saturated_fat", "fat"),
    ("trans_fat", "fat"),
)
"""A part and what it is a part of, by the definitions in 21 CFR 101.9(c)(2) and (c)(6). [g]"""


def label_problems(reading: LabelReading) -> list[Problem]:
    """What does not fit together on a label, as warnings; empty where nothing is found."""
    where = reading.label.where
    found = (
        *_energy_findings(reading),
        *_route_findings(reading),
        *_part_findings(reading),
        *_weight_findings(reading),
    )
    return [Problem(where, f"label '{reading.label.name}': {what}", severity="warning") for what in found]


def energy_from_macros_kcal(reading: LabelReading) -> Interval | None:
    """Energy of a serving by 4-4-9, every permitted treatment of fibre allowed. [kcal/serving]

    Upper end: all carbohydrate at 4 kcal/g, (c)(1)(i)(B). Lower end: fibre and sugar alcohol at 0, as
    (c)(1)(i)(C) and (F) allow for the least of them; fibre that is not printed may be all of the
    carbohydrate. Alcohol at 7. None where fat, carbohydrate or protein is not printed.
    """
    printed = reading.per_serving
    fat, protein, carbohydrate = printed["fat"], printed["protein"], printed["carbohydrate"]
    if not (fat.is_known and protein.is_known and carbohydrate.is_known):
        return None
    alcohol = reading.extra.get("alcohol")
    low = fat.low * FAT_KCAL_PER_G + protein.low * PROTEIN_KCAL_PER_G
    high = fat.high * FAT_KCAL_PER_G + protein.high * PROTEIN_KCAL_PER_G
    if alcohol is not None:
        low, high = low + alcohol.low * ALCOHOL_KCAL_PER_G, high + alcohol.high * ALCOHOL_KCAL_PER_G
    if printed["fiber"].is_known:
        polyols = reading.extra.get("sugar_alcohol")
        undigested = printed["fiber"].high + (polyols.high if polyols is not None else ZERO)
        low += max(carbohydrate.low - undigested, ZERO) * CARBOHYDRATE_KCAL_PER_G
    return low, high + carbohydrate.high * CARBOHYDRATE_KCAL_PER_G


def _energy_findings(reading: LabelReading) -> Iterator[str]:
    """Printed calories against 4-4-9, beyond rounding and beyond the 20 % of (g)."""
    printed, reckoned = reading.per_serving["energy"], energy_from_macros_kcal(reading)
    if reckoned is None or not printed.is_known:
        return
    low, high = reckoned
    if low > printed.high * MOST_SHARE or high < printed.low * LEAST_SHARE:
        yield (
            f"{printed.must()} calories are printed, but fat, carbohydrate and protein give "
            f"{_short(low)} to {_short(high)} kcal (4-4-9, 21 CFR 101.9(c)(1)(i)), "
            "beyond rounding and the 20 % rule"
        )


def _route_findings(reading: LabelReading) -> Iterator[str]:
    """A package's content by every route the label allows; the serving's grams may be rounded too."""
    for nutrient, serving in reading.per_serving.items():
        if (nutrient == "energy" and serving.is_known) or nutrient in reading.per_container:
            routes = content_routes(reading, nutrient)
            if nutrient != "energy":
                # The ways of counting servings are compared once, on energy.
                routes = {key: routes[key] for key in list(routes)[:2]}
            yield from _disagreement(reading, f"{nutrient_word(nutrient)} in a package", routes)
    if not reading.per_serving["energy"].is_known:
        yield from _disagreement(reading, "servings in a package", servings_routes(reading))


def _disagreement(reading: LabelReading, what: str, routes: dict[str, Figure]) -> Iterator[str]:
    slack = _serving_slack(reading)
    for (one, a), (other, b) in combinations(routes.items(), 2):
        allowed = slack * max(a.high, b.high) if "net " in one + other else ZERO
        gap = a - b
        if gap.low > allowed or gap.high < -allowed:
            each = "; ".join(f"{_shown(figure)} {formula}" for formula, figure in routes.items())
            yield f"{what} disagrees beyond rounding: {each}"
            return


def _serving_slack(reading: LabelReading) -> Decimal:
    """Relative error that rounding may put into the serving's grams or mL."""
    amount = reading.label.serving_g or reading.label.serving_ml
    if not amount:
        return ZERO
    half_step = serving_size_half_step(amount)
    return half_step / max(amount - half_step, half_step)


def serving_size_half_step(amount: Decimal) -> Decimal:
    """Half the rounding step of serving grams or mL, 21 CFR 101.9(b)(7). [g or mL]

    Whole grams from 5 g, 0.5 g from 2 to 5 g, 0.1 g below; from memory.
    """
    if amount >= 5:
        return HALF
    return dec("0.25") if amount >= 2 else dec("0.05")


def _shown(figure: Figure) -> str:
    unit = display_unit(figure.unit).split("/")[0]
    return f"{_short(figure.must())} {unit} ({_short(figure.low)} to {_short(figure.high)})"


def _short(amount: Decimal) -> str:
    """At most one decimal, none where it is zero."""
    return f"{amount:.1f}".removesuffix(".0")


def _part_findings(reading: LabelReading) -> Iterator[str]:
    """Parts larger than what they are a part of."""
    known = {key: figure for key, figure in _all_figures(reading).items() if figure.is_known}
    for part, whole in CONTAINED:
        if part in known and whole in known and known[part].low > known[whole].high:
            yield (
                f"{nutrient_word(part)} {known[part].must()} g is more than "
                f"{nutrient_word(whole)} {known[whole].must()} g, of which it is a part"
            )
    parts = [known[key] for key in ("sugar", "fiber", "sugar_alcohol") if key in known]
    if parts and "carbohydrate" in known:
        whole_g = known["carbohydrate"]
        single = max(part.low for part in parts)
        if single <= whole_g.high < sum((part.low for part in parts), ZERO):
            yield f"sugar, fiber and sugar alcohol together are more than carbohydrate {whole_g.must()} g"


def _all_figures(reading: LabelReading) -> dict[str, Figure]:
    return {**reading.extra, **reading.per_serving}


def _weight_findings(reading: LabelReading) -> Iterator[str]:
    """Solids that weigh more than the serving; what is not printed counts as absent here."""
    weight, figures = serving_weight(reading), _all_figures(reading)
    if not weight.is_known:
        return
    parts = [figures[key] for key in ("fat", "carbohydrate", "protein", "alcohol") if key in figures]
    known = [part for part in parts if part.is_known]
    if figures["sodium"].is_known:
        known.append(figures["sodium"].to("g/serving") * SALT_OF_SODIUM)
    solids = total(known, "solids", unit="g/serving")
    if solids.low > weight.high + serving_size_half_step(weight.high):
        yield (
            f"fat, carbohydrate, protein and salt weigh {_short(solids.low)} g at least, "
            f"more than the serving of {_short(weight.must())} g"
        )
