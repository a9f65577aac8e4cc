"""Composition advice, reheating estimate, fuel and scaling."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.drying import composition, fuel, reheating, scaling
from nutricost.domain.drying.composition import Composition
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError, UnitMismatch


def figure(value: str, unit: str, name: str = "") -> Figure:
    return Figure.exact(Decimal(value), unit, name)


def test_salt_depression_is_near_real_brine() -> None:
    # CRC Handbook (from memory): 1 mol/kg NaCl freezes at -3.37 C, 0.1 mol/kg at -0.348 C; the ideal law
    # gives 3.72 and 0.372.
    one_molal = composition.salt_freezing_depression(figure("22989.77", "mg"), figure("1000", "g"))
    assert float(one_molal.must()) == pytest.approx(3.72)
    assert float(one_molal.must()) == pytest.approx(3.37, rel=0.12)
    dilute = composition.salt_freezing_depression(figure("2298.977", "mg"), figure("1000", "g"))
    assert float(dilute.must()) == pytest.approx(0.348, rel=0.08)
    assert composition.salt_freezing_depression(figure("10", "mg"), figure("0", "g")).value is None


def test_layer_thickness() -> None:
    layer = composition.layer_thickness(figure("840", "g"), figure("700", "cm**2"), figure("0.8", "g/mL"))
    assert (layer.value, layer.unit) == (Decimal("1.5"), "cm")


def test_each_advice_shows_where_it_should() -> None:
    solids, water = figure("1000", "g", "solids"), figure("3000", "g", "water")
    load = Composition(
        solids=solids,
        water=water,
        fat=figure("600", "g", "fat"),
        sugar=figure("700", "g", "sugar"),
        alcohol=figure("90", "g", "alcohol"),
        sodium=figure("30000", "mg", "sodium"),
        layer=figure("3", "cm", "layer"),
    )
    advice = composition.drying_advice(load)
    assert [each.code for each in advice] == ["fatty", "sugary", "alcohol", "salty", "thick_layer"]
    assert all(each.what_to_do and each.standing for each in advice)


def test_no_advice_for_a_plain_load_or_unknown_values() -> None:
    plain = Composition(
        solids=figure("1000", "g"),
        water=figure("3000", "g"),
        fat=figure("100", "g"),
        sodium=figure("4000", "mg"),
    )
    assert composition.drying_advice(plain) == []
    assert composition.drying_advice(Composition()) == []
    assert (
        composition.drying_advice(Composition(fat=Figure.unknown("g", "no value"), solids=figure("1", "g")))
        == []
    )


def test_mixed_temperature_by_hand() -> None:
    # (200 x 4.19 x 95 + 60 x 1.65 x 20) / (200 x 4.19 + 60 x 1.65) = 87.08 C.
    mixed = reheating.mixed_temperature(figure("200", "g"), figure("60", "g"))
    assert float(mixed.must()) == pytest.approx((838 * 95 + 99 * 20) / 937)
    assert mixed.low < mixed.must() < mixed.high
    assert mixed.high < 95


def test_more_food_is_colder() -> None:
    little = reheating.mixed_temperature(figure("150", "g"), figure("40", "g"))
    much = reheating.mixed_temperature(figure("150", "g"), figure("120", "g"))
    assert much.must() < little.must()


@pytest.mark.parametrize("cooked", [False, None])
def test_reheating_is_only_for_cooked_food(cooked: bool | None) -> None:
    assert reheating.reheating(figure("200", "g"), figure("60", "g"), cooked) is None


def test_reheating_names_165_and_claims_nothing() -> None:
    shown = reheating.reheating(figure("200", "g"), figure("60", "g"), True)
    assert shown is not None
    assert "165" in shown.text
    assert "nothing about safety" in shown.text
    assert reheating.reheating(Figure.unknown("g", "no weight"), figure("60", "g"), True) is None


def test_boiling_a_litre() -> None:
    # 1 L x 4.19 kJ/(kg K) x 85 K = 356 kJ = 0.0989 kWh.
    heat = fuel.boiling_heat(figure("1000", "mL"))
    assert float(heat.must()) == pytest.approx(0.0989, abs=0.0001)
    each = fuel.boiling_electricity(figure("250", "mL/serving"))
    assert each.unit == "kWh/serving"
    assert each.low < each.must() < each.high
    assert fuel.boiling_gas(figure("250", "mL"), figure("14", "g/L")).value == Decimal("3.5")


def test_same_again_seven_packages() -> None:
    factor = scaling.load_factor(figure("4", "package", "done"), figure("7", "package", "wanted"))
    again = scaling.scaled_load({"dry": figure("1000", "g"), "cost": figure("20", "USD")}, factor)
    assert (again["dry"].value, again["dry"].unit) == (Decimal(1750), "g")
    assert again["cost"].value == 35
    with pytest.raises(UnitMismatch):
        scaling.load_factor(figure("4", "package"), figure("7", "tray"))
    with pytest.raises(InputError):
        scaling.load_factor(figure("0", "tray", "done"), figure("7", "tray"))


def test_share_of_a_common_cycle() -> None:
    assert scaling.share_of_cycle(figure("2", "tray"), figure("3", "tray")).value == Decimal("0.4")


def test_advice_tells_the_share_in_per_cent() -> None:
    # 60 g of fat in 100 g of solids: 60 %, worked by hand.
    load = Composition(solids=Figure.exact(100, "g"), fat=Figure.exact(60, "g"))
    assert [advice.text.split(":")[0] for advice in composition.drying_advice(load)] == [
        "Fat is 60 % of the solids"
    ]
