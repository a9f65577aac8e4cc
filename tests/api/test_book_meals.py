"""Batches of the book worked out: the documents a load writes, and the ledger of what was eaten."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.api.book import batch_text, changing, eat, shelf
from nutricost.api.book_machine import fill_trays, finish_load, start_load
from nutricost.api.book_meals import eaten_meals, pack
from nutricost.api.cards import recipe_card
from nutricost.api.documents import embedded_matcher
from nutricost.domain.payback.ledger import progress
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError
from nutricost.sources.documents import read_batch
from nutricost.store.batches import save_batch
from nutricost.store.book_settings import save_setting

DAY = date(2026, 1, 2)
CHILI = """title = "Invented chili"
servings = 10

[[ingredients]]
line = "4 cans chili"
label = "invented chili"
paid = 6.00

[labels."invented chili"]
serving_size = "150 g"
servings_per_container = 2.5
calories = 170

[drying]
cost = 1.00
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "book.sqlite"


@pytest.mark.parametrize("share_by", ["trays", "water"])
def test_the_batches_of_a_load_pay_for_the_whole_cycle(path: Path, share_by: str) -> None:
    fill_trays(path, "corn", filled_on=DAY, trays=2, weight="1600 g", cost="4.50", servings="6")
    fill_trays(path, "peas", filled_on=DAY, trays=3, weight="2100 g", cost="5.10", servings="9")
    cycle, _ = start_load(path, started_on=DAY, trays=5, share_by=share_by)
    names = finish_load(
        path,
        cycle,
        finished_on=date(2026, 1, 4),
        hours="38",
        energy="31 kWh",
        price_per_kwh="0.20",
        dry_weights=["corn=400 g", "peas=500 g"],
    )
    batches = [read_batch((batch_text(path, name), name)) for name in names]
    costs = [recipe_card(batch, matcher=embedded_matcher()).costs for batch in batches]
    # 31 kWh x 0.20 = 6.20 for the cycle; by trays 2/5 and 3/5
    assert sum(cost.energy.must() for cost in costs) == Decimal("6.20")
    assert [cost.ingredients.must() for cost in costs] == [Decimal("4.50"), Decimal("5.10")]
    if share_by == "trays":
        assert [cost.energy.must() for cost in costs] == [Decimal("2.48"), Decimal("3.72")]
    else:  # water 1200 g and 1600 g: 31 x 3/7 = 13.286 kWh
        assert [cost.energy.must() for cost in costs] == [Decimal("2.6572"), Decimal("3.5428")]


def test_what_was_eaten_is_a_ledger(path: Path) -> None:
    with changing(path) as book:
        save_batch(book, CHILI)
    with pytest.raises(InputError, match="how many bags"):
        pack(path, "invented-chili", packed_on=DAY)
    pack(path, "invented-chili", packed_on=DAY, bags=5)
    eat(path, "invented-chili", "2", eaten_on=date(2026, 2, 1), replaced="meal", replaced_cost="11.00")
    eat(path, "invented-chili", "1", eaten_on=date(2026, 2, 2))
    eat(path, "invented-chili", "1", eaten_on=date(2026, 2, 3), replaced="lost")
    meals = eaten_meals(path)
    assert [(meal.name, meal.replaced) for meal in meals] == [
        ("Invented chili", "a bought meal"),
        ("Invented chili", "nothing"),
        ("Invented chili", "lost"),
    ]
    # 7.00 over 10 servings; 11.00 - 2 x 0.70 - 0.70 - 0.70 = 8.20
    found = progress(
        meals,
        Figure.exact(1000, "USD"),
        Figure.exact(20, "USD"),
        Figure.exact(4, "batch/month"),
        DAY,
        date(2026, 3, 1),
    )
    assert found.recovered.must() == Decimal("8.20")
    assert [one.servings_left for one in shelf(path)] == [6]


def test_a_meal_whose_cost_nobody_knows_is_not_zero(path: Path) -> None:
    with changing(path) as book:
        save_batch(book, CHILI.replace("paid = 6.00\n", ""))
    pack(path, "invented-chili", packed_on=DAY, bags=5)
    eat(path, "1", "2", eaten_on=DAY, replaced="pouch")
    meal = eaten_meals(path)[0]
    assert not meal.cost.is_known
    assert not meal.replaced_cost.is_known


def test_amounts_are_in_the_books_currency(path: Path) -> None:
    with changing(path) as book:
        save_setting(book, "currency", "EUR")
    entry = fill_trays(path, "corn", filled_on=DAY, cost="4.50", servings="2")
    assert entry.currency == "EUR"
    cycle, _ = start_load(path, started_on=DAY, trays=5)
    with pytest.raises(InputError, match="USD"):
        finish_load(path, cycle, finished_on=DAY, cost="5 USD")
