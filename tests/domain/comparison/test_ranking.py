"""Ranking by words: every way of saying a quantity, both directions, unknown last, refusals."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_offers import UNITS, offer

from nutricost.domain.comparison import rank_offers, read_measure
from nutricost.errors import InputError, UnitMismatch

D = Decimal

WORDS = {
    "energy": "energy calorie calories kcal kcals cal kilocalories",
    "protein": "protein proteins",
    "fat": "fat fats",
    "carbohydrate": "carbohydrate carbohydrates carbs carb",
    "fiber": "fiber fibre",
    "sugar": "sugar sugars",
    "sodium": "sodium",
    "weight": "weight gram grams g ounce ounces oz pound pounds lb lbs kg kilogram kilograms",
    "water": "water",
    "serving": "serving servings",
    "machine_hour": "hour hours",
}
PAIRS = [(word, quantity) for quantity, words in WORDS.items() for word in words.split()]
PHRASES = [
    ("saturated fat", "saturated_fat"), ("machine hour", "machine_hour"), ("machine hours", "machine_hour"),
    ("Saturated Fat", "saturated_fat"), ("saturated_fat", "saturated_fat"),
]  # fmt: skip


@pytest.mark.parametrize(("word", "quantity"), PAIRS + PHRASES)
def test_every_word_above_and_below_the_line(word: str, quantity: str) -> None:
    over = read_measure(f"{word} per dollar", "USD")
    assert (over.above.quantity, over.below.quantity) == (quantity, "cost")
    under = read_measure(f"dollars / {word}", "USD")
    assert (under.above.quantity, under.below.quantity) == ("cost", quantity)
    assert over.above.amount == under.below.amount == 1


@pytest.mark.parametrize(
    "word", ["cost", "costs", "price", "money", "dollar", "dollars", "usd", "USD", "usds"]
)
def test_every_word_for_money(word: str) -> None:
    assert read_measure(f"calories per {word}", "USD").below.quantity == "cost"
    # A code that ends in S is no plural.
    assert read_measure("calories per KES", "KES").below.quantity == "cost"


@pytest.mark.parametrize(
    ("text", "above", "below", "amount"),
    [
        ("dollars per 1000 calories", "cost", "energy", "1000"),
        ("dollars per 1,000 calories", "cost", "energy", "1000"),
        ("cost/100kcal", "cost", "energy", "100"),
        ("dollars per 25 g protein", "cost", "protein", "25"),
        ("dollars per 25 g of protein", "cost", "protein", "25"),
        ("dollars per 25 grams of protein", "cost", "protein", "25"),
        ("dollars per gram of protein", "cost", "protein", "1"),
        ("mg of sodium per serving", "sodium", "serving", "1"),
        ("calories  per  0.5 serving", "energy", "serving", "0.5"),
    ],
)
def test_amounts_and_units_in_front(text: str, above: str, below: str, amount: str) -> None:
    measure = read_measure(text, "USD")
    assert (measure.above.quantity, measure.below.quantity) == (above, below)
    assert measure.below.amount == D(amount)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("calories", "not a measure"),
        ("calories per dollar per serving", "not a measure"),
        ("joy per dollar", "'joy' is not a known quantity"),
        ("calories per 0 dollars", "not a known quantity"),
        ("calories per kcal", "divides energy by itself"),
        ("calories per euro", "not a known quantity"),
        ("calories per EUR", "not the currency of the offers"),
        ("calories per euros", "not a known quantity"),
        ("calories per euR", "'eur' is not the currency of the offers .accepted: USD."),
        ("calories per EURs", "not the currency of the offers"),
        ("calories per 1.2.3 dollars", "not a number"),
        ("calories per -1 dollar", "not a known quantity"),
        ("salt per serving", "not a known quantity"),  # 2.54 times the sodium: not the same thing
        ("", "not a measure"),
        ("calories per", "not a measure"),
        (" per dollar", "not a measure"),
    ],
)
def test_what_cannot_be_ranked_by(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_measure(text, "USD")


def test_an_unknown_word_is_answered_with_the_list() -> None:
    with pytest.raises(InputError) as refused:
        read_measure("joy per dollar", "USD")
    for word in (
        "energy", "protein", "fat", "saturated fat", "carbohydrate", "fiber", "sugar", "sodium", "weight",
        "water", "cost", "serving", "machine hour",
    ):  # fmt: skip
        assert word in str(refused.value)


CHEAP = offer("Cheap", cost="10")  # 400 kcal/USD
MIDDLE = offer("Middle", cost="20")  # 200 kcal/USD
DEAR = offer("Dear", cost="40")  # 100 kcal/USD
FREE_OF_PRICE = offer("Unpriced", cost=None)
ALL = [DEAR, FREE_OF_PRICE, CHEAP, MIDDLE]
BEST_FIRST = ["Cheap", "Middle", "Dear", "Unpriced"]


@pytest.mark.parametrize(
    "text", ["calories per dollar", "dollars per calorie", "protein per dollar", "dollars per serving"]
)
def test_the_best_buy_is_first_either_way_and_unknown_last(text: str) -> None:
    ranked = rank_offers(read_measure(text, "USD"), ALL)
    assert [entry.offer.name for entry in ranked] == BEST_FIRST
    assert ranked[-1].value.value is None and ranked[-1].inverse.value is None


@pytest.mark.parametrize(
    ("text", "best"),
    [
        # Of burdens less is better, of the rest more.
        ("sodium per serving", "Low"), ("saturated fat per serving", "Low"), ("sugar per serving", "Low"),
        ("weight per serving", "Low"), ("water per serving", "Low"), ("machine hours per serving", "Low"),
        ("cost per serving", "Low"), ("energy per serving", "High"), ("protein per serving", "High"),
        ("fat per serving", "High"), ("carbohydrate per serving", "High"), ("fiber per serving", "High"),
        ("calories per gram", "High"),
    ],
)  # fmt: skip
def test_which_direction_is_better(text: str, best: str) -> None:
    key = read_measure(text, "USD").above.quantity
    low, high = offer("Low", **{key: "30"}), offer("High", **{key: "60"})
    assert rank_offers(read_measure(text, "USD"), [low, high])[0].offer.name == best
    assert rank_offers(read_measure(text, "USD"), [high, low])[0].offer.name == best


@pytest.mark.parametrize(
    ("text", "value", "unit", "inverse", "inverse_unit"),
    [
        # By hand from 20 USD, 10 servings, 4000 kcal, 200 g protein, 1000 g.
        ("calories per dollar", "200", "kcal/USD", "0.005", "USD/kcal"),
        ("dollars per 1000 calories", "5", "USD/1000 kcal", "0.2", "1000 kcal/USD"),
        ("dollars per 100 kcal", "0.5", "USD/100 kcal", "2", "100 kcal/USD"),
        ("dollars per 25 g protein", "2.5", "USD/25 g", "0.4", "25 g/USD"),
        ("servings per dollar", "0.5", "serving/USD", "2", "USD/serving"),
        ("calories per kg", "4000", "kcal/kg", "0.00025", "kg/kcal"),
        ("100 calories per dollar", "2", "100 kcal/USD", "0.5", "USD/100 kcal"),
        ("protein per machine hour", "5", "g/h", "0.2", "h/g"),
    ],
)
def test_ratio_and_inverse_by_hand(text: str, value: str, unit: str, inverse: str, inverse_unit: str) -> None:
    (entry,) = rank_offers(read_measure(text, "USD"), [offer()])
    assert (entry.value.value, entry.unit) == (D(value), unit)
    assert (entry.inverse.value, entry.inverse_unit) == (D(inverse), inverse_unit)
    assert entry.value.name == text


@pytest.mark.parametrize(
    ("unit", "grams"), [("ounce", "28.349523125"), ("lb", "453.59237"), ("pounds", "453.59237")]
)
def test_weight_in_the_unit_that_is_asked_for(unit: str, grams: str) -> None:
    # NIST Handbook 44, appendix C: 4 kcal/g is 4 x 28.349523125 kcal/oz.
    (entry,) = rank_offers(read_measure(f"calories per {unit}", "USD"), [offer()])
    assert entry.value.must() == pytest.approx(4 * D(grams), rel=D("1e-20"))
    assert entry.unit == f"kcal/{'oz' if unit == 'ounce' else 'lb'}"


def test_grams_of_sodium_are_not_taken_for_milligrams() -> None:
    # 20 USD for 8000 mg: 2.5 USD/g, 0.0025 USD/mg; 20 USD for 200 g protein: 0.1 USD/g, 0.0001 USD/mg.
    for text, value, unit in [
        ("dollars per gram of sodium", "2.5", "USD/g"),
        ("dollars per mg of sodium", "0.0025", "USD/mg"),
        ("dollars per 10 mg protein", "0.001", "USD/10 mg"),
        ("dollars per g protein", "0.1", "USD/g"),
    ]:
        (entry,) = rank_offers(read_measure(text, "USD"), [offer()])
        assert (entry.value.must(), entry.unit) == (D(value), unit)
    with pytest.raises(UnitMismatch, match="kcal cannot be read as g"):
        rank_offers(read_measure("dollars per gram of energy", "USD"), [offer()])


def test_offers_that_tie_keep_their_order() -> None:
    ranked = rank_offers(read_measure("calories per dollar", "USD"), [offer("B"), offer("A")])
    assert [entry.offer.name for entry in ranked] == ["B", "A"]


@settings(max_examples=40)
@given(st.lists(st.integers(1, 500), min_size=1, max_size=6), st.sampled_from(sorted(UNITS)))
def test_a_ratio_and_its_inverse_rank_alike_when_less_money_is_better(prices: list[int], key: str) -> None:
    offers = [offer(f"o{i}", cost=str(price), **{key: "120"}) for i, price in enumerate(prices)]
    word = key.replace("_", " ")
    by_money = rank_offers(read_measure(f"dollars per {word}", "USD"), offers)
    costs = [entry.offer.cost.must() for entry in by_money]
    assert costs == sorted(costs)
    for entry in by_money:
        assert entry.value.must() * entry.inverse.must() == pytest.approx(D(1), rel=D("1e-20"))
