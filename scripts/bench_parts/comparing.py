"""How the cost of a comparison grows with the number of offers, and recipe sums."""

from __future__ import annotations

import time
from decimal import Decimal

from nutricost.api.comparing import compare_offers
from nutricost.api.public_form import plain
from nutricost.domain.documents import Label, Pouch, Printed
from nutricost.domain.quantities import Figure

SIZES = (10, 1_000, 100_000)


def _pouch(i: int) -> Pouch:
    name = f"pouch {i}"
    printed = {
        key: Printed(Decimal(amount))
        for key, amount in {
            "energy": 200 + 10 * (i % 40), "fat": 5 + i % 9, "carbohydrate": 20 + i % 30,
            "protein": 6 + i % 20, "sodium": 300 + 10 * (i % 50),
        }.items()
    }  # fmt: skip
    label = Label(
        name, f"line {i}", "", servings_per_container=Decimal(2), printed=printed,
        net_weight=Figure.exact(100 + i % 60, "g", "net weight", source="bench"),
    )  # fmt: skip
    return Pouch(
        name, f"line {i}", Figure.exact(Decimal(900 + i % 700) / 100, "USD", "price", source="bench"), label
    )


def run() -> list[tuple[str, float, float]]:
    """Rows of (measure, ours [s], reference [s]); the reference is ten offers, scaled up."""
    rows = []
    ten = 0.0
    for count in SIZES:
        pouches = [_pouch(i) for i in range(count)]
        start = time.perf_counter()
        plain(compare_offers([], pouches, "100kcal").view())
        seconds = time.perf_counter() - start
        if count == 10:
            ten = seconds
        rows.append(
            (
                f"comparison of {count:,} offers : {count // 10:,} x comparison of 10",
                seconds,
                ten * count / 10,
            )
        )
    return rows
