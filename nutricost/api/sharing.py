"""Several batches in one cycle: each one's share of its hours, electricity and money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from nutricost.api.cards import Card
from nutricost.api.documents import cards_of, read_batches
from nutricost.domain.documents import Drying
from nutricost.domain.drying.scaling import share_of_cycle
from nutricost.domain.quantities import Figure, split_money, total
from nutricost.errors import DocumentError, Problem

By = Literal["trays", "water"]


@dataclass(frozen=True, slots=True)
class Share:
    """One batch's part of a cycle: fraction, hours [h], electricity [kWh], money."""

    title: str
    part: Figure
    share: Figure
    hours: Figure
    energy: Figure
    cost: Figure


@dataclass(frozen=True, slots=True)
class SharedCycle:
    """A cycle and how it is shared. `rest` is what trays of nobody here take, None where there are none."""

    by: By
    hours: Figure
    energy: Figure
    cost: Figure
    shares: tuple[Share, ...]
    rest: Share | None

    def view(self) -> dict[str, Any]:
        """The public form."""
        return {
            "by": self.by,
            "cycle": {"hours": self.hours, "energy": self.energy, "cost": self.cost},
            "shares": [_share_view(each) for each in self.shares],
            "rest": _share_view(self.rest) if self.rest is not None else None,
        }


def _share_view(share: Share) -> dict[str, Any]:
    return {
        "title": share.title,
        "part": share.part,
        "share": share.share,
        "hours": share.hours,
        "energy": share.energy,
        "cost": share.cost,
    }


def share_files(paths: Sequence[str], by: By = "trays") -> SharedCycle:
    """The cycle that these batches shared, by trays or by water removed."""
    return shared_cycle(cards_of(read_batches(paths)), by)


def shared_cycle(cards: Sequence[Card], by: By = "trays") -> SharedCycle:
    """The cycle that these batches shared.

    Its hours, electricity and cost stand in one of the batches or alike in several. By trays, trays of
    the load that no batch here fills keep their share; by water the batches here share all of it. Money
    is split so that the shares add up to it to the cent. Raises DocumentError where the batches
    contradict each other, or do not tell what they are shared by.
    """
    dryings = [card.batch.drying or Drying() for card in cards]
    currency = cards[0].batch.currency
    problems = [
        Problem(
            card.batch.where, f"is in {card.batch.currency}, the first batch in {currency}", "one currency"
        )
        for card in cards
        if card.batch.currency != currency
    ]
    whole: dict[str, Figure | None] = {}
    for key in ("hours", "extra_hours", "energy", "price_per_kwh", "cost", "cycle_trays"):
        whole[key] = _one_of(cards, [getattr(drying, key) for drying in dryings], f"drying.{key}", problems)
    parts = _parts(cards, dryings, by, problems)
    if problems:
        raise DocumentError(problems)
    rest = _rest(cards, parts, whole["cycle_trays"]) if by == "trays" else None
    everyone = [*parts, rest] if rest is not None else parts
    filled = total(everyone, f"{by} of the cycle")
    cycle_hours, energy, cost = _cycle(whole, currency)
    costs = _split(cost, everyone, currency)
    titles = [card.batch.title for card in cards] + (["trays of others"] if rest is not None else [])
    shares = []
    for number, (title, part) in enumerate(zip(titles, everyone, strict=True)):
        others = [each for place, each in enumerate(everyone) if place != number]
        share = (
            share_of_cycle(part, total(others, "the others"))
            if others
            else (part / filled).named("share of the cycle")
        )
        shares.append(
            Share(
                title,
                part,
                share,
                (cycle_hours * share).named(f"hours of {title}"),
                (energy * share).named(f"electricity of {title}"),
                costs[number],
            )
        )
    own = tuple(shares[: len(cards)])
    return SharedCycle(by, cycle_hours, energy, cost, own, shares[-1] if rest is not None else None)


def _one_of(
    cards: Sequence[Card], figures: Sequence[Figure | None], key: str, problems: list[Problem]
) -> Figure | None:
    """The figure that the batches agree on, None where none gives it."""
    given = [(card, figure) for card, figure in zip(cards, figures, strict=True) if figure is not None]
    if not given:
        return None
    first_card, first = given[0]
    for card, figure in given[1:]:
        if figure.box != first.box:
            problems.append(
                Problem(
                    f"{card.batch.where}: {key}",
                    f"{_shown(figure)} here, {_shown(first)} in {first_card.batch.where}",
                    "the same figure in every batch of one cycle",
                )
            )
    return first


def _shown(figure: Figure) -> str:
    low, high = (f"{end.normalize():f}" for end in figure.box)
    return f"{low if low == high else f'{low} to {high}'} {figure.shown_unit}"


def _parts(cards: Sequence[Card], dryings: Sequence[Drying], by: By, problems: list[Problem]) -> list[Figure]:
    parts = []
    for card, drying in zip(cards, dryings, strict=True):
        if by == "trays" and drying.trays is None:
            problems.append(
                Problem(f"{card.batch.where}: drying.trays", "missing", "the trays of this batch")
            )
        elif by == "trays" and drying.trays is not None:
            parts.append(drying.trays)
        elif not card.content.water_removed.is_known or card.content.water_removed.must() <= 0:
            why = card.content.water_removed.why or "none was removed"
            problems.append(
                Problem(
                    f"{card.batch.where}: drying", f"water removed is not known: {why}", "wet and dry weights"
                )
            )
        else:
            parts.append(card.content.water_removed)
    return parts


def _rest(cards: Sequence[Card], parts: Sequence[Figure], cycle_trays: Figure | None) -> Figure | None:
    """Trays of the load that none of the batches fills."""
    if cycle_trays is None:
        return None
    own = total(parts, "trays of these batches")
    if own.must() > cycle_trays.must():
        raise DocumentError(
            [
                Problem(
                    f"{cards[0].batch.where}: drying.cycle_trays",
                    f"the batches fill {_shown(own)}, the whole load has {_shown(cycle_trays)}",
                    "at least the trays of all batches",
                )
            ]
        )
    left = cycle_trays.must() - own.must()
    if left == 0:
        return None
    return Figure.exact(left, "tray", "trays of others", source="cycle_trays less the trays of these batches")


def _cycle(whole: Mapping[str, Figure | None], currency: str) -> tuple[Figure, Figure, Figure]:
    """Hours [h], electricity [kWh] and cost [money] of the whole cycle."""
    hours, extra = whole["hours"], whole["extra_hours"]
    if hours is None:
        hours = Figure.unknown("h", "drying.hours is not given", "hours of the cycle")
    elif extra is not None:
        hours = (hours + extra).named("hours of the cycle", formula="hours + extra hours")
    energy = whole["energy"] or Figure.unknown(
        "kWh", "drying.energy is not given", "electricity of the cycle"
    )
    cost, price = whole["cost"], whole["price_per_kwh"]
    if cost is None and price is not None:
        cost = (energy * price).named("energy cost of the cycle", formula="electricity x price per kWh")
    if cost is None:
        why = "drying.energy and drying.price_per_kwh are not given (or drying.cost)"
        cost = Figure.unknown(currency, why, "energy cost of the cycle")
    return hours, energy, cost


def _split(cost: Figure, parts: Sequence[Figure], currency: str) -> list[Figure]:
    """The cost in shares that add up to it exactly, its ends as well as its value. [money]"""
    if not cost.is_known:
        return [Figure.unknown(currency, cost.why, "share of the cost") for _ in parts]
    weights: list[Decimal] = [part.must() for part in parts]
    ends = [split_money(amount, weights, currency) for amount in (cost.low, cost.must(), cost.high)]
    return [
        Figure.between(
            min(low, value), max(high, value), currency, "share of the cost", value=value,
            source="split in whole coins, largest remainder",
        )
        for low, value, high in zip(*ends, strict=True)
    ]  # fmt: skip
