"""Pictures as SVG and PNG, each with a text alternative and its numbers as a table.

Everything told by a colour is also told by a pattern or a word, so that a grey print loses nothing.
"""

from __future__ import annotations

import io
import re
import textwrap
import threading
import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

from nutricost.api.breakdown import cost_split
from nutricost.api.comparing import Comparison
from nutricost.api.files import write_file
from nutricost.api.sensitivity import Effect, Sensitivity, energy_per_money
from nutricost.domain.payback import CashPoint
from nutricost.domain.quantities.display import NOT_KNOWN, shown, shown_number, shown_range, shown_with_range
from nutricost.errors import InputError

_LOCK = threading.Lock()
"""matplotlib keeps its settings in one place for all threads; the web face has several."""

_STYLE: Any = {
    "svg.hashsalt": "nutricost",
    "svg.fonttype": "none",
    "text.parse_math": False,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "font.size": 9.5,
    "font.family": ["DejaVu Sans"],
    "hatch.linewidth": 0.7,
}
_NO_METADATA = dict.fromkeys(("Creator", "Date", "Format", "Type"))

_WIDTH_INCHES = 7.2
_ROW_INCHES = 0.46
_FILLS: tuple[tuple[str, str], ...] = (
    ("#7fb069", "///"), ("#f2c14e", "..."), ("#6a8caf", "xx"), ("#d9d9d9", ""), ("#c08497", "\\\\\\"),
)  # fmt: skip
"""Fill and pattern of each part of a stack."""
_LINES = ("-", "--", ":", "-.")
_HOME, _BOUGHT = ("#7fb069", "///"), ("#d9d9d9", "")
_INK = "#222222"


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture not drawn yet: title, text alternative, and the numbers it shows as text cells."""

    title: str
    alternative: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    height_inches: float
    draw: Callable[[Any], None] = field(repr=False, compare=False)

    def svg(self) -> bytes:
        """The picture as an SVG document; the same input gives the same bytes."""
        return self._rendered("svg", metadata=_NO_METADATA)

    def png(self) -> bytes:
        """The picture as a PNG of 200 dots an inch."""
        return self._rendered("png", dpi=200, metadata={"Software": None})

    def _rendered(self, form: str, **options: Any) -> bytes:
        import matplotlib
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.backends.backend_svg import FigureCanvasSVG
        from matplotlib.figure import Figure as Canvas

        out = io.BytesIO()
        with _LOCK, matplotlib.rc_context(_STYLE), warnings.catch_warnings():
            # A name in a script that the font lacks shows as boxes in a PNG; that is no reason to complain.
            warnings.filterwarnings("ignore", message=r"Glyph .* missing from")
            canvas = Canvas(figsize=(_WIDTH_INCHES, self.height_inches), layout="constrained")
            (FigureCanvasSVG if form == "svg" else FigureCanvasAgg)(canvas)
            self.draw(canvas.add_subplot())
            canvas.savefig(out, format=form, facecolor="white", **options)
        return out.getvalue()


def inline_svg(picture: Picture, prefix: str) -> str:
    """The picture as an element to put into a page; ids get a prefix, as a page may hold several."""
    text = picture.svg().decode("utf-8")
    text = text[text.index("<svg") :]
    ids = set(re.findall(r'\bid="([^"]+)"', text))
    text = re.sub(r'\bid="([^"]+)"', lambda match: f'id="{prefix}-{match[1]}"', text)
    text = re.sub(
        r'(href="#|url\(#)([^")]+)',
        lambda match: f"{match[1]}{prefix}-{match[2]}" if match[2] in ids else match[0],
        text,
    )
    return text.replace("<svg", f'<svg role="img" aria-labelledby="{prefix}-caption"', 1)


def write_picture(picture: Picture, path: str) -> None:
    """Writes the picture as its file's ending says. Raises InputError for an ending that is no picture's."""
    ending = Path(path).suffix.lower()
    if ending not in (".svg", ".png"):
        raise InputError(f"{path}: not a picture's ending (accepted: .svg, .png)")
    write_file(path, picture.svg() if ending == ".svg" else picture.png())


def energy_picture(comparison: Comparison) -> Picture:
    """Energy for one unit of money of each offer, with the range that rounding and estimates allow."""
    money = comparison.currency
    offers = [(offer, energy_per_money(offer)) for offer in comparison.offers]
    title = f"Energy for one {money}"
    rows = tuple((offer.name, offer.kind, shown(figure), shown_range(figure)) for offer, figure in offers)

    def draw(axes: Any) -> None:
        ends = [end for _, figure in offers if figure.is_known for end in (figure.must(), figure.high)]
        edge = max((float(end) for end in ends if end.is_finite()), default=1.0) * 1.02 or 1.0
        for place, (offer, figure) in enumerate(offers):
            if not figure.is_known:
                axes.text(0, place, f" {NOT_KNOWN}", va="center", style="italic", color=_INK)
                continue
            fill, hatch = _HOME if offer.kind == "home" else _BOUGHT
            axes.barh(
                place, float(figure.must()), height=0.62, color=fill, hatch=hatch, edgecolor=_INK, lw=0.8
            )
            low, high = (min(max(float(end), 0.0), edge) for end in (figure.low, figure.high))
            if high > low:
                axes.plot([low, high], [place, place], color=_INK, lw=1.4)
                axes.plot([low, high], [place, place], color=_INK, ls="", marker="|", ms=9, mew=1.4)
            axes.annotate(
                shown_with_range(figure), (max(high, float(figure.must())), place), (6, 0),
                textcoords="offset points", va="center", color=_INK,
            )  # fmt: skip
        _offer_axis(axes, [f"{_wrapped(offer.name)}\n({offer.kind})" for offer, _ in offers])
        axes.set_xlim(0, edge * 1.42)
        axes.set_xlabel(f"kcal per {money}; the line across a bar's end is its range")

    parts = [
        f"{name} ({kind}) {value}" + (f", {spread}" if spread else "") for name, kind, value, spread in rows
    ]
    return Picture(
        title, f"Bars of kcal per {money}: {'; '.join(parts)}.",
        ("offer", "kind", f"kcal per {money}", "range"), rows, _height(len(offers), 1.3), draw,
    )  # fmt: skip


def cost_picture(comparison: Comparison) -> Picture:
    """What a serving of each offer costs, stacked by what the money went to."""
    money = comparison.currency
    splits = [(offer, cost_split(offer)) for offer in comparison.offers]
    kinds = list(dict.fromkeys(name for _, split in splits for name, _ in split))
    fills = {name: _FILLS[i % len(_FILLS)] for i, name in enumerate(kinds)}
    rows = tuple(
        (offer.name, name, shown(figure), shown_range(figure))
        for offer, split in splits
        for name, figure in split
    )

    def draw(axes: Any) -> None:
        named: set[str] = set()
        for place, (offer, split) in enumerate(splits):
            reached = 0.0
            for name, figure in split:
                if figure.value is None or not figure.value:
                    continue
                fill, hatch = fills[name]
                axes.barh(
                    place, float(figure.value), left=reached, height=0.62, color=fill, hatch=hatch,
                    edgecolor=_INK, lw=0.8, label=None if name in named else name,
                )  # fmt: skip
                named.add(name)
                reached += float(figure.value)
            missing = [name for name, figure in split if not figure.is_known]
            said = f"without {', '.join(missing)}: not known" if missing else shown(offer.cost_per_serving)
            axes.annotate(said, (reached, place), (6, 0), textcoords="offset points", va="center", color=_INK)
        _offer_axis(axes, [f"{_wrapped(offer.name)}\n({offer.kind})" for offer, _ in splits])
        axes.set_xlim(0, (axes.get_xlim()[1] or 1.0) * 1.15)
        axes.set_xlabel(f"{money} per serving")
        if named:
            axes.figure.legend(
                *axes.get_legend_handles_labels(), loc="outside upper center", ncols=3, frameon=False
            )

    parts = [
        f"{offer.name}: " + ", ".join(f"{name} {shown(figure)}" for name, figure in split)
        for offer, split in splits
    ]
    return Picture(
        "What a serving costs, and why", f"Stacked bars of {money} per serving. {'; '.join(parts)}.",
        ("offer", "part", f"{money} per serving", "range"), rows, _height(len(splits), 1.7), draw,
    )  # fmt: skip


def payback_picture(curves: Mapping[str, Sequence[CashPoint]], currency: str) -> Picture:
    """Money gained since the machine was bought, month by month, by what is replaced."""
    rows = tuple(
        (against, str(point.month), _money(point.value, currency), _spread(point, currency))
        for against, curve in curves.items()
        for point in (curve[0], curve[len(curve) // 2], curve[-1])
    )

    def draw(axes: Any) -> None:
        for i, (against, curve) in enumerate(curves.items()):
            months = [point.month for point in curve]
            style = _LINES[i % len(_LINES)]
            fill = _FILLS[i % len(_FILLS)][0]
            ends = ([float(point.low) for point in curve], [float(point.high) for point in curve])
            axes.fill_between(months, *ends, color=fill, alpha=0.25, lw=0)
            axes.plot(
                months, [float(point.value) for point in curve], color=_INK, ls=style, lw=1.6,
                label=textwrap.shorten(f"instead of {against}", 48, placeholder=" ..."),
            )  # fmt: skip
        axes.axhline(0, color=_INK, lw=0.8)
        axes.margins(x=0)
        axes.set_xlabel("months since the machine was bought")
        axes.set_ylabel(f"gained so far [{currency}]")
        if curves:
            axes.figure.legend(
                *axes.get_legend_handles_labels(), loc="outside upper center", ncols=2, frameon=False
            )

    parts = []
    for against, curve in curves.items():
        level = next((point.month for point in curve if point.value >= 0), None)
        when = (
            f"level in month {level}" if level is not None else f"not level within {curve[-1].month} months"
        )
        parts.append(
            f"instead of {against}: {_money(curve[0].value, currency)} at the start, "
            f"{_money(curve[-1].value, currency)} after {curve[-1].month} months, {when}"
        )
    return Picture(
        "When the machine has paid for itself",
        f"Lines of money gained over time [{currency}]. {'; '.join(parts)}.",
        ("instead of", "month", f"gained [{currency}]", "range"), rows, 3.6, draw,
    )  # fmt: skip


def sensitivity_picture(found: Sensitivity, name: str, what: str) -> Picture:
    """How far inputs move a figure: by their own range, then by 10 % for exact ones. `what` says its unit."""
    groups = (("its range", found.by_range), ("if 10 % off", found.if_ten_percent_off))
    bars = [(kind, effect) for kind, effects in groups for effect in effects]
    rows = tuple(
        (row[0], kind, row[1], row[2])
        for kind, effects in groups
        for effect in effects
        for row in found.rows([effect])
    )

    def draw(axes: Any) -> None:
        value = float(found.figure.must()) if found.figure.is_known else 0.0
        for place, (kind, effect) in enumerate(bars):
            fill, hatch = ("#6a8caf", "xx") if kind == "its range" else ("#d9d9d9", "")
            ends = sorted(float(end) for end in (effect.at_low, effect.at_high) if end.is_finite())
            if len(ends) == 2:
                axes.barh(
                    place, ends[1] - ends[0], left=ends[0], height=0.6, color=fill, hatch=hatch,
                    edgecolor=_INK, lw=0.8,
                )  # fmt: skip
        axes.axvline(value, color=_INK, lw=1.2)
        axes.use_sticky_edges = False
        axes.margins(x=0.06)
        _offer_axis(
            axes, [f"{_wrapped(effect.name, 40)}\n({_input_label(kind, effect)})" for kind, effect in bars]
        )
        axes.set_xlabel(f"{what}; the upright line is the figure as it stands")

    parts = [f"{row[0]} ({row[1]}: {row[2]}) {row[3]}" for row in rows]
    return Picture(
        f"What moves {what} of {name} most",
        f"Bars of {what}, {shown(found.figure)} as it stands. {'; '.join(parts)}.",
        ("input", "why moved", "moved from", what), rows, _height(len(bars), 1.2), draw,
    )  # fmt: skip


def _input_label(kind: str, effect: Effect) -> str:
    return effect.shown_input if kind == "its range" else f"{kind}: {effect.shown_input}"


def _offer_axis(axes: Any, labels: Sequence[str]) -> None:
    axes.set_yticks(range(len(labels)), labels, color=_INK)
    axes.set_ylim(len(labels) - 0.45, -0.55)
    axes.tick_params(axis="y", length=0)


def _wrapped(name: str, width: int = 30) -> str:
    return textwrap.fill(textwrap.shorten(name, 2 * width, placeholder=" ..."), width)


def _height(rows: int, extra_inches: float) -> float:
    return max(rows, 1) * _ROW_INCHES * 1.25 + extra_inches


def _money(value: Decimal, currency: str) -> str:
    return shown_number(value, currency)


def _spread(point: CashPoint, currency: str) -> str:
    ends = [_money(end, currency) for end in (point.low, point.high)]
    return "" if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
