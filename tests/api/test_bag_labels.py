"""Bag labels of the invented demo batch."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from importlib import resources

import pytest

from nutricost.api.bag_labels import bag_labels
from nutricost.api.cards import Card, recipe_card
from nutricost.api.documents import card_file
from nutricost.domain.documents import Packing
from nutricost.domain.quantities import Figure
from nutricost.errors import DocumentError


@pytest.fixture(scope="module")
def card() -> Card:
    return card_file(str(resources.files("nutricost.data") / "demo" / "lentil-kits.toml"))


def test_bags_filled_alike_share_the_batch(card: Card) -> None:
    labels = bag_labels(card, packed_on=date(2026, 3, 1), lot="A-17")
    # Hand calculation: 16 servings and 880 g in 8 bags; 170 mL a serving as it turned out.
    assert len(labels) == 8
    first = labels[0]
    assert first.servings is not None and first.servings.value == 2
    assert first.weight is not None and first.weight.value == 110
    assert first.water_to_add is not None and first.water_to_add.value == 340
    assert first.lot == "A-17" and first.packed_on == date(2026, 3, 1)


def test_bags_as_filled_have_their_own_share(card: Card) -> None:
    packing = card.batch.packing
    assert packing is not None
    weights = (Figure.exact(220, "g", "bag 1"), Figure.exact(660, "g", "bag 2"))
    batch = replace(card.batch, packing=replace(packing, bag_weights=weights))
    small, large = bag_labels(replace(card, batch=batch))
    assert small.servings is not None and small.servings.value == 4
    assert large.servings is not None and large.servings.value == 12
    assert large.weight is not None and large.weight.value == 660


def test_no_number_of_bags_is_refused_by_its_key(card: Card) -> None:
    for packing in (None, Packing(), Packing(bags=Figure.exact(Decimal("2.5"), "bag"))):
        with pytest.raises(DocumentError, match=r"packing\.bags"):
            bag_labels(replace(card, batch=replace(card.batch, packing=packing)))


def test_raw_meat_is_raw_on_its_bag(card: Card) -> None:
    line = replace(card.batch.ingredients[1], line="2 lb raw ground beef", shared_for=None)
    raw = recipe_card(
        replace(card.batch, ingredients=(line,), labels={}, cooked=False, cooked_weight=None, drying=None)
    )
    assert {label.cooked_words for label in bag_labels(raw)} == {"RAW: cook before eating"}
