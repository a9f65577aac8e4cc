"""How much oxygen a sealed bag holds, and which absorbers take it up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.quantities import ONE, Figure, ceiling, dec, not_below_zero
from nutricost.errors import InputError

OXYGEN_IN_AIR = Figure.exact(
    Decimal("0.2095"), "", "oxygen in dry air by volume", source="20.95 % by volume of dry air"
)
TRUE_DENSITY = Figure.between(
    Decimal("1.3"), Decimal("1.6"), "g/mL", "true density of dry food", value=Decimal("1.4"),
    standing="assumed", source="1.3 to 1.6 g/mL for dry solids (from memory)",
)  # fmt: skip
COMMON_SIZES_CC = tuple(Decimal(size) for size in (20, 50, 100, 200, 300, 500, 1000, 2000))
"""Sizes often sold: common practice, no source. The user's own list comes first."""

USUAL_MARGIN = Decimal("1.2")  # common practice, no source


@dataclass(frozen=True, slots=True)
class Absorbers:
    """What to put in one bag: pieces of one size [cc], against the oxygen with its margin [mL]."""

    size_cc: Decimal
    pieces: int
    needed: Figure


def pressure_ratio(altitude_m: float) -> float:
    """Air pressure at an altitude over that at sea level. [ratio] Up to 11,000 m.

    (1 - 0.0065 h / 288.15)^5.25588: US Standard Atmosphere 1976 = ICAO Doc 7488, troposphere.
    """
    base = 1 - 0.0065 * altitude_m / 288.15
    if not -1000 <= altitude_m <= 11000:
        raise InputError(f"altitude {altitude_m:g} m (accepted: -1000 to 11000 m)")
    return float(base**5.25588)


def free_volume(bag_volume: Figure, food: Figure, true_density: Figure = TRUE_DENSITY) -> Figure:
    """Air in a bag, pores of the food included: bag less the true volume of the food. [mL], not below 0."""
    air = bag_volume.to("mL") - food.to("g") / true_density
    return not_below_zero(air).named("free volume", formula="bag volume - food / true density, not below 0")


def oxygen_to_absorb(
    bag_volume: Figure,
    food: Figure,
    true_density: Figure = TRUE_DENSITY,
    altitude_m: Decimal | None = None,
) -> Figure:
    """Oxygen sealed into a bag, as volume at sea-level pressure. [mL, the cc of absorbers]

    `bag_volume` [mL] as filled and closed, `food` [g] dry, `altitude_m` where it is sealed (None: sea level).
    """
    ratio = Figure.exact(
        dec(f"{pressure_ratio(float(altitude_m or 0)):.5f}"), "", "air pressure against sea level",
        source="US Standard Atmosphere 1976",
    )  # fmt: skip
    oxygen = free_volume(bag_volume, food, true_density) * OXYGEN_IN_AIR * ratio
    return oxygen.named("oxygen to absorb", formula="free volume x oxygen in air x air pressure")


def absorbers_for(
    oxygen: Figure, sizes_cc: Sequence[Decimal] = (), margin: Decimal = USUAL_MARGIN
) -> Absorbers:
    """The fewest, then smallest absorbers of one listed size that take up the oxygen with its margin.

    The upper end of the oxygen's interval counts. `sizes_cc` [cc] as the user can buy them.
    Raises InputError for a size not above 0, a margin below 1, or unknown oxygen.
    """
    sizes = sorted(sizes_cc or COMMON_SIZES_CC)
    if sizes[0] <= 0 or margin < ONE:
        raise InputError(
            f"absorber size {sizes[0]} cc, margin {margin} (accepted: sizes above 0, margin from 1)"
        )
    needed = (oxygen * margin).named("oxygen with margin", formula=f"oxygen x {margin}")
    pieces = max(ceiling(needed.high / sizes[-1]), ONE)
    size = next(each for each in sizes if each * pieces >= needed.high)
    return Absorbers(size, int(pieces), needed)
