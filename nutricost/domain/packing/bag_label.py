"""What stands on a bag, as plain data; drawing it is elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from nutricost.domain.quantities import Figure, rounded

RAW_WORDS = "RAW: cook before eating"
COOKED_WORDS = "Cooked before drying. Eat at once after adding water, heated to 165 °F (74 °C)."
UNCOOKED_WORDS = "Not cooked before drying."
UNSTATED_WORDS = "Not stated whether cooked before drying."


@dataclass(frozen=True, slots=True)
class BagLabel:
    """The content of one bag's label. None where nobody knows; figures per serving where named so."""

    title: str
    servings: Figure | None
    energy_per_serving: Figure | None
    water_to_add: Figure | None
    allergens: tuple[str, ...]
    cooked_words: str
    packed_on: date | None
    lot: str
    best_by: date | None
    weight: Figure | None = None
    lists_missing: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        """The label as lines of text, title first; what is unknown is left out."""
        allergens = ", ".join(self.allergens) or "none named"
        if self.lists_missing:
            allergens += "; not every ingredient list was read"
        parts = (
            self.title,
            self.cooked_words,
            _line("Servings: {}", self.servings, "0.1"),
            _line("{} kcal a serving", self.energy_per_serving, "1"),
            self._water_line(),
            _line("Dry weight: {} g", self.weight, "1"),
            f"Allergens by name: {allergens}. A reading aid, no guarantee.",
            f"Packed {self.packed_on.isoformat()}" if self.packed_on else "",
            f"Best by {self.best_by.isoformat()} (quality)" if self.best_by else "",
            f"Lot {self.lot}" if self.lot else "",
        )
        return tuple(part for part in parts if part)

    def _water_line(self) -> str:
        if self.water_to_add is None or not self.water_to_add.is_known:
            return ""
        cups = self.water_to_add.to("cup")
        return f"{_line('Add {} mL', self.water_to_add, '5')}{_line(' ({} cups) of water', cups, '0.25')}"


def bag_label(
    title: str,
    *,
    raw: bool,
    cooked: bool | None,
    servings: Figure | None = None,
    energy_per_serving: Figure | None = None,
    water_to_add: Figure | None = None,
    allergens: Sequence[str] = (),
    packed_on: date | None = None,
    lot: str = "",
    best_by: date | None = None,
    weight: Figure | None = None,
    lists_missing: bool = False,
) -> BagLabel:
    """The label of one bag. `raw`: it holds raw meat, poultry, fish or egg, as the cautions found.

    `water_to_add` [mL] for the whole bag, `weight` [g] of the food, `energy_per_serving` [kcal/serving].
    `lists_missing`: a package went in whose ingredient list nobody typed, so that allergens may be missed.
    """
    by_state = {True: COOKED_WORDS, False: UNCOOKED_WORDS, None: UNSTATED_WORDS}
    words = RAW_WORDS if raw else by_state[cooked]
    return BagLabel(
        title,
        servings,
        energy_per_serving,
        water_to_add,
        tuple(allergens),
        words,
        packed_on,
        lot,
        best_by,
        weight,
        lists_missing,
    )


def _line(text: str, figure: Figure | None, step: str) -> str:
    if figure is None or not figure.is_known:
        return ""
    shown = rounded(figure.must(), Decimal(step))
    plain = f"{shown:f}"
    return text.format(plain.rstrip("0").rstrip(".") if "." in plain else plain)
