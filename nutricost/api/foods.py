"""Finding foods and matching lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nutricost.domain.foods.records import Food
from nutricost.errors import DocumentError, InputError, Problem
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
    found = Matcher.open(check_sources(sources)).search(text, limit)
    return [candidate.food for candidate in found]


def match_lines(
    lines: Sequence[str], sources: Sequence[str] = (), remembered: Mapping[str, str] | None = None
) -> list[LineMatch]:
    """The match of each line that is not blank, in order."""
    matcher = Matcher.open(check_sources(sources))
    return [matcher.match(line, remembered) for line in lines if line.strip()]


def lines_of(path: str) -> list[str]:
    """The lines of a file, or of standard input for '-', that are not blank. Raises DocumentError."""
    # Imported here: `find` has no document to read and starts quicker without.
    from nutricost.api.inputs import input_of
    from nutricost.sources.documents.loading import load_bytes, source_name

    source = input_of(path)
    content = load_bytes(source, "a text file with one ingredient line a line")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        problem = Problem(source_name(source), "is not UTF-8 text", "a text file saved as UTF-8")
        raise DocumentError([problem]) from None
    return [line for line in text.splitlines() if line.strip()]


def phrase_of(line: str) -> str:
    """The phrase under which a choice for this line's food is kept, whatever its amount or order."""
    return Matcher.open().key(line)
