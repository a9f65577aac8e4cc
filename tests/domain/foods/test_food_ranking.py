"""Laws of the ranking: short cuts change no answer, ties keep the table's order, what the evidence says."""

import pytest
from small_index import SmallIndex

from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.matching import evidence_of, match_line, ranked_rows
from nutricost.domain.foods.queries import Query
from nutricost.domain.foods.scoring import Scored
from nutricost.domain.foods.vocabulary import read_vocabulary

NO_WORDS = read_vocabulary({}, {}, [], [])
KINDS = "raw cooked frozen canned dried boiled baby whole red sweet hot wild young old green pickled".split()
MANY = SmallIndex(
    [
        (f"{food}, {first}, {second}", "sr28")
        for food in ("Carrots", "Peas")
        for first in KINDS
        for second in KINDS[:5]
    ]
)


def ranked(text: str, index: SmallIndex, limit: int) -> list[tuple[int, float]]:
    _, rows = ranked_rows(read_line(text), index, NO_WORDS, lambda _: None, limit)
    return [(row.row, row.score) for row in rows]


def first(text: str, index: SmallIndex) -> str:
    return index.descriptions[ranked(text, index, 1)[0][0]]


@pytest.mark.parametrize(
    "text",
    [
        "2 carrots",
        "1 cup young peas, diced",
        "2 cups frozen red carrots",
        "1 can sweet peas",
        "2 zib carrots",
    ],
)
def test_leaving_rows_out_early_changes_no_answer(text: str) -> None:
    # With 60 rows asked for, every row looked at is kept and none is left out early.
    assert ranked(text, MANY, 5) == ranked(text, MANY, 60)[:8]
    assert ranked(text, MANY, 20) == ranked(text, MANY, 60)[:20]


def test_equal_rows_keep_the_order_of_the_table() -> None:
    twins = SmallIndex([("Carrots, raw", "sr28")] * 12)
    assert [row for row, _ in ranked("2 carrots", twins, 5)] == list(range(8))


def test_the_last_word_says_what_the_food_is() -> None:
    two = SmallIndex([("Apples", "sr28"), ("Carrots", "sr28")])
    assert (first("1 apple carrot", two), first("1 carrot apple", two)) == ("Carrots", "Apples")


def test_a_rare_word_tells_more_than_a_common_one() -> None:
    index = SmallIndex([*[("Peas, odd", "sr28")] * 30, ("Corn, blue", "sr28")])
    assert first("1 odd blue", index) == "Corn, blue"


def test_a_word_that_very_many_rows_have_still_counts() -> None:
    index = SmallIndex(
        [*[("Snack, odd", "sr28")] * 1201, ("Snack, purple", "sr28"), ("Tea, purple, weak", "sr28")]
    )
    assert first("1 purple snack", index) == "Snack, purple"
    assert first("1 snack", index).startswith("Snack")
    assert first("1 purple tea", index) == "Tea, purple, weak"


def scored(row: int, score: float, state_cost: float = 0.0, unnamed: int = 0) -> Scored:
    return Scored(row, score, 0.9, 0.1, state_cost, 0.2, unnamed)


def test_evidence() -> None:
    query = Query(unknown=["zib"], doubt=0.1, loose=2, not_food=True)
    rows = [scored(1, 0.90, -0.04, unnamed=1), scored(2, 0.87), scored(3, 0.80)]
    found = evidence_of(query, rows[0], rows)
    assert found.margin == pytest.approx(0.03)
    # Only the second is so near (under 0.04) that it crowds the first.
    assert (found.crowd, found.state_cost, found.unknown) == (1, 0.0, 2)
    assert (found.coverage, found.extra, found.penalty) == (0.9, 0.1, 0.2)
    assert (found.doubt, found.loose, found.not_food, found.entry) == (0.1, 2, True, False)
    alone = evidence_of(Query(), scored(1, 0.9, 0.3), [scored(1, 0.9)])
    assert (alone.margin, alone.crowd, alone.state_cost, alone.unknown) == (0.5, 0, 0.3, 0)


def test_a_line_whose_noun_nobody_knows_is_offered_nothing() -> None:
    index = SmallIndex([("Carrots, raw", "sr28"), ("Noodles, rice", "sr28")])

    def status(text: str) -> str:
        return match_line(read_line(text), index, NO_WORDS, lambda _: None).status

    assert status("1 bag zib carrots") == "unsure"
    assert status("1 bag carrot zibs") == "none"
