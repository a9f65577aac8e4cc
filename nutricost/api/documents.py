"""Use cases that start from the user's files: what the commands and the Python verbs call."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cache

from nutricost.api.cards import Card, recipe_card
from nutricost.api.comparing import Comparison, compare_offers, grocery_offer, offers_of
from nutricost.api.inputs import input_of
from nutricost.api.lines import resolve_lines
from nutricost.domain.comparison import Offer, Ranked, RankMeasure, rank_offers, read_measure
from nutricost.domain.documents import Batch, Pouch
from nutricost.domain.planning.rivals import kept_offer
from nutricost.domain.quantities import ONE
from nutricost.errors import DocumentError, InputError, Problem
from nutricost.sources.documents import read_batch, read_pouches
from nutricost.sources.documents.prices import read_prices
from nutricost.sources.documents.rivals import read_rivals
from nutricost.sources.matching_engine import Matcher


@cache
def embedded_matcher() -> Matcher:
    """The matcher over the embedded tables, opened once."""
    return Matcher.open()


def read_batches(paths: Sequence[str], overrides: Sequence[str] = ()) -> list[Batch]:
    """Every batch document, all problems of all files in one DocumentError."""
    batches: list[Batch] = []
    problems: list[Problem] = []
    for path in paths:
        try:
            batches.append(read_batch(input_of(path, "batch"), overrides))
        except DocumentError as error:
            problems.extend(error.problems)
    if problems:
        raise DocumentError(problems)
    return batches


def cards_of(batches: Sequence[Batch], remembered: Mapping[str, str] | None = None) -> list[Card]:
    """The card of every batch, all problems in one DocumentError.

    `remembered`: confirmed choices of foods; None takes those the user keeps in the book.
    """
    if remembered is None:
        remembered = _kept_choices()
    cards: list[Card] = []
    problems: list[Problem] = []
    for batch in batches:
        try:
            cards.append(recipe_card(batch, matcher=embedded_matcher(), remembered=remembered))
        except DocumentError as error:
            problems.extend(error.problems)
    if problems:
        raise DocumentError(problems)
    return cards


def _kept_choices() -> Mapping[str, str]:
    # Imported here: the store is needed only where documents are worked out.
    from nutricost.api.choices import remembered

    return remembered()


def card_file(path: str, overrides: Sequence[str] = ()) -> Card:
    """The card of one batch document."""
    return cards_of(read_batches([path], overrides))[0]


def pouches_file(path: str | None, currency: str) -> tuple[list[Pouch], list[str]]:
    """Pouches of a file with the reader's warnings; none without a path."""
    if path is None:
        return [], []
    found = read_pouches(input_of(path, "pouches"), currency)
    return list(found.pouches), [str(warning) for warning in found.warnings]


def compare_files(
    batch_paths: Sequence[str],
    pouches_path: str | None,
    basis: str = "serving",
    overrides: Sequence[str] = (),
    rivals_path: str | None = None,
    years: Decimal = ONE,
) -> Comparison:
    """The comparison of batch documents with a pouches file on a basis.

    `rivals_path`: other ways to keep the food, with the cost of keeping it for `years`.
    """
    if pouches_path == "-" and "-" in batch_paths:
        raise InputError("standard input can be read only once (accepted: '-' for one document)")
    batches = read_batches(batch_paths, overrides)
    currency = batches[0].currency if batches else "USD"
    pouches, warnings = pouches_file(pouches_path, currency)
    rivals, more = rival_offers(rivals_path, currency, years)
    return compare_offers(cards_of(batches), pouches, basis, [*warnings, *more], rivals)


def rival_offers(path: str | None, currency: str, years: Decimal) -> tuple[list[Offer], list[str]]:
    """Other ways to keep the food for `years`, as offers, with warnings; none without a path."""
    if path is None:
        return [], []
    ways, written_in = read_rivals(input_of(path))
    if written_in != currency:
        raise InputError(f"{path}: in {written_in} (accepted: {currency}, as the rest of the comparison)")
    kept = [kept_offer(way, years) for way in ways]
    return [offer for offer, _ in kept], [said for _, warnings in kept for said in warnings]


def grocery_offers(path: str, currency: str) -> list[Offer]:
    """Plain groceries at a price as offers, from a sheet of lines and what was paid."""
    items, _ = read_prices(input_of(path), currency)
    lines = resolve_lines(items, {}, currency, embedded_matcher(), _kept_choices())
    return [grocery_offer(line, currency) for line in lines]


def rank_files(
    measure: str,
    batch_paths: Sequence[str],
    pouches_path: str | None = None,
    prices_path: str | None = None,
    rivals_path: str | None = None,
    years: Decimal = ONE,
) -> tuple[RankMeasure, list[Ranked], list[str]]:
    """Offers of batches, pouches, groceries and rivals by a measure, best first, with warnings."""
    if not batch_paths and pouches_path is None and prices_path is None and rivals_path is None:
        raise InputError("nothing to rank (accepted: a BATCH, --pouches CSV, --prices CSV or --rivals TOML)")
    batches = read_batches(batch_paths)
    currency = batches[0].currency if batches else "USD"
    asked = read_measure(measure, currency)
    pouches, warnings = pouches_file(pouches_path, currency)
    offers, currency = offers_of(cards_of(batches), pouches)
    if prices_path is not None:
        offers += grocery_offers(prices_path, currency)
    rivals, more = rival_offers(rivals_path, currency, years)
    return asked, rank_offers(asked, [*offers, *rivals]), [*warnings, *more]
