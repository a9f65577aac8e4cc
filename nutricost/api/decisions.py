"""What a batch and a pouch are to a decision, and the deal at the shelf, from the user's documents."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.documents import cards_of, pouches_file, read_batches
from nutricost.api.inputs import input_of
from nutricost.api.lines import ResolvedLine
from nutricost.domain.comparison import Offer, pouch_offer
from nutricost.domain.deal import Candidate, Choice, Deal, Load, Rival, deal, ranked, what_to_dry
from nutricost.domain.documents import Machine, Pouch
from nutricost.domain.foods.lines import read_line
from nutricost.domain.payback import Alternative, HomeBatch, running_cost
from nutricost.domain.quantities import Figure, floor, read_quantity, total
from nutricost.domain.quantities.display import shown_with_range
from nutricost.domain.recipes.batch import tray_share
from nutricost.domain.recipes.draws import label_amount
from nutricost.errors import InputError
from nutricost.sources.documents import read_machine

MOST_HOURS = 8766
"""Machine time for which the best loads are looked for: a year."""

_OIL = re.compile(r"\boil\b", re.IGNORECASE)


def home_batch(card: Card) -> HomeBatch:
    """What the payback needs of a batch; pump oil among [other_costs] is told apart by its name."""
    costs, drying, others = card.costs, card.batch.drying, card.batch.other_costs
    currency = card.batch.currency
    oil = [figure for name, figure in others.items() if _OIL.search(name)]
    rest = [figure for name, figure in others.items() if not _OIL.search(name)]
    share = tray_share(drying) if drying is not None else None
    return HomeBatch(
        name=card.batch.title,
        servings=card.content.servings,
        energy=card.per_batch["energy"],
        protein=card.per_batch["protein"],
        ingredients=costs.ingredients,
        normal_ingredients=costs.usual_ingredients,
        other=total([costs.packing, *rest], "packing and other costs", unit=currency),
        electricity=costs.energy if costs.energy.is_known else None,
        oil=total(oil, "pump oil") if oil else None,
        dryer_energy=card.content.measured_energy if card.content.measured_energy.is_known else None,
        price_per_kwh=drying.price_per_kwh if drying is not None else None,
        cycle_hours=drying.hours if drying is not None else None,
        cycle_share=share,
    )


def alternative(offer: Offer) -> Alternative:
    """A pouch as what would be eaten instead."""
    return Alternative(offer.name, offer.cost, offer.servings, offer.whole["energy"], offer.whole["protein"])


def chosen_pouches(pouches: Sequence[Pouch], against: str | None) -> list[Pouch]:
    """The pouch named, or all of them. Raises InputError for an unknown name."""
    if against is None:
        return list(pouches)
    named = [pouch for pouch in pouches if pouch.name.casefold() == against.strip().casefold()]
    if not named:
        raise InputError(
            f"no pouch is called {against!r} (accepted: {', '.join(repr(pouch.name) for pouch in pouches)})"
        )
    return named


def same_currency(currencies: Sequence[str], machine: Machine) -> None:
    """Raises InputError where a batch is in another currency than the machine."""
    for currency in currencies:
        if currency != machine.currency:
            raise InputError(
                f"{machine.where} is in {machine.currency}, a batch in {currency} (accepted: one currency)"
            )


def load_of(card: Card, machine: Machine) -> Load:
    """One load of the machine as a batch describes it. Raises InputError where no line counts packages."""
    home = home_batch(card)
    electricity, oil = running_cost(home, machine)
    counted = [
        (amount, line.recipe_line.cost)
        for line in card.lines
        if (amount := packages_of(line, card)) is not None
    ]
    if not counted:
        raise InputError(
            f"{card.batch.where}: no line counts packages (accepted: a line such as '8 cans chili' or "
            "'4 packages frozen peas')"
        )
    scale = card.content.scale
    packages = total([amount for amount, _ in counted], "packages in the recipe")
    paid = total([cost for _, cost in counted], "paid for the packages")
    return Load(
        name=card.batch.title,
        servings=home.servings,
        energy=home.energy,
        cost=total([home.ingredients, electricity, oil, home.other], "cost of the load"),
        packages=(packages * scale).named("packages in a load"),
        paid=(paid * scale).named("paid for the packages"),
        wet_weight=card.content.weight_wet if card.content.weight_wet.is_known else None,
        cycle_hours=home.cycle_hours,
    )


def packages_of(line: ResolvedLine, card: Card) -> Figure | None:
    """How many packages a line counts ('8 cans', '2 kits') [package]; None where it counts something else."""
    ingredient = line.recipe_line.ingredient
    read = read_line(ingredient.line)
    if line.label is not None:
        amount = label_amount(ingredient, read, card.readings[line.label])
        return amount if amount.unit == "package" else None
    if read.amount is not None and read.unit is not None and read.unit.kind == "container":
        return Figure.between(read.amount.low, read.amount.high, "package", f"packages in '{read.text}'")
    return None


def deal_of(
    card: Card,
    pouches: Sequence[Pouch],
    machine: Machine,
    against: str | None = None,
    days_to_date: Decimal | None = None,
    space: Figure | None = None,
) -> Deal:
    """The verdict at the shelf; without `against`, beside the pouch that gives most energy for its money."""
    same_currency([card.batch.currency], machine)
    offers = [pouch_offer(pouch, machine.currency) for pouch in chosen_pouches(pouches, against)]
    best = hardest_to_beat(offers)
    rival = Rival(best.name, best.cost, best.whole["energy"]) if best is not None else None
    found = deal(load_of(card, machine), machine, rival, days_to_date=days_to_date, space=space)
    return replace(found, warnings=(*found.warnings, *card.warnings))


@dataclass(frozen=True, slots=True)
class DealReport:
    """One deal or several, best per machine hour first, and which loads to dry in the hours there are."""

    currency: str
    deals: tuple[Deal, ...]
    choice: Choice | None

    def view(self) -> dict[str, Any]:
        """The public form: of one deal the deal itself, of several a ranking with the choice."""
        if len(self.deals) == 1:
            return deal_view(self.deals[0], self.currency)
        deals = [
            {
                "name": found.name,
                "saving_per_machine_hour": saving_per_hour(found),
                **deal_view(found, self.currency),
            }
            for found in self.deals
        ]
        if self.choice is None:
            return {"deals": deals, "choice": None}
        hours = Figure.exact(self.choice.hours, "h", "machine hours")
        saving = Figure.exact(self.choice.saving, self.currency, "saved by these loads")
        loads = [{"name": name, "loads": count} for name, count in self.choice.loads]
        return {"deals": deals, "choice": {"loads": loads, "saving": saving, "hours": hours}}


def saving_per_hour(found: Deal) -> Figure:
    """Money that a machine hour saves with this deal [money/h]."""
    return (found.saving_per_load / found.hours_per_load).named("saving per machine hour")


def deal_files(
    batch_paths: Sequence[str],
    pouches_path: str,
    machine_path: str,
    against: str | None = None,
    days_to_date: Sequence[Decimal] = (),
    space: str | None = None,
    hours: Decimal | None = None,
) -> DealReport:
    """The verdict at the shelf from documents; several deals are ranked for the machine's time.

    `days_to_date`: none, one for all, or one for each batch in order [day]. `hours` of machine time [h]:
    which loads to dry in them. Raises InputError where these don't fit each other.
    """
    if len(days_to_date) > 1 and len(days_to_date) != len(batch_paths):
        raise InputError(
            f"{len(days_to_date)} dates for {len(batch_paths)} batches "
            "(accepted: one for all, or one for each)"
        )
    if hours is not None and not 0 < hours <= MOST_HOURS:
        raise InputError(f"hours: {hours} is out of range (accepted: above 0, at most {MOST_HOURS}, a year)")
    cards = cards_of(read_batches(batch_paths))
    machine = read_machine(input_of(machine_path, "machine"))
    pouches, warnings = pouches_file(pouches_path, machine.currency)
    room = freezer_space(space) if space is not None else None
    days: list[Decimal | None] = list(days_to_date) or [None]
    if len(days) == 1:
        days *= len(cards)
    found = [
        deal_of(card, pouches, machine, against, left, room) for card, left in zip(cards, days, strict=True)
    ]
    deals = [replace(one, warnings=(*one.warnings, *warnings)) for one in found]
    return DealReport(machine.currency, *_by_hour(deals, days, hours))


def _by_hour(
    deals: Sequence[Deal], days: Sequence[Decimal | None], hours: Decimal | None
) -> tuple[tuple[Deal, ...], Choice | None]:
    """The deals best per machine hour first, unknown ones last; and the loads that save most in `hours`."""
    timed = [
        (one, left)
        for one, left in zip(deals, days, strict=True)
        if one.saving_per_load.is_known and one.hours_per_load.is_known
    ]
    order = {
        one.name: place for place, one in enumerate(ranked([_candidate(*pair, hours) for pair in timed]))
    }
    best_first = tuple(sorted(deals, key=lambda one: order.get(one.name, len(order))))
    if hours is None:
        return best_first, None
    return best_first, what_to_dry([_candidate(*pair, hours) for pair in timed], hours)


def _candidate(found: Deal, days: Decimal | None, hours: Decimal | None) -> Candidate:
    each = found.hours_per_load.must()
    most = int(floor(hours / each)) if hours is not None else 0
    return Candidate(found.name, found.saving_per_load.must(), each, most, days)


def freezer_space(text: str) -> Figure:
    """A weight that the freezer still holds, as typed [g]. Raises InputError."""
    try:
        grams = read_quantity(text, "mass")
    except InputError as error:
        raise InputError(
            f"space: {text!r} is no weight: {error} (accepted: a weight such as '6 kg')"
        ) from None
    return Figure.exact(grams, "g", "freezer space", source="as typed")


def hardest_to_beat(offers: Sequence[Offer]) -> Offer | None:
    """The pouch that gives most energy for its money; None where that is known of none."""
    known = [offer for offer in offers if (offer.whole["energy"] / offer.cost).is_known]
    return max(known, key=lambda offer: (offer.whole["energy"] / offer.cost).must(), default=None)


def verdict(found: Deal) -> str:
    """Whether the price is worth a load, said only as far as it holds over the whole range."""
    saving = found.saving_per_load
    if not saving.is_known:
        return f"Whether it is worth a load is not known: {saving.why}."
    same = f"than the same energy in {found.against}"
    if saving.low > 0:
        return f"Worth it: a load costs {shown_with_range(saving)} {saving.shown_unit} less {same}."
    if saving.high < 0:
        return f"Not worth it: a load costs {shown_with_range(saving * -1)} {saving.shown_unit} more {same}."
    return (
        f"Too close to call: a load saves {shown_with_range(saving)} {saving.shown_unit} "
        f"beside the same energy in {found.against}."
    )


def deal_view(found: Deal, currency: str) -> dict[str, Any]:
    """The public form of a deal."""
    code = currency.lower()
    return {
        "verdict": verdict(found),
        "cost_per_serving": found.cost_per_serving,
        f"kcal_per_{code}": found.kcal_per_money,
        "tie_price_per_package": found.tie_price_per_package,
        "packages_per_load": found.packages_per_load,
        "loads_before_date": found.loads_before_date,
        "packages_to_buy": found.packages_to_buy,
        "limited_by": ", ".join(found.limited_by),
        "against": found.against,
        f"against_kcal_per_{code}": found.rival_kcal_per_money,
        "saving_per_load": found.saving_per_load,
        "money_saved": found.money_saved,
        "warnings": list(found.warnings),
    }
