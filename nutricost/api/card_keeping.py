"""The part of a recipe card after the money: trays, bags, absorbers, keeping, water to pour back."""

from __future__ import annotations

from nutricost.api.card_parts import CardList, CardTable
from nutricost.api.cards import Card
from nutricost.api.drying_details import (
    batch_advice,
    batch_reheating,
    boiling_view,
    rehydration_view,
    tray_waters,
)
from nutricost.api.packing import FilledBag, PackingReport
from nutricost.domain.documents import Drying
from nutricost.domain.packing.absorbers import USUAL_MARGIN
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown, shown_with_range


def tray_table(card: Card) -> CardTable | None:
    """Each tray before and after [g]; None where they were not all weighed."""
    trays = tray_waters(card.batch.drying or Drying())
    if not trays:
        return None
    rows = tuple((str(tray["tray"]), tray["wet"], tray["dry"], tray["water_removed"]) for tray in trays)
    return CardTable("Trays [g]", ("tray", "wet", "dry", "water removed"), rows)


def packing_table(report: PackingReport, currency: str) -> CardTable:
    """What each bag holds, the absorber it needs, its marks, and how long it keeps."""
    notes = [
        f"{name}: {shown_with_range(volume)} mL a bag."
        for name, volume in (
            ("Bulk volume", report.bulk_volume),
            ("Air in it", report.free_volume),
            ("Oxygen to absorb", report.oxygen),
        )
        if volume.is_known
    ]
    notes += [*_absorber(report), *_marks(report), _keeping(report), *report.warnings]
    if not report.count.is_known:
        return CardTable("Packing", notes=tuple(notes))
    headings = ("bag", "dry g", "servings", "kcal", "water mL", currency)
    rows = tuple(
        (_bag_name(bag, report.count), bag.weight, bag.servings, bag.energy, bag.water, bag.cost)
        for bag in report.bags
    )
    return CardTable("Packing", headings, rows, notes=tuple(notes))


def _bag_name(bag: FilledBag, count: Figure) -> str:
    return str(bag.number) if bag.number else f"each of {shown(count)}"


def _absorber(report: PackingReport) -> list[str]:
    absorbers = report.absorbers
    if absorbers is None:
        return []
    of_which = "your sizes" if report.sizes_given else "sizes often sold"
    return [
        f"Absorber: {absorbers.pieces} x {absorbers.size_cc.normalize():f} cc a bag, for up to "
        f"{absorbers.needed.high:.0f} cc with a margin of {USUAL_MARGIN:f} (of {of_which})."
    ]


def _marks(report: PackingReport) -> list[str]:
    lot = f"lot {report.lot}" if report.lot else ""
    day = f"packed {report.packed_on.isoformat()}" if report.packed_on else ""
    marks = ", ".join(part for part in (lot, day) if part)
    return [f"Marked: {marks}."] if marks else []


def _keeping(report: PackingReport) -> str:
    kept = report.keeping
    return "Keeping: too moist to keep." if kept is None else f"Keeping: {kept.text} [{kept.source}]"


def advice_list(card: Card) -> CardList:
    """Why this load dries slowly or keeps badly, and what to do about it."""
    advice = batch_advice(card)
    return CardList(
        "Will it dry and keep well?",
        tuple(f"{each.text} {each.what_to_do} [{each.standing}]" for each in advice),
    )


def water_table(card: Card, gas_per_litre: Figure | None = None) -> CardTable:
    """Water to pour back; below it how hot it gets, how it turned out, and the fuel that boils it."""
    water = card.water
    rows = [
        ("a serving [mL]", water["per_serving"]),
        ("a serving [US cups]", water["cups_per_serving"]),
        ("for 100 g dry [mL]", water["per_100g_dry"]),
    ]
    packing = card.batch.packing
    if water["per_bag"].is_known and not (packing and packing.bag_weights):
        rows.append(("a bag [mL]", water["per_bag"]))
    reheated = batch_reheating(card)
    notes = [] if reheated is None else [reheated.text]
    notes += [*_turned_out(card), *_fuel(card, gas_per_litre)]
    return CardTable("Adding water", ("", ""), tuple(rows), ranged=True, notes=tuple(notes))


def _turned_out(card: Card) -> list[str]:
    kept = rehydration_view(card)
    if kept is None:
        return []
    said = []
    if kept["water_used"].is_known:
        how = f"{shown(kept['water_used'])} mL a serving was used"
        if kept["minutes"] is not None:
            how += f" and {kept['minutes']:f} minutes"
        if kept["ratio"].is_known:
            computed = shown(kept["water_computed"])
            how += f", {shown_with_range(kept['ratio'])} times the {computed} mL computed"
        said.append(f"As it turned out: {how}.")
    if kept["note"]:
        said.append(f"Noted: {kept['note']}")
    return said


def _fuel(card: Card, gas_per_litre: Figure | None) -> list[str]:
    fuel = boiling_view(card, gas_per_litre)
    if not fuel["electricity"].is_known:
        return []
    text = f"Boiling the water of a serving takes about {shown_with_range(fuel['electricity'])} kWh"
    if "gas" in fuel:
        text += f", or {shown_with_range(fuel['gas'])} g of gas by your figure"
    return [f"{text}."]
