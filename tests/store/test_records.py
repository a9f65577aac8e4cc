"""What each part of the book keeps and refuses. All names and figures are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from nutricost.domain.tariff import TariffBand
from nutricost.errors import InputError, SettingError
from nutricost.store.batches import (
    StoredWeighing,
    add_weighing,
    list_batches,
    list_weighings,
    load_batch,
    remove_batch,
    remove_weighing,
    save_batch,
)
from nutricost.store.book_settings import load_settings, save_setting
from nutricost.store.connection import Book
from nutricost.store.labels import list_labels, load_label, remove_label, save_label
from nutricost.store.machine import load_machine, save_machine
from nutricost.store.maintenance import (
    MaintenanceEntry,
    add_entry,
    costs_by_kind,
    hours_since_oil,
    list_entries,
    remove_entry,
)
from nutricost.store.matches import confirm_match, find_match, forget_match, list_matches
from nutricost.store.pouches import (
    StoredPouch,
    find_pouch,
    list_pouches,
    price_history,
    remove_pouch,
    save_pouch,
)
from nutricost.store.purchases import Purchase, add_purchase, edit_purchase, list_purchases, remove_purchase
from nutricost.store.shelf import (
    Eaten,
    ShelfLot,
    eat,
    list_eaten,
    on_shelf,
    remove_lot,
    store_bags,
    undo_eaten,
)
from nutricost.store.tariff import load_tariff, save_tariff

DAY = date(2026, 1, 1)
CHILI = 'title = "Invented chili"   # for the cabin\nservings = 8.50\n'
LABEL = '[labels."invented beans"]\nserving_size = "130 g"   # half a cup\ncalories = 110\n'
POUCH = StoredPouch("Invented stew", Decimal("9.50"), "USD", "2", calories="250", protein_g="12")


def test_a_batch_comes_back_word_for_word(book: Book) -> None:
    with book.transaction():
        batch = save_batch(book, CHILI)
    assert (batch.name, batch.title, batch.servings, batch.currency) == (
        "invented-chili",
        "Invented chili",
        "8.50",
        "USD",
    )
    assert load_batch(book, "invented-chili").text == CHILI


def test_two_batches_of_one_title_have_two_names(book: Book) -> None:
    with book.transaction():
        names = [save_batch(book, CHILI).name for _ in range(3)]
    assert names == ["invented-chili", "invented-chili-2", "invented-chili-3"]


def test_batches_are_searched_by_words_anywhere(book: Book) -> None:
    with book.transaction():
        save_batch(book, CHILI)
        save_batch(book, 'title = "Plain corn"\nservings = [3, 4]\n')
    assert [batch.title for batch in list_batches(book, "CABIN chili")] == ["Invented chili"]
    assert [batch.servings for batch in list_batches(book, "corn")] == ["3 to 4"]


@pytest.mark.parametrize(
    "text",
    ["title = ", "servings = 2", "title = 5\n", "title = ''", "title = 'a'\nx = 1e99999999999999999999"],
)
def test_a_batch_that_is_none_is_refused(book: Book, text: str) -> None:
    with pytest.raises(InputError), book.transaction():
        save_batch(book, text)


@pytest.mark.parametrize("name", ["../escape", "Big", "", "a--b", "x" * 100, "con/aux"])
def test_a_name_that_is_no_file_name_is_refused(book: Book, name: str) -> None:
    with pytest.raises(InputError, match="accepted: small letters"), book.transaction():
        save_batch(book, CHILI, name=name)


def test_weighings_belong_to_a_batch(book: Book) -> None:
    with book.transaction():
        name = save_batch(book, CHILI).name
        last = add_weighing(book, StoredWeighing(name, Decimal(30), Decimal("410.5")))
        add_weighing(book, StoredWeighing(name, Decimal("26.5"), Decimal("420.0"), "tray 2"))
    assert [one.hours for one in list_weighings(book, name)] == [Decimal("26.5"), Decimal(30)]
    with book.transaction():
        assert remove_weighing(book, last)
    with pytest.raises(InputError, match="no batch 'other'"), book.transaction():
        add_weighing(book, StoredWeighing("other", Decimal(1), Decimal(1)))
    with pytest.raises(InputError, match="above 0 g"), book.transaction():
        add_weighing(book, StoredWeighing(name, Decimal(1), Decimal(0)))
    with book.transaction():
        remove_batch(book, name)
    assert list_weighings(book, name) == []


def test_labels(book: Book) -> None:
    with book.transaction():
        save_label(book, LABEL)
        save_label(book, LABEL + "fat_g = 1\n", seen_revision=1)
    assert load_label(book, "invented beans").text == LABEL + "fat_g = 1\n"
    assert [label.revision for label in list_labels(book, "cup")] == [2]
    with book.transaction():
        remove_label(book, "invented beans")
    with pytest.raises(InputError, match="no label"):
        load_label(book, "invented beans")


@pytest.mark.parametrize(
    "text", ["", "calories = 3", "[labels]", "[labels.a]\n[labels.b]\n", "labels.a = 3", LABEL + "[x]\n"]
)
def test_a_text_without_exactly_one_label_is_refused(book: Book, text: str) -> None:
    with pytest.raises(InputError, match="label"), book.transaction():
        save_label(book, text)


def test_the_machine(book: Book) -> None:
    assert load_machine(book) is None
    with book.transaction():
        save_machine(book, "price = 2995\n", seen_revision=0)
        assert save_machine(book, "price = 2800\n", seen_revision=1).revision == 2


def test_purchases(book: Book) -> None:
    bought = Purchase(
        "frozen corn",
        DAY,
        Decimal("8.970"),
        usual_price=Decimal("12.00"),
        package="5 lb",
        date_on_package=date(2026, 8, 1),
        place="the market by the river",
        label="invented beans",
    )
    with book.transaction():
        save_label(book, LABEL)
        number = add_purchase(book, bought)
    kept = list_purchases(book, "RIVER corn")[0]
    assert kept == replace(bought, id=number)
    assert str(kept.price) == "8.970"
    with book.transaction():
        edit_purchase(book, replace(kept, price=Decimal("7.99")))
        remove_label(book, "invented beans")
    assert [(one.price, one.label) for one in list_purchases(book)] == [(Decimal("7.99"), None)]
    with book.transaction():
        assert remove_purchase(book, number)
        assert not remove_purchase(book, number)
    with pytest.raises(InputError, match="no purchase"), book.transaction():
        edit_purchase(book, kept if kept.label is None else replace(kept, label=None))


@pytest.mark.parametrize(
    "change",
    [
        {"what": " "},
        {"quantity": Decimal(0)},
        {"price": Decimal(-1)},
        {"usual_price": Decimal(-1)},
        {"currency": "XXQ"},
        {"label": "nobody"},
        {"price": Decimal("NaN")},
        {"note": "a\x00b"},
        {"note": "\ud800"},
    ],
    ids=str,
)
def test_an_impossible_purchase_is_refused(book: Book, change: dict[str, object]) -> None:
    with pytest.raises((InputError, ArithmeticError)), book.transaction():
        add_purchase(book, replace(Purchase("corn", DAY, Decimal(1)), **change))  # type: ignore[arg-type]


def test_a_pouch_keeps_the_history_of_its_price(book: Book) -> None:
    with book.transaction():
        save_pouch(book, POUCH, seen_on=DAY)
        save_pouch(book, replace(POUCH, note="salty"), seen_on=date(2026, 2, 1))
        save_pouch(book, replace(POUCH, price=Decimal("10.25")), seen_on=date(2026, 3, 1), place="by post")
    assert [(one.seen_on, one.price, one.place) for one in price_history(book, POUCH.name)] == [
        (DAY, Decimal("9.50"), ""),
        (date(2026, 3, 1), Decimal("10.25"), "by post"),
    ]
    assert [pouch.price for pouch in list_pouches(book)] == [Decimal("10.25")]
    with book.transaction():
        assert remove_pouch(book, POUCH.name)
    assert find_pouch(book, POUCH.name) is None
    assert price_history(book, POUCH.name) == []


@pytest.mark.parametrize(
    "change",
    [{"name": ""}, {"servings": ""}, {"calories": " "}, {"price": Decimal(-1)}, {"currency": "US"}],
    ids=str,
)
def test_an_impossible_pouch_is_refused(book: Book, change: dict[str, object]) -> None:
    with pytest.raises(InputError), book.transaction():
        save_pouch(book, replace(POUCH, **change), seen_on=DAY)  # type: ignore[arg-type]


def test_a_confirmed_match_holds_for_every_spelling_of_the_phrase(book: Book) -> None:
    with book.transaction():
        confirm_match(book, "Sweet  Corn", "ndb:11178", on=DAY)
        confirm_match(book, "sweet corn", "fdc:170000", on=date(2026, 2, 1))
    match = find_match(book, " SWEET corn ")
    assert match is not None
    assert match.food == "fdc:170000"
    assert len(list_matches(book)) == 1
    with book.transaction():
        assert forget_match(book, "Sweet corn")
        assert not forget_match(book, "Sweet corn")
    for phrase, food in (("", "ndb:11178"), ("corn", "11178"), ("corn", "label:")):
        with pytest.raises(InputError), book.transaction():
            confirm_match(book, phrase, food, on=DAY)


def test_oil_hours_count_from_the_last_change(book: Book) -> None:
    with book.transaction():
        add_entry(book, MaintenanceEntry(DAY, "run", Decimal(40)))
    assert hours_since_oil(book) is None
    with book.transaction():
        add_entry(book, MaintenanceEntry(date(2026, 1, 3), "oil", cost=Decimal("21.00")))
        add_entry(book, MaintenanceEntry(date(2026, 1, 9), "run", Decimal("31.5")))
        add_entry(book, MaintenanceEntry(date(2026, 1, 5), "run", Decimal(30)))
        number = add_entry(
            book, MaintenanceEntry(date(2026, 1, 7), "repair", cost=Decimal("80.10"), note="seal")
        )
        add_entry(book, MaintenanceEntry(date(2026, 1, 8), "repair"))
    assert hours_since_oil(book) == Decimal("61.5")
    assert costs_by_kind(book) == {("oil", "USD"): Decimal("21.00"), ("repair", "USD"): Decimal("80.10")}
    with book.transaction():
        assert remove_entry(book, number)
    assert [entry.kind for entry in list_entries(book)] == ["run", "oil", "run", "repair", "run"]


@pytest.mark.parametrize(
    "entry",
    [
        MaintenanceEntry(DAY, "wash"),
        MaintenanceEntry(DAY, "run"),
        MaintenanceEntry(DAY, "oil", Decimal(1)),
        MaintenanceEntry(DAY, "run", Decimal(-1)),
        MaintenanceEntry(DAY, "oil", cost=Decimal(-1)),
    ],
    ids=str,
)
def test_impossible_maintenance_is_refused(book: Book, entry: MaintenanceEntry) -> None:
    with pytest.raises(InputError), book.transaction():
        add_entry(book, entry)


def test_the_tariff_is_kept_whole(book: Book) -> None:
    day = [
        TariffBand(Decimal(7), Decimal(23), Decimal("0.31")),
        TariffBand(Decimal(23), Decimal(7), Decimal("0.12")),
    ]
    with book.transaction():
        save_tariff(book, day)
    assert load_tariff(book) == day
    with pytest.raises(InputError, match="no price"), book.transaction():
        save_tariff(book, day[:1])
    with pytest.raises(InputError, match="below 0"), book.transaction():
        save_tariff(book, [TariffBand(Decimal(0), Decimal(24), Decimal(-1))])
    assert load_tariff(book) == day
    with book.transaction():
        save_tariff(book, [])
    assert load_tariff(book) == []


def test_settings(book: Book) -> None:
    with book.transaction():
        save_setting(book, "currency", "USD")
        save_setting(book, "currency", "EUR")
        save_setting(book, "note", "")
        save_setting(book, "note", None)
    assert load_settings(book) == {"currency": "EUR"}
    with pytest.raises(SettingError), book.transaction():
        save_setting(book, "Bad name", "")


def test_the_shelf_is_eaten_by_best_by_and_counts_down(book: Book) -> None:
    with book.transaction():
        batch = save_batch(book, CHILI).name
        late = store_bags(
            book, ShelfLot("Chili", DAY, 4, Decimal(8), batch, date(2040, 1, 1), Decimal("310.5"))
        )
        store_bags(book, ShelfLot("Corn", date(2026, 2, 1), 2, Decimal(5), note="top shelf"))
        soon = store_bags(book, ShelfLot("Stew", date(2026, 3, 1), 3, Decimal(6), best_by=date(2030, 1, 1)))
        eat(book, Eaten(late, date(2026, 4, 1), Decimal("2.5"), "pouch", "Invented stew", Decimal("11.00")))
        event = eat(book, Eaten(soon, date(2026, 4, 2), Decimal(6), "lost", note="bag leaked"))
    left = on_shelf(book)
    assert [one.lot.name for one in left] == ["Chili", "Corn"]
    # 8 - 2.5 = 5.5 servings; 2 a bag, so 3 bags with one of them begun; 5.5 x 310.5 kcal
    assert (left[0].servings_left, left[0].bags_left, left[0].kcal_left) == (
        Decimal("5.5"),
        3,
        Decimal("1707.75"),
    )
    assert left[1].kcal_left is None
    assert [one.lot.name for one in on_shelf(book, all_lots=True)] == ["Stew", "Chili", "Corn"]
    assert [one.lot.name for one in on_shelf(book, "TOP corn")] == ["Corn"]
    with book.transaction():
        assert undo_eaten(book, event)
        remove_batch(book, batch)
    assert [(one.lot.name, one.lot.batch) for one in on_shelf(book)] == [
        ("Stew", None),
        ("Chili", None),
        ("Corn", None),
    ]
    with book.transaction():
        assert remove_lot(book, late)
    assert list_eaten(book) == []


def test_more_than_is_left_cannot_be_eaten(book: Book) -> None:
    with book.transaction():
        lot = store_bags(book, ShelfLot("Chili", DAY, 1, Decimal(2)))
        eat(book, Eaten(lot, DAY, Decimal(1)))
    with pytest.raises(InputError, match="has 1 left"), book.transaction():
        eat(book, Eaten(lot, DAY, Decimal("1.5")))
    with pytest.raises(InputError, match="nothing is left of lot 99"), book.transaction():
        eat(book, Eaten(99, DAY, Decimal(1)))


@pytest.mark.parametrize(
    "event",
    [
        Eaten(1, DAY, Decimal(0)),
        Eaten(1, DAY, Decimal(1), "dinner"),
        Eaten(1, DAY, Decimal(1), currency="ZZZ"),
        Eaten(1, DAY, Decimal(1), "pouch", replaced_cost=Decimal(-1)),
        Eaten(1, DAY, Decimal(1), "nothing", replaced_cost=Decimal(3)),
    ],
    ids=str,
)
def test_an_impossible_meal_is_refused(book: Book, event: Eaten) -> None:
    with book.transaction():
        store_bags(book, ShelfLot("Chili", DAY, 1, Decimal(2)))
    with pytest.raises(InputError), book.transaction():
        eat(book, event)


@pytest.mark.parametrize(
    "lot",
    [
        ShelfLot("", DAY, 1, Decimal(1)),
        ShelfLot("a", DAY, 0, Decimal(1)),
        ShelfLot("a", DAY, 1, Decimal(0)),
        ShelfLot("a", DAY, 1, Decimal(1), "nobody"),
        ShelfLot("a", DAY, 1, Decimal(1), best_by=date(2025, 1, 1)),
        ShelfLot("a", DAY, 1, Decimal(1), kcal_per_serving=Decimal(-1)),
    ],
    ids=str,
)
def test_an_impossible_lot_is_refused(book: Book, lot: ShelfLot) -> None:
    with pytest.raises(InputError), book.transaction():
        store_bags(book, lot)


def test_what_is_not_there_cannot_be_taken_out(book: Book) -> None:
    with pytest.raises(InputError, match="batch 'soup' is not in the book"), book.transaction():
        remove_batch(book, "soup")


@pytest.mark.parametrize("amount", ["1E+41", "1E-41", "0E-99"])
def test_a_number_that_fills_the_disk_is_refused(book: Book, amount: str) -> None:
    with pytest.raises(InputError, match="too large or too small"), book.transaction():
        add_purchase(book, Purchase("corn", DAY, Decimal(amount)))
