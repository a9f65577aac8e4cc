"""Reading pouches from CSV and XLSX. All names and prices are invented."""

from __future__ import annotations

import io
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.documents import Printed
from nutricost.errors import DocumentError
from nutricost.sources.documents.pouches import PouchFile, read_pouches

HEADER = (
    "name,price,servings,net_weight,calories,fat_g,saturated_fat_g,carbohydrate_g,fiber_g,sugar_g,protein_g,"
    "sodium_mg,calories_per_container,water_to_add,note"
)
GOOD = f"""{HEADER}
Hill stew,12.50,2,4.2 oz,250,<1,0,30,4,5,12,790,510,1 1/2 cups,good
Plain rice,$6,2.5,,180,,,,,,,,,,
"""


def read(content: str | bytes) -> PouchFile:
    return read_pouches((content, "pouches.csv"))


def test_the_columns_of_the_format() -> None:
    stew, rice = read(GOOD).pouches
    assert stew.name == "Hill stew"
    assert (stew.price.value, stew.price.unit) == (Decimal("12.50"), "USD")
    assert stew.price.source == "pouches.csv: line 2: price"
    label = stew.label
    assert label.servings_per_container == 2
    # NIST Handbook 44, appendix C: 28.349523125 g an ounce, 236.5882365 mL a cup
    assert label.net_weight is not None
    assert label.net_weight.value == Decimal("4.2") * Decimal("28.349523125")
    assert stew.water_to_add is not None
    assert stew.water_to_add.value == Decimal("1.5") * Decimal("236.5882365")
    assert label.printed["energy"] == Printed(Decimal(250))
    assert label.printed["fat"] == Printed(Decimal(1), less_than=True)
    assert label.container_printed == {"energy": Printed(Decimal(510))}
    assert label.serving_g is None
    # an empty cell is not printed, never zero
    assert set(rice.label.printed) == {"energy"}
    assert rice.label.net_weight is None
    assert rice.price.value == 6


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(GOOD.replace("\n", "\r\n").encode("utf-8-sig"), id="BOM and CRLF"),
        pytest.param(GOOD.encode("utf-16"), id="UTF-16"),
        pytest.param("\n\n" + GOOD + ",,,\n\n", id="blank lines"),
        pytest.param(GOOD.replace(",", "\t"), id="tabs"),
        pytest.param(GOOD.replace(",", ";"), id="semicolons"),
        pytest.param("sep=;\n" + GOOD.replace(",", ";"), id="separator said"),
        pytest.param(
            GOOD.replace(",", ";").replace("2.5;", "2,5;").replace("4.2", "4,2"), id="decimal commas"
        ),
        pytest.param(
            GOOD.replace("name,price", " Name ,PRICE").replace("net_weight", "Net weight"), id="headings"
        ),
        pytest.param(GOOD.replace("12.50", "12.50 USD"), id="currency said"),
    ],
)
def test_the_same_table_however_a_spreadsheet_saves_it(content: str | bytes) -> None:
    def plain(file: PouchFile) -> list[tuple[object, ...]]:
        return [
            (pouch.name, pouch.price.value, pouch.label.printed, pouch.label.servings_per_container,
             pouch.label.net_weight and pouch.label.net_weight.value, pouch.note)
            for pouch in file.pouches
        ]  # fmt: skip

    assert plain(read(content)) == plain(read(GOOD))
    assert not read(content).warnings


def test_columns_in_any_order_and_unknown_ones_named() -> None:
    file = read("shelf,calories,servings,price,name\n3,250,2,9,Stew\n")
    assert file.pouches[0].name == "Stew"
    (warning,) = file.warnings
    assert warning.severity == "warning"
    assert "column 'shelf' is not known" in str(warning)


def test_another_alphabet_saved_in_an_old_encoding_is_read_with_a_warning() -> None:
    file = read("name,price,servings,calories\nSoupe d'\u00e9t\u00e9,9,2,250\n".encode("latin-1"))
    assert file.pouches[0].name == "Soupe d'\u00e9t\u00e9"
    assert "Latin-1" in str(file.warnings[0])


def workbook(rows: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in rows:
        book.active.append(row)
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def test_a_spreadsheet_file() -> None:
    content = workbook(
        [["Calories", "Name", "Servings", "Price", "Net weight"], [250, "Stew", 2.5, 12.1, "4.2 oz"]]
    )
    (stew,) = read(content).pouches
    assert (stew.name, stew.price.value) == ("Stew", Decimal("12.1"))
    assert stew.label.servings_per_container == Decimal("2.5")
    assert stew.label.printed["energy"] == Printed(Decimal(250))


ROW = "name,price,servings,calories,net_weight,fat_g\n"


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        pytest.param("", "pouches.csv: is empty", id="empty"),
        pytest.param(ROW, "pouches.csv: no pouch in it", id="header alone"),
        pytest.param("name,servings,calories\nA,1,2", "line 1: no column 'price'", id="no price column"),
        pytest.param(
            "name,prize,servings,calories\nA,1,1,1", "perhaps 'prize' is meant", id="misspelt column"
        ),
        pytest.param("price," + ROW + "1,A,2,2,1", "line 1: two columns 'price'", id="column twice"),
        pytest.param(ROW + "A,,2,250", "line 2: price: is empty", id="no price"),
        pytest.param(ROW + ",9,2,250", "line 2: name: is empty", id="no name"),
        pytest.param(
            ROW + "A,0,2,250", "line 2: price: '0' is too small (accepted: above 0)", id="price of zero"
        ),
        pytest.param(ROW + "A,-3,2,250", "line 2: price: '-3' is too small", id="negative price"),
        pytest.param(ROW + "A,nan,2,250", "line 2: price: 'nan' is not money", id="price NaN"),
        pytest.param(ROW + "A,9 EUR,2,250", "line 2: price: '9 EUR' is in EUR", id="other currency"),
        pytest.param(
            ROW + 'A,"9,50",2,250', "line 2: price: '9,50' is not a number", id="comma in a comma file"
        ),
        pytest.param(ROW + "A,9,0,250", "line 2: servings: '0' is too small", id="no servings"),
        pytest.param(ROW + "A,9,two,250", "line 2: servings: 'two' is text", id="servings in words"),
        pytest.param(ROW + "A,9,2,-5", "line 2: calories: '-5' is no printed figure", id="negative calories"),
        pytest.param(
            ROW + "A,9,2,inf", "line 2: calories: 'inf' is no printed figure", id="infinite calories"
        ),
        pytest.param(ROW + "A,9,2,250,4.2", "line 2: net_weight: '4.2': no unit given", id="no unit"),
        pytest.param(ROW + "A,9,2,250,4 mL", "line 2: net_weight: '4 mL' is no weight", id="wrong dimension"),
        pytest.param(ROW + "A,9,2,250,4 oz,1 mg", "line 2: fat_g: '1 mg' is in mg", id="unit of a figure"),
        pytest.param(
            ROW + "A,9,2,250\n\nb,9,2,250\na,9,2,250", "line 5: name: 'a' is on line 2 too", id="name twice"
        ),
        pytest.param(
            ROW + "A,9,2,250,4 oz,1,7", "line 2: more cells than the header has", id="too many cells"
        ),
        pytest.param(ROW + 'A,9,2,"250', "line 2: broken CSV", id="open quote"),
        pytest.param(
            b"\x00\x01\x02\xff" * 50, "pouches.csv: holds bytes that are no text", id="binary rubbish"
        ),
        pytest.param(
            b"PK\x03\x04" + b"rubbish" * 20, "cannot be read as a spreadsheet", id="damaged spreadsheet"
        ),
        pytest.param(b"\xd0\xcf\x11\xe0" + b"\x00" * 20, "old binary spreadsheet", id="old spreadsheet"),
        pytest.param(b"\xff\xfe\x00", "holds bytes that are no text", id="half a letter"),
        pytest.param("a," * 600, "more than 500 columns", id="endless row"),
        pytest.param(workbook([]), "pouches.csv: is empty", id="empty spreadsheet"),
        pytest.param(
            workbook([["name", "price", "servings", "calories"], ["A", "=1/0", 2, 250]]),
            "line 2: price: is empty",
            id="formula without a value",
        ),
    ],
)
def test_bad_input_is_one_problem_that_says_where_and_what(content: str | bytes, expected: str) -> None:
    with pytest.raises(DocumentError) as refused:
        read(content)
    (problem,) = refused.value.problems
    assert str(problem).startswith("pouches.csv: ")
    assert expected in str(problem)


def test_all_problems_come_in_one_go_in_the_order_of_the_file() -> None:
    with pytest.raises(DocumentError) as refused:
        read(ROW + "A,0,2,250,5\nA,9,2,\n")
    assert [problem.where for problem in refused.value.problems] == [
        "pouches.csv: line 2: price",
        "pouches.csv: line 2: net_weight",
        "pouches.csv: line 3: calories",
        "pouches.csv: line 3: name",
    ]


def test_missing_columns_are_reported_together() -> None:
    with pytest.raises(DocumentError) as refused:
        read("what\nA\n")
    assert len(refused.value.problems) == 4


@settings(max_examples=60)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200), st.text("a,;\"\n\t'", max_size=60)))
def test_rubbish_is_refused_and_never_crashes(rubbish: bytes | str) -> None:
    with pytest.raises(DocumentError):
        read(rubbish)
