"""What part of a purchase is charged to a batch."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.quantities import ONE, ZERO, Figure, Monotone, apply, split_money
from nutricost.errors import DocumentError, Problem


def purchase_share(used: Figure, bought: Figure, where: str) -> Figure:
    """The part of a purchase that was used [fraction], used / bought in one unit.

    Raises DocumentError where more is used than was bought.
    """
    share = (used / bought.to(used.unit)).named("share of the purchase", formula="used / bought")
    if share.is_known and share.low > 1:
        raise DocumentError(
            [
                Problem(
                    f"{where}.for",
                    f"{used.must():g} {used.shown_unit} used of {bought.to(used.unit).must():g} bought",
                    "at least what the line uses",
                )
            ]
        )
    return share


def charged(paid: Figure, share: Figure, currency: str, name: str) -> Figure:
    """What is charged for the share used [money]; the rest of the purchase is charged elsewhere.

    The share used and the rest sum to what was paid, to the smallest coin (largest remainder). A share
    that is a range has no coins to settle: it stays a plain product, so that a ratio of what is made of
    the food and what it costs counts the amount used once.
    """
    whole = share.is_exact and share.value == 1
    a_range = share.is_known and not share.is_exact and share.low >= 0 and share.high <= 1
    if whole or a_range:
        return (paid * share).named(name, formula="paid x share used")

    def coins(money: Decimal, part: Decimal) -> Decimal:
        bounded = min(max(part, ZERO), ONE)
        return split_money(money, [bounded, ONE - bounded], currency)[0]

    return apply(
        Monotone(coins, (1, 1)),
        [paid, share],
        currency,
        name,
        formula="paid x share used, to the smallest coin",
    )
