"""The same again: predicted weights, money and the written document, by hand calculation."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.api.again import again_file, same_again
from nutricost.api.again_document import again_document, write_again
from nutricost.api.cards import Card
from nutricost.api.documents import card_file
from nutricost.errors import DocumentError, InputError

D = Decimal
MakeCard = Callable[..., Card]

KITS = """
title = "Invented kits"
servings = 12
[[ingredients]]
line = "6 kits invented stew"
label = "stew"
paid = 12.00
[[ingredients]]
line = "2 lb raw shallots"
food = "ndb:11677"
paid = 6.45
for = "5 lb"
[[ingredients]]
line = "raw shallots"
food = "ndb:11677"
grams = "100 g"
paid = 1.00
[labels."stew"]
serving_size = "200 g"
servings_per_container = 2
calories = 200
fat_g = 5
carbohydrate_g = 30
protein_g = 8
sodium_mg = 500
[cooking]
weight = "3600 g"
[drying]
trays = 4
wet_weight = ["900 g", "900 g", "700 g", "700 g"]
dry_weight = "900 g"
hours = 50
energy = "28 kWh"
price_per_kwh = 0.20
weighings = [{ hours = 48, weight = "0.905 kg" }, { hours = 50, weight = "0.900 kg" }]
[packing]
bags = 6
bag_price = 0.50
bag_weights = ["150 g", "150 g", "150 g", "150 g", "150 g", "150 g"]
lot = "A-1"
[other_costs]
"pump oil" = 0.90
[rehydration]
water_used = "200 mL"
"""


def test_seven_packages_of_six(tmp_path: Path) -> None:
    path = tmp_path / "kits.toml"
    path.write_text(KITS, encoding="utf-8")
    again = again_file(str(path), D(7), "packages", of="stew")
    load = again.load
    assert float(again.factor.must()) == pytest.approx(7 / 6, rel=1e-20)
    assert float(load["servings"].must()) == pytest.approx(14, rel=1e-20)
    assert float(load["weight_wet"].must()) == pytest.approx(3200 * 7 / 6, rel=1e-12)
    # 900 x 7/6 = 1050 g dry; at 1 to 4 % residual moisture either time 0.96 / 0.99 to 0.99 / 0.96 of it.
    assert float(load["weight_dry"].must()) == pytest.approx(1050, rel=1e-12)
    assert float(load["weight_dry"].low) == pytest.approx(1050 * 0.96 / 0.99, rel=1e-12)
    assert float(load["weight_dry"].high) == pytest.approx(1050 * 0.99 / 0.96, rel=1e-12)
    assert float(load["water_removed"].must()) == pytest.approx(3200 * 7 / 6 - 1050, rel=1e-12)
    assert (load["trays"].must(), load["bags"].must()) == (D(5), D(7))
    # (12.00 + 2.58 + 1.00) x 3200/3600 x 7/6; 28 x 0.20 x 7/6; 7 bags; oil.
    assert float(again.costs["ingredients"].must()) == pytest.approx(15.58 * 3200 / 3600 * 7 / 6, rel=1e-9)
    assert float(again.costs["energy"].must()) == pytest.approx(5.6 * 7 / 6, rel=1e-9)
    assert again.costs["packing"].must() == D("3.5")


def test_the_written_batch_foretells_the_same(tmp_path: Path) -> None:
    path, new = tmp_path / "kits.toml", tmp_path / "again.toml"
    path.write_text(KITS, encoding="utf-8")
    again = again_file(str(path), D(7), "packages", of="stew")
    write_again(again, str(new))
    text = new.read_text(encoding="utf-8")
    for measured in ("dry_weight", "weighings", "hours", "bag_weights", "A-1", "rehydration"):
        assert measured not in text
    for line in ('"7 kits invented stew"', '"2.333 lb raw shallots"', 'grams = "116.7 g"', 'for = "5 lb"'):
        assert line in text
    card = card_file(str(new))
    assert float(card.costs.total.must()) == pytest.approx(float(again.costs["total"].must()), abs=0.03)
    assert float(card.content.loaded.must()) == pytest.approx(float(again.load["weight_wet"].must()), abs=1)
    assert float(card.per_serving["energy"].must()) == pytest.approx(
        float(again.card.per_serving["energy"].must()), rel=1e-3
    )
    with pytest.raises(InputError, match="is there already"):
        write_again(again, str(new))


def test_more_than_was_bought_takes_whole_purchases(tmp_path: Path) -> None:
    path = tmp_path / "kits.toml"
    path.write_text(KITS, encoding="utf-8")
    text = again_document(again_file(str(path), D(36), "servings"))
    # Three times 2 lb is more than 5 lb: two purchases.
    assert '"6 lb raw shallots"' in text and 'for = "10 lb"' in text and "paid = 12.9\n" in text


def test_which_packages_has_to_be_said(tmp_path: Path, make_card: MakeCard) -> None:
    path = tmp_path / "kits.toml"
    path.write_text(KITS.replace("2 lb raw", "2 bags raw").replace('for = "5 lb"', ""), encoding="utf-8")
    with pytest.raises(
        InputError, match=r"could be several lines.*6 kits invented stew.*2 bags raw shallots"
    ):
        again_file(str(path), D(7), "packages")
    with pytest.raises(InputError, match="names no line that counts packages"):
        again_file(str(path), D(7), "packages", of="beans")
    with pytest.raises(InputError, match="no line counts packages"):
        same_again(make_card(), D(3), "packages")


def test_trays_that_nobody_gave_are_missing(make_card: MakeCard) -> None:
    with pytest.raises(DocumentError, match=r"drying.trays: missing"):
        same_again(make_card(drying="hours = 40"), D(3), "trays")


def test_food_of_unstated_cooking_stays_unstated(make_card: MakeCard) -> None:
    """A [cooking] weight says that the food was cooked: none may come up by scaling."""
    again = same_again(make_card(), D(2), "trays", content={})
    text = again_document(again)
    assert "[cooking]" not in text and 'wet_weight = "1000 g"' in text


def test_a_third_of_the_trays_is_whole(make_card: MakeCard) -> None:
    drying = 'trays = 3\nwet_weight = "2000 g"\ndry_weight = "420 g"'
    assert same_again(make_card(drying=drying), D(5), "trays").load["trays"].must() == 5


def test_doubling_doubles_water_and_money(make_card: MakeCard) -> None:
    card = make_card()
    twice = same_again(card, D(8), "trays")
    assert twice.load["water_removed"].must() == 2 * card.content.water_removed.must()
    assert twice.costs["total"].must() == 2 * card.costs.total.must()
