"""Scores of rows: what must cost more than what. The sizes of the costs are judged by the line scores."""

from decimal import Decimal
from itertools import pairwise

import pytest

from nutricost.domain.foods.descriptions import read_description
from nutricost.domain.foods.queries import Query
from nutricost.domain.foods.scoring import MISSING, Scored, Scorer, best_bonus, named, state_cost
from nutricost.domain.foods.vocabulary import Entry


def cost(asked: str, row: str, soft: str = "") -> Decimal:
    """Cost of a row's states, rounded so that sums of floats compare."""
    return round(Decimal(state_cost(set(asked.split()), set(soft.split()), set(row.split()))), 6)


@pytest.mark.parametrize(
    ("asked", "soft", "rows"),
    # Rows by their states, best first; by the writer's judgement of what a cook means.
    [
        ("", "", ["raw", "frozen", "cooked"]),
        ("", "", ["raw", "canned", "boiled"]),
        ("", "", ["raw", "dried"]),
        ("", "", ["raw", "prepared", "roasted"]),
        ("raw", "", ["raw", "frozen", "canned", "boiled"]),
        ("fresh", "", ["raw", "dried"]),
        ("fresh", "", ["fresh", "cooked"]),
        ("cooked", "", ["boiled", "fried", "canned", "raw"]),
        ("cooked", "", ["boiled", "frozen", "dried"]),
        ("boiled", "", ["boiled", "steamed", "cooked", "roasted", "raw"]),
        ("grilled", "", ["grilled", "broiled", "roasted", "fried"]),
        ("roasted", "", ["roasted", "baked", "grilled", "boiled"]),
        ("fried", "", ["fried", "browned", "cooked", "boiled"]),
        ("canned", "", ["canned", "frozen", "raw"]),
        ("canned", "", ["canned", "frozen", "dried"]),
        ("", "canned", ["canned", "frozen", "raw"]),
        ("", "canned", ["canned", "frozen", "cooked"]),
        ("", "canned", ["canned", "frozen", "dried"]),
        ("frozen", "", ["frozen", "canned"]),
        ("frozen", "", ["frozen", "raw"]),
        ("frozen", "canned", ["frozen", "raw"]),
        ("", "frozen", ["frozen"]),
        ("dried", "", ["dried", "raw", "canned"]),
        ("powder", "", ["powder", "raw"]),
        ("powder", "", ["powder", "canned"]),
        ("dried", "", ["powder", "canned"]),
        ("", "dried", ["dried", "frozen"]),
        ("", "cooked", ["boiled", "raw"]),
        ("raw", "cooked", ["raw", "boiled"]),
        ("dried", "cooked", ["dried", "boiled"]),
        ("cooked canned", "", ["canned boiled", "boiled"]),
        ("cooked frozen", "", ["frozen boiled", "boiled"]),
        ("drained canned", "", ["canned drained", "canned", "canned undrained"]),
        ("rinsed canned", "", ["canned drained rinsed", "canned drained", "canned undrained"]),
        ("canned", "", ["canned undrained", "canned drained", "canned drained rinsed"]),
        ("canned undrained", "", ["canned undrained", "canned drained"]),
        ("smoked", "", ["smoked", "raw"]),
        ("", "smoked", ["smoked", "raw smoked pickled"]),
        ("", "", ["raw", "raw smoked"]),
        ("", "", ["raw", "raw condensed"]),
        ("cooked", "", ["boiled", "boiled pickled"]),
        ("cooked", "", ["roasted", "fried", "fried breaded"]),
        # A row that tells no state is nearer than one that tells another.
        ("frozen", "", ["frozen", "", "raw"]),
        ("dried", "", ["dried", "", "raw"]),
        ("", "dried", ["dried", "", "boiled"]),
        ("fresh", "", ["fresh", "", "frozen", "dried"]),
        ("raw", "", ["", "frozen", "prepared", "boiled"]),
        ("canned", "", ["canned", "", "frozen", "boiled"]),
        ("canned", "", ["canned undrained", "canned", "canned drained"]),
        ("canned", "boiled", ["canned boiled", "canned roasted"]),
        ("", "boiled", ["boiled", "roasted"]),
    ],
)
def test_order_of_states(asked: str, soft: str, rows: list[str]) -> None:
    costs = [cost(asked, row, soft) for row in rows]
    assert all(one < other for one, other in pairwise(costs)), costs


@pytest.mark.parametrize(
    ("asked", "row", "soft"),
    [
        ("cooked", "boiled", ""),
        ("boiled", "boiled", ""),
        ("canned", "canned", ""),
        ("frozen", "frozen", ""),
        ("dried", "dried", ""),
        ("powder", "powder", ""),
        ("", "", ""),
        ("", "frozen", "frozen"),
        ("", "canned", "canned"),
        ("", "boiled", "cooked"),
        # What is canned has been cooked.
        ("canned", "canned boiled", ""),
        ("", "canned boiled", "canned"),
        ("raw", "raw", ""),
        ("fresh", "raw", ""),
        ("smoked", "smoked", ""),
        ("scrambled", "scrambled", ""),
        ("", "dried", "dried"),
        # 'Lentils, raw' are dried lentils.
        ("", "raw dried", "dried"),
        ("dried", "raw dried", ""),
    ],
)
def test_the_state_that_is_meant_costs_nothing(asked: str, row: str, soft: str) -> None:
    assert cost(asked, row, soft) <= 0


def test_raw_is_the_default_and_earns_a_little() -> None:
    assert cost("", "raw") < 0 == cost("", "")
    assert cost("", "fresh") == cost("", "raw")
    assert cost("raw", "raw") == 0


def row(query: Query, description: str, weights: dict[str, float] | None = None, **more: float) -> Scored:
    read = read_description(description)
    weights = dict(query.needs) if weights is None else weights
    scorer = Scorer(query, weights, sum(weights.values()) + len(query.lone) + len(query.unknown))
    penalty = more.pop("penalty", read.penalty)
    found = scorer.score(3, read.words, read.places, read.states, penalty, **more)
    assert found is not None
    return found


def asks(*needs: str, **more: object) -> Query:
    return Query(needs=dict.fromkeys(needs, 1.0), told=set(needs), head=needs[-1] if needs else "", **more)  # type: ignore[arg-type]


def test_a_row_named_by_the_words_and_no_more_wins() -> None:
    order = [
        "Carrots, raw",
        "Carrots, baby, raw",
        "Carrots and peas, raw",
        "Cake, carrot",
        "Cake, plain",
    ]
    scores = [row(asks("carrot"), description).score for description in order]
    assert scores == sorted(scores, reverse=True) and len(set(scores)) == len(scores)


def test_parts_of_a_score() -> None:
    found = row(asks("carrot", "red"), "Carrots, baby, raw")
    assert found.row == 3 and found.coverage == pytest.approx(0.5)
    assert found.extra > 0 and found.penalty == 0 and found.unnamed == 0
    assert row(asks("carrot"), "Carrots").extra == 0
    assert row(asks("carrot"), "Carrots", penalty=0.3).penalty == 0.3
    assert row(asks("carrot"), "Carrots", penalty=0.3).score == pytest.approx(
        row(asks("carrot"), "Carrots").score - 0.3
    )
    assert row(asks("carrot"), "Cake, " + "very odd sweet new hot big old cold wet good " * 3).extra == 1.2


def test_usual_qualifiers_and_grammar_cost_less_than_telling_ones() -> None:
    carrot = asks("carrot")
    telling = row(carrot, "Carrots, purple").extra
    assert row(carrot, "Carrots, regular").extra < telling
    assert row(carrot, "Carrots, 80").extra < telling
    assert row(carrot, "Carrots, choice").extra < telling
    assert row(carrot, "Carrots, baby, purple").extra < row(carrot, "Carrots, purple, baby, odd").extra
    assert row(carrot, "Carrots (purple)").extra < telling
    assert row(carrot, "Carrots, with").extra == row(carrot, "Carrots").extra == 0


def test_preferred_and_avoided_words() -> None:
    carrot = asks("carrot")
    wanted = asks("carrot", wants={"baby": 1.0})
    assert row(wanted, "Carrots, baby").score > row(carrot, "Carrots, baby").score
    assert row(wanted, "Carrots").score == row(carrot, "Carrots").score
    avoided = asks("carrot", avoids={"baby"})
    assert row(avoided, "Carrots, baby").score == pytest.approx(row(carrot, "Carrots, baby").score - 0.5)


def test_a_food_of_several_words_must_be_named_by_all() -> None:
    assert named(("oat", "milk"), ("milk", "oat", "raw"), (0, 1, 5))
    assert not named(("oat", "milk"), ("milk", "with", "oat"), (0, 6, 2))
    query = Query(lone=[("oat", "milk")], told={"oat", "milk"})
    whole, part = row(query, "Milk, oat"), row(query, "Milk, cow")
    assert (whole.coverage, whole.unnamed) == (1.0, 0)
    assert (part.coverage, part.unnamed) == (0.0, 1)
    # A branded row never stands for it.
    assert row(query, "Milk, oat", penalty=0.8).unnamed == 1
    assert row(query, "Milk, oat", penalty=0.79).unnamed == 0


def test_rows_that_cannot_reach_the_bar_are_dropped() -> None:
    query = asks("carrot")
    read = read_description("Cake, plain")
    scorer = Scorer(query, {"carrot": 1.0}, 1.0)
    assert scorer.score(0, read.words, read.places, read.states, 0.0, 0.9) is None
    best = row(query, "Carrots")
    assert row(query, "Carrots", bar=best.score).score == best.score
    assert best.score <= 1 + best_bonus(query)


@pytest.mark.parametrize(
    "steps",
    [
        [
            ("cooked", "raw"),
            ("cooked canned", "raw"),
            ("cooked canned frozen", "raw"),
            ("cooked canned frozen dried", "raw"),
        ],
        [
            ("", "boiled"),
            ("", "boiled canned"),
            ("", "boiled canned frozen"),
            ("", "boiled canned frozen smoked"),
        ],
        [("raw", "boiled"), ("raw", "boiled frozen"), ("raw", "boiled frozen pickled")],
        [("cooked", "raw"), ("cooked", "raw frozen"), ("cooked", "raw frozen breaded")],
        [("canned", "boiled"), ("canned", "boiled frozen"), ("canned smoked", "boiled frozen")],
        [("", "boiled"), ("", "boiled dried"), ("", "boiled dried candied")],
        [("", "boiled"), ("raw", "boiled")],
        [("canned", "canned drained"), ("canned undrained", "canned drained")],
    ],
)
def test_each_further_wrong_state_costs_more(steps: list[tuple[str, str]]) -> None:
    costs = [cost(asked, row) for asked, row in steps]
    assert all(one < other for one, other in pairwise(costs)), costs


def test_one_wrong_state_costs_less_than_having_none_of_the_words() -> None:
    # A row without the only word scores 1 + MISSING less than one that has it.
    states = (
        "raw fresh boiled fried roasted canned frozen dried powder smoked pickled freezedried drained rinsed"
    )
    for asked in ("", *states.split()):
        for told in ("", *states.split()):
            for soft in ("", "canned", "cooked", "dried"):
                assert Decimal("-0.1") < cost(asked, told, soft) < Decimal(str(1 + MISSING))


def test_a_state_nobody_cooked_it_into_costs_less_than_a_word() -> None:
    # Each word of a line counts about 1: frozen for fresh, or drained for not, is still the food.
    rows = (
        "raw",
        "canned",
        "frozen",
        "dried",
        "canned drained",
        "canned undrained",
        "canned drained rinsed",
        "",
    )
    for asked in (
        "",
        "frozen",
        "dried",
        "canned",
        "canned drained",
        "canned rinsed",
        "canned undrained",
        "smoked",
    ):
        for told in rows:
            assert Decimal("-0.1") < cost(asked, told) < 1, (asked, told)


def test_a_row_without_the_noun_of_a_known_phrase_is_hardly_the_food() -> None:
    cherries = Entry(("yellow", "cherry"), ("yellow", "cherry"))
    plain, known = asks("yellow", "cherry"), asks("yellow", "cherry", entries=[cherries])
    beside = Query(needs=plain.needs, told=plain.told, head="pie", entries=[cherries])
    coverages = [row(query, "Beans, yellow").coverage for query in (known, beside, plain)]
    assert 0 < coverages[0] < coverages[1] < coverages[2] == pytest.approx(0.5)
    for query in (known, beside, plain):
        assert row(query, "Cherries, yellow").coverage == 1.0
        assert row(query, "Cherries, red").coverage == pytest.approx(0.5)
    # Where the tables say the noun otherwise, any of their telling words will do.
    other = asks("eggplant", "baby", entries=[Entry(("aubergine",), ("eggplant", "baby", "raw", "with"))])
    assert row(other, "Corn, baby").coverage == row(other, "Eggplant, old").coverage == pytest.approx(0.5)
    usual = asks("plain", "beet", entries=[Entry(("rooty",), ("plain", "beet"))])
    assert row(usual, "Cake, plain").coverage < 0.5 == pytest.approx(row(usual, "Beets").coverage)
