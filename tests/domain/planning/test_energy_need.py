"""EER 2023, National Academies, doi 10.17226/26818."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.documents import Person
from nutricost.domain.planning import energy_need, estimated_energy
from nutricost.errors import InputError

D = Decimal


# 30 years, 170 cm, 70 kg. The man's inactive and the woman's active value are published test values; the
# others are computed by hand from the printed coefficients.
@pytest.mark.parametrize(
    ("sex", "activity", "kcal"),
    [
        ("male", "inactive", "2520.17"),
        ("male", "low active", "2713.37"),
        ("male", "active", "2902.02"),
        ("male", "very active", "3148.62"),
        ("female", "inactive", "2166.70"),
        ("female", "low active", "2337.27"),
        ("female", "active", "2475.55"),
        ("female", "very active", "2722.63"),
    ],
)
def test_adult_equations(sex: str, activity: str, kcal: str) -> None:
    assert estimated_energy(sex, D(30), D(170), D(70), activity) == D(kcal)


def test_a_given_need_wins_and_spellings_are_read() -> None:
    assert energy_need(Person("A", "plan.toml", energy_kcal_per_day=D(1900), sex="male")) == 1900
    person = Person(
        "B", "plan.toml", sex="F", age_years=D(30), weight_kg=D(70), height_cm=D(170), activity="low_active"
    )
    assert energy_need(person) == D("2337.27")


def test_children_need_a_given_energy() -> None:
    child = Person(
        "C", "plan.toml", sex="f", age_years=D(9), weight_kg=D(30), height_cm=D(135), activity="active"
    )
    with pytest.raises(InputError, match=r"plan.toml: .*energy_kcal_per_day"):
        energy_need(child)


@pytest.mark.parametrize(
    ("change", "says"),
    [({"sex": "x"}, "sex"), ({"activity": "lazy"}, "inactive, low"), ({"weight_kg": D(0)}, "above 0")],
)
def test_what_is_accepted_is_said(change: dict[str, object], says: str) -> None:
    whole = {
        "sex": "m",
        "age_years": D(40),
        "weight_kg": D(80),
        "height_cm": D(180),
        "activity": "active",
    } | change
    with pytest.raises(InputError, match=says):
        energy_need(Person("D", "plan.toml", **whole))  # type: ignore[arg-type]


def test_missing_keys_are_named() -> None:
    with pytest.raises(InputError, match="lacks age_years, height, activity"):
        energy_need(Person("E", "plan.toml", sex="m", weight_kg=D(80)))
