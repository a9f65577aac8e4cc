"""What the cautions look at: the foods of a batch, their states, and how it was handled."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from nutricost.domain.quantities import Figure


@dataclass(frozen=True, slots=True)
class FoodFact:
    """One ingredient: the matched food's description and group, states read from the line, the line.

    `label_ingredients` is the ingredient text of its label, where the user typed one; `unread_label` is the
    name of a label that has none, whose ingredients nobody has read.
    """

    description: str
    group: str = ""
    states: tuple[str, ...] = ()
    line: str = ""
    label_ingredients: str = ""
    unread_label: str = ""

    @property
    def name(self) -> str:
        """The line as the user wrote it, else the description."""
        return self.line or self.description


@dataclass(frozen=True, slots=True)
class Facts:
    """A batch as the cautions see it. None means that nobody said.

    `cooked`: whether all of it was cooked before drying. `residual_moisture` [fraction].
    """

    foods: tuple[FoodFact, ...] = ()
    cooked: bool | None = None
    leftover_age_days: Decimal | None = None
    fat_fraction_of_solids: Decimal | None = None
    residual_moisture: Figure | None = None
    oxygen_free: bool = False
    thawed_refrozen: bool = False
    has_date_labels: bool = False

    @property
    def unread_labels(self) -> tuple[str, ...]:
        """Labels without an ingredient list, each named once: allergens in them can't be seen."""
        return tuple(dict.fromkeys(food.unread_label for food in self.foods if food.unread_label))
