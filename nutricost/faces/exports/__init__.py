"""Files and pages made of the engine's answers. Each format's library is loaded only when it is used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from nutricost.api.files import write_file
from nutricost.errors import InputError

if TYPE_CHECKING:
    from nutricost.api.cards import Card
    from nutricost.api.comparing import Comparison
    from nutricost.domain.packing.bag_label import BagLabel
    from nutricost.domain.payback import CashPoint
    from nutricost.domain.quantities import Figure

COMPARISON_ENDINGS = (".csv", ".xlsx", ".md", ".html", ".parquet", ".pdf", ".svg", ".png")
"""File endings that `export_comparison` knows; the last two are the picture of energy for the money."""


def export_comparison(
    comparison: Comparison, path: str, curves: Mapping[str, Sequence[CashPoint]] | None = None
) -> None:
    """Writes the comparison in the format of the file's ending.

    `curves`: money over time by what is replaced, for the payback picture of pages.
    Raises InputError for an ending that is not known, or a place that can't be written.
    """
    ending = Path(path).suffix.lower()
    if ending not in COMPARISON_ENDINGS:
        raise InputError(
            f"{path}: unknown file ending {ending!r} (accepted: {', '.join(COMPARISON_ENDINGS)})"
        )
    write_file(path, comparison_document(comparison, ending, curves))


def comparison_document(
    comparison: Comparison, ending: str, curves: Mapping[str, Sequence[CashPoint]] | None = None
) -> bytes:
    """The comparison as a file's content; `ending` is one of COMPARISON_ENDINGS."""
    match ending:
        case ".csv":
            from nutricost.faces.exports.separated import comparison_csv

            return comparison_csv(comparison)
        case ".xlsx":
            from nutricost.faces.exports.workbook import comparison_xlsx

            return comparison_xlsx(comparison)
        case ".md":
            from nutricost.faces.exports.markdown import comparison_markdown

            return comparison_markdown(comparison).encode("utf-8")
        case ".html":
            from nutricost.faces.exports.pages import comparison_page

            return comparison_page(comparison, curves).encode("utf-8")
        case ".parquet":
            from nutricost.faces.exports.columnar import comparison_parquet

            return comparison_parquet(comparison)
        case ".pdf":
            from nutricost.faces.exports.pdf import comparison_pdf

            return comparison_pdf(comparison, curves)
        case _:
            from nutricost.faces.exports.pictures import energy_picture

            picture = energy_picture(comparison)
            return picture.svg() if ending == ".svg" else picture.png()


def card_document(card: Card, form: str, gas_per_litre: Figure | None = None) -> str:
    """The recipe card as text in 'markdown' or 'html'; `gas_per_litre` [g/L] boils water on the stove."""
    if form == "markdown":
        from nutricost.faces.exports.markdown import card_markdown

        return card_markdown(card, gas_per_litre)
    from nutricost.faces.exports.pages import card_page

    return card_page(card, gas_per_litre)


def write_trace_page(figure: Figure, path_text: str, path: str) -> None:
    """Writes how a figure came about as a page that folds. `path_text` is the figure's path in the JSON."""
    from nutricost.faces.exports.pages import trace_page

    write_file(path, trace_page(figure, path_text).encode("utf-8"))


def labels_document(labels: Sequence[BagLabel], form: str) -> bytes:
    """Bag labels as a file's content in 'text', 'html' or 'pdf'."""
    if form == "text":
        alike = Counter(label.lines for label in labels)
        parts = [
            "\n".join(lines) if count == 1 else "\n".join((f"{count} bags alike:", *lines))
            for lines, count in alike.items()
        ]
        return ("\n\n".join(parts) + "\n").encode("utf-8")
    if form == "html":
        from nutricost.faces.exports.pages import labels_page

        return labels_page(labels).encode("utf-8")
    from nutricost.faces.exports.pdf import labels_pdf

    return labels_pdf(labels)
