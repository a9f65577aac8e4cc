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


def test_the_equations_start_at_19_years() -> None:
    # Woman of 19, inactive, 160 cm, 60 kg: 584.90 - 7.01 x 19 + 5.72 x 160 + 11.71 x 60 = 2069.51
    assert estimated_energy("f", D(19), D(160), D(60), "inactive") == D("2069.51")
    with pytest.raises(InputError, match="19"):
        estimated_energy("f", D("18.9"), D(160), D(60), "inactive")


@pytest.mark.parametrize(("height", "weight"), [("0", "70"), ("-1", "70"), ("170", "0"), ("170", "-1")])
def test_a_body_without_height_or_weight_is_refused(height: str, weight: str) -> None:
    with pytest.raises(InputError, match="above 0"):
        estimated_energy("m", D(30), D(height), D(weight), "active")


def test_units_that_give_no_need_are_seen() -> None:
    # 1.7 (metres) and 70 kg: -517.88 - 324.9 + 26.537 + 1337.7 is a need; 1.7 and 40 is none.
    with pytest.raises(InputError, match="check the units"):
        estimated_energy("m", D(30), D("1.7"), D(40), "very active")


@pytest.mark.parametrize("word", ["male", "M", " man "])
def test_words_for_a_sex_and_an_activity(word: str) -> None:
    assert estimated_energy(word, D(30), D(170), D(70), " Very-Active ") == D("3148.62")


def test_a_given_need_of_nothing_is_refused_and_a_small_one_is_not() -> None:
    for need in (D(0), D(-5)):
        with pytest.raises(InputError, match=r"plan.toml: .*above 0"):
            energy_need(Person("A", "plan.toml", energy_kcal_per_day=need))
    assert energy_need(Person("A", "plan.toml", energy_kcal_per_day=D("0.5"))) == D("0.5")


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("sex", "sex"), ("age_years", "age_years"), ("height_cm", "height"),
        ("weight_kg", "weight"), ("activity", "activity"),
    ],
)  # fmt: skip
def test_each_missing_key_is_named_alone(key: str, said: str) -> None:
    whole: dict[str, object] = {
        "sex": "m", "age_years": D(40), "weight_kg": D(80), "height_cm": D(180), "activity": "active",
    }  # fmt: skip
    with pytest.raises(InputError, match=rf"plan.toml: a person lacks {said} \("):
        energy_need(Person("", "plan.toml", **(whole | {key: None})))  # type: ignore[arg-type]
