"""Fuel to boil the water of a meal."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.quantities import Figure

WATER_HEAT_KJ_PER_G_K = Decimal("0.00419")  # IAPWS-95, mean of 10 to 100 C
START_C, BOIL_C = Decimal(15), Decimal(100)

KETTLE_EFFICIENCY = Figure.between(
    Decimal("0.7"), Decimal("0.95"), "", "share of the electricity that reaches the water",
    standing="assumed", source="common practice, no source",
)  # fmt: skip


def boiling_heat(water: Figure) -> Figure:
    """Heat that brings water from 15 C to the boil. [kWh; kWh/serving where the water is per serving]

    `water` [mL or mL/serving]; 1 mL counts as 1 g.
    """
    per_ml = Figure.exact(
        WATER_HEAT_KJ_PER_G_K * (BOIL_C - START_C), "kJ/mL", "heat to boil a mL from 15 C",
        source="4.19 kJ/(kg K), IAPWS-95",
    )  # fmt: skip
    heat = water * per_ml
    return heat.to(heat.unit.replace("kJ", "kWh")).named("heat to boil the water")


def boiling_electricity(water: Figure, efficiency: Figure = KETTLE_EFFICIENCY) -> Figure:
    """Electricity that a kettle or hob takes for it. [kWh or kWh/serving]"""
    return (boiling_heat(water) / efficiency).named("electricity to boil the water")


def boiling_gas(water: Figure, grams_per_litre: Figure) -> Figure:
    """Gas for it by the user's own figure. [g or g/serving] `grams_per_litre` [g/L] of water boiled."""
    return (water * grams_per_litre.to("g/mL")).named("gas to boil the water")
