"""What really happened: money that meals from the shelf gave back, beside what the payback promised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from nutricost.api.book import reading
from nutricost.api.book_meals import eaten_meals
from nutricost.api.choices import choices_in
from nutricost.api.decisions import alternative, chosen_pouches, hardest_to_beat, home_batch
from nutricost.api.documents import cards_of, pouches_file
from nutricost.api.inputs import input_of
from nutricost.api.kitchen import read_stored_pouch
from nutricost.domain.comparison import pouch_offer
from nutricost.domain.documents import Machine, Pouch
from nutricost.domain.payback import HomeBatch, Meal, Payback, Progress, outlay_of, payback, progress
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError
from nutricost.sources.documents import read_batch, read_machine
from nutricost.store.batches import list_batches
from nutricost.store.machine import load_machine
from nutricost.store.pouches import StoredPouch, list_pouches
from nutricost.store.shelf import on_shelf


@dataclass(frozen=True, slots=True)
class RecoveredReport:
    """Money recovered by `as_of` since `since`, against the forecast of the payback beside one pouch."""

    since: date
    as_of: date
    outlay: Figure
    forecast: Payback | None
    progress: Progress
    meals: tuple[Meal, ...]
    warnings: tuple[str, ...]

    def view(self) -> dict[str, Any]:
        """The public form of the ledger."""
        found = self.progress
        return {
            "since": self.since.isoformat(),
            "as_of": self.as_of.isoformat(),
            "outlay": self.outlay,
            "recovered": found.recovered,
            "forecast": found.forecast,
            "ahead": found.ahead,
            "left": found.left,
            "against": self.forecast and self.forecast.against,
            "meals_counted": found.meals,
            "meals_replacing_nothing": found.replacing_nothing,
            "meals": [
                {
                    "eaten_on": meal.eaten_on.isoformat(),
                    "name": meal.name,
                    "servings": meal.servings,
                    "cost": meal.cost,
                    "replaced": meal.replaced,
                    "replaced_cost": meal.replaced_cost,
                }
                for meal in self.meals
            ],
            "warnings": list(self.warnings),
        }


def recovered(
    path: Path | None,
    as_of: date,
    *,
    machine_path: str | None = None,
    pouches_path: str | None = None,
    against: str | None = None,
    since: date | None = None,
) -> RecoveredReport:
    """The ledger of the book at `path` (None: the usual place) by `as_of`, beside the forecast.

    Machine and pouches are the book's unless files are named; `against`: the pouch of the forecast, else
    the one hardest to beat; `since`: the first day that counts, else the first packing. The forecast is
    for the batches that were packed, as an average one. Raises InputError where there is no machine, or
    nothing was ever packed.
    """
    with reading(path) as book:
        lots = on_shelf(book, all_lots=True)
        own_machine, own_pouches = load_machine(book), list_pouches(book)
        packed = {one.lot.batch for one in lots}
        stored = [one for one in list_batches(book) if one.name in packed]
        remembered = choices_in(book)
    if machine_path is not None:
        machine = read_machine(input_of(machine_path, "machine"))
    elif own_machine is not None:
        machine = read_machine((own_machine.text, "machine"))
    else:
        raise InputError("the book has no machine (accepted: --machine TOML, or save one in the book)")
    if not lots:
        raise InputError("nothing was ever packed (accepted: a batch put on the shelf with `book pack`)")
    start = since or min(one.lot.packed_on for one in lots)
    if pouches_path is not None:
        pouches, warnings = pouches_file(pouches_path, machine.currency)
    else:
        pouches, warnings = _own_pouches(own_pouches, machine.currency)
    cards = cards_of([read_batch((one.text, one.name)) for one in stored], remembered)
    homes = [home_batch(card) for card in cards if card.batch.currency == machine.currency]
    promise = _promise(homes, pouches, machine, against)
    if promise is None:
        warnings.append("no forecast: no packed batch, or no pouch, is in the machine's currency and known")
    outlay = outlay_of(machine)
    meals = [meal for meal in eaten_meals(path) if start <= meal.eaten_on <= as_of]
    unknown = "there is no forecast"
    return RecoveredReport(
        since=start,
        as_of=as_of,
        outlay=outlay,
        forecast=promise,
        progress=progress(
            meals,
            outlay,
            promise.saving_per_batch if promise else Figure.unknown(machine.currency, unknown),
            promise.batches_per_month if promise else Figure.unknown("batch/month", unknown),
            start,
            as_of,
        ),
        meals=tuple(meals),
        warnings=tuple(warnings),
    )


def _own_pouches(stored: Sequence[StoredPouch], currency: str) -> tuple[list[Pouch], list[str]]:
    """The pouches of the book in one currency that can be read, and what is wrong with the rest."""
    found, said = [], []
    for one in stored:
        pouch, problems = read_stored_pouch(one)
        said += [f"{one.name} is left out: {problem}" for problem in problems]
        if one.currency != currency:
            said.append(f"{one.name} is left out: priced in {one.currency}, the machine in {currency}")
        elif pouch is not None:
            found.append(pouch)
    return found, said


def _promise(
    homes: Sequence[HomeBatch], pouches: Sequence[Pouch], machine: Machine, against: str | None
) -> Payback | None:
    """The payback that was to be expected, None where batches or pouches are missing."""
    offers = [pouch_offer(pouch, machine.currency) for pouch in chosen_pouches(pouches, against)]
    rival = hardest_to_beat(offers)
    if rival is None or not homes:
        return None
    return payback(homes, alternative(rival), machine)
