"""Pages as PDF: the comparison, and a sheet of bag labels to print and cut.

The font is DejaVu Sans, which comes with the plotting library: the fonts built into PDF readers know
Western European letters only.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from nutricost.domain.comparison.bases import BASES
from nutricost.domain.quantities.display import shown, shown_range

if TYPE_CHECKING:
    from nutricost.api.comparing import Comparison
    from nutricost.api.tables import Heading
    from nutricost.domain.packing.bag_label import BagLabel
    from nutricost.domain.payback import CashPoint

_FONT, _BOLD = "DejaVuSans", "DejaVuSans-Bold"
_MM = 72 / 25.4
_SHEET_COLUMNS, _SHEET_ROWS = 2, 4
_LABEL_MM = (92, 62)
"""Two by four of these fit both A4 and US Letter."""


@cache
def _fonts() -> None:
    import matplotlib
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name in (_FONT, _BOLD):
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))


def _style(name: str, **changes: Any) -> Any:
    from reportlab.lib.styles import ParagraphStyle

    _fonts()
    return ParagraphStyle(
        name, **{"fontName": _FONT, "fontSize": 8, "leading": 10.5, "splitLongWords": 1} | changes
    )


def comparison_pdf(comparison: Comparison, curves: Mapping[str, Sequence[CashPoint]] | None = None) -> bytes:
    """The comparison with its pictures, on landscape pages."""
    from reportlab.lib.pagesizes import A4, landscape
    from reportlab.platypus import Image, KeepTogether, Paragraph, SimpleDocTemplate

    from nutricost.api.tables import comparison_headings, statements_by_pair
    from nutricost.faces.exports.pages import comparison_pictures

    title = f"On equal terms: {BASES[comparison.basis]}"
    body, soft = _style("body"), _style("soft", textColor="#444444")
    top = _style("top", fontName=_BOLD, fontSize=14, leading=18, spaceAfter=4)
    head = _style(
        "head", fontName=_BOLD, fontSize=10, leading=13, spaceBefore=10, spaceAfter=3, keepWithNext=1
    )
    headings = comparison_headings(comparison)
    story: list[Any] = [
        Paragraph(escape(title), top),
        Paragraph(
            f"Money in {comparison.currency}. The small line under a figure is the range that rounding and "
            "estimates allow.",
            soft,
        ),
    ]
    for name, is_measure in (("What it is", False), ("What it gives", True)):
        chosen = [heading for heading in headings if heading.is_measure == is_measure]
        story += [Paragraph(name, head), _figures_table(comparison, chosen)]
    pair_head = _style("pair", fontName=_BOLD, spaceBefore=4, keepWithNext=1)
    if comparison.statements:
        story.append(Paragraph("What this says", head))
    for pair, said in statements_by_pair(comparison.statements):
        story.append(Paragraph(escape(pair), pair_head))
        story += [Paragraph(escape(each.text), body, bulletText="•") for each in said]
    if comparison.warnings:
        story.append(Paragraph("Mind", head))
        story += [Paragraph(escape(warning), body, bulletText="•") for warning in comparison.warnings]
    for picture in comparison_pictures(comparison, curves):
        width = 165 * _MM
        drawn = Image(io.BytesIO(picture.png()))
        scale = min(width / drawn.imageWidth, 150 * _MM / drawn.imageHeight)
        drawn.drawWidth, drawn.drawHeight = drawn.imageWidth * scale, drawn.imageHeight * scale
        drawn.hAlign = "LEFT"
        story.append(KeepTogether([Paragraph(escape(picture.title), head), drawn]))
    out = io.BytesIO()
    margin = 12 * _MM
    SimpleDocTemplate(
        out, pagesize=landscape(A4), title=title, author="nutricost", lang="en", invariant=1,
        leftMargin=margin, rightMargin=margin, topMargin=margin, bottomMargin=margin,
    ).build(story, onFirstPage=_page_number, onLaterPages=_page_number)  # fmt: skip
    return out.getvalue()


def _figures_table(comparison: Comparison, headings: Sequence[Heading]) -> Any:
    from reportlab.platypus import Paragraph, Table

    from nutricost.api.tables import offer_figures

    left, right = _style("left"), _style("right", alignment=2)
    bold_left, bold = _style("bold left", fontName=_BOLD), _style("bold", fontName=_BOLD, alignment=2)
    rows = [[Paragraph("offer", bold_left), *(Paragraph(escape(each.text), bold) for each in headings)]]
    for offer in comparison.offers:
        figures = offer_figures(offer, comparison.basis)
        cells = [Paragraph(f"{escape(offer.name)} ({offer.kind})", left)]
        for heading in headings:
            figure = figures[heading.key]
            spread = shown_range(figure)
            small = f'<br/><font size="6.5" color="#444444">{spread}</font>' if spread else ""
            cells.append(Paragraph(shown(figure) + small, right))
        rows.append(cells)
    wide = 273 * _MM
    name_width = 62 * _MM
    each_width = (wide - name_width) / max(len(headings), 1)
    return Table(
        rows,
        colWidths=[name_width, *[each_width] * len(headings)],
        repeatRows=1,
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 0), (-1, 0), 0.7, "#444444"),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, "#bbbbbb"),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 2),
        ],
    )


def _page_number(canvas: Any, document: Any) -> None:
    canvas.setFont(_FONT, 7)
    canvas.drawRightString(document.pagesize[0] - 12 * _MM, 7 * _MM, str(document.page))


def labels_pdf(labels: Sequence[BagLabel]) -> bytes:
    """Bag labels, eight a sheet with dashed lines to cut along; a long text is set smaller to fit."""
    from reportlab.lib.pagesizes import letter
    from reportlab.pdfgen.canvas import Canvas
    from reportlab.platypus import KeepInFrame, Paragraph

    _fonts()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=letter, invariant=1, lang="en")
    canvas.setTitle("Bag labels")
    title = _style("title", fontName=_BOLD, fontSize=12, leading=14, spaceAfter=2)
    state = _style("state", fontName=_BOLD, fontSize=9, leading=11, spaceAfter=2)
    plain = _style("plain", fontSize=8.5, leading=11)
    width, height = (side * _MM for side in _LABEL_MM)
    left, top = 11.5 * _MM, letter[1] - 12 * _MM
    inset = 3.5 * _MM
    for place, label in enumerate(labels):
        on_sheet = place % (_SHEET_COLUMNS * _SHEET_ROWS)
        if place and not on_sheet:
            canvas.showPage()
        row, column = divmod(on_sheet, _SHEET_COLUMNS)
        x, y = left + column * (width + 5 * _MM), top - (row + 1) * height - row * 1.5 * _MM
        canvas.setDash(2, 2)
        canvas.setLineWidth(0.5)
        canvas.rect(x, y, width, height)
        lines = [
            Paragraph(escape(line), title if not i else state if line == label.cooked_words else plain)
            for i, line in enumerate(label.lines)
        ]
        frame = KeepInFrame(width - 2 * inset, height - 2 * inset, lines, mode="shrink")
        _, used = frame.wrapOn(canvas, width - 2 * inset, height - 2 * inset)
        frame.drawOn(canvas, x + inset, y + height - inset - used)
    canvas.save()
    return out.getvalue()
