"""What the user wrote down, as data: a batch, labels, pouches, a machine.

Every quantity is a `Figure` (its `source` names the file and key it came from), so that what was left
out is None here and becomes "unknown" or "none" only where a rule of the engine says so. `wrote` in
the docstrings is the public document format. Units: weights g, volumes mL, electricity kWh, times h,
money the document's currency.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from nutricost.domain.quantities import Figure

LABEL_NUTRIENTS: Mapping[str, str] = {
    "energy": "calories",
    "fat": "fat_g",
    "saturated_fat": "saturated_fat_g",
    "carbohydrate": "carbohydrate_g",
    "fiber": "fiber_g",
    "sugar": "sugar_g",
    "protein": "protein_g",
    "sodium": "sodium_mg",
}
"""The engine's nutrient keys -> the keys of a label in a document."""


@dataclass(frozen=True, slots=True)
class Printed:
    """A figure as printed on a label: 170, 0, or '< 1' (`less_than`)."""

    amount: Decimal
    less_than: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """A Nutrition Facts panel as the user typed it in.

    `serving_g` [g] and `serving_ml` [mL]: the serving size, each None where not printed; household
    measures in it are already read with the label units of 21 CFR 101.9(b)(5)(viii).
    `printed`: nutrient key -> figure per serving; `container_printed`: the per-container column.
    `extra`: other printed per-serving figures (sugar alcohol, alcohol, added sugar ... [g]).
    """

    name: str
    where: str
    serving_text: str
    serving_g: Decimal | None = None
    serving_ml: Decimal | None = None
    servings_per_container: Decimal | None = None
    servings_about: bool = False
    printed: Mapping[str, Printed] = field(default_factory=dict)
    container_printed: Mapping[str, Printed] = field(default_factory=dict)
    extra: Mapping[str, Printed] = field(default_factory=dict)
    net_weight: Figure | None = None
    net_volume: Figure | None = None
    ingredients_text: str = ""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient of a batch. `shared_for` is the text of `for`: what the money bought."""

    line: str
    where: str
    label: str | None = None
    food: str | None = None
    grams: Figure | None = None
    paid: Figure | None = None
    normal: Figure | None = None
    shared_for: str | None = None


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weighing while drying: hours since the start [h], weight on the scale [g].

    `typed`: the weight as the user wrote it, whose last digit tells the step of the scale.
    """

    hours: Figure
    weight: Figure
    typed: str = ""


@dataclass(frozen=True, slots=True)
class Drying:
    """How the batch was dried; None where the user wrote nothing.

    `wet_weight` and `dry_weight` hold one figure, or one a tray [g].
    """

    trays: Figure | None = None
    cycle_trays: Figure | None = None
    wet_weight: tuple[Figure, ...] = ()
    dry_weight: tuple[Figure, ...] = ()
    hours: Figure | None = None
    extra_hours: Figure | None = None
    energy: Figure | None = None
    price_per_kwh: Figure | None = None
    cost: Figure | None = None
    residual_moisture: Figure | None = None
    weighings: tuple[Weighing, ...] = ()
    scale_step: Figure | None = None
    tray_area_cm2: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Packing:
    """How the batch was packed. Prices are money per piece. `bag_weights`: filled weight of each [g]."""

    bags: Figure | None = None
    bag_price: Figure | None = None
    absorbers: Figure | None = None
    absorber_price: Figure | None = None
    bag_volume: Figure | None = None
    bulk_volume: Figure | None = None
    absorber_sizes_cc: tuple[Decimal, ...] = ()
    altitude_m: Decimal | None = None
    bag_weights: tuple[Figure, ...] = ()
    lot: str = ""
    packed_on: date | None = None


@dataclass(frozen=True, slots=True)
class Rehydration:
    """How rehydrating turned out, per serving: water [mL], minutes, rating 1..5, a note."""

    water_used: Figure | None = None
    minutes: Decimal | None = None
    rating: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Loss:
    """Servings that never get eaten (tray scraps, tasting, a failed bag), with the reason."""

    what: str
    servings: Figure


@dataclass(frozen=True, slots=True)
class Batch:
    """A recipe as it was really made and dried. `where` names the file in messages."""

    title: str
    where: str
    servings: Figure
    currency: str
    ingredients: tuple[Ingredient, ...]
    labels: Mapping[str, Label] = field(default_factory=dict)
    cooked_weight: Figure | None = None
    drying: Drying | None = None
    packing: Packing | None = None
    other_costs: Mapping[str, Figure] = field(default_factory=dict)
    rehydration: Rehydration | None = None
    losses: tuple[Loss, ...] = ()
    cooked: bool | None = None
    made_on: date | None = None
    leftover_age_days: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Pouch:
    """A commercial product entered as a benchmark; nutrients are per serving, as printed."""

    name: str
    where: str
    price: Figure
    label: Label
    water_to_add: Figure | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Machine:
    """A freeze dryer and what it costs to have and to run. None where not written."""

    where: str
    currency: str
    price: Figure
    accessories: Mapping[str, Figure] = field(default_factory=dict)
    batches_per_month: Figure | None = None
    trays: Figure | None = None
    tray_capacity: Figure | None = None
    cycle_hours: Figure | None = None
    turnaround_hours: Figure | None = None
    energy_per_cycle: Figure | None = None
    price_per_kwh: Figure | None = None
    oil_per_cycle: Figure | None = None
    resale_value: Figure | None = None
    resale_after_years: Decimal | None = None
    discount_rate: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Person:
    """One person of a plan: a given need [kcal/day], or what the 2023 DRI equations ask for."""

    name: str
    where: str
    energy_kcal_per_day: Decimal | None = None
    sex: str | None = None
    age_years: Decimal | None = None
    weight_kg: Decimal | None = None
    height_cm: Decimal | None = None
    activity: str | None = None
    excludes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds of a plan; None where the user set none. Weights g, volumes mL, per person and day."""

    budget: Figure | None = None
    sodium_mg_per_day: Decimal | None = None
    protein_g_per_day: Decimal | None = None
    max_share_per_offer: Decimal | None = None
    packed_weight_g: Decimal | None = None
    packed_volume_ml: Decimal | None = None
    cycles: Decimal | None = None
    machine_days: Decimal | None = None
    min_offers: int | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """People, days and limits; `batches` and `pouches` are the documents that may be chosen from."""

    where: str
    days: Decimal
    people: tuple[Person, ...]
    limits: Limits = Limits()
    batch_files: tuple[str, ...] = ()
    pouches_file: str | None = None
    machine_file: str | None = None
    on_hand: Mapping[str, Decimal] = field(default_factory=dict)
    currency: str = "USD"
