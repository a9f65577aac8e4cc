"""Labels for the tests; all invented unless a test says otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from nutricost.domain.documents import Label, Printed
from nutricost.domain.quantities import Figure


def printed(figures: Mapping[str, str]) -> dict[str, Printed]:
    """Figures as printed, '<1' for 'less than 1'."""
    return {key: Printed(Decimal(text.lstrip("<")), text.startswith("<")) for key, text in figures.items()}


CHILI = {
    "energy": "170",
    "fat": "6",
    "saturated_fat": "1.5",
    "carbohydrate": "15",
    "fiber": "4",
    "sugar": "4",
    "protein": "13",
    "sodium": "590",
}


def chili(figures: Mapping[str, str] | None = None, **changes: Any) -> Label:
    """The invented chili label of the tests: 150 g, 2.5 servings, 370 g, 420 calories a container."""
    fields: dict[str, Any] = {
        "name": "chili",
        "where": "batch.toml: labels.chili",
        "serving_text": "150 g",
        "serving_g": Decimal(150),
        "servings_per_container": Decimal("2.5"),
        "printed": printed(CHILI if figures is None else figures),
        "container_printed": printed({"energy": "420"}),
        "net_weight": Figure.exact(370, "g", "net weight"),
    }
    return Label(**{**fields, **changes})
