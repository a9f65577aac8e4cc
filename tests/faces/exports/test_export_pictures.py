"""Pictures: the same bytes each time, well-formed, and told in words with the same numbers."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from decimal import Decimal
from pathlib import Path

import pytest
from exported_offers import MARKUP_NAME, comparison_of, home_offer, invented_comparison, pouch

from nutricost.api.comparing import Comparison
from nutricost.api.sensitivity import energy_per_money, sensitivity
from nutricost.domain.payback import CashPoint
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown
from nutricost.errors import InputError
from nutricost.faces.exports.pictures import (
    Picture,
    cost_picture,
    energy_picture,
    inline_svg,
    payback_picture,
    sensitivity_picture,
    write_picture,
)

D = Decimal
CURVES = {
    "a $5 pouch": tuple(
        CashPoint(m, D(60 * m - 2500), D(100 * m - 2400), D(140 * m - 2300)) for m in range(37)
    )
}


@pytest.fixture(name="comparison")
def _comparison() -> Comparison:
    return invented_comparison()


def pictures(comparison: Comparison) -> list[Picture]:
    home = comparison.offers[0]
    return [
        energy_picture(comparison),
        cost_picture(comparison),
        payback_picture(CURVES, "USD"),
        sensitivity_picture(sensitivity(energy_per_money(home)), home.name, "kcal per USD"),
    ]


def test_an_svg_is_well_formed_dateless_and_the_same_each_time(comparison: Comparison) -> None:
    for picture in pictures(comparison):
        content = picture.svg()
        assert ElementTree.fromstring(content).tag.endswith("svg")
        assert content == picture.svg()
        assert b"<dc:date>" not in content and b"matplotlib.org" not in content


def test_a_png_is_one_and_the_same_each_time(comparison: Comparison) -> None:
    # The signature of PNG: ISO/IEC 15948, 5.2.
    content = energy_picture(comparison).png()
    assert content.startswith(b"\x89PNG\r\n\x1a\n") and content == energy_picture(comparison).png()


def test_the_text_alternative_has_every_number_of_the_table(comparison: Comparison) -> None:
    energy, cost, _, moved = pictures(comparison)
    for picture, column in ((energy, 2), (cost, 2), (moved, 3)):
        assert picture.rows
        for row in picture.rows:
            assert row[0] in picture.alternative and row[column] in picture.alternative
            assert len(row) == len(picture.headers)
    for offer, row in zip(comparison.offers, energy.rows, strict=True):
        assert row[2] == shown(energy_per_money(offer))


def test_the_payback_alternative_says_when_it_is_level() -> None:
    picture = payback_picture(CURVES, "USD")
    # Hand calculation: 100 a month against 2400.
    assert "level in month 24" in picture.alternative
    assert ("a $5 pouch", "36", "1200.00", "-340.00 to 2740.00") in picture.rows
    assert payback_picture({}, "USD").svg()


def test_names_are_drawn_as_typed(comparison: Comparison) -> None:
    drawn = "".join(ElementTree.fromstring(energy_picture(comparison).svg()).itertext())
    assert all(word in drawn for word in MARKUP_NAME.split())


def test_what_is_not_known_or_without_limit_is_said_not_drawn() -> None:
    free = home_offer("Invented leftovers")
    endless = Figure.between(D(0), D(10), "USD", "price", value=D(5))
    comparison = comparison_of(free, pouch("plain", "10", None, 300))
    unknown = Figure.unknown("USD", "nothing paid is given", "cost")
    offers = (
        type(free)(**{name: getattr(free, name) for name in free.__slots__} | {"cost": unknown}),
        type(free)(**{name: getattr(free, name) for name in free.__slots__} | {"cost": endless}),
    )
    picture = energy_picture(Comparison("serving", "USD", offers, (), comparison.warnings))
    assert picture.rows[0][2] == "not known"
    assert "no limit" in picture.rows[1][3]
    assert b"not known" in picture.svg()


def test_an_inline_svg_carries_its_prefix(comparison: Comparison) -> None:
    text = inline_svg(energy_picture(comparison), "one")
    assert text.startswith('<svg role="img" aria-labelledby="one-caption"')
    assert 'id="one-figure_1"' in text and "url(#one-" in text


def test_a_picture_goes_to_svg_or_png_only(comparison: Comparison, tmp_path: Path) -> None:
    write_picture(energy_picture(comparison), str(tmp_path / "a.svg"))
    assert (tmp_path / "a.svg").read_bytes().startswith(b"<?xml")
    with pytest.raises(InputError, match=r"accepted: \.svg, \.png"):
        write_picture(energy_picture(comparison), str(tmp_path / "a.gif"))
