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


@pytest.mark.parametrize(
    ("text", "ndb"),
    [
        # 'Precooked' and 'instant' are kinds of rice; judged against SR28's descriptions.
        ("2 c. instant rice, uncooked", "20048"),
        ("1 cup pre-cooked rice, dry", "20048"),
        ("1 cup instant rice, cooked", "20049"),
        ("1 cup instant potato flakes, uncooked", "11378"),
        ("2 packets instant oats, dry", "08122"),
        ("12 oz precooked shrimp", "15151"),
    ],
)
def test_kinds_of_product_were_taken_for_states(sr28: Matcher, text: str, ndb: str) -> None:
    found = sr28.match(text)
    assert found.food is not None and found.food.ndb_number == ndb, found.candidates[0].reasons


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        # SR28, FOOD_DES.txt, column ComName: the rows that bear the common name.
        ("calf liver", {"17202", "17203", "17204"}),
        ("calves' liver", {"17202", "17203", "17204"}),
        ("chinese gooseberry", {"09148"}),
        ("christophine", {"11149", "11150", "11766"}),
        ("chinese parsley", {"02012", "11165"}),
        ("kai-lan", {"11994"}),
        ("wolfberries", {"09110"}),
        ("pinon", {"12149"}),
        ("moth bean", {"16078", "16079", "16379"}),
        ("soy nuts", {"16111"}),
        ("sucrose", {"19335"}),
        ("dent corn", {"20014", "20314"}),
        ("lite mayonnaise", {"04641"}),
        ("buffalo", {"17156", "17157"}),
        ("cassia", {"02010"}),
    ],
)
def test_common_names_of_the_table_were_unknown(sr28: Matcher, name: str, rows: set[str]) -> None:
    found = sr28.match(f"1 lb {name}")
    assert found.food is not None and found.food.ndb_number in rows


@pytest.mark.parametrize(
    ("text", "ndb"),
    [
        ("2 duck breasts", "05139"),
        ("4 duck legs", "05139"),
        ("2 rabbit legs", "17177"),
        ("1 wild duck breast", "05145"),
    ],
)
def test_wild_animals_came_before_tame_ones(sr28: Matcher, text: str, ndb: str) -> None:
    found = sr28.match(text)
    assert found.food is not None and found.food.ndb_number == ndb


def test_a_colour_outweighed_the_noun_beside_it(sr28: Matcher) -> None:
    # 'Peppers, sweet, yellow' has two words of 'yellow cherries' (sweet cherries) but not the noun.
    for text, noun in (("1 cup yellow cherries", "Cherries"), ("1 cup black cherries", "Cherries")):
        found = sr28.match(text)
        assert found.status != "matched"
        assert found.food is not None and found.food.description.startswith(noun)
    assert sr28.match("3 yellow apples").status != "matched"


def test_lasagne_left_over_is_no_dry_pasta(sr28: Matcher) -> None:
    found = sr28.match("1 cup leftover lasagne")
    assert found.food is not None and found.food.description.startswith("Lasagna")


def test_cut_words_after_the_meat_pulled_another_cut(sr28: Matcher) -> None:
    for text in ("2 lb boneless skinless chicken thighs", "2 lb chicken thighs boneless skinless"):
        found = sr28.match(text)
        assert found.food is not None and "thigh" in found.food.description


@pytest.mark.parametrize(
    "text",
    [
        "1 tsp chinese five spice",
        "3 cups leftover shepherd's pie",
        "1 bag konjac noodles",
        "1 cup almond flour",
        "2 cups moussaka",
    ],
)
def test_far_off_foods_were_offered_for_foods_the_table_lacks(sr28: Matcher, text: str) -> None:
    found = sr28.match(text)
    assert found.status == "none" and found.food is None


def test_dishes_are_found_where_a_table_has_them(everything: Matcher) -> None:
    # The Survey table has the dish by this very name.
    found = everything.match("3 cups leftover shepherd's pie")
    assert found.status == "matched" and found.food is not None
    assert found.food.source == "survey" and "pie" in found.food.description.lower()


def test_a_branded_row_does_not_stand_for_a_dish(sr28: Matcher) -> None:
    assert sr28.match("1 cup leftover chicken curry").status != "matched"


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


@settings(max_examples=60)
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
