"""Finding foods and matching lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nutricost.domain.foods.records import Food
from nutricost.errors import InputError
from nutricost.sources.matching_engine import LineMatch, Matcher

EMBEDDED = ("sr28", "survey", "foundation")
SOURCES = (*EMBEDDED, "branded", "live")


def check_sources(sources: Sequence[str]) -> tuple[str, ...] | None:
    """The sources asked for, None for all that are embedded. Raises InputError for an unknown one."""
    for source in sources:
        if source not in SOURCES:
            raise InputError(f"unknown source {source!r} (accepted: {', '.join(SOURCES)})")
    return tuple(sources) or None


def find_foods(text: str, sources: Sequence[str] = (), limit: int = 10) -> list[Food]:
    """Foods whose description fits the text, best first."""
    return list(Matcher.open(check_sources(sources)).search(text, limit))


def match_lines(
    lines: Sequence[str], sources: Sequence[str] = (), remembered: Mapping[str, str] | None = None
) -> list[LineMatch]:
    """The match of each line that is not blank, in order."""
    matcher = Matcher.open(check_sources(sources))
    return [matcher.match(line, remembered) for line in lines if line.strip()]
