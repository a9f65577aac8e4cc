"""The recipe card as text, Markdown and HTML: the same tables, sentences and figures in all three."""

from __future__ import annotations

import html
import re

import pytest

from nutricost.api.card_parts import CardList, CardPart, CardTable
from nutricost.api.card_tables import card_parts
from nutricost.api.cards import Card
from nutricost.api.documents import cards_of
from nutricost.api.drying_details import gas_figure
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown
from nutricost.faces.cli.card import print_card
from nutricost.faces.exports import card_document
from nutricost.faces.exports.markdown import escaped
from nutricost.sources.documents import batch_from_table
from nutricost.sources.documents.loading import parse_toml

FULL = """
title = "Invented pot *with* <marks>"
servings = 10
cooked = true
[[ingredients]]
line = "2000 g raw shallots"
food = "ndb:11677"
paid = 10.00
[drying]
trays = 2
wet_weight = ["1000 g", "1000 g"]
dry_weight = ["220 g", "210 g"]
scale_step = "1 g"
hours = 40
energy = "20 kWh"
price_per_kwh = 0.20
[packing]
bags = 2
bag_price = 0.50
absorber_price = 0.25
bag_weights = ["200 g", "230 g"]
bag_volume = "1900 mL"
bulk_volume = "2400 mL"
lot = "A-17"
packed_on = 2026-03-01
[rehydration]
water_used = "150 mL"
minutes = 9
note = "a little salt"
"""
"""Invented. USDA SR28, NDB 11677, Shallots, raw: 79.80 g water in 100 g."""


@pytest.fixture(scope="module")
def card() -> Card:
    return cards_of([batch_from_table(parse_toml(FULL, "pot.toml"), "pot.toml")], {})[0]


@pytest.fixture(scope="module")
def parts(card: Card) -> list[CardPart]:
    return card_parts(card, gas_figure("12 g"))


def one_line(text: str) -> str:
    return " ".join(text.split())


def documents(card: Card, capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    gas = gas_figure("12 g")
    print_card(card, gas)
    return {
        "text": one_line(capsys.readouterr().out),
        "markdown": one_line(card_document(card, "markdown", gas)),
        "html": one_line(html.unescape(re.sub(r"<[^>]+>", " ", card_document(card, "html", gas)))),
    }


def test_every_form_shows_every_part(
    card: Card, parts: list[CardPart], capsys: pytest.CaptureFixture[str]
) -> None:
    for form, document in documents(card, capsys).items():
        as_written = escaped if form == "markdown" else one_line
        for part in parts:
            assert as_written(part.title) in document, (form, part.title)
            for sentence in part.items if isinstance(part, CardList) else part.notes:
                # the terminal breaks a long word at a hyphen, so the first words tell
                assert as_written(sentence)[:40] in document, (form, sentence)
            if isinstance(part, CardTable):
                figures = [cell for row in part.rows for cell in row if not isinstance(cell, str)]
                assert all(shown(figure) in document for figure in figures), (form, part.title)


def test_the_parts_of_a_batch_that_says_all(parts: list[CardPart]) -> None:
    assert [part.title for part in parts[:7]] == [
        "Lines", "What is in it", "What it costs", "Adding water", "Drying", "Trays [g]", "Packing",
    ]  # fmt: skip
    tables = {part.title: part for part in parts if isinstance(part, CardTable)}
    # By hand: 1000 - 220 and 1000 - 210 g of water; 2000 - 430 = 1570 g, 157 mL a serving.
    assert [shown(row[3]) for row in tables["Trays [g]"].rows if not isinstance(row[3], str)] == [
        "780",
        "790",
    ]
    water = {row[0]: row[1] for row in tables["Adding water"].rows}
    serving = water["a serving [mL]"]
    assert isinstance(serving, Figure) and shown(serving) == "157"
    assert "a bag [mL]" not in water  # the bags were weighed, so they are not alike
    said = " ".join(tables["Adding water"].notes)
    assert "150 mL a serving was used and 9 minutes" in said and "by your figure" in said
    packed = tables["Packing"]
    assert [row[0] for row in packed.rows] == ["1", "2"]
    assert "Marked: lot A-17, packed 2026-03-01." in packed.notes
    # 10 + 4 + 1.50 = 15.50 by 200 : 230 g, to the cent
    assert [shown(row[5]) for row in packed.rows if not isinstance(row[5], str)] == ["7.21", "8.29"]


def test_a_batch_that_says_little_has_no_empty_tables(capsys: pytest.CaptureFixture[str]) -> None:
    few = 'title = "Little"\nservings = 2\n[[ingredients]]\nline = "100 g raw shallots"\nfood = "ndb:11677"\n'
    card = cards_of([batch_from_table(parse_toml(few, "few.toml"), "few.toml")], {})[0]
    parts = card_parts(card)
    assert "Trays [g]" not in [part.title for part in parts]
    assert all(part.items for part in parts if isinstance(part, CardList))
    packing = next(part for part in parts if part.title == "Packing")
    assert isinstance(packing, CardTable) and not packing.rows and packing.notes
    for document in documents(card, capsys).values():
        assert "Packing" in document and "not known" in document


def test_an_unknown_saving_has_no_currency() -> None:
    # Was: 'not known USD'.
    half = FULL.replace("paid = 10.00", 'paid = 4.00\nnormal = 10.00\n[[ingredients]]\nline = "1 g salt"')
    said = []
    for text in (half, half.replace("1 g salt", '1 g salt"\npaid = "0')):
        card = cards_of([batch_from_table(parse_toml(text, "pot.toml"), "pot.toml")], {})[0]
        (money,) = (part for part in card_parts(card) if part.title == "What it costs")
        assert isinstance(money, CardTable)
        said.append(money.notes[0])
    # 10 for the shallots, 4 of electricity, 1.50 of packing.
    assert said == [
        "At usual prices: not known; the markdown saved: not known.",
        "At usual prices: 15.50 USD; the markdown saved: 6.00 USD.",
    ]


def test_a_table_in_markdown_has_as_many_cells_in_every_row(card: Card) -> None:
    """GitHub Flavored Markdown 4.10: the delimiter row must match the header row."""
    rows = [line for line in card_document(card, "markdown").splitlines() if line.startswith("|")]
    widths = [len(re.findall(r"(?<!\\)\|", row)) for row in rows]
    starts = [number for number, row in enumerate(rows) if set(row) <= set("| -:") and "-" in row]
    for start, end in zip(starts, [*(each - 1 for each in starts[1:]), len(rows)], strict=True):
        assert len(set(widths[start - 1 : end])) == 1


def test_the_html_card_escapes_what_was_typed(card: Card) -> None:
    page = card_document(card, "html")
    assert "Invented pot *with* &lt;marks&gt;" in page and "<marks>" not in page
    assert "<script" not in page and "http" not in re.sub(r"<small>.*?</small>", "", page)
