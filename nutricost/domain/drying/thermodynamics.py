"""Physics of ice and vapour, and the least energy that drying a load can take."""

from __future__ import annotations

import math
from decimal import Decimal

from nutricost.domain.quantities import Figure

WATER_MOLAR_MASS_G_PER_MOL = 18.01528  # IAPWS G5-01
TRIPLE_POINT_K = 273.16
TRIPLE_POINT_PA = 611.657  # IAPWS R14-08

# IAPWS R14-08 (2011), equation for the sublimation pressure.
_SUBLIMATION_TERMS = (
    (-0.212144006e2, 0.333333333e-2),
    (0.273203819e2, 1.20666667),
    (-0.610598130e1, 1.70333333),
)

SUBLIMATION_HEAT = Figure.exact(
    Decimal("2.838"), "kJ/g", "latent heat of sublimation at -20 C",
    source="Murphy and Koop 2005, eq. 5: 2837.9 kJ/kg at -20 C",
)  # fmt: skip
FUSION_HEAT = Figure.exact(
    Decimal("0.3334"), "kJ/g", "latent heat of fusion",
    source="IAPWS R10-06 and IAPWS-95: 333.44 kJ/kg at 273.16 K",
)  # fmt: skip
# kJ/(g K): the unit leaves the kelvin out, temperature steps are bare numbers of kelvin.
WATER_HEAT = Figure.exact(
    Decimal("0.004185"), "kJ/g", "heat of water per kelvin", source="IAPWS-95, mean of 0 to 20 C"
)
ICE_HEAT = Figure.exact(
    Decimal("0.00205"), "kJ/g", "heat of ice per kelvin",
    source="2.097 kJ/(kg K) at 273.16 K by IAPWS R10-06, about 1.96 at -20 C (from memory); mean assumed",
)  # fmt: skip
SOLIDS_HEAT = Figure.between(
    Decimal("0.0014"), Decimal("0.0019"), "kJ/g", "heat of dry solids per kelvin", standing="assumed",
    source="carbohydrate 1.42 to 1.55, protein 1.55 to 2.0, fat 1.67 to 1.98, ash 0.84 to 1.09 kJ/(kg K): "
    "Heldman 1975; Choi and Okos 1986 (quoted by a course text)",
)  # fmt: skip


def sublimation_pressure_pa(temperature_k: float) -> float:
    """Vapour pressure over ice. [Pa] 50 to 273.16 K; IAPWS R14-08."""
    theta = temperature_k / TRIPLE_POINT_K
    exponent = sum(a * theta**b for a, b in _SUBLIMATION_TERMS) / theta
    return TRIPLE_POINT_PA * math.exp(exponent)


def ice_vapour_pressure_pa(temperature_k: float) -> float:
    """Vapour pressure over ice. [Pa] Above 110 K; Murphy and Koop 2005, eq. 7."""
    return math.exp(
        9.550426 - 5723.265 / temperature_k + 3.53068 * math.log(temperature_k) - 0.00728332 * temperature_k
    )


def sublimation_heat_kj_per_kg(temperature_k: float) -> float:
    """Latent heat of sublimation of ice. [kJ/kg] Above 30 K; Murphy and Koop 2005, eq. 5."""
    joule_per_mol = (
        46782.5
        + 35.8925 * temperature_k
        - 0.07414 * temperature_k**2
        + 541.5 * math.exp(-((temperature_k / 123.75) ** 2))
    )
    return joule_per_mol / WATER_MOLAR_MASS_G_PER_MOL


def minimum_energy(water_removed: Figure) -> Figure:
    """The least heat that drives the water out as vapour of ice at -20 C. [kWh]

    Water removed x 2838 kJ/kg, 0.788 kWh/kg. The duty of cooling and freezing is another figure.
    """
    return (water_removed.to("g") * SUBLIMATION_HEAT).to("kWh").named(
        "least energy", formula="water removed x latent heat of sublimation"
    )  # fmt: skip


def freezing_duty(water: Figure, solids: Figure, start_c: Decimal, end_c: Decimal) -> Figure:
    """Heat to remove from a load to cool and freeze it. [kWh] `start_c` >= 0 >= `end_c` [C].

    All water is taken to freeze, at 0 C. The electricity a refrigerator needs for it is less than this
    by its coefficient of performance, which nobody knows here.
    """
    kelvins = Figure.exact(start_c - end_c, "", "degrees cooled, in all", source="temperatures given")
    above = Figure.exact(start_c, "", "degrees above freezing", source="temperatures given")
    below = Figure.exact(-end_c, "", "degrees below freezing", source="temperatures given")
    per_gram_water = WATER_HEAT * above + FUSION_HEAT + ICE_HEAT * below
    duty = water.to("g") * per_gram_water + solids.to("g") * (SOLIDS_HEAT * kelvins)
    return duty.to("kWh").named(
        "heat to remove for cooling and freezing",
        formula="water x (cooling + freezing + cooling of ice) + solids x cooling",
    )


def energy_ratio(measured: Figure, least: Figure) -> Figure:
    """How many times the least energy was used. [ratio]

    Below 1 a resistance-heated machine is impossible: the meter or the weights are wrong.
    """
    return (measured.to("kWh") / least.to("kWh")).named("measured / least energy")


def energy_per_kg_water(measured: Figure, water_removed: Figure) -> Figure:
    """Electricity, or money, for each kilogram of water removed. [kWh/kg, or USD/kg and so on]"""
    return (measured / water_removed.to("kg")).named("per kg of water removed")
