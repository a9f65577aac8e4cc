"""The facts of a batch that the table of cautions looks at."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from nutricost.api.lines import ResolvedLine
from nutricost.domain.cautions import Caution, Facts, FoodFact, cautions
from nutricost.domain.documents import Batch
from nutricost.domain.foods.lines import read_line
from nutricost.domain.recipes.batch import BatchContent


def was_cooked(batch: Batch) -> bool | None:
    """Whether the batch was cooked before drying: as said, else yes where [cooking] gives a weight."""
    if batch.cooked is not None:
        return batch.cooked
    return True if batch.cooked_weight is not None else None


def batch_facts(batch: Batch, lines: Sequence[ResolvedLine], content: BatchContent) -> Facts:
    """What the cautions look at in a batch."""
    return Facts(
        foods=tuple(_food_fact(batch, line) for line in lines),
        cooked=was_cooked(batch),
        leftover_age_days=batch.leftover_age_days,
        fat_fraction_of_solids=fat_fraction_of_solids(content),
        residual_moisture=content.residual_moisture,
        oxygen_free=is_oxygen_free(batch),
        has_date_labels=any(line.recipe_line.usual_cost is not None for line in lines),
    )


def batch_cautions(batch: Batch, lines: Sequence[ResolvedLine], content: BatchContent) -> tuple[Caution, ...]:
    """The cautions that go with a batch, in the table's order."""
    return tuple(cautions(batch_facts(batch, lines, content)))


def _food_fact(batch: Batch, line: ResolvedLine) -> FoodFact:
    recipe_line = line.recipe_line
    text = recipe_line.ingredient.line
    label = batch.labels.get(line.label) if line.label is not None else None
    food = recipe_line.food
    return FoodFact(
        description=food.description if food else (line.label or ""),
        group=food.group if food else "",
        states=tuple(sorted(read_line(text).states)),
        line=text,
        label_ingredients=label.ingredients_text if label else "",
        unread_label=label.name if label and not label.ingredients_text.strip() else "",
    )


def is_oxygen_free(batch: Batch) -> bool:
    """Whether the batch is packed with oxygen absorbers: their number, or their price, is written."""
    packing = batch.packing
    if packing is None:
        return False
    if packing.absorbers is not None:
        return packing.absorbers.high > 0
    return packing.absorber_price is not None


def fat_fraction_of_solids(content: BatchContent) -> Decimal | None:
    """Fat as a share of the solids, None where either is not known. [fraction]"""
    fat, solids = content.nutrients["fat"], content.solids
    if fat.value is None or solids.value is None or solids.value <= 0:
        return None
    return fat.value / solids.value
