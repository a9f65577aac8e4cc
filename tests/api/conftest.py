"""Invented batches of one table food, small enough to check by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest

from nutricost.api.cards import Card
from nutricost.api.documents import cards_of
from nutricost.sources.documents import batch_from_table
from nutricost.sources.documents.loading import parse_toml

MakeCard = Callable[..., Card]
MakeCards = Callable[[Sequence[Mapping[str, Any]]], list[Card]]

POT = """
title = "{title}"
servings = {servings}
[[ingredients]]
line = "2000 g raw shallots"
food = "ndb:11677"
paid = 10.00
[drying]
{drying}
[packing]
{packing}
{more}
"""
"""USDA SR28, NDB 11677, Shallots, raw: 79.80 g water and 72 kcal in 100 g, so 404 g solids in 2000 g."""

MACHINE_RUN = """
trays = 4
wet_weight = "2000 g"
dry_weight = "420 g"
hours = 40
energy = "20 kWh"
price_per_kwh = 0.20
"""


def pot_text(
    title: str = "Invented shallot pot",
    servings: int = 10,
    drying: str = MACHINE_RUN,
    packing: str = "bags = 4\nbag_price = 0.50\nabsorber_price = 0.25",
    more: str = "",
) -> str:
    """The document of an invented batch."""
    return POT.format(title=title, servings=servings, drying=drying, packing=packing, more=more)


@pytest.fixture(scope="session")
def make_text() -> Callable[..., str]:
    """Writes the document of an invented batch."""
    return pot_text


@pytest.fixture(scope="session")
def make_cards() -> MakeCards:
    """Cards of several invented batches, each by the parts of its document."""

    def make(batches: Sequence[Mapping[str, Any]]) -> list[Card]:
        texts = [pot_text(**parts) for parts in batches]
        return cards_of([batch_from_table(parse_toml(text, "pot.toml"), "pot.toml") for text in texts])

    return make


@pytest.fixture(scope="session")
def make_card(make_cards: MakeCards) -> MakeCard:
    """The card of one invented batch, by the parts of its document."""

    def make(**parts: Any) -> Card:
        return make_cards([parts])[0]

    return make
