"""From a plan to the shop and the calendar: whole packages to buy, cycles with their dates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from nutricost.domain.quantities import Figure, Monotone, apply, ceiling, total
from nutricost.errors import InputError


@dataclass(frozen=True, slots=True)
class Need:
    """What some units of the plan need of one thing in the shop.

    `amount` of all of it (g, mL, package ...) and `package`: what one package holds, in the same
    dimension; None where it is counted in packages already. `price` of one package [money].
    """

    item: str
    amount: Figure
    package: Figure | None = None
    price: Figure | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """A line of the shopping list: whole `packages` [package], and their `cost` [money], None unpriced."""

    item: str
    packages: Figure
    cost: Figure | None


@dataclass(frozen=True, slots=True)
class Run:
    """One run of the machine on the calendar: from loading to free again."""

    number: int
    name: str
    starts: datetime
    ends: datetime


def shopping_list(needs: Sequence[Need]) -> list[Purchase]:
    """The things to buy, each once, in whole packages, in the order they are first needed.

    Rounding happens once for each thing over the whole plan. Raises InputError where one thing is given
    with two package sizes, UnitMismatch where amount and package differ in dimension.
    """
    by_item: dict[str, list[Need]] = {}
    for need in needs:
        by_item.setdefault(need.item, []).append(need)
    return [_purchase(item, some) for item, some in by_item.items()]


def _purchase(item: str, needs: Sequence[Need]) -> Purchase:
    first = needs[0]
    size = first.package
    if any((one.package is None) != (size is None) for one in needs) or (
        size is not None and any(one.package is not None and _differ(one.package, size) for one in needs)
    ):
        raise InputError(f"{item} is given with different package sizes (accepted: one size for a thing)")
    amount = total([need.amount for need in needs], f"{item} in all")
    one = Figure.exact(1, "package", "one package")
    count = amount.to("package") if size is None else amount / size.to(amount.unit) * one
    packages = apply(
        Monotone(ceiling, (1,)),
        [count],
        "package",
        f"packages of {item}",
        formula="rounded up to whole packages",
    )
    return Purchase(item, packages, None if first.price is None else first.price * (packages / one))


def _differ(left: Figure, right: Figure) -> bool:
    return left.to(right.unit).value != right.value


def calendar(
    batches: Sequence[tuple[str, int]], start: datetime, cycle_hours: Decimal, turnaround_hours: Decimal
) -> list[Run]:
    """The runs of the machine one after another from `start`, in the given order.

    `batches`: name and number of runs. A run ends when the machine is free again, turnaround included.
    Raises InputError where a run takes no time.
    """
    hours = cycle_hours + turnaround_hours
    if hours <= 0:
        raise InputError("cycle and turnaround hours must be above 0")
    each = timedelta(minutes=int((hours * 60).to_integral_value()))
    names = [name for name, count in batches for _ in range(count)]
    return [Run(i + 1, name, start + i * each, start + (i + 1) * each) for i, name in enumerate(names)]
