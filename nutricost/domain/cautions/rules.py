"""The table of cautions: code, severity, when, text, source.

General guidance of US public bodies, in our words. Local rules and licensed practice go first, which a
caution of its own says. Nothing here ever says that food is safe.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Literal

from nutricost.domain.cautions.allergens import SOURCE as ALLERGEN_SOURCE
from nutricost.domain.cautions.allergens import allergens, has_coconut, has_honey
from nutricost.domain.cautions.animal_foods import AnimalKind, animal_foods, raw_foods
from nutricost.domain.cautions.facts import Facts

Severity = Literal["danger", "warning", "notice"]

RAW_TEXT = "RAW: cook before eating"
LEFTOVER_DAYS = Decimal(4)
OXYGEN_FREE_MOISTURE = Decimal("0.10")
FATTY_FRACTION_OF_SOLIDS = Decimal("0.5")

_FREEZE_DRYING = "Iowa State University Extension, AnswerLine: Preserving by Home Freeze Drying"
_NO_KILL = "Kansas State University Extension: What is freeze drying (2021)"
_TEMPERATURES = "USDA FSIS Safe Minimum Internal Temperature Chart, as taught by university extensions"
_LEFTOVERS = "USDA National Agricultural Library: How long should I keep leftover food"
_REHEAT = "University of Illinois Extension: Leftovers"
_COOLING = f"FDA Food Code 3-501.14 (for food businesses; a sound guide at home); {_LEFTOVERS}"
_DATES = "USDA FSIS: Food Product Dating"
_REFREEZING = "USDA FSIS: Freezing and Food Safety; North Dakota State University Extension"
_OXYGEN_FREE = (
    "common guidance for dry-pack storage (about 10 % moisture or less, second-hand); "
    "21 CFR 114.3 for low-acid food"
)
_FAT = "common practice, no source"
_HONEY = (
    "Institut national de santé publique du Québec: Honey, never for babies under age 1; CDC (from memory)"
)
_COCONUT = "FDA guidance on food allergen labeling, January 2025 (second-hand)"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution. `code` is stable across versions."""

    code: str
    text: str
    source: str
    severity: Severity


@dataclass(frozen=True, slots=True)
class _Rule:
    """A caution that may be shown; `write` gives its text, '' where it does not hold."""

    code: str
    severity: Severity
    source: str
    write: Callable[[Facts], str]


_COOK_TO: dict[AnimalKind, str] = {
    "poultry": "poultry 165 °F (74 °C)",
    "meat": "ground meat 160 °F (71 °C), whole cuts 145 °F (63 °C) and 3 minutes of rest",
    "fish": "fish 145 °F (63 °C)",
    "egg": "egg dishes 160 °F (71 °C)",
}


def _raw(kind: AnimalKind, facts: Facts) -> str:
    found = [food for food in raw_foods(facts) if food.kind == kind]
    if not found:
        return ""
    names = ", ".join(dict.fromkeys(food.name for food in found))
    said = facts.cooked is False or all(food.state == "raw" for food in found)
    doubt = "" if said else " (nobody said that it was cooked)"
    return (
        f"{RAW_TEXT}. Holds {names}{doubt}. Freeze-drying leaves germs alive, and pouring on boiling "
        f"water does not cook: after adding water cook to {_COOK_TO[kind]}, by a thermometer. "
        "Mark the bag RAW."
    )


def _cook_temperatures(facts: Facts) -> str:
    kinds = dict.fromkeys(food.kind for food in animal_foods(facts.foods))
    if not kinds:
        return ""
    each = "; ".join(_COOK_TO[kind] for kind in kinds)
    return (
        f"Cook before drying or before eating to at least: {each}; leftovers and casseroles 165 °F (74 °C)."
    )


def _cooling(facts: Facts) -> str:
    if facts.cooked is False:
        return ""
    if facts.cooked is None and not any(food.state == "cooked" for food in animal_foods(facts.foods)):
        return ""
    return (
        "Cooked food goes into the machine, fridge or freezer within 2 hours (1 hour above 90 °F, 32 °C). "
        "Cool from 135 to 70 °F (57 to 21 °C) within 2 hours and to 41 °F (5 °C) within 4 more, in shallow "
        "pans; if it is not at 70 °F after 2 hours, reheat and start again."
    )


def _reheat(facts: Facts) -> str:
    cooked = facts.cooked or any(food.state == "cooked" for food in animal_foods(facts.foods))
    if not cooked or raw_foods(facts):
        return ""
    return (
        "Food cooked before drying is a leftover when water comes back: eat it at once, heated to 165 °F "
        "(74 °C). Boiling water alone may stay below that; a thermometer tells."
    )


def _old_leftovers(facts: Facts) -> str:
    if facts.leftover_age_days is None or facts.leftover_age_days <= LEFTOVER_DAYS:
        return ""
    return (
        f"These leftovers were {facts.leftover_age_days.normalize():f} days old: cooked food keeps 3 to 4 "
        "days chilled. Drying does not undo what grew; throw it out."
    )


def _date_labels(facts: Facts) -> str:
    if not facts.has_date_labels:
        return ""
    return (
        "Dates on packages tell of quality, not of safety, infant formula apart. Neither they nor the "
        "best-by date of a bag tell whether food is safe; when in doubt, throw it out."
    )


def _refrozen(facts: Facts) -> str:
    if not facts.thawed_refrozen:
        return ""
    return (
        "Thawed food may be frozen again only where it thawed in the fridge, at 40 °F (4 °C) or below, or "
        "still holds ice; left out over 2 hours it goes in the bin."
    )


def _oxygen_free(facts: Facts) -> str:
    if not facts.oxygen_free or _too_moist(facts):
        return ""
    said = (
        ""
        if facts.residual_moisture is not None and facts.residual_moisture.is_known
        else ", which nobody weighed"
    )
    return (
        "Packing without oxygen is for food dried until crisp to the centre, about 10 % moisture or less"
        f"{said}: moist low-acid food without oxygen can grow Clostridium botulinum, whose toxin kills. "
        "Break the thickest pieces; cold, soft or bendy means more drying."
    )


def _moist_oxygen_free(facts: Facts) -> str:
    moisture = facts.residual_moisture
    if moisture is None or not facts.oxygen_free or not _too_moist(facts):
        return ""
    most = min(moisture.high, Decimal(1))  # an upper end without a limit is still no more than all of it
    percent = (most * 100).quantize(Decimal("0.1"))
    return (
        f"Too moist to pack without oxygen: up to {percent} % moisture, above about 10 %. Moist "
        "low-acid food without oxygen can grow Clostridium botulinum, whose toxin kills. Dry it until "
        "crisp, or freeze it."
    )


def _too_moist(facts: Facts) -> bool:
    moisture = facts.residual_moisture
    return moisture is not None and moisture.is_known and moisture.high > OXYGEN_FREE_MOISTURE


def _fat(facts: Facts) -> str:
    share = facts.fat_fraction_of_solids
    if share is None or share <= FATTY_FRACTION_OF_SOLIDS:
        return ""
    return (
        f"Fat is {(share * 100).quantize(Decimal(1))} % of the solids. Fat does not dry and goes rancid: eat "
        "this within months, keep it cool, dark and without oxygen, and discard it when it smells of paint."
    )


def _honey(facts: Facts) -> str:
    if not has_honey(facts.foods):
        return ""
    return "Holds honey: never for a child under one year, cooked or dried, because of infant botulism."


def _allergens(facts: Facts) -> str:
    if not facts.foods:
        return ""
    found = allergens(facts.foods)
    aid = "This is read from names, an aid and no guarantee: check every label, also for 'may contain'."
    if facts.unread_labels:
        unread = ", ".join(f"'{name}'" for name in facts.unread_labels)
        aid = f"No ingredient list is typed in for {unread}: allergens in it are not seen. {aid}"
    if not found:
        return f"None of the nine major allergens of US law is named. {aid}"
    each = "; ".join(f"{item.name} ({', '.join(item.found_in)})" for item in found)
    return f"Major allergens named: {each}. {aid}"


def _coconut(facts: Facts) -> str:
    if not has_coconut(facts.foods):
        return ""
    return "Holds coconut, which US law no longer counts as a tree nut; some people are allergic to it."


def _not_sterile(facts: Facts) -> str:
    return (
        "Freeze-drying does not kill germs: it stops them until water comes back. What was unsafe when it "
        "went in is unsafe when it is eaten."
    )


def _local_rules(facts: Facts) -> str:
    return (
        "General guidance for food at home. Local rules, the machine's manual and trained people go first; "
        "food for sale needs the licence your food authority asks for."
    )


_RULES = (
    _Rule("raw_poultry", "danger", f"{_FREEZE_DRYING}; {_TEMPERATURES}", partial(_raw, "poultry")),
    _Rule("raw_meat", "danger", f"{_FREEZE_DRYING}; {_TEMPERATURES}", partial(_raw, "meat")),
    _Rule("raw_fish", "danger", f"{_FREEZE_DRYING}; {_TEMPERATURES}", partial(_raw, "fish")),
    _Rule("raw_egg", "danger", f"{_FREEZE_DRYING}; {_TEMPERATURES}", partial(_raw, "egg")),
    _Rule("moist_oxygen_free", "danger", _OXYGEN_FREE, _moist_oxygen_free),
    _Rule("old_leftovers", "danger", f"{_LEFTOVERS}; {_REHEAT}", _old_leftovers),
    _Rule("honey_infants", "danger", _HONEY, _honey),
    _Rule("allergens", "warning", ALLERGEN_SOURCE, _allergens),
    _Rule("coconut", "notice", _COCONUT, _coconut),
    _Rule("cook_temperatures", "warning", _TEMPERATURES, _cook_temperatures),
    _Rule("cooling", "warning", _COOLING, _cooling),
    _Rule("reheat", "warning", f"{_REHEAT}; {_TEMPERATURES}", _reheat),
    _Rule("thawed_refrozen", "warning", _REFREEZING, _refrozen),
    _Rule("oxygen_free_dry", "warning", _OXYGEN_FREE, _oxygen_free),
    _Rule("fat_rancidity", "warning", _FAT, _fat),
    _Rule("date_labels", "notice", _DATES, _date_labels),
    _Rule("not_sterile", "warning", _NO_KILL, _not_sterile),
    _Rule("local_rules", "notice", "this program's own scope", _local_rules),
)

CODES = tuple(rule.code for rule in _RULES)
"""Every code a caution can have, in the order shown."""


def cautions(facts: Facts) -> list[Caution]:
    """The cautions that hold for a batch, gravest kinds first."""
    written = ((rule, rule.write(facts)) for rule in _RULES)
    return [Caution(rule.code, text, rule.source, rule.severity) for rule, text in written if text]
