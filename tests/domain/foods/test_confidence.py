"""How sure a match is: more evidence never lowers it, more doubt never raises it, strange words ask."""

from dataclasses import replace

import pytest

from nutricost.domain.foods.confidence import DOUBTFUL, Evidence, capped, confidence_of, features
from nutricost.domain.foods.matching import MATCHED_FROM

SURE = Evidence(
    coverage=1.0, extra=0.0, state_cost=0.0, penalty=0.0, margin=0.3, unknown=0, doubt=0.0, entry=True,
    loose=0, crowd=0, not_food=False,
)  # fmt: skip


def test_a_row_that_has_everything_is_matched() -> None:
    assert MATCHED_FROM < confidence_of(SURE) < 1


@pytest.mark.parametrize(
    "worse",
    [
        {"coverage": 0.8}, {"extra": 0.5}, {"state_cost": 0.4}, {"penalty": 0.8}, {"margin": 0.0},
        {"unknown": 1}, {"entry": False}, {"loose": 2}, {"crowd": 2},
    ],
)  # fmt: skip
def test_doubts_lower_it(worse: dict[str, float]) -> None:
    assert confidence_of(replace(SURE, **worse)) < confidence_of(SURE)  # type: ignore[arg-type]


def test_counts_beyond_which_no_more_is_learnt() -> None:
    for field, least, more in (("margin", 0.3, 0.9), ("unknown", 2, 5), ("loose", 3, 9)):
        one = replace(SURE, **{field: least})  # type: ignore[arg-type]
        assert features(one) == features(replace(one, **{field: more}))  # type: ignore[arg-type]
    assert features(replace(SURE, unknown=2)) != features(replace(SURE, unknown=1))
    assert features(replace(SURE, loose=3)) != features(replace(SURE, loose=2))
    assert features(replace(SURE, margin=0.3)) != features(replace(SURE, margin=0.29))
    assert features(SURE)["crowd"] == 0 and features(SURE)["uncovered"] == 0 and features(SURE)["entry"] == 1


def test_an_unexplained_word_asks() -> None:
    for doubtful in ({"unknown": 1}, {"coverage": 0.64}, {"doubt": 0.23}):
        assert capped(replace(SURE, **doubtful), 0.99) == DOUBTFUL < MATCHED_FROM
        assert capped(replace(SURE, **doubtful), 0.3) == 0.3
    for fine in ({"coverage": 0.65}, {"doubt": 0.22}):
        assert capped(replace(SURE, **fine), 0.99) == 0.99  # type: ignore[arg-type]
    assert confidence_of(replace(SURE, not_food=True)) == 0.02


def test_the_worst_evidence_is_a_probability_still() -> None:
    assert confidence_of(replace(SURE, extra=1e9)) == 0.0
    assert 0 < confidence_of(replace(SURE, extra=200.0)) < 1e-9
