"""Is it dry, will it dry well, and how hot the mixture gets: what drying needs beyond the card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.cautions import was_cooked
from nutricost.api.documents import cards_of, read_batches
from nutricost.domain.documents import Drying
from nutricost.domain.drying.composition import Advice, Composition, drying_advice, layer_thickness
from nutricost.domain.drying.dryness import DrynessVerdict, judge
from nutricost.domain.drying.reheating import Reheating, reheating
from nutricost.domain.quantities import Figure
from nutricost.errors import DocumentError, Problem

_DENSITY = Figure.between(
    Decimal("0.9"),
    Decimal("1.1"),
    "g/mL",
    "density of the food",
    source="cooked food, assumed",
    standing="assumed",
)


@dataclass(frozen=True, slots=True)
class DryingReport:
    """The judgement of a batch's weighings with what else drying tells of it."""

    title: str
    verdict: DrynessVerdict
    advice: tuple[Advice, ...]

    def view(self) -> dict[str, Any]:
        """The public form."""
        verdict = self.verdict
        return {
            "title": self.title,
            "state": verdict.state,
            "reasons": list(verdict.reasons),
            "further_hours": verdict.further_hours,
            "hours_are": verdict.hours_are or None,
            "residual_moisture": verdict.moisture,
            "advice": [advice_view(advice) for advice in self.advice],
            "warnings": list(verdict.warnings),
        }


def advice_view(advice: Advice) -> dict[str, str]:
    """The public form of one piece of advice."""
    return {
        "code": advice.code,
        "text": advice.text,
        "what_to_do": advice.what_to_do,
        "standing": advice.standing,
    }


def judge_file(path: str, overrides: Sequence[str] = ()) -> DryingReport:
    """Whether the batch is dry by its weighings. Raises DocumentError where it has none."""
    batch = read_batches([path], overrides)[0]
    drying = batch.drying or Drying()
    if not drying.weighings:
        raise DocumentError(
            [
                Problem(
                    f"{batch.where}: drying.weighings",
                    "missing",
                    'weighings = [{hours = 54, weight = "2.71 kg"}, {hours = 56, weight = "2.70 kg"}]',
                )
            ]
        )
    card = cards_of([batch])[0]
    solids = card.content.solids
    verdict = judge(drying.weighings, drying.scale_step, solids if solids.is_known else None)
    return DryingReport(batch.title, verdict, batch_advice(card))


def batch_advice(card: Card) -> tuple[Advice, ...]:
    """Why this load dries slowly or keeps badly, and what to do about it."""
    content, drying = card.content, card.batch.drying
    water = (content.weight_wet - content.solids).named("water in the load")
    layer = None
    if drying is not None and drying.tray_area_cm2 is not None and drying.trays is not None:
        a_tray = content.weight_wet / drying.trays * Figure.exact(1, "tray", "one tray")
        area = Figure.exact(drying.tray_area_cm2, "cm**2", "area of a tray", source="drying.tray_area_cm2")
        layer = layer_thickness(a_tray, area, _DENSITY)
    load = Composition(
        solids=content.solids,
        water=water,
        fat=content.nutrients["fat"],
        sugar=content.nutrients["sugar"],
        sodium=content.nutrients["sodium"],
        layer=layer,
    )
    return tuple(drying_advice(load))


def batch_reheating(card: Card) -> Reheating | None:
    """How hot a serving gets with water at 95 C; None unless the food was cooked before drying."""
    return reheating(
        card.per_serving["water_to_add"] * Figure.exact(1, "serving", "one serving"),
        card.per_serving["weight_dry"] * Figure.exact(1, "serving", "one serving"),
        was_cooked(card.batch),
    )
