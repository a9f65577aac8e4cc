"""What may be said of two offers: only what holds over the whole interval. Arithmetic by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_offers import offer

from nutricost.domain.comparison import Offer, Statement, compare_statements, serving_size_warnings

D = Decimal


def pouch(name: str = "Pouch", **changes: object) -> Offer:
    """10 USD for 500 kcal, 2.5 servings unless changed: 0.02 USD/kcal beside 0.005 of the stew."""
    fields: dict[str, object] = {
        "cost": "10", "servings": "2.5", "energy": "500", "weight": "125", "sodium": "1000", "packs": "1",
        "pack_unit": "package", "kind": "pouch",
    }  # fmt: skip
    return offer(name, **{**fields, **changes})


def about(statements: list[Statement], word: str, what: str = "") -> Statement:
    (one,) = [one for one in statements if one.about == word and what in one.short]
    return one


def money(home: Offer, other: Offer) -> Statement:
    return compare_statements([home], [other])[0]


def test_exact_offers_a_quarter_of_the_money() -> None:
    # 20 / 4000 = 0.005, 10 / 500 = 0.02 USD/kcal: a quarter, 75 % less.
    said = money(offer(), pouch())
    assert (said.about, said.subject, said.other) == ("the same energy", "Stew", "Pouch")
    assert (said.ratio.value, said.verdict) == (D("0.25"), "less")
    assert said.short == "costs 75 % less for the same energy"
    assert said.text.startswith(
        "For the same energy, Stew costs 75 % less than Pouch; true even where labels"
    )
    # Tie: 0.005 x 500 = 2.50 USD.
    assert "draw level when the pouch sells at 2.50 USD instead of 10.00 USD." in said.text


def test_dearer_by_half() -> None:
    # 0.005 beside 10 / 3000 = 0.00333: 1.5 times, 50 % more; exactly the bound of the 20 % rule.
    said = money(offer(), pouch(energy="3000"))
    assert (said.verdict, said.short) == ("more", "costs 50 % more for the same energy")
    assert not said.survives_compliance
    assert "true as printed, not where labels are off" in said.text


def test_more_than_twice_is_said_in_times() -> None:
    # 0.005 beside 10 / 5000 = 0.002.
    said = money(offer(), pouch(energy="5000"))
    assert said.short == "costs 2.50 times as much for the same energy"
    assert "Stew costs 2.50 times as much as Pouch" in said.text
    # Twice itself is still 100 % more: 10 / 4000 = 0.0025.
    assert money(offer(), pouch(energy="4000")).short == "costs 100 % more for the same energy"


def test_a_range_is_said_with_its_ends() -> None:
    # Pouch of 400 to 600 kcal: 0.005 / (10 / 400) = 0.2 and 0.005 / (10 / 600) = 0.3; midpoint 0.25.
    said = money(offer(), pouch(energy=("400", "600")))
    assert [round(end, 20) for end in said.ratio.box] == [D("0.2"), D("0.3")]
    assert said.short == "costs 75 % less (70 to 80 %) for the same energy"
    # The other way: 10 / (3600..4400) gives 1.8 to 2.2 times, more than twice nowhere near certain.
    twice = money(offer(), pouch(energy=("3200", "3800")))
    assert twice.short == "costs 75 % more (60 to 90 %) for the same energy"
    many = money(offer(), pouch(energy=("5000", "7000")))  # 2.5 to 3.5
    assert many.short == "costs 3.00 times as much (2.50 to 3.50) for the same energy"


def test_ends_that_read_alike_are_not_told() -> None:
    # 0.2498 to 0.2502 of the money: 75 % less at either end.
    said = money(offer(), pouch(energy=("499.6", "500.4")))
    assert said.short == "costs 75 % less for the same energy"


def test_too_close_names_what_would_settle_it() -> None:
    # 20 / 4000 beside 10 / (1500..2500): ratio 0.75 to 1.25. The range of the pouch's energy decides.
    said = money(offer(energy=("3990", "4010")), pouch(energy=("1500", "2500")))
    assert said.verdict == "too close"
    assert said.settles == "energy of Pouch"
    assert said.survives_compliance is False
    assert said.short == (
        "for the same energy too close to call (0.75 to 1.25 times); what would settle it: energy of Pouch"
    )
    assert said.text.startswith("For the same energy, Stew and Pouch are too close to call")
    assert "draw level" not in said.text


def test_equal_to_the_coin_is_too_close_and_nothing_settles_it() -> None:
    said = money(offer(), pouch(energy="2000"))  # both 0.005 USD/kcal
    assert (said.verdict, said.settles, said.survives_compliance) == ("too close", "", False)
    assert said.ratio.box == (D(1), D(1))
    assert said.short == "for the same energy too close to call (1.00 to 1.00 times)"


@pytest.mark.parametrize(
    ("energy", "verdict"),
    # The ratio reaches 1 where the pouch holds 2000 kcal: a verdict needs the whole range to one side.
    [(("1500", "1999"), "less"), (("1500", "2000"), "too close"), (("2000", "2500"), "too close"),
     (("2001", "2500"), "more")],
)  # fmt: skip
def test_a_statement_needs_the_whole_interval(energy: tuple[str, str], verdict: str) -> None:
    assert money(offer(), pouch(energy=energy)).verdict == verdict


@pytest.mark.parametrize(
    ("energy", "survives"),
    [
        # 21 CFR 101.9(g): each label may be 20 % off. The worst case multiplies the ratio by
        # 1.2 / 0.8 = 1.5, so 'less' survives below 2/3 and 'more' above 3/2.
        ("1332", True),  # ratio 0.666
        ("1334", False),  # ratio 0.667
        ("2998", False),  # ratio 1.499
        ("3002", True),  # ratio 1.501
        (("1000", "1400"), False),  # ratio 0.5 to 0.7: the weak end counts
        (("1000", "1300"), True),  # 0.5 to 0.65
        (("2900", "3600"), False),  # 1.45 to 1.8
    ],
)
def test_survival_of_the_twenty_percent_rule(energy: str | tuple[str, str], survives: bool) -> None:
    said = money(offer(), pouch(energy=energy))
    assert said.verdict in ("less", "more")
    assert said.survives_compliance is survives


def test_what_is_not_known_is_said_to_be_not_known() -> None:
    said = money(offer(cost=None), pouch())
    assert (said.verdict, said.settles, said.survives_compliance) == ("not known", "", False)
    assert (said.subject, said.other) == ("Stew", "Pouch")
    assert (said.ratio.value, said.ratio.why) == (None, "cost of Stew is not printed")
    assert said.text == "For the same energy, Stew and Pouch can't be compared: cost of Stew is not printed."
    assert said.short == "for the same energy: not known (cost of Stew is not printed)"


def test_all_statements_in_order_for_each_pair() -> None:
    statements = compare_statements([offer("A"), offer("B")], [pouch("P", energy="1000"), pouch("Q")])
    # A serving of 400 kcal beside 1000 / 2.5 = 400 (alike), and 500 / 2.5 = 200 (not alike).
    told = [(one.subject, one.other, one.about) for one in statements]
    with_serving = ["the same energy", "a serving", "its weight", "the same energy"]
    without = ["the same energy", "its weight", "the same energy"]
    assert told == [
        (home, other, about)
        for home in ("A", "B")
        for other, abouts in (("P", with_serving), ("Q", without))
        for about in abouts
    ]


def test_serving_weight_and_sodium_by_hand() -> None:
    statements = compare_statements([offer()], [pouch(energy="1000", sodium="500")])
    # A serving: 20 / 10 = 2 beside 10 / 2.5 = 4.
    assert about(statements, "a serving").short == "costs 50 % less for a serving"
    # Weight: 4000 / 1000 = 4 kcal/g beside 1000 / 125 = 8.
    assert about(statements, "its weight").short == "gives 50 % less energy for its weight"
    # Sodium: 8000 / 4 = 2000 mg beside 500 / 1 mg for 1000 kcal, four times.
    assert statements[-1].short == "has 4.00 times as much sodium for the same energy"
    assert "4.00 times as much sodium as Pouch" in statements[-1].text


def test_a_close_call_says_in_what() -> None:
    statements = compare_statements([offer()], [pouch(sodium=("900", "1100"))])
    # 2000 mg for 1000 kcal beside 1800 to 2200.
    assert statements[-1].short == (
        "for the same energy too close to call in sodium (0.91 to 1.11 times); "
        "what would settle it: sodium of Pouch"
    )


@pytest.mark.parametrize(
    ("unknown", "left"),
    [("sodium", ["the same energy", "its weight"]), ("weight", ["the same energy", "the same energy"]),
     ("energy", ["the same energy"]), ("cost", ["the same energy", "its weight", "the same energy"])],
)  # fmt: skip
def test_only_money_is_mentioned_where_it_is_not_known(unknown: str, left: list[str]) -> None:
    changes: dict[str, Any] = {unknown: None}
    statements = compare_statements([offer(**changes)], [pouch()])
    assert [one.about for one in statements] == left
    assert (statements[0].verdict == "not known") is (unknown in ("energy", "cost"))


def test_a_small_ratio_keeps_three_decimals() -> None:
    # 0.005 / (10 / 10) and up to 0.005 / (10 / 4000): 0.005 to 2.
    said = money(offer(), pouch(energy=("10", "4000")))
    assert "(0.005 to 2.00 times)" in said.short
    # 0.005 / (10 / 190) = 0.095 is the first that is read with two.
    assert "(0.10 to 2.00 times)" in money(offer(), pouch(energy=("190", "4000"))).short


def test_a_divisor_that_may_be_zero_is_unbounded_not_a_crash() -> None:
    said = money(offer(energy=("0", "8000")), pouch())
    assert said.verdict == "too close"
    assert "to unbounded times); what would settle it: energy of Stew" in said.short


def test_a_tie_price_in_yen_has_no_decimals() -> None:
    # ISO 4217: the yen has no minor unit. 20 / 4000 x 500 = 2.5, half up 3.
    home, other = (replace(each, currency="JPY") for each in (offer(), pouch()))
    assert "sells at 3 JPY instead of 10 JPY." in money(home, other).text


@pytest.mark.parametrize(
    ("energy", "said"),
    # Servings of 400 kcal beside energy / 2.5: 25 % is alike, a little more is not.
    [("1250", True), ("1251", False), ("800", True), ("799", False), (None, False), ("0", False)],
)
def test_servings_are_only_compared_where_they_are_alike(energy: str | None, said: bool) -> None:
    statements = compare_statements([offer()], [pouch(energy=energy)])
    assert ("a serving" in {one.about for one in statements}) is said


def sized(name: str, kcal: str | None) -> Offer:
    return offer(name, servings="1", energy=kcal)


def test_no_warning_up_to_a_quarter_apart() -> None:
    assert serving_size_warnings([sized("A", "400"), sized("B", "500")]) == []
    assert len(serving_size_warnings([sized("A", "400"), sized("B", "500.1")])) == 1


def test_the_warning_names_the_smallest_and_the_largest() -> None:
    (warning,) = serving_size_warnings([sized("A", "300"), sized("B", "520"), sized("C", "200")])
    assert warning.startswith("servings are not alike: 200 kcal in one of C, 520 kcal in one of B;")
    assert "--basis 100kcal" in warning


def test_offers_without_known_energy_are_left_out_of_the_warning() -> None:
    assert serving_size_warnings([]) == []
    assert serving_size_warnings([sized("A", "300")]) == []
    assert serving_size_warnings([sized("A", "300"), sized("B", None), sized("C", "0")]) == []
    # Tea of 1 kcal a serving is food with known energy.
    assert len(serving_size_warnings([sized("A", "300"), sized("B", None), sized("Tea", "1")])) == 1


FLIPPED = {"less": "more", "more": "less", "too close": "too close"}
sides = st.tuples(st.integers(1, 60), st.integers(0, 30)).map(lambda side: (str(side[0]), str(sum(side))))


@settings(max_examples=60)
@given(ours=sides, theirs=sides, energies=st.tuples(sides, sides))
def test_a_verdict_holds_at_every_corner_and_turns_round_with_the_offers(
    ours: tuple[str, str], theirs: tuple[str, str], energies: tuple[tuple[str, str], tuple[str, str]]
) -> None:
    home = offer("Home", cost=ours, energy=energies[0])
    other = offer("Other", cost=theirs, energy=energies[1], kind="pouch")
    said = money(home, other)
    assert money(other, home).verdict == FLIPPED[said.verdict]
    corners = [D(a) / D(b) / (D(c) / D(d)) for a, b, c, d in product(ours, energies[0], theirs, energies[1])]
    # Labels 20 % off either way, 21 CFR 101.9(g): 1.2 / 0.8. At the very bound the last digit decides.
    if said.verdict == "less":
        worst = max(corners) * D("1.5")
        assert max(corners) < 1
        assert said.survives_compliance == (worst < 1) or abs(worst - 1) < D("1e-20")
    elif said.verdict == "more":
        worst = min(corners) / D("1.5")
        assert min(corners) > 1
        assert said.survives_compliance == (worst > 1) or abs(worst - 1) < D("1e-20")
    else:
        assert min(corners) <= 1 <= max(corners)
