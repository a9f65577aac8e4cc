"""What a line asks for, with a small invented vocabulary and table."""

import pytest

from nutricost.domain.foods.lines import read_line
from nutricost.domain.foods.queries import Query, read_query
from nutricost.domain.foods.vocabulary import read_vocabulary

VOCABULARY = read_vocabulary(
    {
        "ground beef": "beef ground | lean ! cooked @raw",
        "beef": "beef meat",
        "brown rice": "rice brown",
        "rice": "rice",
        "rice flour": "flour rice",
        "flour": "wheat flour",
        "corn": "corn sweet",
        "canned corn": "corn sweet canned",
        "chicken thigh": "chicken thigh",
        "boneless chicken thigh": "chicken thigh meat boneless",
        "duck breast": "duck",
        "leg of lamb": "lamb leg",
        "leftover beef": "beef roast",
        "rolled oats": "oats dry",
        "poached egg": "egg poached",
        "frozen peas": "peas frozen",
        "peeled shrimp": "shrimp peeled",
        "shrimp": "shrimp raw",
        "basil": "basil",
        "chips": "potato fried",
    },
    {"courgette": "zucchini squash"},
    ["oat milk"],
    ["skewer"],
)
TABLE = dict.fromkeys(
    "beef ground rice brown flour wheat corn sweet chicken thigh duck lamb leg oats dry egg onion "
    "red carrot lean salt no added without unsweetened with oil water skin only skinless zucchini squash "
    "apple canned diced raw precooked yellow shrimp frozen baked milk".split(),
    1,
)  # fmt: skip
SPELLINGS = {"carot": ("carrot", 0.9), "onyon": ("onion", 0.75), "ric": ("rice", 0.8)}


def ask(text: str) -> Query:
    return read_query(read_line(text), VOCABULARY, TABLE, SPELLINGS.get)


@pytest.mark.parametrize(
    ("text", "needs", "states", "soft"),
    [
        ("2 carrots", "carrot", "", ""),
        ("2 courgettes", "zucchini squash", "", ""),
        ("1 lb ground beef", "beef ground", "", "raw"),
        ("1 lb beef, ground", "beef ground", "", "raw"),
        ("1 cup brown rice", "rice brown", "", ""),
        ("1 cup brown rice flour", "brown flour rice", "", ""),
        ("1 cup rice flour", "flour rice", "", ""),
        ("1 cup cooked rice", "rice", "cooked", ""),
        ("1 can corn", "corn sweet canned", "", "canned"),
        ("1 cup corn, canned", "corn sweet canned", "canned", "canned"),
        ("1 cup corn", "corn sweet", "", ""),
        ("1 cup corn beef, canned", "corn sweet beef meat", "canned", ""),
        ("2 duck breasts", "duck", "", ""),
        ("2 breasts of duck", "duck", "", ""),
        ("1 leg of lamb", "lamb leg", "", ""),
        ("1 lb boneless chicken thighs", "chicken thigh meat boneless", "", ""),
        ("1 lb chicken thighs boneless", "chicken thigh meat boneless", "", ""),
        ("1 cup leftover beef", "beef roast", "cooked", "cooked"),
        ("1 cup leftover beef rice", "beef meat rice", "cooked", ""),
        ("1 cup rolled oats", "oat dry", "", ""),
        ("1 cup rolled oats, cooked", "oat", "cooked", ""),
        ("1 poached egg", "egg poached", "poached", "poached"),
        ("1 lb shrimp, peeled", "shrimp peeled", "", ""),
        ("1 lb shrimp", "shrimp", "", ""),
        ("1 cup precooked rice", "rice", "", "cooked"),
        ("2 tbsp chopped basil", "basil", "", "fresh"),
        ("1 bunch basil", "basil", "", "fresh"),
        ("1 cup torn basil", "basil", "", "fresh"),
        ("2 tsp chopped basil", "basil", "", ""),
        ("1 cup basil", "basil", "", ""),
        ("1 bunch dried basil", "basil", "dried", ""),
        ("1 bunch basil rice", "basil rice", "", ""),
        ("2 fresh frozen carrots", "carrot", "frozen", ""),
        ("2 fresh carrots", "carrot", "fresh", ""),
        ("2 diced", "diced", "", ""),
        # A state of the phrase that the line contradicts is not asked for.
        ("1 cup chips", "potato fried", "", ""),
        ("1 cup raw chips", "potato", "raw", ""),
        ("1 cup dried chips", "potato", "dried", ""),
        ("1 cup raw chips, boiled", "potato fried", "raw boiled", ""),
        ("1 lb fresh frozen peas", "pea", "frozen", "frozen"),
        ("1 lb frozen peas", "pea frozen", "frozen", "frozen"),
    ],
)
def test_what_a_row_must_have_and_the_state(text: str, needs: str, states: str, soft: str) -> None:
    query = ask(text)
    assert set(query.needs) == set(needs.split())
    assert (query.states, query.soft_states) == (set(states.split()), set(soft.split()))


def test_the_noun_weighs_most_and_later_parts_half() -> None:
    query = ask("2 carrots, red")
    assert (query.needs["carrot"], query.needs["red"]) == (1.0, 0.5)
    corn = ask("1 cup corn")
    assert 1.0 >= corn.needs["corn"] > corn.needs["sweet"] > 0
    assert corn.needs["corn"] == pytest.approx(0.7) and corn.needs["sweet"] == pytest.approx(0.5)
    assert ask("red carrots, red").needs["red"] == 1.0
    beef = ask("1 lb ground beef").needs
    assert beef["beef"] == beef["ground"] == pytest.approx(0.7)


@pytest.mark.parametrize(
    ("text", "wants"),
    [
        ("1 lb ground beef", "lean"),
        ("1 cup rice, no salt added", "no salt added without"),
        ("1 cup rice, no added salt", "no salt added without"),
        ("1 cup rice, no sugar added", "unsweetened without"),
        ("1 cup rice without salt", "no without"),
        ("1 cup rice with salt", "with salt"),
        ("1 carrot, diced", "diced"),
        ("2 diced carrots", "diced"),
        ("1 baked carrot", "baked"),
        ("2 thighs chicken, skin removed", "only skinless"),
        ("2 chicken thighs, with skin", "skin"),
        ("2 chicken thighs with skin", "skin"),
        ("1 cup oat milk", "oat milk"),
        ("1 lb shrimp", "raw"),
        ("1 cup precooked rice", "precooked"),
        ("1 lb raw carrots", "raw"),
        ("1 lb dry carrots", ""),
        ("1 lb carrots", ""),
    ],
)
def test_preferences(text: str, wants: str) -> None:
    found = ask(text).wants
    assert set(found) == set(wants.split())
    assert all(0 < strength <= 1 for strength in found.values())


def test_strength_of_preferences() -> None:
    assert ask("1 lb ground beef").wants["lean"] == 1.0
    assert ask("2 diced carrots").wants["diced"] > ask("2 carrots, diced").wants["diced"] > 0
    salted = ask("1 cup rice, no salt added").wants
    assert salted["no"] > salted["without"] > 0


def test_what_counts_against_a_row() -> None:
    assert ask("1 lb ground beef").avoids == {"cooked"}
    # What the line asks for is never held against a row, nor its state.
    assert ask("1 lb ground beef, cooked").avoids == set()
    assert ask("1 cup carrots, not in oil").avoids == {"oil"}
    assert ask("2 chicken thighs, skin removed").avoids == {"skin"}
    assert ask("2 chicken thighs with skin").avoids == set()
    assert ask("2 chicken thighs").avoids == set()


def test_unknown_and_respelt_words() -> None:
    plain = ask("2 carrots")
    assert (plain.unknown, plain.respelt, plain.doubt, plain.loose) == ([], {}, 0.0, 1)
    assert (plain.head, plain.head_known, plain.not_food) == ("carrot", True, False)
    respelt = ask("2 carots onyons")
    assert respelt.respelt == {"carot": "carrot", "onyon": "onion"}
    assert respelt.doubt == pytest.approx(0.25) and set(respelt.needs) == {"carrot", "onion"}
    assert respelt.loose == 2
    strange = ask("2 glimzorp")
    assert (strange.unknown, strange.head_known, strange.needs) == (["glimzorp"], False, {})
    assert ask("2 glimzorp carrots").head_known
    assert not ask("2 carrots glimzorp").head_known
    # After four strange words no more are looked up.
    many = ask("a1 " + "zib zab zub zeb carot")
    assert "carrot" not in many.needs and "carot" in many.unknown
    assert "carrot" in ask("zib zab zub carot").needs


def test_foods_of_their_own_and_things_that_are_no_food() -> None:
    own = ask("1 cup oat milk")
    assert own.lone == [("oat", "milk")] and own.needs == {} and not own.head_known
    assert ask("2 skewers").not_food and ask("2 skewers").needs == {}
    assert not own.not_food


def test_words_that_were_said_are_not_extra() -> None:
    assert {"carrot", "diced", "skin"} <= ask("2 carrots, skin removed, diced").told
    assert {"ground", "beef"} <= ask("1 lb ground beef").told
    assert {"no", "salt", "added"} <= ask("1 cup rice, no salt added").told


def test_the_phrases_that_were_read_are_kept() -> None:
    query = ask("1 lb ground beef rice")
    assert [" ".join(entry.phrase) for entry in query.entries] == ["ground beef", "rice"]
    assert (query.head, query.head_known, query.loose) == ("rice", True, 0)
    assert ask("ground beef onions").loose == 1
