"""Ice and vapour against IAPWS R14-08, Murphy and Koop 2005, and two reference libraries."""

from __future__ import annotations

from decimal import Decimal

import iapws
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st
from iapws import IAPWS95

from nutricost.domain.drying import thermodynamics as thermo
from nutricost.domain.quantities import Figure

# Murphy and Koop 2005 eq. 7 and 5, and IAPWS R14-08, computed from the published equations (derived):
# t [C], p by Murphy and Koop [Pa], p by IAPWS [Pa], latent heat [kJ/kg]
TABLE = [
    (-50, 3.9389, 3.9377, 2837.65),
    (-40, 12.8443, 12.8412, 2838.49),
    (-30, 38.0122, 38.0051, 2838.58),
    (-20, 103.2525, 103.239, 2837.91),
    (-10, 259.892, 259.874, 2836.45),
    (0, 611.154, 611.154, 2834.21),
]


def grams(value: Decimal | int) -> Figure:
    return Figure.exact(value, "g", "water")


def test_iapws_check_value() -> None:
    # IAPWS R14-08, check value of the sublimation pressure: 230 K, 8.94735 Pa.
    assert thermo.sublimation_pressure_pa(230) == pytest.approx(8.94735, abs=5e-6)
    assert thermo.sublimation_pressure_pa(273.16) == pytest.approx(611.657, abs=1e-6)


@pytest.mark.parametrize(("t_c", "murphy_koop_pa", "iapws_pa", "heat"), TABLE)
def test_published_equations(t_c: int, murphy_koop_pa: float, iapws_pa: float, heat: float) -> None:
    t_k = t_c + 273.15
    assert thermo.ice_vapour_pressure_pa(t_k) == pytest.approx(murphy_koop_pa, rel=2e-5)
    assert thermo.sublimation_pressure_pa(t_k) == pytest.approx(iapws_pa, rel=2e-5)
    assert thermo.sublimation_heat_kj_per_kg(t_k) == pytest.approx(heat, abs=0.01)


def test_murphy_koop_latent_heat_at_the_ice_point() -> None:
    # A public implementation of Murphy and Koop 2005 eq. 5 prints 51059.029 J/mol at 273.15 K.
    molar = thermo.sublimation_heat_kj_per_kg(273.15) * thermo.WATER_MOLAR_MASS_G_PER_MOL
    assert molar == pytest.approx(51059.029, abs=5e-4)


def test_latent_heat_at_the_triple_point() -> None:
    # IAPWS-95 and R10-06: 2500.915 + 333.444 = 2834.36 kJ/kg; Murphy and Koop's fit is within 0.01 %.
    assert thermo.sublimation_heat_kj_per_kg(273.16) == pytest.approx(2834.36, rel=1e-4)


def test_latent_heats_of_the_reference_libraries() -> None:
    vapour_kj_per_kg = PropsSI("H", "T", 273.16, "Q", 1, "Water") / 1000
    liquid_kj_per_kg = PropsSI("H", "T", 273.16, "Q", 0, "Water") / 1000
    ice_kj_per_kg = iapws._iapws._Ice(273.16, 611.657e-6)["h"]
    assert vapour_kj_per_kg - ice_kj_per_kg == pytest.approx(2834.36, abs=0.01)
    fusion = thermo.FUSION_HEAT.must() * 1000
    assert liquid_kj_per_kg - ice_kj_per_kg == pytest.approx(float(fusion), abs=0.06)
    warm = IAPWS95(T=293.15, P=0.101325).h - IAPWS95(T=273.16, P=0.101325).h
    assert warm / 19.99 == pytest.approx(float(thermo.WATER_HEAT.must() * 1000), rel=3e-3)


@pytest.mark.parametrize("t_k", [200.0, 230.0, 255.0, 273.0])
def test_sublimation_pressure_of_a_reference_library(t_k: float) -> None:
    pascal = iapws._iapws._Sublimation_Pressure(t_k) * 1e6
    assert thermo.sublimation_pressure_pa(t_k) == pytest.approx(pascal, rel=1e-9)


def test_least_energy_of_a_kilogram() -> None:
    # 2838 kJ/kg at -20 C, 0.788 kWh/kg (Murphy and Koop 2005 eq. 5, derived).
    least = thermo.minimum_energy(grams(1000))
    assert least.unit == "kWh"
    assert float(least.must()) == pytest.approx(0.788, abs=0.0005)
    assert float(least.must()) == pytest.approx(thermo.sublimation_heat_kj_per_kg(253.15) / 3600, rel=1e-4)


def test_heat_to_remove_from_a_kilogram_of_water() -> None:
    # Cool from 20 C 83.7 + freeze 333.4 + ice to -20 C 41.0 = 458 kJ (derived from IAPWS values).
    duty = thermo.freezing_duty(grams(1000), grams(0), Decimal(20), Decimal(-20))
    assert float(duty.to("kJ").must()) == pytest.approx(458, abs=0.5)


def test_solids_need_cooling_too() -> None:
    duty = thermo.freezing_duty(grams(0), grams(1000), Decimal(20), Decimal(-20)).to("kJ")
    assert [float(end) for end in duty.box] == pytest.approx([56, 76])


def test_ratio_and_specific_energy() -> None:
    used = Figure.exact(31, "kWh", "meter")
    water = grams(3120)
    ratio = thermo.energy_ratio(used, thermo.minimum_energy(water))
    assert ratio.unit == ""
    assert float(ratio.must()) == pytest.approx(31 / (3.12 * 2838 / 3600), rel=1e-9)
    assert thermo.energy_per_kg_water(used, water).unit == "kWh/kg"


@settings(max_examples=30)
@given(st.decimals(min_value=1, max_value=20000, places=1))
def test_double_load_needs_double_energy(water: Decimal) -> None:
    once = thermo.minimum_energy(grams(water)).must()
    twice = thermo.minimum_energy(grams(2 * water)).must()
    assert abs(twice - 2 * once) < Decimal("1e-9")


def test_cooling_and_freezing_add_up() -> None:
    # 1 kg of water from 10 to -30 C: 10 x 4.185 + 333.4 + 30 x 2.05 = 436.75 kJ; 1 kg of solids through
    # 40 K: 56 to 76 kJ.
    water, solids = Figure.exact(1, "kg", "water"), Figure.exact(1, "kg", "solids")
    duty = thermo.freezing_duty(water, solids, Decimal(10), Decimal(-30))
    assert duty.unit == "kWh"
    assert [float(end) for end in duty.to("kJ").box] == pytest.approx([492.75, 512.75])


def test_energy_for_each_kilogram_of_water() -> None:
    used = Figure.exact(7200, "kJ", "meter")
    assert thermo.energy_ratio(used, Figure.exact(1, "kWh", "least")).value == 2
    each = thermo.energy_per_kg_water(Figure.exact(6, "USD", "energy"), grams(4000))
    assert (each.value, each.unit) == (Decimal("1.5"), "USD/kg")
