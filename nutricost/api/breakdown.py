"""What a cost is made of, and money over time: the numbers behind the pictures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from nutricost.domain.comparison import Offer
from nutricost.domain.payback import CashPoint, Payback, cumulative_cash
from nutricost.domain.quantities import Figure, ceiling

SHORTEST_MONTHS, LONGEST_MONTHS = Decimal(12), Decimal(240)
"""A curve of money shows at least a year and at most twenty."""


def cost_split(offer: Offer) -> tuple[tuple[str, Figure], ...]:
    """The parts of an offer's cost with each one's money a serving [money/serving]; a price is one part."""
    parts = offer.cost.parts if offer.kind == "home" and offer.cost.operation == "sum" else ()
    if len(parts) < 2:
        return (("price" if offer.kind == "pouch" else "cost", offer.cost_per_serving),)
    return tuple(
        (part.name, (part / offer.servings).named(f"{part.name} per serving", formula="cost / servings"))
        for part in parts
    )


def cash_curves(paybacks: Sequence[Payback]) -> Mapping[str, tuple[CashPoint, ...]]:
    """Money gained since the purchase, month by month, by what is replaced; unknown curves are left out.

    All run over the same months: half as long again as the latest break-even that is known.
    """
    found = [result.months_to_break_even.value for result in paybacks]
    known = [months for months in found if months is not None and months.is_finite()]
    latest = max(known, default=LONGEST_MONTHS / 2) * Decimal("1.5")
    months = int(ceiling(min(max(latest, SHORTEST_MONTHS), LONGEST_MONTHS)))
    curves = {result.against: cumulative_cash(result, months) for result in paybacks}
    return {against: curve for against, curve in curves.items() if curve}
