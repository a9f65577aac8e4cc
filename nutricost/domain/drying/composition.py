"""Will it dry well? What fat, sugar, alcohol, salt and thick layers do, and what helps."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.quantities import ZERO, Figure, apply
from nutricost.domain.quantities.intervals import Monotone

HALF = Decimal("0.5")
THICK_LAYER_CM = Decimal(2)
MUCH_DEPRESSION_K = Decimal(1)
ALCOHOL_FRACTION_OF_WATER = Decimal("0.02")
TRADE = "common practice, no source"

CRYOSCOPIC_K_KG_PER_MOL = Decimal("1.86")  # water; CRC Handbook of Chemistry and Physics (from memory)
SODIUM_MG_PER_MMOL = Decimal("22.98977")  # IUPAC standard atomic weight


@dataclass(frozen=True, slots=True)
class Composition:
    """A load as it goes in; weights [g], sodium [mg], layer [cm]. None where nobody knows."""

    solids: Figure | None = None
    water: Figure | None = None
    fat: Figure | None = None
    sugar: Figure | None = None
    alcohol: Figure | None = None
    sodium: Figure | None = None
    layer: Figure | None = None
    tray_depth: Figure | None = None


@dataclass(frozen=True, slots=True)
class Advice:
    """One reason why a load dries slowly or keeps badly, what to do, and how well that is founded."""

    code: str
    text: str
    what_to_do: str
    standing: str


def share_of_solids(part: Figure, solids: Figure) -> Figure:
    """Fat, sugar or another part as a share of the solids. [fraction]"""
    return (part / solids.to(part.unit)).named(f"{part.name}, share of solids")


def salt_freezing_depression(sodium: Figure, water: Figure) -> Figure:
    """How far salt lowers the freezing point of the water in the food. [K]

    Ideal: 1.86 K kg/mol x 2 ions x mol of sodium per kg of water; real brine of 1 mol/kg lowers it by
    about a tenth less. `sodium` [mg], `water` [g].
    """
    ideal = Monotone(
        lambda sodium_mg, water_g: 2 * CRYOSCOPIC_K_KG_PER_MOL * sodium_mg / SODIUM_MG_PER_MMOL / water_g,
        (1, -1),
    )
    if water.is_known and water.low <= 0:
        return Figure.unknown("K", "no water in the food", "freezing-point depression by salt")
    return apply(
        ideal, (sodium.to("mg"), water.to("g")), "K", "freezing-point depression by salt",
        formula="1.86 K kg/mol x 2 x sodium / water", source="ideal dilute solution (Blagden)",
    )  # fmt: skip


def layer_thickness(weight: Figure, tray_area_cm2: Figure, density: Figure) -> Figure:
    """Thickness of the food on one tray. [cm] Weight [g], area [cm**2], density [g/mL = g/cm3]."""
    thickness = Monotone(lambda grams, area, per_ml: grams / (area * per_ml), (1, -1, -1))
    return apply(
        thickness, (weight.to("g"), tray_area_cm2, density), "cm", "layer thickness",
        formula="weight / (tray area x density)",
    )  # fmt: skip


def drying_advice(load: Composition) -> list[Advice]:
    """What makes this load slow to dry or poor to keep. Empty where nothing does or nothing is known."""
    found = []
    if (fat := _share(load.fat, load.solids)) is not None and fat > HALF:
        found.append(Advice(
            "fatty",
            f"Fat is {_percent(fat)} of the solids: fat does not dry, smears, and goes rancid.",
            "Drain or skim fat, mix with starch such as rice or pasta, plan for a short life.", TRADE,
        ))  # fmt: skip
    if (sugar := _share(load.sugar, load.solids)) is not None and sugar > HALF:
        found.append(Advice(
            "sugary",
            f"Sugar is {_percent(sugar)} of the solids: it stays soft and sticky, puffs up and draws damp.",
            "Spread thin, freeze hard before the start, dry longer at the end, pack at once.", TRADE,
        ))  # fmt: skip
    if (alcohol := _share(load.alcohol, load.water)) is not None and alcohol > ALCOHOL_FRACTION_OF_WATER:
        found.append(Advice(
            "alcohol",
            f"Alcohol is {_percent(alcohol)} of the water: it does not freeze in the machine and boils off.",
            "Cook the alcohol off first.", TRADE,
        ))  # fmt: skip
    if load.sodium is not None and load.water is not None:
        depression = salt_freezing_depression(load.sodium, load.water)
        if depression.is_known and depression.must() > MUCH_DEPRESSION_K:
            found.append(Advice(
                "salty",
                f"Salt lowers the freezing point by about {depression.must().quantize(Decimal('0.1'))} K: "
                "part of the water freezes late or stays brine.",
                "Freeze colder and longer before the start; salt after rehydrating.",
                "computed: 1.86 K kg/mol, ideal solution",
            ))  # fmt: skip
    if load.layer is not None and load.layer.is_known:
        limit = THICK_LAYER_CM if load.tray_depth is None else load.tray_depth.to("cm").must()
        thickness = load.layer.to("cm").must()
        if thickness > limit:
            found.append(Advice(
                "thick_layer",
                f"The layer is about {thickness.quantize(Decimal('0.1'))} cm, above {limit.normalize():f} "
                "cm: the middle dries last and slowly.",
                "Load less a tray, cut smaller, or add hours of final drying.", TRADE,
            ))  # fmt: skip
    return found


def _share(part: Figure | None, whole: Figure | None) -> Decimal | None:
    if part is None or whole is None or not part.is_known or not whole.is_known or whole.must() <= ZERO:
        return None
    return share_of_solids(part, whole).must()


def _percent(fraction: Decimal) -> str:
    return f"{(fraction * 100).quantize(Decimal(1))} %"
