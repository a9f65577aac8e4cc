"""Exports of the comparison open again in other libraries, with the numbers of the engine."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pandas as pd
import pyarrow.parquet as parquet
import pytest
from exported_offers import FORMULA_NAME, MARKUP_NAME, comparison_of, home_offer, invented_comparison, pouch

from nutricost.api.comparing import Comparison
from nutricost.api.tables import comparison_rows, offer_figures
from nutricost.domain.comparison import BASES
from nutricost.errors import InputError
from nutricost.faces.exports import COMPARISON_ENDINGS, comparison_document, export_comparison


@pytest.fixture(name="comparison")
def _comparison() -> Comparison:
    return invented_comparison()


def read_csv(comparison: Comparison) -> list[dict[str, str]]:
    text = comparison_document(comparison, ".csv").decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_csv_has_units_in_headers_and_the_engines_numbers(comparison: Comparison) -> None:
    rows = read_csv(comparison)
    figures = offer_figures(comparison.offers[0], "serving")
    assert rows[0]["name"] == "Invented lentil pot" and rows[0]["kind"] == "home"
    # Hand calculation: 20.00 + 4.00 + 5.36 + 0.80 = 30.16 USD over 16 servings = 1.885.
    assert Decimal(rows[0]["cost [USD/serving]"]) == Decimal("1.885")
    assert Decimal(rows[0]["cost, low [USD/serving]"]) == Decimal("1.8225")
    assert float(rows[0]["energy per USD [kcal/USD]"]) == pytest.approx(float(figures["kcal_per_usd"].must()))


def test_an_unknown_number_is_an_empty_cell_with_a_note(comparison: Comparison) -> None:
    row = read_csv(comparison)[2]
    assert row["weight [g/serving]"] == row["energy per gram [kcal/g]"] == ""
    assert "weight: not known (net_weight is not printed)" in row["notes"]


@pytest.mark.parametrize("start", ["=1+1", "+1", "-1", "@SUM(1)", "\t=1", "\r=1"])
def test_csv_text_that_a_spreadsheet_would_run_is_quoted(start: str) -> None:
    """The six first characters that OWASP's page on CSV injection names."""
    rows = read_csv(comparison_of(home_offer(start), pouch("plain", "10", "140", 300)))
    assert rows[0]["name"] == f"'{start}"
    assert rows[1]["name"] == "plain"


def test_csv_numbers_below_zero_stay_numbers(comparison: Comparison) -> None:
    home = comparison.offers[0]
    below = replace(home, cost=home.cost * -1)
    rows = read_csv(replace(comparison, offers=(below,)))
    assert Decimal(rows[0]["cost [USD/serving]"]) == Decimal("-1.885")


def test_xlsx_holds_numbers_with_formats_and_never_a_formula(comparison: Comparison) -> None:
    content = comparison_document(comparison, ".xlsx")
    book = openpyxl.load_workbook(io.BytesIO(content))
    sheet = book["Comparison"]
    header = {cell.value: place for place, cell in enumerate(sheet[1], start=1)}
    cost = sheet.cell(2, header["cost [USD/serving]"])
    assert cost.value == pytest.approx(1.885) and cost.data_type == "n" and cost.number_format == "#,##0.00"
    energy = sheet.cell(2, header["energy [kcal/serving]"])
    assert energy.value == pytest.approx(312.5) and energy.number_format == "#,##0"
    assert sheet.cell(3, 1).value == FORMULA_NAME and sheet.cell(3, 1).data_type == "s"
    assert sheet.cell(4, header["weight [g/serving]"]).value is None
    assert sheet.freeze_panes == "B2"
    assert [cell.value for cell in book["Said"]["A"]][:2] == ["basis", "statement"]
    with ZipFile(io.BytesIO(content)) as parts:
        written = b"".join(
            parts.read(name) for name in parts.namelist() if name.startswith("xl/worksheets/sheet")
        )
        assert b"<f>" not in written and b"hyperlink" not in written
        assert "xl/charts/chart1.xml" in parts.namelist()


def test_parquet_reads_in_pandas_with_units_in_names(comparison: Comparison, tmp_path: Path) -> None:
    path = tmp_path / "table.parquet"
    export_comparison(comparison, str(path))
    frame = pd.read_parquet(path)
    assert list(frame.columns) == [column.header for column in comparison_rows(comparison).columns]
    assert frame["cost [USD/serving]"].iloc[0] == pytest.approx(1.885)
    assert frame["weight [g/serving]"].isna().tolist() == [False, False, True]
    said = json.loads(parquet.read_schema(path).metadata[b"nutricost"])
    assert said["warnings"] == list(comparison.warnings)


def test_markdown_keeps_its_table_whatever_a_name_holds(comparison: Comparison) -> None:
    lines = comparison_document(comparison, ".md").decode("utf-8").splitlines()
    table = [line for line in lines if line.startswith("|")][:5]
    bars = [line.replace("\\|", "").count("|") for line in table]
    assert len(set(bars)) == 1
    assert "<script>" not in "\n".join(lines)


@pytest.mark.parametrize("basis", BASES)
def test_every_basis_has_one_unit_a_column(basis: str) -> None:
    table = comparison_rows(comparison_of(home_offer(), pouch("plain", "10", "140", 300), basis=basis))
    headers = [column.header for column in table.columns]
    assert len(set(headers)) == len(headers)
    assert all(len(row) == len(headers) for row in table.rows)
    if basis == "pouch":
        assert "cost [USD/pack]" in headers


def test_a_comparison_without_offers_is_still_a_table() -> None:
    empty = Comparison("serving", "USD", (), (), ())
    assert read_csv(empty) == []
    for ending in COMPARISON_ENDINGS:
        assert comparison_document(empty, ending)


def test_an_unknown_ending_names_the_known_ones(comparison: Comparison, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"accepted: \.csv, \.xlsx, \.md"):
        export_comparison(comparison, str(tmp_path / "table.docx"))
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_not_there_is_one_clear_line(comparison: Comparison, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        export_comparison(comparison, str(tmp_path / "nowhere" / "table.csv"))


def test_names_reach_every_format(comparison: Comparison) -> None:
    assert [row["name"] for row in read_csv(comparison)] == [
        "Invented lentil pot",
        f"'{FORMULA_NAME}",
        MARKUP_NAME,
    ]
