"""Where a figure comes from: its path in a view, and its tree down to the inputs."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.comparing import compare_offers
from nutricost.api.documents import cards_of, pouches_file, read_batches
from nutricost.api.views import card_view
from nutricost.domain.documents import Pouch
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown_range
from nutricost.errors import InputError

_SEVEN_DIGITS = Context(prec=7, rounding=ROUND_HALF_EVEN)
_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


def trace_file(
    batch_path: str,
    path: str,
    pouches_path: str | None = None,
    basis: str = "serving",
    overrides: Sequence[str] = (),
) -> Figure:
    """The figure at a path of the batch's card or comparison. Raises InputError naming near paths."""
    batch = read_batches([batch_path], overrides)[0]
    pouches, _ = pouches_file(pouches_path, batch.currency)
    return figure_of(cards_of([batch])[0], path, pouches, basis)


def figure_of(card: Card, path: str, pouches: Sequence[Pouch] = (), basis: str = "serving") -> Figure:
    """The figure at a path of a card, or of its comparison with pouches. InputError names near paths."""
    comparison = compare_offers([card], pouches, basis).view()
    view = {**comparison, **comparison["offers"][0], **card_view(card), "offers": comparison["offers"]}
    return figure_at(view, path)


def figure_at(view: Mapping[str, Any], path: str) -> Figure:
    """The figure at a path such as 'per_batch.energy' or 'lines[0].grams'; InputError where there is none.

    A place in a list may also stand as a step of its own, as some JSON tools write it: 'lines.0.grams'.
    """
    found: Any = view
    for name, index in _STEP.findall(path):
        place = index or name
        if isinstance(found, Mapping) and name in found:
            found = found[name]
        elif isinstance(found, list | tuple) and place.isdecimal() and int(place) < len(found):
            found = found[int(place)]
        else:
            found = None
            break
    if isinstance(found, Figure):
        return found
    known = [known_path for known_path, _ in figure_paths(view)]
    near = (
        difflib.get_close_matches(path, known, n=3)
        or [p for p in known if p.startswith(path)][:3]
        or known[:3]
    )
    raise InputError(f"{path!r} is no figure of the card or comparison (accepted: {', '.join(near)} ...)")


def figure_paths(view: Any, prefix: str = "") -> Iterator[tuple[str, Figure]]:
    """Every figure of a view with its path, in the view's order."""
    if isinstance(view, Figure):
        yield prefix, view
    elif isinstance(view, Mapping):
        for key, value in view.items():
            yield from figure_paths(value, f"{prefix}.{key}" if prefix else str(key))
    elif isinstance(view, Sequence) and not isinstance(view, str):
        for i, value in enumerate(view):
            yield from figure_paths(value, f"{prefix}[{i}]")


def trace_view(figure: Figure) -> dict[str, Any]:
    """The tree of a figure in the public form: name, figure, formula, source, parts."""
    return {
        "name": figure.name or figure.operation,
        "figure": figure,
        "formula": figure.formula or (_FORMULAS.get(figure.operation, "") if figure.parts else ""),
        "source": figure.source,
        "standing": figure.standing,
        "parts": [trace_view(part) for part in figure.parts],
    }


_FORMULAS = {
    "sum": "sum of the parts",
    "difference": "first - second",
    "product": "first x second",
    "quotient": "first / second",
}


@dataclass(frozen=True, slots=True)
class Step:
    """One figure of a trace as people read it; `parts` is empty where `repeated` says it stands above.

    `number` is the same for the same figure, in the order of first mention.
    """

    number: int
    name: str
    value: str
    notes: tuple[str, ...]
    repeated: bool
    parts: tuple[Step, ...]


def trace_steps(figure: Figure, depth: int | None = None) -> Step:
    """The tree of a figure down to its inputs, or `depth` levels; each shared figure is spelt out once."""
    return _step(figure, None, depth, {})


def _step(figure: Figure, share: str | None, depth: int | None, seen: dict[int, int]) -> Step:
    if figure.value is None:
        value = f"not known: {figure.why}"
    else:
        spread = shown_range(figure)
        value = f"{_plain(figure.value)} {figure.shown_unit}".rstrip() + (f"  ({spread})" if spread else "")
    formula = figure.formula or (_FORMULAS.get(figure.operation, "") if figure.parts else "")
    repeated = id(figure) in seen and bool(figure.parts)
    number = seen.setdefault(id(figure), len(seen) + 1)
    parts: tuple[Step, ...] = ()
    if not repeated and depth != 1:
        below = None if depth is None else depth - 1
        parts = tuple(_step(part, _share(figure, part), below, seen) for part in figure.parts)
    notes = tuple(text for text in (share, formula, figure.source) if text)
    return Step(number, figure.name or figure.operation, value, notes, repeated, parts)


def _plain(value: Decimal) -> str:
    """Seven digits without an exponent."""
    if not value.is_finite():
        return "no limit"
    return f"{_SEVEN_DIGITS.plus(value).normalize():f}"


def trace_lines(figure: Figure, depth: int | None = None) -> list[str]:
    """The tree as indented text, with each part's share of a sum."""
    lines: list[str] = []

    def add(step: Step, indent: str) -> None:
        notes = f"  [{'; '.join(step.notes)}]" if step.notes else ""
        lines.append(f"{indent}{step.name} = {step.value}{notes}{'  (as above)' if step.repeated else ''}")
        for part in step.parts:
            add(part, indent + "  ")

    add(trace_steps(figure, depth), "")
    return lines


def _share(whole: Figure, part: Figure) -> str | None:
    if whole.operation != "sum" or len(whole.parts) < 2 or not whole.value or part.value is None:
        return None
    return f"{100 * part.value / whole.value:.1f} % of the total"
