"""Trays that wait, the cycle they become, and the batch documents it writes."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from nutricost.domain.waiting import TrayEntry
from nutricost.errors import InputError
from nutricost.store.batches import load_batch, remove_batch, save_batch
from nutricost.store.connection import Book
from nutricost.store.load import (
    add_trays,
    cycle_trays,
    finish_cycle,
    list_cycles,
    remove_trays,
    start_cycle,
    waiting_trays,
)
from nutricost.store.maintenance import list_entries

CHILI = 'title = "Chili"  # keep me\nservings = 8\n\n[[ingredients]]\nline = "4 lb beans"\n'


def _fill(book: Book) -> str:
    with book.transaction():
        chili = save_batch(book, CHILI).name
        add_trays(
            book, TrayEntry(date(2026, 1, 5), "corn", 3, Decimal(2400), Decimal("6.00"), servings=Decimal(12))
        )
        add_trays(book, TrayEntry(date(2026, 1, 2), "chili", 2, Decimal(1800), batch=chili))
        add_trays(book, TrayEntry(date(2026, 1, 6), "peas", 1, Decimal(700)))
    return chili


def _document(book: Book, name: str) -> dict[str, Any]:
    return tomllib.loads(load_batch(book, name).text, parse_float=Decimal)


def test_a_load_becomes_batches_oldest_first(book: Book) -> None:
    chili = _fill(book)
    with book.transaction():
        cycle = start_cycle(book, capacity_trays=4, started_on=date(2026, 1, 7))
    assert [(one.what, one.trays, one.batch) for one in cycle_trays(book, cycle)] == [
        ("chili", 2, chili),
        ("corn", 2, "corn"),
    ]
    # 3 trays of corn, 2 of them dried: 2/3 of 2400 g, 6.00 and 12 servings
    assert _document(book, "corn") == {
        "title": "corn",
        "servings": Decimal("8.00"),
        "currency": "USD",
        "made_on": date(2026, 1, 5),
        "ingredients": [{"line": "1600.0 g corn", "paid": Decimal("4.00")}],
        "drying": {"trays": 2, "cycle_trays": 4, "wet_weight": "1600.0 g"},
    }
    assert load_batch(book, chili).text.startswith(CHILI)
    assert [(one.what, one.trays, one.cost, one.servings) for one in waiting_trays(book)] == [
        ("corn", 1, Decimal("2.00"), Decimal("4.00")),
        ("peas", 1, None, None),
    ]


def test_shared_by_trays_the_documents_name_the_whole_cycle(book: Book) -> None:
    chili = _fill(book)
    with book.transaction():
        cycle = start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 7))
        names = finish_cycle(
            book,
            cycle,
            finished_on=date(2026, 1, 9),
            hours=Decimal("38.5"),
            energy_kwh=Decimal(31),
            price_per_kwh=Decimal("0.17"),
            dry_weight_g={chili: Decimal(520)},
        )
    assert names == [chili, "corn"]
    assert _document(book, chili)["drying"] == {
        "trays": 2,
        "cycle_trays": 5,
        "wet_weight": "1800 g",
        "dry_weight": "520 g",
        "hours": "38.5 h",
        "energy": "31 kWh",
        "price_per_kwh": "0.17 USD",
    }
    assert [(entry.kind, entry.hours) for entry in list_entries(book)] == [("run", Decimal("38.5"))]
    assert [one.finished_on for one in list_cycles(book)] == [date(2026, 1, 9)]
    with pytest.raises(InputError, match="no running cycle"), book.transaction():
        finish_cycle(book, cycle, finished_on=date(2026, 1, 9))


def test_shared_by_water_the_shares_sum_to_the_whole(book: Book) -> None:
    chili = _fill(book)
    with book.transaction():
        cycle = start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 7), share_by="water")
        finish_cycle(
            book,
            cycle,
            finished_on=date(2026, 1, 9),
            energy_kwh=Decimal(31),
            cost=Decimal("5.27"),
            dry_weight_g={chili: Decimal(600), "corn": Decimal(480)},
        )
    # water: chili 1800 - 600 = 1200 g, corn 2400 - 480 = 1920 g; 31 kWh x 1200 / 3120 = 11.923 kWh;
    # 5.27 x 1200 / 3120 = 2.0269
    drying = [_document(book, name)["drying"] for name in (chili, "corn")]
    assert [one["energy"] for one in drying] == ["11.923 kWh", "19.077 kWh"]
    assert [one["cost"] for one in drying] == ["2.03 USD", "3.24 USD"]
    assert all("cycle_trays" not in one for one in drying)


def test_sharing_by_water_needs_both_weights(book: Book) -> None:
    _fill(book)
    with book.transaction():
        cycle = start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 7), share_by="water")
    with pytest.raises(InputError, match="before and after drying"), book.transaction():
        finish_cycle(book, cycle, finished_on=date(2026, 1, 9), energy_kwh=Decimal(31))


def test_servings_that_nobody_knows_are_asked_for(book: Book) -> None:
    _fill(book)
    with pytest.raises(InputError, match="peas: its servings are not known"), book.transaction():
        start_cycle(book, capacity_trays=6, started_on=date(2026, 1, 7))
    assert len(waiting_trays(book)) == 3
    with book.transaction():
        start_cycle(book, capacity_trays=6, started_on=date(2026, 1, 7), servings={"peas": Decimal(3)})
    assert _document(book, "peas")["servings"] == 3
    assert waiting_trays(book) == []


def test_what_a_load_refuses(book: Book) -> None:
    with pytest.raises(InputError, match="no tray is waiting"), book.transaction():
        start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 1))
    chili = _fill(book)
    for entry in (
        TrayEntry(date(2026, 1, 1), " "),
        TrayEntry(date(2026, 1, 1), "corn", 0),
        TrayEntry(date(2026, 1, 1), "corn", weight_g=Decimal(0)),
        TrayEntry(date(2026, 1, 1), "corn", cost=Decimal(-1)),
        TrayEntry(date(2026, 1, 1), "corn", batch="nobody"),
    ):
        with pytest.raises(InputError), book.transaction():
            add_trays(book, entry)
    with pytest.raises(InputError, match="shared by"), book.transaction():
        start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 1), share_by="luck")
    with book.transaction():
        cycle = start_cycle(book, capacity_trays=2, started_on=date(2026, 1, 7))
    with pytest.raises(InputError, match="has its trays already"), book.transaction():
        add_trays(book, TrayEntry(date(2026, 1, 8), "more chili", batch=chili))
    for faulty in (
        {"hours": Decimal(-1)},
        {"dry_weight_g": {"nobody": Decimal(1)}},
        {"finished_on": date(2026, 1, 6)},
    ):
        with pytest.raises(InputError), book.transaction():
            finish_cycle(book, cycle, **{"finished_on": date(2026, 1, 9), **faulty})  # type: ignore[arg-type]


def test_a_removed_batch_takes_nothing_from_its_cycle(book: Book) -> None:
    chili = _fill(book)
    with book.transaction():
        cycle = start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 7))
        remove_batch(book, chili)
        assert finish_cycle(book, cycle, finished_on=date(2026, 1, 9)) == ["corn"]


def test_waiting_trays_can_be_taken_out(book: Book) -> None:
    _fill(book)
    with book.transaction():
        assert remove_trays(book, 3)
        cycle = start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 7))
        assert not remove_trays(book, 1)
    assert len(cycle_trays(book, cycle)) == 2


def test_trays_of_one_food_in_two_currencies(book: Book) -> None:
    day, one = date(2026, 1, 1), Decimal(1)
    with book.transaction():
        add_trays(book, TrayEntry(day, "corn", cost=one, servings=one))
        add_trays(book, TrayEntry(day, "corn", cost=one, currency="EUR", servings=one))
    with pytest.raises(InputError, match="several currencies"), book.transaction():
        start_cycle(book, capacity_trays=5, started_on=day)


def test_a_document_whose_drying_is_no_table(book: Book) -> None:
    with book.transaction():
        name = save_batch(book, 'title = "Corn"\ndrying = "long"\n').name
    with pytest.raises(InputError, match="must be a table"), book.transaction():
        add_trays(book, TrayEntry(date(2026, 1, 1), "corn", batch=name))
        start_cycle(book, capacity_trays=5, started_on=date(2026, 1, 1))
