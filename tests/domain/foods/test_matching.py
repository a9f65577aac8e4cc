"""Matching over the embedded table: what nutritionists take, and what must not be taken."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.sources.matching_engine import Matcher


@pytest.fixture(scope="module")
def sr28() -> Matcher:
    return Matcher.open(["sr28"])


@pytest.fixture(scope="module")
def everything() -> Matcher:
    return Matcher.open()


@pytest.mark.parametrize(
    ("text", "ndb"),
    [
        # NDB numbers judged against SR28's descriptions by the project's writer.
        ("2 carrots", "11124"),
        ("carrots, 2 cups, frozen", "11130"),
        ("1 can carrots, drained", "11128"),
        ("2 cups cooked carrots", "11125"),
        ("2 cups carrots, boiled", "11125"),
        ("1 tsp dried basil", "02003"),
        ("2 T chopped basil", "02044"),
        ("1 lb minced beef", "23572"),
        ("1 lb beef, ground", "23572"),
        ("2 courgettes", "11477"),
        ("1 aubergine", "11209"),
        ("8 oz prawns", "15149"),
        ("1 cup strong white bread flour", "20083"),
        ("2 cans black beans", "16018"),
        ("1 lb dried black beans", "16014"),
        ("3 limes, juiced", "09160"),
        ("1 cup butermilk", "01088"),
        ("mushrooms, white, 8 oz", "11260"),
    ],
)
def test_state_synonyms_order_and_spelling(sr28: Matcher, text: str, ndb: str) -> None:
    found = sr28.match(text)
    assert found.food is not None
    assert found.food.ndb_number == ndb, found.candidates[0].reasons


@pytest.mark.parametrize(
    "text",
    [
        "2 cups glimzorp",
        "1 tsp xanthan gum",
        "4 bamboo skewers",
        "parchment paper",
        "1 meal kit with noodles",
        "kitchen twine",
        "1 cup oat milk",
        "2 tsp garam masala",
    ],
)
def test_what_the_table_lacks_is_never_matched(sr28: Matcher, text: str) -> None:
    assert sr28.match(text).status != "matched"


def test_dishes_come_from_the_survey_table(everything: Matcher) -> None:
    for text in ("2 cups green bean casserole", "leftover beef stroganoff", "1 cup ratatouille"):
        found = everything.match(text)
        assert found.food is not None and found.food.source == "survey"
    plain = everything.match("1 lb ground beef").food
    assert plain is not None and plain.source == "sr28"


def test_reasons_tell_words_state_and_penalties(sr28: Matcher) -> None:
    reasons = " ".join(sr28.match("500 g frozen sweetcorn").candidates[0].reasons)
    assert "stands for" in reasons and "words matched" in reasons and "state" in reasons
    assert "read as" in " ".join(sr28.match("chiken breast").candidates[0].reasons)


def test_candidates_are_at_most_five_and_best_first(sr28: Matcher) -> None:
    found = sr28.match("2 lb chicken")
    assert 1 < len(found.candidates) <= 5
    assert found.candidates[0].confidence == max(c.confidence for c in found.candidates)
    assert len({c.food.key for c in found.candidates}) == len(found.candidates)


def test_a_confirmed_choice_follows_the_food(sr28: Matcher) -> None:
    key = sr28.key("2 lb boneless chicken thighs")
    for text in (
        "6 chicken thighs, boneless",
        "1 kg boneless chiken thigh, diced",
        "boneless chicken thighs - 3 lb",
    ):
        assert sr28.key(text) == key
    assert sr28.key("2 cups cooked rice") != sr28.key("2 cups rice")
    found = sr28.match("6 chicken thighs, boneless", remembered={key: "ndb:05091"})
    assert found.food is not None and found.food.ndb_number == "05091"
    assert (found.status, found.confidence) == ("matched", 1.0)


def test_a_pinned_food_and_weight_win(sr28: Matcher) -> None:
    from decimal import Decimal

    found = sr28.match("3 things", pinned_food="ndb:11124", pinned_grams=Decimal(250))
    assert found.food is not None and found.food.description == "Carrots, raw"
    assert found.grams.value == 250 and found.status == "matched"


def test_search_finds_names(everything: Matcher) -> None:
    names = [candidate.food.description for candidate in everything.search("cheddar", 8)]
    assert names[0] == "Cheese, cheddar" and len(names) == 8


def test_a_thousand_characters_are_matched(sr28: Matcher) -> None:
    for text in (
        "chicken " * 125,
        "(" * 1000,
        "1/" * 500,
        "a" * 1000,
        "1 lb carrots, " + "very finely " * 80,
    ):
        sr28.match(text)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_any_text_gets_an_answer(text: str) -> None:
    found = _shared().match(text)
    assert found.status in ("matched", "unsure", "none")
    assert 0 <= found.confidence <= 1


_MATCHERS: list[Matcher] = []


def _shared() -> Matcher:
    if not _MATCHERS:
        _MATCHERS.append(Matcher.open(["sr28"]))
    return _MATCHERS[0]
