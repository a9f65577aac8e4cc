"""From a solved plan to the shop and the calendar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from nutricost.api.cards import Card
from nutricost.api.decisions import packages_of
from nutricost.api.lines import ResolvedLine
from nutricost.domain.foods.lines import read_line
from nutricost.domain.planning import Chosen
from nutricost.domain.planning.shopping import Need, Purchase, Run, calendar, shopping_list
from nutricost.domain.quantities import ONE, ZERO, Figure, Monotone, apply, ceiling, rounded

NOISE = Decimal("0.000000001")
"""A purchase that is used to within this part counts as used up: 2/3 thrice is two whole ones."""

MOST_RUNS = 5000
"""A calendar of more cycles helps nobody: they take over thirty years."""


def purchases(chosen: Sequence[Chosen], cards: Mapping[str, Card]) -> list[Purchase]:
    """What to buy for a plan, in whole packages: pouches, and what the batches are made of."""
    needs: list[Need] = []
    for one in chosen:
        card = cards.get(one.offer.name)
        if not one.units:
            continue
        if card is None:
            amount = Figure.exact(one.units, "package", f"packages of {one.offer.name}")
            needs.append(Need(one.offer.name, amount, price=one.offer.unit_cost))
        else:
            needs += [need for line in card.lines if (need := _need(line, card, one.units)) is not None]
    return shopping_list(needs)


def _need(line: ResolvedLine, card: Card, units: Decimal) -> Need | None:
    """What a line takes from the shop for some batches: packages it counts, else parts of a purchase."""
    recipe_line = line.recipe_line
    ingredient = recipe_line.ingredient
    if read_line(ingredient.line).negative:
        return None
    counted = packages_of(line, card)
    if counted is not None and counted.is_known and counted.must() > 0:
        one = Figure.exact(1, "package", "one package")
        price = (recipe_line.cost / (counted / one)).named(f"price of a package: {ingredient.line}")
        return Need(line.label or _food(line), counted * units, price=price)
    shared = ingredient.shared_for
    bought = f"{_food(line)}, {shared}" if shared is not None else ingredient.line

    def whole(share: Decimal) -> Decimal:
        return rounded(share * units, NOISE)

    amount = apply(Monotone(whole, (1,)), [recipe_line.share], "package", f"purchases of {bought}")
    return Need(bought, amount, price=ingredient.paid)


def _food(line: ResolvedLine) -> str:
    food = line.recipe_line.food
    return line.label or (food.description if food is not None else line.recipe_line.ingredient.line)


def runs(chosen: Sequence[Chosen], start: datetime) -> tuple[list[Run], list[str]]:
    """The cycles of a plan one after another from `start`, and what is missing on the calendar.

    Batches that share a load share its runs, which take as long as the slowest of them.
    """
    alone: list[tuple[str, int, Decimal]] = []
    sharing: list[tuple[str, Decimal, Decimal]] = []
    unknown = []
    for one in chosen:
        cycles, hours = one.offer.unit_cycles, one.offer.unit_hours
        if one.offer.kind != "home" or not one.units or cycles is None:
            continue
        if hours is None or not hours.is_known or not cycles.is_known:
            unknown.append(f"{one.offer.name} is not on the calendar: its hours are not known")
            continue
        each = hours.must() / cycles.must()
        if cycles.must() == ONE:
            alone.append((one.offer.name, int(ceiling(one.units)), each))
        else:
            sharing.append((one.offer.name, cycles.must() * one.units, each))
    if sharing:
        loads = rounded(sum((load for _, load, _ in sharing), ZERO), NOISE)
        slowest = max(each for _, _, each in sharing)
        alone.append((" and ".join(name for name, _, _ in sharing), int(ceiling(loads)), slowest))
    if sum(count for _, count, _ in alone) > MOST_RUNS:
        return [], [*unknown, f"more than {MOST_RUNS} cycles: there is no calendar"]
    found: list[Run] = []
    for name, count, each in alone:
        next_start = found[-1].ends if found else start
        try:
            found += calendar([(name, count)], next_start, each, ZERO)
        except OverflowError:
            return [], [*unknown, "the cycles run beyond the year 9999: there is no calendar"]
    return [replace(run, number=i) for i, run in enumerate(found, start=1)], unknown
