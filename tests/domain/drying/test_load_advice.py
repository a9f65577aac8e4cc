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


def between(low: str, high: str, unit: str, name: str = "") -> Figure:
    return Figure.between(Decimal(low), Decimal(high), unit, name)


def test_layer_reaches_from_its_thinnest_to_its_thickest() -> None:
    # 800 g / (800 cm2 x 1 g/mL) = 1 cm; 960 g / (600 cm2 x 0.8 g/mL) = 2 cm.
    layer = composition.layer_thickness(
        between("800", "960", "g"), between("600", "800", "cm**2"), between("0.8", "1", "g/mL")
    )
    assert layer.box == (Decimal(1), Decimal(2))
    assert composition.layer_thickness(
        figure("0.84", "kg"), figure("700", "cm**2"), figure("0.8", "g/mL")
    ).value == Decimal("1.5")


def test_depression_of_a_range_and_in_any_unit() -> None:
    # 1 mol of sodium, 22989.77 mg, in 1 kg: 3.72 K; half the salt in twice the water is a quarter of it.
    sodium = between("11494.885", "22989.77", "mg")
    depression = composition.salt_freezing_depression(sodium, between("1000", "2000", "g"))
    assert [float(end) for end in depression.box] == pytest.approx([0.93, 3.72])
    assert (depression.unit, depression.why) == ("K", "")
    kilos = composition.salt_freezing_depression(figure("22.98977", "g"), figure("1", "kg"))
    assert float(kilos.must()) == pytest.approx(3.72)
    thin = composition.salt_freezing_depression(figure("22.98977", "mg"), figure("0.5", "g"))
    assert float(thin.must()) == pytest.approx(7.44)
    dry = composition.salt_freezing_depression(sodium, between("0", "1000", "g"))
    assert (dry.value, dry.unit) == (None, "K")
    assert not composition.salt_freezing_depression(sodium, Figure.unknown("g", "not told")).is_known


MORE = Decimal("1.001")


@pytest.mark.parametrize(
    ("key", "unit", "most", "code"),
    [
        # Above half of the solids, above 2 % of the water, above 2 cm: common practice, no source.
        ("fat", "g", "500", "fatty"),
        ("sugar", "g", "500", "sugary"),
        ("alcohol", "g", "74.4", "alcohol"),
        ("layer", "cm", "2", "thick_layer"),
        # 1 K is 1 / (2 x 1.86) mol of sodium a kilogram of water: a mol, 22989.77 mg, in 3.72 kg.
        ("sodium", "mg", "22989.77", "salty"),
    ],
)
def test_advice_begins_above_its_limit(key: str, unit: str, most: str, code: str) -> None:
    solids, water = figure("1000", "g"), figure("3720", "g")

    def codes(part: Figure) -> list[str]:
        load = Composition(**{"solids": solids, "water": water, key: part})
        return [advice.code for advice in composition.drying_advice(load)]

    assert codes(figure(most, unit)) == []
    assert codes(Figure.exact(Decimal(most) * MORE, unit)) == [code]
    assert codes(Figure.unknown(unit, "not told")) == []


def test_depth_of_the_tray_limits_the_layer_where_it_is_known() -> None:
    def codes(layer: str, depth: Figure) -> list[str]:
        load = Composition(layer=figure(layer, "cm"), tray_depth=depth)
        return [advice.code for advice in composition.drying_advice(load)]

    assert codes("2.5", figure("25", "mm")) == []
    assert codes("2.6", figure("25", "mm")) == ["thick_layer"]
    assert codes("1.6", figure("1.5", "cm")) == ["thick_layer"]


@pytest.mark.parametrize("solids", [figure("0", "g"), Figure.unknown("g", "not told"), None])
def test_shares_of_nothing_known_advise_nothing(solids: Figure | None) -> None:
    load = Composition(solids=solids, water=solids, fat=figure("9", "g"), alcohol=figure("9", "g"))
    assert composition.drying_advice(load) == []


def test_a_gram_of_solids_has_shares_like_a_kilogram() -> None:
    load = Composition(solids=figure("0.001", "kg"), fat=figure("0.6", "g"))
    assert [advice.code for advice in composition.drying_advice(load)] == ["fatty"]


@pytest.mark.parametrize("missing", ["sodium", "water"])
def test_salt_needs_both_sodium_and_water(missing: str) -> None:
    parts = {"sodium": figure("90000", "mg"), "water": figure("1000", "g")}
    del parts[missing]
    assert composition.drying_advice(Composition(**parts)) == []


def test_mixed_temperature_from_coldest_to_hottest() -> None:
    # Coldest: 180 g of water, 70 g of food at 1.9 kJ/(kg K); hottest: 220 g, 50 g at 1.4. By hand:
    # (180 x 4.19 x 95 + 70 x 1.9 x 20) / (180 x 4.19 + 70 x 1.9), and so on.
    mixed = reheating.mixed_temperature(between("180", "220", "g"), between("50", "70", "g"))
    assert mixed.unit == "°C"
    assert [float(end) for end in mixed.box] == pytest.approx(
        [(754.2 * 95 + 133 * 20) / 887.2, (921.8 * 95 + 70 * 20) / 991.8]
    )


@pytest.mark.parametrize(
    ("water", "dry", "told"),
    [
        # (838 x 95 + 114 x 20) / 952 = 86.0 C at 1.9 kJ/(kg K), (838 x 95 + 84 x 20) / 922 = 88.2 C at 1.4.
        ("200", "60", "86 to 88 °C"),
        # A pinch of food cools nothing: one figure, once.
        ("200", "0.1", "about 95 °C"),
    ],
)
def test_reheating_tells_whole_degrees(water: str, dry: str, told: str) -> None:
    shown = reheating.reheating(figure(water, "g"), figure(dry, "g"), True)
    assert shown is not None
    assert told in shown.text
    assert shown.temperature.unit == "°C"


def test_reheating_needs_weights_with_ends() -> None:
    endless = between("60", "Infinity", "g")
    assert reheating.reheating(figure("200", "g"), endless, True) is None
    assert reheating.reheating(endless, figure("200", "g"), True) is None
    assert reheating.reheating(figure("200", "g"), Figure.unknown("g", "no weight"), True) is None


def test_kettle_loses_heat() -> None:
    # 250 mL x 4.19 J/(g K) x 85 K = 89.04 kJ = 0.02473 kWh; 70 to 95 % of the electricity gets there.
    taken = fuel.boiling_electricity(figure("250", "mL/serving"))
    assert [float(end) for end in taken.box] == pytest.approx([0.02473 / 0.95, 0.02473 / 0.7], rel=1e-3)
    assert fuel.boiling_gas(figure("250", "mL/serving"), figure("14", "g/L")).unit == "g/serving"


def test_load_factor_of_less_than_one_and_of_nothing() -> None:
    assert scaling.load_factor(figure("0.5", "tray"), figure("0.25", "tray")).value == Decimal("0.5")
    for done, wanted in (("0", "1"), ("1", "0"), ("1", "-1")):
        with pytest.raises(InputError, match="above 0"):
            scaling.load_factor(figure(done, "tray"), figure(wanted, "tray"))
    assert not scaling.load_factor(Figure.unknown("tray", "not told"), figure("1", "tray")).is_known


def test_scaled_amounts_keep_their_names() -> None:
    again = scaling.scaled_load(
        {"dry": figure("10", "g", "weight dry"), "cost": figure("20", "USD")}, figure("2", "")
    )
    assert [(key, each.name) for key, each in again.items()] == [("dry", "weight dry"), ("cost", "cost")]


@pytest.mark.parametrize(
    ("low", "high", "whole"),
    [("2", "2", [2, 2]), ("2.0000000001", "2.0000000001", [2, 2]), ("1.2", "2.00001", [2, 3])],
)
def test_pieces_are_whole(low: str, high: str, whole: list[int]) -> None:
    pieces = scaling.whole_pieces(between(low, high, "bag", "bags"))
    assert list(pieces.box) == whole
    assert (pieces.unit, pieces.name) == ("bag", "bags")


def test_the_same_food_dried_again_weighs_a_little_more_or_less() -> None:
    # Moisture from 1 to 4 % (from memory): solids / 0.99 one time, solids / 0.96 the other.
    change = scaling.moisture_change()
    assert [float(end) for end in change.box] == pytest.approx([0.96 / 0.99, 0.99 / 0.96])
    assert (change.value, change.unit, change.standing) == (Decimal(1), "", "assumed")
