"""Reading batches: the public document format, and one test a kind of bad input."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.documents import Printed
from nutricost.errors import DocumentError
from nutricost.sources.documents.batch import batch_from_table, read_batch
from nutricost.sources.documents.write import batch_to_toml

# The example of the public document format, as it stands there.
EXAMPLE = """
title = "Turkey chili with sweet corn"
servings = 20
currency = "USD"

[[ingredients]]
line  = "8 cans turkey chili"
label = "turkey chili"
paid  = 12.00

[[ingredients]]
line = "3 lb frozen sweet corn"
paid = 8.97
for  = "5 lb"

[labels."turkey chili"]
serving_size = "150 g"
servings_per_container = 2.5
calories = 170
calories_per_container = 420
fat_g = 6
saturated_fat_g = 1.5
carbohydrate_g = 15
fiber_g = 4
sugar_g = 4
protein_g = 13
sodium_mg = 590
net_weight = "370 g"

[cooking]
weight = "4.2 kg"

[drying]
trays = 5
cycle_trays = 5
wet_weight = "4.2 kg"
dry_weight = "1.08 kg"
hours = 54
extra_hours = 6
energy = "31 kWh"
price_per_kwh = 0.17
residual_moisture = 0.03

[packing]
bags = 10
bag_price = 0.55
absorber_price = 0.12

[other_costs]
"pump oil" = 0.80

[rehydration]
water_used = "240 mL"
minutes = 8
rating = 4
note = "a little salt at the table"
"""

SMALL = 'title = "Chili"\nservings = 4\n[[ingredients]]\nline = "1 lb beans"\n'


def problems(text: str | bytes, *overrides: str) -> list[str]:
    with pytest.raises(DocumentError) as refused:
        read_batch((text, "batch.toml"), overrides)
    return [str(problem) for problem in refused.value.problems]


def test_the_example_of_the_format_is_read_whole() -> None:
    batch = read_batch((EXAMPLE, "batch.toml"))
    assert (batch.title, batch.servings.value, batch.servings.unit) == (
        "Turkey chili with sweet corn",
        Decimal(20),
        "serving",
    )
    chili, corn = batch.ingredients
    assert (chili.label, chili.paid and chili.paid.value) == ("turkey chili", Decimal("12.00"))
    assert corn.paid is not None
    assert corn.paid.value == Decimal("8.97")
    assert corn.paid.unit == "USD"
    assert corn.paid.name == "paid for 3 lb frozen sweet corn"
    assert corn.paid.source == "batch.toml: ingredients[1].paid"
    assert corn.paid.standing == "given"
    assert corn.shared_for == "5 lb"
    label = batch.labels["turkey chili"]
    assert label.serving_g == 150
    assert label.serving_ml is None
    assert label.printed["saturated_fat"] == Printed(Decimal("1.5"))
    assert label.container_printed == {"energy": Printed(Decimal(420))}
    assert label.net_weight is not None
    assert label.net_weight.value == 370
    assert batch.cooked_weight is not None
    assert batch.cooked_weight.value == 4200
    drying = batch.drying
    assert drying is not None
    assert [figure.value for figure in drying.wet_weight] == [4200]
    assert [figure.value for figure in drying.dry_weight] == [1080]
    assert drying.energy is not None
    assert (drying.energy.value, drying.energy.unit) == (Decimal(31), "kWh")
    assert drying.price_per_kwh is not None
    assert (drying.price_per_kwh.value, drying.price_per_kwh.unit) == (Decimal("0.17"), "USD/kWh")
    assert batch.packing is not None
    assert batch.packing.bags is not None
    assert batch.packing.bag_price is not None
    assert (batch.packing.bags * batch.packing.bag_price).unit == "USD"
    assert batch.other_costs["pump oil"].value == Decimal("0.80")
    assert batch.rehydration is not None
    assert batch.rehydration.water_used is not None
    assert batch.rehydration.water_used.value == 240
    assert batch.rehydration.rating == 4


def test_a_bom_and_windows_line_ends_change_nothing() -> None:
    windows = b"\xef\xbb\xbf" + EXAMPLE.replace("\n", "\r\n").encode()
    assert repr(read_batch((windows, "batch.toml"))) == repr(read_batch((EXAMPLE, "batch.toml")))


def test_what_is_left_out_is_none_and_never_zero() -> None:
    batch = read_batch((SMALL, "batch.toml"))
    assert batch.ingredients[0].paid is None
    assert (batch.drying, batch.packing, batch.rehydration, batch.cooked_weight) == (None, None, None, None)
    assert read_batch((SMALL + "paid = 0", "b")).ingredients[0].paid is not None
    alone = read_batch((SMALL + "[drying]\nresidual_moisture = 0.02", "b")).drying
    assert alone is not None
    assert alone.residual_moisture is not None


def test_the_further_keys() -> None:
    batch = read_batch(
        (
            'title = "A"\nservings = [18, 20]\ncooked = true\n'
            "made_on = 2026-04-30\nleftover_age_days = 2\n"
            '[[ingredients]]\nline = "beans"\nfood = "label:beans"\ngrams = 1360'
            '\npaid = "9.50 USD"\nnormal = [11, 12]\n'
            '[[ingredients]]\nline = "corn"\ngrams = ["1.3 kg", "1.4 kg"]\nfood = "ndb:11178"\n'
            '[labels.beans]\nserving_size = "1/2 cup (130 g)"'
            '\nservings_per_container = "about 3.5"\ncalories = 110\n'
            'fat_g = "<1"\nfiber_g = "less than 1 g"\nsugar_alcohol_g = 2'
            "\ncholesterol_mg = 5\nfat_g_per_container = 2\n"
            'ingredients = "BEANS, WATER, SALT"\nnet_volume = "15 fl oz"\nnet_weight = "15.5 oz"\n'
            '[drying]\ntrays = 2\nwet_weight = ["0.85 kg", "0.86 kg"]'
            '\ncost = [3.50, 5.00]\nhours = "2 days"\n'
            'scale_step = "1 g"\ntray_area_cm2 = 1200\n'
            '[[drying.weighings]]\nhours = 20\nweight = "0.5 kg"\n'
            '[[drying.weighings]]\nhours = 24\nweight = "0.51 kg"\n'
            '[packing]\nbag_weights = ["108 g", "112 g"]\nabsorber_sizes_cc = [100, 300]\nlot = "7"\n'
            'packed_on = "2026-05-01"\nabsorbers = 4\naltitude_m = 1600\n'
            '[[losses]]\nwhat = "tasted"\nservings = 1\n',
            "batch.toml",
        )
    )
    assert (batch.servings.low, batch.servings.value, batch.servings.high) == (
        Decimal(18),
        Decimal(19),
        Decimal(20),
    )
    assert (batch.cooked, batch.made_on, batch.leftover_age_days) == (
        True,
        date(2026, 4, 30),
        Decimal(2),
    )
    beans, corn = batch.ingredients
    assert (beans.label, beans.food, corn.food) == ("beans", None, "ndb:11178")
    assert beans.grams is not None
    assert (beans.grams.value, beans.grams.unit) == (Decimal(1360), "g")
    assert corn.grams is not None
    assert (corn.grams.low, corn.grams.high) == (Decimal(1300), Decimal(1400))
    label = batch.labels["beans"]
    assert (label.servings_per_container, label.servings_about) == (Decimal("3.5"), True)
    assert label.printed["fat"] == label.printed["fiber"] == Printed(Decimal(1), less_than=True)
    assert label.extra == {"sugar_alcohol": Printed(Decimal(2)), "cholesterol": Printed(Decimal(5))}
    assert label.container_printed == {"fat": Printed(Decimal(2))}
    assert label.ingredients_text == "BEANS, WATER, SALT"
    # NIST Handbook 44, appendix C: outside the serving size the ounce is 28.349523125 g
    assert label.net_weight is not None
    assert label.net_weight.value == Decimal("15.5") * Decimal("28.349523125")
    drying = batch.drying
    assert drying is not None
    assert [tray.value for tray in drying.wet_weight] == [850, 860]
    assert drying.cost is not None
    assert (drying.cost.low, drying.cost.value, drying.cost.high) == (
        Decimal("3.5"),
        Decimal("4.25"),
        Decimal(5),
    )
    assert drying.hours is not None
    assert drying.hours.value == 48
    # weights that rise are for the judge of the drying, not an error of the document
    assert [weighing.weight.value for weighing in drying.weighings] == [500, 510]
    packing = batch.packing
    assert packing is not None
    assert [bag.value for bag in packing.bag_weights] == [108, 112]
    assert packing.absorber_sizes_cc == (Decimal(100), Decimal(300))
    assert (packing.lot, packing.packed_on, packing.altitude_m) == (
        "7",
        date(2026, 5, 1),
        Decimal(1600),
    )
    assert [(loss.what, loss.servings.value) for loss in batch.losses] == [("tasted", Decimal(1))]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        pytest.param(
            'trays = 5\nwet_weight = ["4.1 kg", "4.3 kg"]', [(4100, 4300)], id="pair where trays differ"
        ),
        pytest.param(
            'trays = 2\nwet_weight = ["4.1 kg", "4.3 kg"]', [(4100, 4100), (4300, 4300)], id="two trays"
        ),
        pytest.param('wet_weight = [["4.1 kg", "4.3 kg"]]', [(4100, 4300)], id="pair said to be one"),
        pytest.param(
            'trays = 2\nwet_weight = [["1 kg", "2 kg"], "3 kg"]',
            [(1000, 2000), (3000, 3000)],
            id="pair in a tray",
        ),
    ],
)
def test_weights_in_all_or_by_tray(written: str, expected: list[tuple[int, int]]) -> None:
    drying = read_batch((SMALL + "[drying]\n" + written, "b")).drying
    assert drying is not None
    assert [(int(figure.low), int(figure.high)) for figure in drying.wet_weight] == expected


# -- bad input ------------------------------------------------------------------------------------

LABEL = '[labels.beans]\nserving_size = "130 g"\ncalories = 110\n'


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param(
            SMALL + "pad = 3", "ingredients[0].pad: unknown key; the nearest known key is 'paid'", id="key"
        ),
        pytest.param(
            "servngs = 4\n" + SMALL, "servngs: unknown key; the nearest known key is 'servings'", id="top key"
        ),
        pytest.param(
            SMALL + "[drying]\nhour = 3", "drying.hour: unknown key; the nearest known key is 'hours'", id="t"
        ),
        pytest.param(
            SMALL + "currency = 'USD'", "unknown key; it belongs above the first table", id="misplaced"
        ),
        pytest.param(
            SMALL + LABEL + "fat = 3",
            "labels.beans.fat: unknown key; the nearest known key is 'fat_g'",
            id="l",
        ),
        pytest.param(SMALL + 'paid = [1, "x"]', "ingredients[0].paid: 'x' is not money", id="money in words"),
        pytest.param(SMALL + "paid = true", "ingredients[0].paid: true is a truth value", id="wrong type"),
        pytest.param(
            SMALL + "drying = 5",
            "ingredients[0].drying: unknown key; it belongs above",
            id="table in the wrong place",
        ),
        pytest.param(
            "drying = 5\n" + SMALL, "drying: 5 is a number (accepted: a table [drying])", id="no table"
        ),
        pytest.param(
            'title = "A"\nservings = 4\ningredients = "beans"', "ingredients: 'beans' is text", id="no tables"
        ),
        pytest.param(
            'title = "A"\nservings = 4\ningredients = []', "ingredients: is empty", id="no ingredient"
        ),
        pytest.param(
            'title = "A"\nservings = 4\ningredients = [3]',
            "ingredients[0]: 3 is a number",
            id="no table in it",
        ),
        pytest.param(
            SMALL + "[packing]\npacked_on = 9999-05-01\n",
            "packing.packed_on: 9999-05-01 is no date of food (accepted: a date such as 2026-05-01)",
            id="beyond the calendar once it has kept for decades",
        ),
        pytest.param(SMALL.replace("4", "nan"), "servings: NaN is not a finite number", id="NaN"),
        pytest.param(SMALL.replace("4", "inf"), "servings: Infinity is not a finite number", id="infinity"),
        pytest.param(
            SMALL.replace("4", "1e99999999999999999999"), "servings: NaN is not", id="exponent too large"
        ),
        pytest.param(
            SMALL.replace("4", "1e300"), "servings: 1E+300 is too large (accepted: above 0)", id="huge"
        ),
        pytest.param(
            SMALL.replace("4", "1e-300"), "servings: 1E-300 is too small (accepted: above 0)", id="tiny"
        ),
        pytest.param(
            SMALL.replace("4", "0"), "servings: 0 is too small (accepted: above 0)", id="zero servings"
        ),
        pytest.param(SMALL.replace("4", '"four"'), "servings: 'four' is text", id="servings in words"),
        pytest.param(
            SMALL + "paid = -1", "ingredients[0].paid: -1 is too small (accepted: 0 or more)", id="negative"
        ),
        pytest.param(
            SMALL + "grams = -1", "ingredients[0].grams: -1 is too small (accepted: above 0)", id="grams"
        ),
        pytest.param(
            SMALL + "[drying]\ntrays = 0", "drying.trays: 0 is too small (accepted: above 0)", id="no trays"
        ),
        pytest.param(
            SMALL + "[packing]\nbags = 0", "packing.bags: 0 is too small (accepted: above 0)", id="no bags"
        ),
        pytest.param(
            SMALL + '[drying]\ndry_weight = "5 mL"',
            "drying.dry_weight: '5 mL' is no weight: mL cannot be read as g (accepted: ",
            id="volume for a weight",
        ),
        pytest.param(
            SMALL + '[drying]\nenergy = "5 g"', "drying.energy: '5 g' is no amount of energy", id="dimension"
        ),
        pytest.param(SMALL + '[drying]\ndry_weight = "5 stoone"', "unknown unit 'stoone'", id="unknown unit"),
        pytest.param(
            SMALL + "[drying]\ndry_weight = 1.08",
            "drying.dry_weight: 1.08 has no unit (accepted: ",
            id="bare",
        ),
        pytest.param(
            SMALL + '[drying]\ndry_weight = "1.08"', "'1.08': no unit given", id="bare number in a text"
        ),
        pytest.param(
            SMALL + '[drying]\nenergy = ["9 kWh", "8 kWh"]', "reversed: 9 kWh is above 8 kWh", id="reversed"
        ),
        pytest.param(
            SMALL + "paid = [1, 2, 3]", "ingredients[0].paid: a list of 3 (accepted: one value", id="triple"
        ),
        pytest.param(
            SMALL + 'paid = "3 EUR"', "'3 EUR' is in EUR, but the document is in USD", id="other currency"
        ),
        pytest.param('currency = "XYZ"\n' + SMALL, "currency: unknown currency 'XYZ'", id="unknown currency"),
        pytest.param(
            SMALL + 'label = "bens"\n' + LABEL, "there is no label 'bens'; the nearest is 'beans'", id="label"
        ),
        pytest.param(
            SMALL + 'label = "bens"',
            "there is no label 'bens' (accepted: a label that stands under",
            id="none",
        ),
        pytest.param(
            SMALL + 'food = "label:bens"\n' + LABEL,
            "ingredients[0].food: there is no label 'bens'",
            id="food",
        ),
        pytest.param(SMALL + 'food = "11178"', "ingredients[0].food: '11178' is no food key", id="food key"),
        pytest.param(
            SMALL + 'label="beans"\nfood="ndb:1"\n' + LABEL,
            "food: the line draws on label 'beans'",
            id="both",
        ),
        pytest.param(SMALL + 'for = "lots"', "for: 'lots' does not start with an amount", id="for"),
        pytest.param(
            SMALL + "[drying]\nresidual_moisture = 1", "residual_moisture: 1 is too large", id="all moisture"
        ),
        pytest.param(
            SMALL + "[drying]\nresidual_moisture = -0.1",
            "residual_moisture: -0.1 is too small",
            id="moisture",
        ),
        pytest.param(
            SMALL + '[drying]\nwet_weight = "1 kg"\ndry_weight = "1.2 kg"',
            "drying.dry_weight: the dry weight, 1200 g, is above the weight loaded, 1000 g",
            id="dry above wet",
        ),
        pytest.param(
            SMALL + '[cooking]\nweight = "1 kg"\n[drying]\ndry_weight = "1.2 kg"',
            "drying.dry_weight: the dry weight, 1200 g, is above the weight cooked, 1000 g",
            id="dry above cooked",
        ),
        pytest.param(
            SMALL + '[drying]\ntrays = 5\nwet_weight = ["1 kg", "1 kg", "1 kg"]',
            "drying.wet_weight: 3 weights for 5 trays",
            id="trays without a weight",
        ),
        pytest.param(
            SMALL + '[drying]\nwet_weight = ["1 kg", "1 kg"]', "two trays or an estimate", id="trays or pair"
        ),
        pytest.param(SMALL + "[drying]\nwet_weight = []", "drying.wet_weight: is empty", id="no weights"),
        pytest.param(
            SMALL + "[drying]\ntrays = 5\ncycle_trays = 4",
            "drying.cycle_trays: 4 trays in the whole load are fewer than the 5 of the batch",
            id="cycle trays",
        ),
        pytest.param(
            SMALL + '[drying]\nweighings = [{hours = 50, weight = "1 kg"}, {hours = 50, weight = "1 kg"}]',
            "drying.weighings[1].hours: 50 h do not come after the 50 h before",
            id="hours do not rise",
        ),
        pytest.param(
            SMALL + "[[drying.weighings]]\nhours = 5", "drying.weighings[0].weight: missing", id="no weight"
        ),
        pytest.param(
            SMALL + "[rehydration]\nrating = 6", "rehydration.rating: 6 is out of range", id="rating"
        ),
        pytest.param(
            SMALL + "[rehydration]\nrating = 4.5", "rehydration.rating: 4.5 is a number", id="half a rating"
        ),
        pytest.param('made_on = "May"\n' + SMALL, "made_on: 'May' is text, not a date", id="date"),
        pytest.param(
            'cooked = "yes"\n' + SMALL, "cooked: 'yes' is text (accepted: true or false)", id="flag"
        ),
        pytest.param(
            SMALL + '[[losses]]\nwhat = "spilt"\nservings = 5',
            "losses: 5 servings lost of 4 made",
            id="losses",
        ),
        pytest.param(
            SMALL + "[packing]\naltitude_m = 9000", "packing.altitude_m: 9000 is too large", id="altitude"
        ),
        pytest.param(
            SMALL + "[packing]\nbag_weights = 5", "packing.bag_weights: 5 is a number", id="no list"
        ),
        pytest.param(
            SMALL + "[packing]\nbag_weights = [5]", "packing.bag_weights[0]: 5 has no unit", id="in a list"
        ),
        pytest.param(
            SMALL + "[drying]\nenergy = 20",
            "drying.energy: 20 has no unit (accepted: an amount of energy with its unit",
            id="energy without a unit",
        ),
        pytest.param(
            SMALL + '[rehydration]\nminutes = "8 g"', "rehydration.minutes: '8 g' is no time", id="minutes"
        ),
        pytest.param(
            SMALL + "[other_costs]\noil = -1", "other_costs.oil: -1 is too small", id="negative other cost"
        ),
        pytest.param(
            SMALL + LABEL.replace("110", "-1"), "labels.beans.calories: -1 is too small", id="calories"
        ),
        pytest.param(
            SMALL + LABEL.replace("110", '"lots"'), "calories: 'lots' is no printed figure", id="printed"
        ),
        pytest.param(
            SMALL + "[labels.x]\ncalories = 1", "labels.x.serving_size: missing", id="no serving size"
        ),
        pytest.param(
            SMALL + '[labels.x]\nserving_size = "1 g"', "labels.x.calories: missing", id="no calories"
        ),
        pytest.param(
            SMALL + LABEL + 'sodium_mg = "0.5 g"',
            "sodium_mg: '0.5 g' is in g (accepted: mg",
            id="printed unit",
        ),
        pytest.param(
            SMALL + LABEL.replace("130 g", "some"), "'some' holds no weight or volume", id="serving size"
        ),
        pytest.param(
            SMALL + LABEL + "servings_per_container = 0", "servings_per_container: 0 is too small", id="count"
        ),
        pytest.param("title = ''\n" + SMALL.partition("\n")[2], "title: is empty", id="empty title"),
        pytest.param(
            "title = 3\n" + SMALL.partition("\n")[2], "title: 3 is a number (accepted: text", id="title"
        ),
        pytest.param(SMALL.replace("4", "1" * 5000), "unusable number", id="thousands of digits"),
        pytest.param("a = " + "[" * 100_000, "batch.toml: ", id="nested without end"),
        pytest.param(
            SMALL + f'[drying]\ndry_weight = "{"1" * 100_000} g"', "is too long", id="endless amount"
        ),
        pytest.param(
            "title = \n", "batch.toml: line 1, column 9: broken TOML: Invalid value", id="broken TOML"
        ),
        pytest.param(SMALL + 'x = "a', "batch.toml: line 5: broken TOML", id="broken at the end"),
        pytest.param("title = 1\n" + SMALL, "broken TOML", id="key twice"),
        pytest.param(b"\x00\x01\x02" * 100, "batch.toml: line 1, column 1: broken TOML", id="binary rubbish"),
        pytest.param(SMALL + "# \ud800", "batch.toml: line 5: is not UTF-8 text", id="half a letter"),
        pytest.param(SMALL.encode() + b"# caf\xe9", "batch.toml: line 5: is not UTF-8 text", id="not UTF-8"),
    ],
)
def test_bad_input_is_one_problem_that_says_where_and_what(text: str | bytes, expected: str) -> None:
    found = problems(text)
    assert len(found) == 1, found
    assert found[0].startswith("batch.toml: ")
    assert expected in found[0]


@pytest.mark.parametrize(
    ("written", "minutes"),
    # Was: a time with its unit, as everywhere else, was refused for minutes.
    [("8", "8"), ('"8 min"', "8"), ('"0.2 h"', "12"), ('"90 s"', "1.5"), ('"10 min"', "10"), ("7.5", "7.5")],
)
def test_minutes_are_a_number_or_a_time(written: str, minutes: str) -> None:
    read = read_batch((f"{SMALL}[rehydration]\nminutes = {written}\n", "batch.toml")).rehydration
    assert read is not None
    assert f"{read.minutes:f}" == minutes


def test_an_empty_file_reports_each_missing_key() -> None:
    assert [line.split(": ")[1] for line in problems("")] == ["title", "servings", "ingredients"]


def test_all_problems_come_in_one_go_in_the_order_of_the_file() -> None:
    text = (
        'titel = "x"\nservings = 0\n[[ingredients]]\npaid = -1\n[drying]\ntrays = "x"\n[packing]\nbag = 3\n'
    )
    keys = [line.split(": ")[1] for line in problems(text)]
    assert keys == [
        "title",
        "titel",
        "servings",
        "ingredients[0].line",
        "ingredients[0].paid",
        "drying.trays",
        "packing.bag",
    ]


def test_an_unknown_currency_is_not_reported_at_every_price() -> None:
    assert len(problems('currency = "XYZ"\n' + SMALL + 'paid = "3 EUR"\nnormal = 3')) == 1


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    for path, what in ((tmp_path / "none.toml", "no such file"), (tmp_path, "is a folder")):
        with pytest.raises(DocumentError, match=what):
            read_batch(path)
    large = tmp_path / "large.toml"
    with large.open("wb") as file:
        file.truncate(20_000_001)
    with pytest.raises(DocumentError, match="larger than 20 MB"):
        read_batch(large)
    with pytest.raises(DocumentError, match="cannot be read"):
        read_batch("a\0b")


# -- overrides ------------------------------------------------------------------------------------


def test_overrides_change_values_before_reading() -> None:
    batch = read_batch(
        (EXAMPLE, "batch.toml"),
        [
            "drying.energy=40 kWh",
            "ingredients[0].paid=9.50",
            "drying.cost = [3, 4]",
            'labels."turkey chili".fat_g=<1',
            "losses=[{what='tasted', servings=1}]",
        ],
    )
    assert batch.drying is not None
    assert batch.drying.energy is not None
    assert batch.drying.cost is not None
    assert batch.ingredients[0].paid is not None
    assert (batch.drying.energy.value, batch.drying.cost.high) == (Decimal(40), Decimal(4))
    assert batch.ingredients[0].paid.value == Decimal("9.50")
    assert batch.labels["turkey chili"].printed["fat"] == Printed(Decimal(1), less_than=True)
    assert len(batch.losses) == 1
    assert read_batch((SMALL, "b"), ["packing.bags=3"]).packing is not None


@pytest.mark.parametrize(
    ("override", "expected"),
    [
        pytest.param(
            "drying.enrgy=3", "drying.enrgy: unknown key; the nearest known key is 'energy'", id="key"
        ),
        pytest.param("ingredients[5].paid=3", "ingredients has 2 items, counted from 0", id="index"),
        pytest.param("title.x=3", "title is no table", id="no table"),
        pytest.param("title[0]=3", "title is no list", id="no list"),
        pytest.param("=3", "is no change of a value", id="no key"),
        pytest.param("servings", "is no change of a value", id="no value"),
        pytest.param("servings=1\nx=2", "servings: ", id="more than one value"),
    ],
)
def test_overrides_that_fit_nothing(override: str, expected: str) -> None:
    (problem,) = problems(EXAMPLE, override)
    assert expected in problem


# -- round trip -----------------------------------------------------------------------------------

names = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=12)
names = names.map(str.strip).filter(bool)
positive = st.decimals("0.01", "9999", places=2)
money = st.one_of(
    positive,
    st.tuples(positive, positive).map(lambda pair: [min(pair), max(pair)]),
    positive.map(lambda a: f"{a} USD"),
)
weight = st.builds("{} {}".format, positive, st.sampled_from(["g", "kg", "oz", "lb"]))
printed = st.one_of(st.integers(0, 900), st.just("<1"))


@st.composite
def batches(draw: st.DrawFn) -> dict[str, object]:
    labels = draw(
        st.dictionaries(
            names,
            st.fixed_dictionaries(
                {"serving_size": st.just("150 g"), "calories": printed},
                optional={"fat_g": printed, "sodium_mg": printed, "net_weight": weight},
            ),
            max_size=2,
        )
    )
    line = st.fixed_dictionaries(
        {"line": names},
        optional={"paid": money, "normal": money, "grams": weight}
        | ({"label": st.sampled_from(sorted(labels))} if labels else {}),
    )
    return draw(
        st.fixed_dictionaries(
            {"title": names, "servings": positive, "ingredients": st.lists(line, min_size=1, max_size=3)},
            optional={
                "packing": st.fixed_dictionaries({"bags": st.integers(1, 50)}, optional={"bag_price": money}),
                "other_costs": st.dictionaries(names, money, max_size=2),
                "drying": st.fixed_dictionaries({}, optional={"wet_weight": weight, "hours": positive}),
            },
        )
    ) | ({"labels": labels} if labels else {})


@settings(max_examples=40)
@given(batches())
def test_a_batch_written_as_toml_reads_back_as_the_same(content: dict[str, object]) -> None:
    written = batch_to_toml(content)
    there, back = batch_from_table(content, "batch.toml"), read_batch((written, "batch.toml"))
    assert repr(there) == repr(back)


@settings(max_examples=60)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200)))
def test_rubbish_is_refused_and_never_crashes(rubbish: bytes | str) -> None:
    with pytest.raises(DocumentError):
        read_batch((rubbish, "batch.toml"))
