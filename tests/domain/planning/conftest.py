"""Invented offers for plans."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from nutricost.domain.planning import PlanOffer
from nutricost.domain.quantities import Figure

D = Decimal
MakeOffer = Callable[..., PlanOffer]


def _offer(
    name: str,
    cost: str | int,
    servings: str | int = 2,
    kcal: str | int = 300,
    protein: str | int | None = 12,
    sodium: str | int | None = 600,
    weight: str | int = 70,
    **more: object,
) -> PlanOffer:
    per = {"energy": Figure.exact(D(kcal), "kcal/serving")}
    if protein is not None:
        per["protein"] = Figure.exact(D(protein), "g/serving")
    if sodium is not None:
        per["sodium"] = Figure.exact(D(sodium), "mg/serving")
    home = more.get("kind") == "home"
    whole: dict[str, object] = {
        "kind": "pouch",
        "unit_servings": Figure.exact(D(servings), "serving"),
        "unit_cost": Figure.exact(D(cost), "USD"),
        "per_serving": per,
        "weight": Figure.exact(D(weight), "g/serving"),
        "unit_cycles": Figure.exact(1, "cycle") if home else None,
        "unit_hours": Figure.exact(48, "h") if home else None,
    }
    return PlanOffer(name, **(whole | more))  # type: ignore[arg-type]


@pytest.fixture
def offer() -> MakeOffer:
    return _offer
