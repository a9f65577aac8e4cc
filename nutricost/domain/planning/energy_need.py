"""Energy a person needs in a day: given, or by the 2023 Dietary Reference Intake equations for adults."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.documents import Person
from nutricost.errors import InputError

# EER 2023 [kcal/day] = constant + per year x age + per cm x height + per kg x weight.
# National Academies of Sciences, Engineering, and Medicine, Dietary Reference Intakes for Energy (2023),
# doi 10.17226/26818, adults 19 years and older; not for pregnancy or lactation.
_PER_YEAR = {"man": Decimal("-10.83"), "woman": Decimal("-7.01")}
_EQUATIONS: dict[tuple[str, str], tuple[Decimal, Decimal, Decimal]] = {
    ("man", "inactive"): (Decimal("753.07"), Decimal("6.50"), Decimal("14.10")),
    ("man", "low active"): (Decimal("581.47"), Decimal("8.30"), Decimal("14.94")),
    ("man", "active"): (Decimal("1004.82"), Decimal("6.52"), Decimal("15.91")),
    ("man", "very active"): (Decimal("-517.88"), Decimal("15.61"), Decimal("19.11")),
    ("woman", "inactive"): (Decimal("584.90"), Decimal("5.72"), Decimal("11.71")),
    ("woman", "low active"): (Decimal("575.77"), Decimal("6.60"), Decimal("12.14")),
    ("woman", "active"): (Decimal("710.25"), Decimal("6.54"), Decimal("12.34")),
    ("woman", "very active"): (Decimal("511.83"), Decimal("9.07"), Decimal("12.56")),
}

YOUNGEST_YEARS = 19
"""The adult equations start here (same source)."""

ACTIVITIES = ("inactive", "low active", "active", "very active")

_SEXES = {"man": "man", "male": "man", "m": "man", "woman": "woman", "female": "woman", "f": "woman"}


def estimated_energy(
    sex: str, age_years: Decimal, height_cm: Decimal, weight_kg: Decimal, activity: str
) -> Decimal:
    """The energy that keeps an adult's weight [kcal/day], EER 2023 (doi 10.17226/26818).

    Raises InputError under 19 years, for another sex or activity word, or for a body that gives no
    positive need.
    """
    who = _SEXES.get(sex.strip().lower())
    if who is None:
        raise InputError(f"sex {sex!r} is not known (accepted: male or female, which the equations ask for)")
    level = activity.strip().lower().replace("_", " ").replace("-", " ")
    if level not in ACTIVITIES:
        raise InputError(f"activity {activity!r} is not known (accepted: {', '.join(ACTIVITIES)})")
    if age_years < YOUNGEST_YEARS:
        raise InputError(
            f"the equations are for adults of {YOUNGEST_YEARS} and older, not {age_years} "
            "(accepted: give energy_kcal_per_day)"
        )
    if height_cm <= 0 or weight_kg <= 0:
        raise InputError("height and weight must be above 0")
    constant, per_cm, per_kg = _EQUATIONS[who, level]
    need = constant + _PER_YEAR[who] * age_years + per_cm * height_cm + per_kg * weight_kg
    if need <= 0:
        raise InputError(
            f"height {height_cm} cm and weight {weight_kg} kg give no positive need; check the units"
        )
    return need


def energy_need(person: Person) -> Decimal:
    """What a person of a plan needs [kcal/day]: the given need, else the estimate.

    Raises InputError naming what is missing.
    """
    if person.energy_kcal_per_day is not None:
        if person.energy_kcal_per_day <= 0:
            raise InputError(f"{person.where}: energy_kcal_per_day must be above 0")
        return person.energy_kcal_per_day
    given = {
        "sex": person.sex, "age_years": person.age_years, "height": person.height_cm,
        "weight": person.weight_kg, "activity": person.activity,
    }  # fmt: skip
    missing = [key for key, value in given.items() if value is None]
    if (
        person.sex is None or person.age_years is None or person.height_cm is None
        or person.weight_kg is None or person.activity is None
    ):  # fmt: skip
        raise InputError(
            f"{person.where}: {person.name or 'a person'} lacks {', '.join(missing)} "
            "(accepted: these, or energy_kcal_per_day)"
        )
    try:
        return estimated_energy(
            person.sex, person.age_years, person.height_cm, person.weight_kg, person.activity
        )
    except InputError as problem:
        raise InputError(f"{person.where}: {problem}") from None
