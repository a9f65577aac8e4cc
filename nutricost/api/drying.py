"""Is it dry: what the weighings of a batch tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from nutricost.api.documents import cards_of, read_batches
from nutricost.api.drying_details import advice_view, batch_advice
from nutricost.domain.documents import Drying
from nutricost.domain.drying.balance import solids_problem, water_over_solids
from nutricost.domain.drying.composition import Advice
from nutricost.domain.drying.dryness import (
    OXYGEN_FREE_MOISTURE,
    DrynessVerdict,
    judge,
    last_as_weighed,
    moisture_against_limit,
    step_as_typed_g,
)
from nutricost.domain.quantities import Figure
from nutricost.errors import DocumentError, InputError, Problem


@dataclass(frozen=True, slots=True)
class DryingReport:
    """The judgement of a batch's weighings with what else drying tells of it.

    `scale_step` [g]: as given, else as the typed weights tell; None where neither does. `water_left` [g]
    by the last weighing, None where the solids are not known.
    """

    title: str
    verdict: DrynessVerdict
    scale_step: Figure | None
    water_left: Figure | None
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
            "water_left": self.water_left,
            "if_packed_now": self.if_packed_now,
            "scale_step": self.scale_step,
            "advice": [advice_view(advice) for advice in self.advice],
            "warnings": list(verdict.warnings),
        }

    @property
    def if_packed_now(self) -> dict[str, Any] | None:
        """What leaving the water in would do: the moisture against the limit of oxygen-free packing."""
        moisture = self.verdict.moisture
        if moisture is None or not moisture.is_known:
            return None
        state, text = moisture_against_limit(moisture)
        return {"limit": OXYGEN_FREE_MOISTURE, "state": state, "text": text}


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
    solids, step = card.content.loaded_solids, scale_step(drying)
    try:
        verdict = judge(drying.weighings, step, solids if solids.is_known else None)
    except InputError as refused:
        raise DocumentError([Problem(f"{batch.where}: drying.weighings", str(refused))]) from None
    last = last_as_weighed(drying.weighings, step)
    if impossible := solids_problem(last, solids, f"{batch.where}: drying.weighings, the last"):
        raise DocumentError([impossible])
    left = water_over_solids(last, solids) if solids.is_known else None
    return DryingReport(batch.title, verdict, step, left, batch_advice(card))


def scale_step(drying: Drying) -> Figure | None:
    """The scale's step as given, else one unit in the last place of the finest typed weighing. [g]"""
    if drying.scale_step is not None:
        return drying.scale_step
    typed = step_as_typed_g([each.typed for each in drying.weighings])
    if typed is None:
        return None
    return Figure.exact(
        typed, "g", "step of the scale", source="last digit of the weighings as typed", standing="assumed"
    )
