"""Rehydration as it turned out, beside the water that was computed."""

from __future__ import annotations

from collections.abc import Sequence

from nutricost.domain.quantities import Figure


def rehydration_ratio(used: Figure, computed: Figure) -> Figure:
    """Water really used over water removed. [ratio] Both in the same unit, such as mL/serving."""
    ratio = used / computed.to(used.unit)
    return ratio.named("water used / water computed", formula="as it turned out / as computed")


def learned_ratio(ratios: Sequence[Figure]) -> Figure:
    """What past batches of one dish took, as a ratio to what was computed. [ratio]

    The mean, from the least to the most that happened; unknown where nothing is known.
    """
    known = [ratio for ratio in ratios if ratio.is_known]
    name = "learned water ratio"
    if not known:
        return Figure.unknown("", "no batch of this dish tells water_used and its weights", name)
    mean = sum((ratio.must() for ratio in known[1:]), known[0].must()) / len(known)
    return Figure.between(
        min(ratio.must() for ratio in known), max(ratio.must() for ratio in known), "", name, value=mean,
        standing="estimated", source=f"rehydration as it turned out in {len(known)} batches, least to most",
    )  # fmt: skip
