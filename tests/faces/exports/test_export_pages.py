"""HTML pages: escaped, self-contained, well-formed; PDF sheets that open."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from html.parser import HTMLParser

import pytest
from exported_offers import FORMULA_NAME, MARKUP_NAME, invented_comparison

from nutricost.api.comparing import Comparison
from nutricost.api.sensitivity import energy_per_money
from nutricost.domain.packing.bag_label import BagLabel, bag_label
from nutricost.domain.quantities import Figure
from nutricost.faces.exports import comparison_document, labels_document
from nutricost.faces.exports.pages import trace_page


@pytest.fixture(name="comparison")
def _comparison() -> Comparison:
    return invented_comparison()


VOID = {"meta", "br", "link", "img", "input", "hr"}


class Outline(HTMLParser):
    """Tags in order; fails on a tag that is closed out of turn."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def outline(page: str) -> Outline:
    parsed = Outline()
    parsed.feed(page)
    assert parsed.open == []
    return parsed


def label(title: str, **changes: object) -> BagLabel:
    shape: dict[str, object] = {
        "raw": False, "cooked": True, "servings": Figure.exact(2, "serving"),
        "energy_per_serving": Figure.exact(312, "kcal/serving"), "water_to_add": Figure.exact(375, "mL"),
        "allergens": ("milk",), "packed_on": date(2026, 3, 1), "lot": "A-17",
    }  # fmt: skip
    return bag_label(title, **(shape | changes))  # type: ignore[arg-type]


def test_the_comparison_page_escapes_names_and_fetches_nothing(comparison: Comparison) -> None:
    page = comparison_document(comparison, ".html").decode("utf-8")
    parsed = outline(page)
    tags = [tag for tag, _ in parsed.seen]
    assert "script" not in tags and "b" not in tags and "link" not in tags
    assert any(MARKUP_NAME in words for words in parsed.words)
    assert any(FORMULA_NAME in words for words in parsed.words)
    for _, attributes in parsed.seen:
        for name in ("src", "href", "xlink:href"):
            assert (attributes.get(name) or "#").startswith("#")
    assert not re.search(r"@import|url\((?!#)", page)


def test_ids_of_the_comparison_page_are_unique(comparison: Comparison) -> None:
    parsed = outline(comparison_document(comparison, ".html").decode("utf-8"))
    ids = [attributes["id"] for _, attributes in parsed.seen if "id" in attributes]
    assert len(set(ids)) == len(ids)
    named = [a["aria-labelledby"] for tag, a in parsed.seen if tag == "svg" and "aria-labelledby" in a]
    assert len(named) == 3 and set(named) <= set(ids)


def test_the_trace_page_folds_down_to_the_inputs(comparison: Comparison) -> None:
    parsed = outline(trace_page(energy_per_money(comparison.offers[0]), "measures.kcal_per_<usd>"))
    text = " ".join(parsed.words)
    assert "details" in [tag for tag, _ in parsed.seen]
    assert "batch.toml: drying.cost" in text and "measures.kcal_per_<usd>" in text
    # 20.00 of 30.16 USD.
    assert "66.3 % of the total" in text


def test_a_label_page_says_raw_and_escapes(comparison: Comparison) -> None:
    page = labels_document([label("<i>Beef</i>", raw=True, cooked=False)], "html").decode("utf-8")
    parsed = outline(page)
    assert "i" not in [tag for tag, _ in parsed.seen]
    assert any("RAW: cook before eating" in words for words in parsed.words)


def test_labels_as_text_count_bags_that_are_alike() -> None:
    text = labels_document([label("Pot"), label("Pot"), label("Pot", lot="B")], "text").decode("utf-8")
    assert text.startswith("2 bags alike:\nPot\n")
    assert text.count("Pot\n") == 2 and "Lot B" in text


@pytest.mark.parametrize(("count", "pages"), [(1, 1), (8, 1), (9, 2)])
def test_eight_labels_go_on_a_sheet(count: int, pages: int) -> None:
    many = tuple(f"allergen {number}" for number in range(40))
    content = labels_document([label("A long title & <markup> " * 4, allergens=many)] * count, "pdf")
    assert content.startswith(b"%PDF-") and content.rstrip().endswith(b"%%EOF")
    assert page_count(content) == pages


def test_the_comparison_pdf_has_pages_and_is_the_same_each_time(comparison: Comparison) -> None:
    content = comparison_document(comparison, ".pdf")
    assert page_count(content) >= 2
    assert content == comparison_document(comparison, ".pdf")


def page_count(content: bytes) -> int:
    """Page objects of a PDF (ISO 32000-1, 7.7.3.3: /Type /Page)."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", content))


def test_water_on_a_label_is_in_kitchen_units() -> None:
    # 375 mL / 236.588 mL a US cup (NIST Handbook 44, appendix C) = 1.585, to a quarter: 1.5.
    text = labels_document([label("Pot", weight=Figure.exact(Decimal("150.4"), "g"))], "text").decode()
    assert "Add 375 mL (1.5 cups) of water" in text and "Dry weight: 150 g" in text
