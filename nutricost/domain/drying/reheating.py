"""How warm a serving gets when hot water is poured on. An estimate; never a claim of safety."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.quantities import Figure, Monotone, apply

REHEAT_C = Decimal(74)
"""Leftovers and casseroles are reheated to 165 °F (74 °C): USDA FSIS chart, as taught by extensions."""

WATER_HEAT_KJ_PER_KG_K = Decimal("4.19")  # IAPWS-95, mean of 20 to 95 C
FOOD_HEAT = Figure.between(
    Decimal("1.4"), Decimal("1.9"), "", "specific heat of dry food, kJ/(kg K)", standing="assumed",
    source="carbohydrate 1.42 to 1.55, protein 1.55 to 2.0, fat 1.67 to 1.98 kJ/(kg K): Heldman 1975; "
    "Choi and Okos 1986 (quoted by a course text)",
)  # fmt: skip
WATER_C = Figure.exact(95, "°C", "temperature of the water", source="just off the boil (common practice)")
ROOM_C = Figure.exact(20, "°C", "temperature of the dry food", source="room temperature (common practice)")


@dataclass(frozen=True, slots=True)
class Reheating:
    """The mixed temperature [C] of a serving and what has to be said beside it."""

    temperature: Figure
    text: str


def mixed_temperature(water: Figure, dry: Figure) -> Figure:
    """Temperature of dry food at 20 C stirred into water of 95 C, nothing lost. [C] Both weights [g].

    (m_w c_w T_w + m_d c_d T_d) / (m_w c_w + m_d c_d). Bag, pot and air take more, so the food stays below.
    """
    balance = Monotone(_mixed_c, (1, -1, -1, 1, 1))
    return apply(
        balance, (water, dry, FOOD_HEAT, WATER_C, ROOM_C), "°C", "temperature after adding water",
        formula="heat of water and food / heat capacity of both", source="heat balance without losses",
    )  # fmt: skip


def _mixed_c(
    water_g: Decimal, dry_g: Decimal, food_heat: Decimal, water_c: Decimal, food_c: Decimal
) -> Decimal:
    of_water, of_food = water_g * WATER_HEAT_KJ_PER_KG_K, dry_g * food_heat
    return (of_water * water_c + of_food * food_c) / (of_water + of_food)


def reheating(water: Figure, dry: Figure, cooked: bool | None) -> Reheating | None:
    """The estimate for one serving, or None unless the food is known to have been cooked before drying.

    `water` and `dry` are weights of one serving [g]. 1 mL of water counts as 1 g.
    """
    if not cooked or not (water.is_known and dry.is_known):
        return None
    if not all(end.is_finite() for figure in (water, dry) for end in figure.box):
        return None  # an end without a limit: any temperature would do
    temperature = mixed_temperature(water, dry)
    low, high = (f"{end:.0f}" for end in temperature.box)
    reached = f"{low} °C" if low == high else f"{low} to {high} °C"
    return Reheating(
        temperature,
        f"Water at 95 °C brings a serving to about {reached} at most; bag, pot and air take more. "
        f"Leftovers are reheated to {REHEAT_C} °C (165 °F): check with a thermometer and heat on. This is an "
        "estimate and says nothing about safety.",
    )
