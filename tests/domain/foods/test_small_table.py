"""From a line to a row, on an invented table of a dozen rows and a small vocabulary."""

import pytest
from small_index import SmallIndex

from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.matching import MatchResult, food_key, match_line
from nutricost.domain.foods.queries import Speller
from nutricost.domain.foods.vocabulary import read_vocabulary

ROWS = [
    ("Carrots, raw", "sr28"),
    ("Carrots, cooked, boiled, drained, without salt", "sr28"),
    ("Carrots, frozen, unprepared", "sr28"),
    ("Carrots, canned, drained solids", "sr28"),
    ("Cake, carrot, with frosting", "sr28"),
    ("Onions, red, raw", "sr28"),
    ("Rice, white, dry", "sr28"),
    ("Rice, white, cooked", "sr28"),
    ("Carrots", "foundation"),
    ("Carrots, raw, salad", "survey"),
    ("Margarine, stick", "sr28"),
    ("Milk, whole", "sr28"),
    ("Beans, black, canned", "sr28"),
    ("Noodles, rice, cooked", "sr28"),
]
VOCABULARY = read_vocabulary(
    {"carrot": "carrots", "black bean": "beans black", "moo juice": "milk", "rice": "rice white"},
    {"beets": "red beet"},
    ["oat milk"],
    ["skewer"],
)
SPELLINGS = {"carot": ("carrot", 0.9)}
INDEX = SmallIndex(ROWS)


def match(
    text: str, index: SmallIndex = INDEX, speller: Speller = SPELLINGS.get, limit: int = 5
) -> MatchResult:
    return match_line(read_line(text), index, VOCABULARY, speller, limit)


def best(text: str, index: SmallIndex = INDEX) -> str:
    found = match(text, index)
    return index.descriptions[found.candidates[0].row]


@pytest.mark.parametrize(
    ("text", "row"),
    [
        ("2 carrots", "Carrots, raw"),
        ("2 cups boiled carrots", "Carrots, cooked, boiled, drained, without salt"),
        ("1 lb frozen carrots", "Carrots, frozen, unprepared"),
        ("1 can carrots", "Carrots, canned, drained solids"),
        ("2 carots", "Carrots, raw"),
        ("1 red onion", "Onions, red, raw"),
        ("1 onion, red", "Onions, red, raw"),
        ("1 cup moo juice", "Milk, whole"),
        ("1 slice carrot cake", "Cake, carrot, with frosting"),
        ("1 can black beans", "Beans, black, canned"),
    ],
)
def test_the_row_that_is_meant(text: str, row: str) -> None:
    assert best(text) == row
    assert match(text).status in ("matched", "unsure")


def test_a_sure_match_and_its_numbers() -> None:
    found = match("2 carrots")
    assert (found.status, found.key) == ("matched", "carrot")
    first, *others = found.candidates
    assert found.confidence == first.confidence >= 0.85
    assert all(other.confidence <= 1 - first.confidence + 1e-4 for other in others)
    assert [c.score for c in found.candidates] == sorted((c.score for c in found.candidates), reverse=True)
    assert len({c.row for c in found.candidates}) == len(found.candidates) == 5


def test_no_more_rows_than_asked_and_only_of_tables_asked() -> None:
    assert len(match("2 carrots", limit=2).candidates) == 2
    assert len(match("2 carrots", limit=9).candidates) == 7
    plain = SmallIndex(ROWS, refused=("survey", "foundation"))
    assert {plain.descriptions[c.row] for c in match("2 carrots", plain, limit=9).candidates} == {
        row for row, source in ROWS if "arrot" in row and source == "sr28"
    }


def test_plain_ingredients_come_from_sr28_where_rows_are_alike() -> None:
    for order in (("sr28", "foundation", "survey"), ("survey", "foundation", "sr28")):
        index = SmallIndex([("Carrots, raw", source) for source in order])
        found = match("2 carrots", index)
        assert [order[c.row] for c in found.candidates] == ["sr28", "foundation", "survey"]
    index = SmallIndex([("Carrots, raw", "live"), ("Carrots, raw", "foundation")])
    assert match("2 carrots", index).candidates[0].row == 1


@pytest.mark.parametrize("text", ["2 glimzorps", "2 skewers", "1 cup oat milk", "1 cup xanthan gum", ""])
def test_what_the_table_lacks_is_never_matched(text: str) -> None:
    found = match(text)
    assert found.status == "none" and found.confidence < 0.5


def test_a_word_nobody_knows_asks() -> None:
    found = match("2 glimzorp carrots")
    assert found.status == "unsure" and best("2 glimzorp carrots") == "Carrots, raw"
    headless = match("1 cup carrot glimzorps")
    assert headless.status != "matched"


def test_nothing_of_the_line_in_the_table_gives_no_rows() -> None:
    found = match("2 glimzorps")
    assert (found.candidates, found.confidence, found.key) == ((), 0.0, "glimzorp")


def test_an_alternative_counts_only_where_the_first_is_not_found() -> None:
    assert best("1 cup ghee or margarine") == "Margarine, stick"
    found = match("1 cup ghee or margarine")
    assert found.status == "matched" and found.key == match("1 cup ghee").key
    assert best("2 carrots or margarine") == "Carrots, raw"
    assert match("1 cup ghee or lard").status == "none"


def test_reasons() -> None:
    def reasons(text: str, at: int = 0) -> str:
        return " | ".join(match(text).candidates[at].reasons)

    assert "'carrot' read" not in reasons("2 carrots")
    assert "'carrot' stands for 'carrot'" in reasons("2 carrots") and "words matched: carrot" in reasons(
        "2 carrots"
    )
    assert "'carot' read as 'carrot'" in reasons("2 carots")
    assert "words not in the row: glimzorp" in reasons("2 glimzorp carrots")
    assert "words not in the row" not in reasons("2 carrots")
    assert "words not in the row: oat milk" in reasons("1 cup oat milk")
    assert "state: asked boiled, row boiled/" in reasons("2 cups boiled carrots")
    assert "state: asked none (raw), row raw" in reasons("2 carrots")
    assert "state: asked frozen, row not told" in " ".join(
        match("1 cup frozen margarine").candidates[0].reasons
    )
    assert "(-" not in reasons("1 lb frozen carrots").split("state:")[1].split("|")[0]
    assert "does not ask for" not in reasons("2 carrots") and "does not ask for" in reasons("1 cup milk")
    assert "kind of row or table (" not in reasons("2 carrots")
    rows = match("2 carrots", limit=9).candidates
    foundation = next(c for c in rows if ROWS[c.row][1] == "foundation")
    assert "kind of row or table (foundation)" in " ".join(foundation.reasons)
    assert "preferred words: diced" in " ".join(
        match("2 carrots, diced", SmallIndex([("Carrots, diced", "sr28")])).candidates[0].reasons
    )


def test_the_key_follows_the_food_not_the_amount() -> None:
    def key(text: str) -> str:
        return food_key(read_line(text), VOCABULARY, INDEX.table_words, SPELLINGS.get)

    assert key("2 lb carrots") == key("carrots, 3") == key("1 carot") == key("2 fresh carrots") == "carrot"
    assert key("2 cups cooked carrots") == "carrot +cooked"
    assert key("1 red onion") == key("1 onion, red") == "onion red"
    assert key("glimzorp carrots") == "carrot glimzorp"
    assert key("1 cup oat milk") == "milk oat"
