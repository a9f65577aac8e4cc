"""Measures and bases. Arithmetic by hand from the invented offer: 20 USD, 10 servings, 4000 kcal, 1 kg."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from sample_offers import offer

from nutricost.domain.comparison import BASES, MEASURES, at_basis, measures, pouch_offer
from nutricost.domain.documents import Label, Pouch, Printed
from nutricost.domain.quantities import Figure

D = Decimal


def test_apples_to_apples() -> None:
    # 18 USD for 30 servings is 0.60 USD a serving, and 1.67 servings a dollar.
    thirty = offer(cost="18", servings="30")
    per_serving = measures(thirty)["cost_per_serving"]
    assert (per_serving.value, per_serving.unit) == (D("0.6"), "USD/serving")
    assert round((thirty.servings / thirty.cost).must(), 2) == D("1.67")


@pytest.mark.parametrize(
    ("key", "value", "unit"),
    [
        ("cost_per_serving", "2", "USD/serving"),  # 20 / 10
        ("cost_per_100_kcal", "0.5", "USD/hundred_kcal"),  # 20 / 40
        ("kcal_per_usd", "200", "kcal/USD"),  # 4000 / 20
        ("kcal_per_gram", "4", "kcal/g"),  # 4000 / 1000
        ("protein_g_per_usd", "10", "g/USD"),  # 200 / 20
        ("sodium_mg_per_1000_kcal", "2000", "mg/thousand_kcal"),  # 8000 / 4
    ],
)
def test_measures_by_hand(key: str, value: str, unit: str) -> None:
    figure = measures(offer())[key]
    assert (figure.value, figure.unit) == (D(value), unit)
    assert figure.name and figure.formula


def test_every_measure_is_there_with_the_currency_in_its_key() -> None:
    assert list(measures(offer())) == [key.format(currency="usd") for key in MEASURES]


def test_a_measure_of_something_unknown_is_unknown_with_its_reason() -> None:
    unpriced = measures(offer(cost=None))
    assert unpriced["cost_per_serving"].value is None
    assert "cost of Stew is not printed" in unpriced["kcal_per_usd"].why
    assert unpriced["kcal_per_gram"].value == 4


SHARES = {
    # basis: servings, cost, energy, protein, sodium, weight, by hand from the whole
    "serving": ("1", "2", "400", "20", "800", "100"),
    "pouch": ("2", "4", "800", "40", "1600", "200"),  # a fifth
    "100kcal": ("0.25", "0.5", "100", "5", "200", "25"),  # a fortieth
    "1000kcal": ("2.5", "5", "1000", "50", "2000", "250"),  # a quarter
    "25g-protein": ("1.25", "2.5", "500", "25", "1000", "125"),  # an eighth
    "100g": ("1", "2", "400", "20", "800", "100"),  # a tenth
}


@pytest.mark.parametrize("basis", list(BASES))
def test_bases_by_hand(basis: str) -> None:
    row = at_basis(offer(), basis)
    keys = ("servings", "cost", "energy", "protein", "sodium", "weight")
    assert tuple(row[key].value for key in keys) == tuple(D(text) for text in SHARES[basis])
    assert set(row) == set(keys)
    if basis not in ("serving", "pouch"):
        units = ("serving", "USD", "kcal", "g", "mg", "g")
        assert tuple(row[key].unit for key in keys) == units


def test_printed_servings_have_no_part_in_what_comes_with_some_energy() -> None:
    # 240 kcal with 12 g protein a serving is 50 g with 1000 kcal (47.0 to 53.2 as printed), whether a
    # pouch holds 2.25 or 2.75 servings; its weight and price are the pouch's, and there servings count.
    row = at_basis(pouch_offer(pouch(), "USD"), "1000kcal")
    assert row["protein"].value == 50
    # 11.5 x 1000 / 245 and 12.5 x 1000 / 235.
    assert [round(end, 6) for end in row["protein"].box] == [D("46.938776"), D("53.191489")]
    assert [round(end, 6) for end in row["servings"].box] == [D("4.081633"), D("4.255319")]
    # 150 g x 1000 / (235 x 2.25) at most.
    assert round(row["weight"].high, 6) == D("283.687943")
    # A share of 100 g in a net weight of 150 g is exact; the servings in it are not.
    by_weight = at_basis(pouch_offer(pouch(), "USD"), "100g")
    assert [round(end, 6) for end in by_weight["servings"].box] == [D("1.5"), D("1.833333")]
    assert by_weight["cost"].is_exact


@pytest.mark.parametrize(
    ("basis", "key", "amount"),
    [("100kcal", "energy", "100"), ("1000kcal", "energy", "1000"), ("25g-protein", "protein", "25"),
     ("100g", "weight", "100")],
)  # fmt: skip
def test_the_basis_itself_is_exact_however_rough_the_label(basis: str, key: str, amount: str) -> None:
    rough = offer(energy=("3600", "4400"), protein=("150", "250"), weight=("900", "1100"))
    assert at_basis(rough, basis)[key].box == (D(amount), D(amount))
    assert at_basis(rough, basis)[key].name == BASES[basis]
    assert not at_basis(rough, basis)["cost"].is_exact


def test_an_energy_given_as_a_range_counts_once_at_a_basis_of_energy() -> None:
    # 25 g of protein out of 100 to 200 g is a quarter to an eighth: 2.5 to 5 USD.
    assert at_basis(offer(protein=("100", "200")), "25g-protein")["cost"].box == (D("2.5"), D("5"))


def test_a_basis_of_something_unknown_leaves_only_the_basis() -> None:
    row = at_basis(offer(protein=None), "25g-protein")
    assert row["protein"].value == 25
    assert row["cost"].value is None and "protein of Stew" in row["cost"].why


def pouch(**changes: object) -> Pouch:
    label = Label(
        "Invented stew",
        "pouches.csv line 2",
        "",
        servings_per_container=D("2.5"),
        printed={"energy": Printed(D(240)), "protein": Printed(D(12)), "sodium": Printed(D(690))},
        net_weight=Figure.exact(150, "g", "net weight"),
    )
    fields: dict[str, object] = {
        "name": "Invented stew", "where": "pouches.csv line 2", "label": label,
        "price": Figure.exact(10, "USD", "price"),
    }  # fmt: skip
    return Pouch(**{**fields, **changes})  # type: ignore[arg-type]


def test_a_plain_food_has_no_servings_but_all_that_comes_with_its_energy() -> None:
    # 4000 kcal with 200 g protein, 8000 mg sodium in 1 kg: a quarter of each comes with 1000 kcal.
    plain = offer("Rice", servings=None)
    row = at_basis(plain, "1000kcal")
    assert [row[key].value for key in ("cost", "protein", "sodium", "weight")] == [5, 50, 2000, 250]
    assert (row["protein"].unit, row["sodium"].unit) == ("g", "mg")
    assert row["servings"].value is None and "servings of Rice" in row["servings"].why
    sodium = measures(plain)["sodium_mg_per_1000_kcal"]
    assert (sodium.value, sodium.unit) == (D(2000), "mg/thousand_kcal")
    assert at_basis(plain, "100g")["energy"].value == 400


def test_each_figure_comes_from_what_is_printed_of_it() -> None:
    # The container says 580 kcal, its 2.5 servings of 240 would be 600 (21 CFR 101.9(b)(12), dual column):
    # nutrients and servings go by the serving, weight and money by the container.
    both = replace(pouch().label, container_printed={"energy": Printed(D(580))})
    stew = pouch_offer(pouch(label=both), "USD")
    row = at_basis(stew, "1000kcal")
    assert row["protein"].value == 50  # 12 / 240
    assert row["servings"].must() * 240 == pytest.approx(D(1000), rel=D("1e-20"))
    assert row["weight"].must() == pytest.approx(D(150000) / 580, rel=D("1e-20"))
    assert row["cost"].must() == pytest.approx(D(10000) / 580, rel=D("1e-20"))
    # 580 kcal are in the 150 g of net weight.
    assert at_basis(stew, "100g")["energy"].must() == pytest.approx(D(58000) / 150, rel=D("1e-20"))
    # Without printed servings the container still tells its weight and money.
    unserved = replace(both, servings_per_container=None)
    bare = at_basis(pouch_offer(pouch(label=unserved), "USD"), "1000kcal")
    assert bare["weight"].must() == pytest.approx(D(150000) / 580, rel=D("1e-20"))
    assert bare["protein"].value == 50


def test_a_pouch_as_an_offer() -> None:
    stew = pouch_offer(pouch(water_to_add=Figure.exact(300, "mL", "water")), "USD")
    assert (stew.kind, stew.name, stew.currency) == ("pouch", "Invented stew", "USD")
    assert stew.cost_per_serving.value == 4  # 10 / 2.5
    assert stew.whole["energy"].value == 600  # 240 x 2.5
    assert stew.whole["weight"].value == 150
    assert (stew.whole["energy"].unit, stew.servings.unit) == ("kcal", "serving")
    assert stew.per_serving["weight"].value == 60
    assert stew.whole["water"].value == 300
    assert stew.whole["water"].unit == "g"
    assert stew.per_serving["water"].value == 120
    assert stew.whole["machine_hour"].value == 0
    # As printed, 240 kcal is 235 to 245 (21 CFR 101.9(c)(1)), 2.5 servings 2.25 to 2.75 ((b)(8)).
    assert stew.per_serving["energy"].box == (D(235), D(245))
    assert stew.whole["energy"].box == (D("528.75"), D("673.75"))


def test_what_a_pouch_does_not_print_is_unknown_never_zero() -> None:
    bare = Label("Bare", "pouches.csv line 3", "", printed={"energy": Printed(D(200))})
    offered = pouch_offer(pouch(label=bare), "USD")
    for figure in (offered.servings, offered.whole["weight"], offered.whole["water"], offered.whole["fat"]):
        assert figure.value is None and figure.why
    assert offered.cost_per_serving.value is None
    assert "servings are not printed" in offered.cost_per_serving.why


def test_a_pouch_is_one_pack() -> None:
    row = at_basis(pouch_offer(pouch(), "USD"), "pouch")
    assert (row["servings"].value, row["cost"].value, row["weight"].value) == (D("2.5"), D(10), D(150))
