"""Parts of ingredient lines: food, more about it, state, preparation, what was taken away, remarks.

The readings are the writer's judgement of plain English lines.
"""

from decimal import Decimal

import pytest

from nutricost.domain.foods.lines import read_line


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2 cups rice - cooked", "rice"),
        ("2 cups rice: cooked", "rice"),
        ("2 cups rice; cooked", "rice"),
        ("2 cups rice | cooked", "rice"),
        ("2 cups long-grain rice", "long grain rice"),
        ("2 cups rice -white", "rice white"),
        ("2 cups rice- white", "rice white"),
        ("2 cups rice ((very) white) grains", "rice grain"),
        ("2 cups rice [white] grains", "rice grain"),
        ("2 cups rice {white} grains", "rice grain"),
        ("2 cups rice) grains", "rice grain"),
        ("2 cups rice -", "rice"),
        ("2 cups rice )(white) grains", "rice grain"),
        ("cod loins 2 - 3", "cod loin"),
        ("2 cups of the rice", "rice"),
        ("• 2 cups rice", "rice"),
        ("· 2 cups rice", "rice"),
        ("+ 2 cups rice", "rice"),
        ("- rice", "rice"),
        ("(rice)", "rice"),
        ("() (rice) (beans)", "rice"),
        ("2 cups, rice", "rice"),
        ("1 cup flour plus extra for dusting", "flour"),
        ("1 lb beef for stew", "beef for stew"),
        ("1 lb beef for stewing", "beef for stewing"),
        ("2 cups beans for soup", "bean"),
        ("1 tsp salt to taste", "salt"),
        ("1 tsp salt to serve", "salt"),
        ("1 cup something to tenderize", "something to tenderize"),
        ("1 cup water as needed", "water"),
        ("1 cup water as required", "water"),
        ("1 cup water as ice", "water as ice"),
        ("1 cup for beans", "for bean"),
        # parts of a whole
        ("zest of lemon", "lemon zest"),
        ("white of egg", "white of egg"),
        ("flesh of mango", "flesh of mango"),
        ("oil of 2 lemons", "oil of 2 lemon"),
        ("glass of juice of 2 lemons", "glass of juice of 2 lemon"),
        ("skin and flesh of 2 mangoes", "mango skin"),
        ("freshly squeezed juice from 2 limes", "lime juice"),
        ("2 limes, juiced", "lime juice"),
        ("2 limes, zested", "lime zest"),
        ("2 limes, zested and juiced", "lime juice"),
        ("2 limes, zested and sliced", "lime"),
        ("3 eggs, whites only", "egg white"),
        ("3 eggs, whites", "egg"),
        # of two foods the first, with the head they share
        ("butter or margarine", "butter"),
        ("rice or", "rice"),
        ("or rice", "rice"),
        ("1 cup milk or more", "milk"),
        ("1 cup milk or so", "milk"),
        ("3 cups sliced chicken or vegetable broth", "sliced chicken broth"),
        ("1 cup red or brown sugar", "red sugar"),
        ("1 cup beef broth or vegetable broth", "beef broth"),
        ("3 cups lean roast beef or vegetable broth", "lean roast beef"),
        ("1 lb chopped or sliced carrots", "chopped sliced carrot"),
        ("1 lb frozen or canned baby carrots", "frozen baby carrot"),
        ("1 lb green frozen or baby carrots", "green frozen"),
    ],
)
def test_words_of_the_food(text: str, words: str) -> None:
    assert " ".join(read_line(text).words) == words


@pytest.mark.parametrize(
    ("text", "others"),
    [
        ("butter or margarine", ("margarine",)),
        ("red or brown sugar", ("brown sugar",)),
        ("1 cup milk or more", ()),
        ("chopped or sliced carrots", ()),
        ("green frozen or baby carrots", ("baby carrot",)),
    ],
)
def test_alternatives(text: str, others: tuple[str, ...]) -> None:
    assert tuple(" ".join(words) for words in read_line(text).alternatives) == others


@pytest.mark.parametrize(
    ("text", "preparation", "more", "states", "notes"),
    [
        ("1 onion, diced", ["diced"], [], [], []),
        ("1 onion, red", [], ["red"], [], []),
        ("1 lb beef, ground", [], ["ground"], [], []),
        ("1 lb beef, very fresh", ["very fresh"], [], ["fresh"], []),
        ("1 lb beef, fresh", ["fresh"], [], ["fresh"], []),
        ("1 lb asparagus, woody ends snapped off", ["woody end snapped off"], [], [], []),
        ("1 lb leeks, only the tender green ends trimmed", [], ["only the tender green end trimmed"], [], []),
        ("1 lb leeks, only tender green ends trimmed", ["only tender green end trimmed"], [], [], []),
        ("1 lb scallops, patted dry", ["patted dry"], [], [], []),
        ("1 lb scallops, pat dry", ["pat dry"], [], [], []),
        ("1 lb scallops, patted and fried", ["patted and fried"], [], ["fried"], []),
        ("1 lb scallops, dry", ["dry"], [], ["dried"], []),
        ("1 cup rice, made up", [], [], ["prepared"], []),
        ("1 cup rice, made well", ["made well"], [], [], []),
        ("2 cups rice (cooked)", ["cooked"], [], ["cooked"], []),
        ("2 cups rice (cooked", ["cooked"], [], ["cooked"], []),
        ("2 cups rice (white), cooked", ["cooked"], ["white"], ["cooked"], []),
        ("1 can (15 oz) beans (drained)", ["drained"], [], ["drained"], []),
        ("1 can (15 oz, drained) beans", ["drained"], [], ["drained"], []),
        ("2 tomatoes, for serving", [], [], [], ["for serving"]),
        ("1 potato, 1 inch cubes", [], [], [], ["1 inch cube"]),
        ("1 potato, 2 cm dice", [], [], [], ["2 cm dice"]),
        ("1 potato, 30 minute bake", [], [], [], ["30 minute bake"]),
        ("1 potato, 2 colour", [], ["2 color"], [], []),
        ("1 tortilla (10 inch)", [], [], [], ["10 inch"]),
        ("1 tortilla (10 in)", [], [], [], ["10 in"]),
        ('1 tortilla (10")', [], [], [], ['10 "']),
        ("1 cup flour plus extra for dusting", [], [], [], ["plus extra for dusting"]),
        ("1 onion, diced to serve", ["diced"], [], [], ["to serve"]),
    ],
)
def test_parts(
    text: str, preparation: list[str], more: list[str], states: list[str], notes: list[str]
) -> None:
    line = read_line(text)
    assert list(line.preparation) == preparation
    assert [" ".join(words) for words in line.more] == more
    assert (sorted(line.part_states), list(line.notes)) == (states, notes)


@pytest.mark.parametrize(
    ("text", "words", "removed"),
    [
        ("2 boneless skinless thighs", "boneless skinless thigh", ["bone", "skin"]),
        ("1 lb seedless grapes", "seedless grape", ["seed"]),
        ("2 thighs skin removed", "thigh skinless", ["skin"]),
        ("2 thighs bones out", "thigh boneless", ["bone"]),
        ("2 thighs without skin", "thigh skinless", ["skin"]),
        ("2 thighs no bone", "thigh boneless", ["bone"]),
        ("2 thighs without lid", "thigh without lid", []),
        ("2 thighs skin removed over ice", "thigh skinless over ice", ["skin"]),
        ("2 thighs without skin over ice", "thigh skinless over ice", ["skin"]),
        ("2 thighs with skin over ice", "thigh skinon over ice", []),
        (
            "2 boneless thighs skin and bone removed over ice",
            "boneless thigh skinless boneless over ice",
            ["bone", "skin"],
        ),
        ("2 thighs skin and bone removed, diced", "thigh skinless boneless", ["skin", "bone"]),
        ("2 thighs skin removed without skin", "thigh skinless skinless", ["skin"]),
        ("2 thighs with skin", "thigh skinon", []),
        ("2 chops with bone", "chop bonein", []),
        ("2 chops with rind", "chop with rind", []),
        ("2 chops skin", "chop skin", []),
        ("2 chops skin and bone", "chop skin and bone", []),
    ],
)
def test_what_was_taken_away_or_left_on(text: str, words: str, removed: list[str]) -> None:
    line = read_line(text)
    assert (" ".join(line.words), list(line.removed)) == (words, removed)


def test_uk_and_imperial_measures() -> None:
    assert read_line("1 pint milk (UK)").imperial and read_line("1 imperial pint milk").imperial
    assert not read_line("1 pint milk").imperial


def test_a_minus_close_to_the_number_is_food_poured_off() -> None:
    for text, negative in (
        ("-2 cups fat", True),
        ("- 2 cups fat", False),
        ("-fat", False),
        ("• -2 cups fat", True),
    ):
        assert read_line(text).negative is negative, text
    assert not read_line("-").negative and read_line("-").words == ()


def test_states_of_the_first_and_later_parts() -> None:
    assert read_line("1 cup cooked rice, frozen").states == {"cooked", "frozen"}
    assert read_line("1 lb roast beef").states == {"roasted"}
    assert read_line("1 lb beef chuck roast").states == set()


def test_a_number_late_in_a_long_line_is_not_looked_for() -> None:
    words = "very " * 38
    near = read_line(f"{words}rice 2 cups")
    assert near.amount is not None and near.amount.low == Decimal(2)
    assert read_line(f"{words}{words}rice 2 cups").amount is None
