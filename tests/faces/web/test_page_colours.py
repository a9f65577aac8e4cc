"""Contrast of text and of what is needed to see a field, by the formula of WCAG 2.2 (1.4.3, 1.4.11)."""

from __future__ import annotations

import re
from importlib import resources

import pytest

CSS = (resources.files("nutricost.faces.web") / "static" / "page.css").read_text(encoding="utf-8")


def palette(dark: bool) -> dict[str, str]:
    """The colours of the sheet by name."""
    light, *rest = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
    found = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", light))
    return found | dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", rest[0])) if dark else found


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_formula_against_its_definition() -> None:
    """Black on white is 21:1 by definition; #767676 on white is the lightest grey above 4.5:1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") > 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("dark", [False, True])
def test_text_and_fields_can_be_seen(dark: bool) -> None:
    colours = palette(dark)
    for ground in ("paper", "card", "wash", "warm", "own"):
        for text in ("ink", "soft", "link", "wrong"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    assert contrast(colours["leaf-ink"], colours["leaf"]) >= 4.5
    for ground in ("card", "paper"):
        assert contrast(colours["field-line"], colours[ground]) >= 3
        assert contrast(colours["leaf"], colours[ground]) >= 3
