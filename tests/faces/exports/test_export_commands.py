"""The commands that write files, on the invented demo documents."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path

import pytest
from click.testing import CliRunner

from nutricost.errors import InputError
from nutricost.faces.cli import app

DEMO = Path(str(resources.files("nutricost.data") / "demo"))
BATCH, POUCHES = str(DEMO / "lentil-kits.toml"), str(DEMO / "pouches.csv")


def run(*words: str, stdin: str | None = None) -> str:
    result = CliRunner().invoke(app, words, input=stdin, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_compare_writes_every_format_and_the_plot(tmp_path: Path) -> None:
    files = [tmp_path / f"table{ending}" for ending in (".csv", ".xlsx", ".md", ".html", ".parquet", ".pdf")]
    exports = [word for path in files for word in ("--export", str(path))]
    out = run(
        "compare", BATCH, "--pouches", POUCHES, "--sensitivity", "--plot", str(tmp_path / "moves.svg"),
        *exports,
    )  # fmt: skip
    assert all(path.stat().st_size > 500 for path in files)
    assert (tmp_path / "moves.svg").exists()
    assert "What it would do if an exact input were 10 % lower or higher" in out


def test_the_payback_has_a_picture_of_its_own_and_on_the_page(tmp_path: Path) -> None:
    machine = str(DEMO / "machine.toml")
    run("payback", BATCH, "--pouches", POUCHES, "--machine", machine, "--picture", str(tmp_path / "cash.png"))
    assert (tmp_path / "cash.png").read_bytes().startswith(b"\x89PNG")
    page = tmp_path / "page.html"
    run("compare", BATCH, "--pouches", POUCHES, "--machine", machine, "--export", str(page))
    assert "When the machine has paid for itself" in page.read_text(encoding="utf-8")


def test_card_writes_markdown_and_html() -> None:
    assert run("card", BATCH, "--format", "markdown").startswith("# Lentil curry with peas\n")
    page = run("card", BATCH, "--format", "html")
    assert page.startswith("<!DOCTYPE html>") and "a little salt at the table" in page


def test_trace_writes_a_page(tmp_path: Path) -> None:
    run("trace", BATCH, "per_serving.cost", "--html", str(tmp_path / "trace.html"))
    assert "lentil-kits.toml" in (tmp_path / "trace.html").read_text(encoding="utf-8")


def test_labels_as_text_json_html_and_pdf(tmp_path: Path) -> None:
    assert run("labels", BATCH, "--date", "2026-03-01").startswith("8 bags alike:\nLentil curry with peas\n")
    labels = json.loads(run("labels", BATCH, "--lot", "A-17", "--json"))
    assert len(labels) == 8 and labels[0]["lot"] == "A-17"
    assert labels[0]["water_to_add"]["value"] == 340 and labels[0]["water_to_add"]["unit"] == "mL"
    assert "Best by" in run("labels", BATCH, "--date", "2026-03-01", "--format", "html")
    run("labels", BATCH, "--format", "pdf", "--out", str(tmp_path / "labels.pdf"))
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF-")


def test_a_pdf_without_a_file_is_wrong_usage() -> None:
    assert CliRunner().invoke(app, ["labels", BATCH, "--format", "pdf"]).exit_code == 2


def test_an_unknown_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"accepted: \.csv"):
        run("compare", BATCH, "--pouches", POUCHES, "--export", str(tmp_path / "table.docx"))


def test_sensitivity_is_in_the_json_for_each_batch() -> None:
    plain = json.loads(run("compare", BATCH, "--pouches", POUCHES, "--json"))
    assert "sensitivity" not in plain
    (found,) = json.loads(run("compare", BATCH, "--pouches", POUCHES, "--sensitivity", "--json"))[
        "sensitivity"
    ]
    home = plain["offers"][0]
    assert found["name"] == home["name"] and found["figure"] == home["measures"]["kcal_per_usd"]
    for effect in found["if_ten_percent_off"]:
        assert effect["low"] < effect["high"]
    # By hand: energy / cost, so 10 % more electricity (2.90 kWh at 0.17 USD) adds 0.493 USD to the cost.
    electricity = next(each for each in found["if_ten_percent_off"] if each["unit"] == "kWh")
    cost = json.loads(run("card", BATCH, "--json"))["costs"]["total"]["value"]
    assert electricity["at_high"] == pytest.approx(found["figure"]["value"] * cost / (cost + 0.493), rel=1e-6)


def test_the_payback_on_the_page_is_of_the_batches_compared(tmp_path: Path) -> None:
    """What --set changes moves the payback's picture too, and standard input is read only once."""
    machine, text = str(DEMO / "machine.toml"), Path(BATCH).read_text(encoding="utf-8")
    asked = ("--pouches", POUCHES, "--machine", machine, "--export")
    pages = [tmp_path / name for name in ("as-is.html", "changed.html", "piped.html")]
    run("compare", BATCH, *asked, str(pages[0]))
    run("compare", BATCH, *asked, str(pages[1]), "--set", "drying.price_per_kwh=2")
    run("compare", "-", *asked, str(pages[2]), stdin=text)
    as_is, changed, piped = (_payback_section(page) for page in pages)
    assert as_is == piped != changed


def _payback_section(page: Path) -> str:
    """The numbers beside the payback's picture."""
    text = page.read_text(encoding="utf-8")
    section = text[text.index("When the machine has paid for itself") :]
    return section[section.index("<details") : section.index("</details>")]
