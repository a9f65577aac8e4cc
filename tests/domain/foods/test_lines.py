"""Ingredient lines into parts. The expected readings are the writer's judgement of plain English lines."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.foods.lines import read_line


def d(text: str) -> Decimal:
    return Decimal(text)


@pytest.mark.parametrize(
    ("text", "low", "high", "unit"),
    [
        ("2 lb carrots", "2", "2", "lb"),
        ("1½ lbs carrots", "1.5", "1.5", "lb"),
        ("1 1/2 cups flour", "1.5", "1.5", "cup"),
        ("1-1/2 cups flour", "1.5", "1.5", "cup"),
        ("1 and 1/2 cups flour", "1.5", "1.5", "cup"),
        ("¾ c. milk", "0.75", "0.75", "cup"),
        (".5 oz saffron", "0.5", "0.5", "oz"),
        ("1,5 kg potatoes", "1.5", "1.5", "kg"),
        ("1,000 g rice", "1000", "1000", "g"),
        ("500g beef", "500", "500", "g"),
        ("2-3 lb chuck roast", "2", "3", "lb"),
        ("2 to 3 cups rice", "2", "3", "cup"),
        ("two cups rice", "2", "2", "cup"),
        ("half a dozen eggs", "6", "6", None),
        ("a dozen eggs", "12", "12", None),
        ("1 dozen eggs", "12", "12", None),
        ("an onion", "1", "1", None),
        ("half an onion", "0.5", "0.5", None),
        ("about 2 cups stock", "2", "2", "cup"),
        ("a few dashes of hot sauce", "2", "4", "dash"),
        ("a couple of carrots", "2", "2", None),
        ("3 T honey", "3", "3", "tbsp"),
        ("3 t honey", "3", "3", "tsp"),
        ("3 Tbsp honey", "3", "3", "tbsp"),
        ("8 fl. oz. milk", "8", "8", "fl oz"),
        ("1 cup plus 2 tablespoons flour", "1.125", "1.125", "cup"),
        ("honey - 2 T", "2", "2", "tbsp"),
        ("Olive oil, 3 T", "3", "3", "tbsp"),
        ("flank steak, 1½ lb, sliced", "1.5", "1.5", "lb"),
        ("chicken breast 1 kg, cubed", "1", "1", "kg"),
        ("2 cloves garlic", "2", "2", "clove"),
        ("1 head cauliflower", "1", "1", "head"),
        ("1 bunch kale", "1", "1", "bunch"),
        ("1 stick butter", "1", "1", "stick"),
        ("2 heaping cups spinach", "2", "2", "cup"),
    ],
)
def test_amounts_and_units(text: str, low: str, high: str, unit: str | None) -> None:
    line = read_line(text)
    assert line.amount is not None
    assert (line.amount.low, line.amount.high) == (d(low), d(high))
    assert (line.unit.name if line.unit else None) == unit


@pytest.mark.parametrize(
    ("text", "count", "size", "unit"),
    [
        ("1 (15 oz) can black beans", "1", "15", "oz"),
        ("2 cans (15 oz each) black beans", "2", "15", "oz"),
        ("1 28-oz can tomatoes", "1", "28", "oz"),
        ("13.5 oz can coconut milk", "1", "13.5", "oz"),
        ("2 x 400 g tin tomatoes", "2", "400", "g"),
        ("1 x 340g tin sweetcorn", "1", "340", "g"),
        ("2 bags (12 oz each) peas", "2", "12", "oz"),
        ("1 can refried beans (16 oz)", "1", "16", "oz"),
        ("two 8-oz ribeye steaks", "2", "8", "oz"),
        ("1 lb bag frozen peas", "1", "1", "lb"),
    ],
)
def test_package_sizes(text: str, count: str, size: str, unit: str) -> None:
    line = read_line(text)
    assert line.amount is not None and line.package is not None
    assert line.amount.low == d(count)
    assert (line.package.amount.low, line.package.unit.name) == (d(size), unit)


def test_weight_of_the_whole_in_brackets_or_after() -> None:
    for text in ("1 butternut squash (about 2 lb)", "1 chicken, 2 lb"):
        line = read_line(text)
        assert line.package is None and line.total is not None
        assert (line.total.amount.low, line.total.unit.name) == (d("2"), "lb")


def test_what_is_poured_off_is_negative() -> None:
    line = read_line("-200 g pork drippings")
    assert line.negative and line.amount is not None and line.amount.low == 200
    assert not read_line("- 200 g pork").negative


def test_parts_after_the_food() -> None:
    line = read_line("2 lb boneless chicken thighs, skin removed, cut into chunks")
    assert line.words == ("boneless", "chicken", "thigh")
    assert set(line.removed) == {"bone", "skin"}
    assert line.preparation[-1] == "cut into chunk"
    assert read_line("1 can beans, drained and rinsed").states >= {"drained", "rinsed"}
    assert "dried" not in read_line("1 lb scallops, patted dry").states
    assert "roasted" not in read_line("2 lb chuck roast").states
    assert "roasted" in read_line("2 lb roast beef").states


def test_alternatives_share_their_head() -> None:
    assert read_line("3 cups chicken or vegetable broth").words == ("chicken", "broth")
    line = read_line("1/4 cup butter or margarine")
    assert line.words == ("butter",) and line.alternatives == (("margarine",),)


def test_juice_of_fruit() -> None:
    line = read_line("juice of 2 lemons")
    assert line.words == ("lemon", "juice") and line.amount is not None and line.amount.low == 2


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("1 doz. eggs", 12, 12),
        ("2 dz eggs", 24, 24),
        ("doz eggs", 12, 12),
        ("half-dozen eggs", 6, 6),
        ("1/2 doz. eggs", 6, 6),
        ("a doz eggs", 12, 12),
        ("2-3 dozen eggs", 24, 36),
        ("two dozen eggs", 24, 24),
    ],
)
def test_short_forms_of_dozen_were_read_as_pieces(text: str, low: int, high: int) -> None:
    line = read_line(text)
    assert line.words == ("egg",)
    assert line.amount is not None and (line.amount.low, line.amount.high) == (Decimal(low), Decimal(high))


@pytest.mark.parametrize(
    "text",
    [
        "peas n carrots",
        "peas 'n' carrots",
        "peas n' carrots",
        "peas’n’carrots",
        "peas 'n carrots",
        "peas-n-carrots",
        "peas & carrots",
        "peas+carrots",
    ],
)
def test_short_forms_of_and_were_lost(text: str) -> None:
    assert read_line(text).words == ("pea", "and", "carrot")


def test_an_n_inside_a_word_or_a_sum_of_measures_is_no_and() -> None:
    assert read_line("2 cups don't-care beans").words[0] == "don't"
    line = read_line("1 cup + 2 tbsp flour")
    assert line.words == ("flour",) and line.amount is not None and line.amount.low == Decimal("1.125")


@pytest.mark.parametrize(
    ("text", "count", "words"),
    [
        ("whites of 4 eggs", 4, ("egg", "white")),
        ("yolks from 3 large eggs", 3, ("egg", "yolk")),
        ("3 eggs, yolks only", 3, ("egg", "yolk")),
        ("juice of half a lime", Decimal("0.5"), ("lime", "juice")),
        ("finely grated zest of 1 lemon", 1, ("lemon", "zest")),
        ("zest and juice of 2 limes", 2, ("lime", "juice")),
        ("flesh of 2 avocados", 2, ("avocado",)),
        ("leaves from 4 sprigs thyme", 4, ("thyme",)),
        ("breasts of 2 ducks", 2, ("duck", "breast")),
    ],
)
def test_a_part_of_so_many_wholes_told_no_amount(text: str, count: Decimal, words: tuple[str, ...]) -> None:
    line = read_line(text)
    assert line.words == words
    assert line.amount is not None and line.amount.low == count


def test_short_forms_of_boneless_and_with() -> None:
    assert read_line("chicken thighs bnls/sknls 3 lbs").words == ("chicken", "thigh", "boneless", "skinless")
    assert "skinon" in read_line("2 lb chicken thighs w/ skin").words


def test_a_line_without_amount() -> None:
    for text in ("salt to taste", "parchment paper, for lining the tray", "", "   ", ",,,", "()"):
        assert read_line(text).amount is None


@settings(max_examples=150)
@given(st.text(max_size=300))
def test_any_text_is_read(text: str) -> None:
    assert read_line(text).text == text


FRAGMENTS = st.sampled_from(
    '1 2 ½ 1/2 1/0 - – x ( ) [ , ; . % " oz lb g cup T t can bag or and plus to taste of skin removed '
    "without dozen half a few about frozen drained chicken beans (15 each) 99999999999999 ⁄ ¼ ８ ² é".split()
)


@settings(max_examples=150)
@given(st.lists(FRAGMENTS, max_size=60))
def test_any_order_of_line_pieces_is_read(pieces: list[str]) -> None:
    line = read_line(" ".join(pieces))
    assert line.amount is None or line.amount.low <= line.amount.high
