"""Finding foods and matching lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from typing import Protocol

from nutricost.domain.foods.records import Food
from nutricost.errors import DocumentError, InputError, Problem, UnknownFood
from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.matching_engine import Candidate, LineMatch, Matcher

EMBEDDED = ("sr28", "survey", "foundation")
SOURCES = (*EMBEDDED, "branded", "live")


def check_sources(sources: Sequence[str]) -> tuple[str, ...] | None:
    """The sources asked for, None for all that are embedded. Raises InputError for an unknown one."""
    for source in sources:
        if source not in SOURCES:
            raise InputError(f"unknown source {source!r} (accepted: {', '.join(SOURCES)})")
    return tuple(sources) or None


def find_foods(
    text: str,
    sources: Sequence[str] = (),
    limit: int = 10,
    *,
    offline: bool = False,
    refresh: bool = False,
    notices: list[str] | None = None,
) -> list[Food]:
    """Foods whose description fits the text, best first.

    Source "branded" stands for the imported tables, "live" for the web service. `offline` and `refresh`
    are for that one; `notices` collects what a person should know about the answer.
    """
    with _engines(check_sources(sources), offline, refresh, notices) as engines:
        found = [candidate for engine in engines for candidate in engine.search(text, limit)]
    if len(engines) > 1:
        found.sort(key=lambda candidate: -candidate.confidence)
    return [candidate.food for candidate in found[:limit]]


def match_lines(
    lines: Sequence[str],
    sources: Sequence[str] = (),
    remembered: Mapping[str, str] | None = None,
    *,
    offline: bool = False,
    refresh: bool = False,
    notices: list[str] | None = None,
) -> list[LineMatch]:
    """The match of each line that is not blank, in order; of several sources the surest answer.

    The options are those of `find_foods`.
    """
    with _engines(check_sources(sources), offline, refresh, notices) as engines:
        return [_surest(engines, line, remembered) for line in lines if line.strip()]


class _Engine(Protocol):
    """What matches lines and searches names in one table."""

    def match(self, text: str, remembered: Mapping[str, str] | None = None) -> LineMatch: ...

    def search(self, text: str, limit: int = 10) -> list[Candidate]: ...


@contextmanager
def _engines(
    asked: tuple[str, ...] | None, offline: bool, refresh: bool, notices: list[str] | None
) -> Iterator[list[_Engine]]:
    """The matchers of the sources asked for, the embedded one first."""
    own = tuple(source for source in asked or () if source in EMBEDDED)
    engines: list[_Engine] = [Matcher.open(own or None)] if own or asked is None else []
    if asked is not None and "branded" in asked:
        # Imported here: arrays of millions of rows are for those who ask for them.
        from nutricost.api.food_tables import imported_matchers

        engines += imported_matchers()
    if asked is None or "live" not in asked:
        yield engines
        return
    from nutricost.settings import load_settings
    from nutricost.sources.live_matching import LiveMatcher
    from nutricost.sources.web_client import FdcClient, LiveTable

    with closing(FdcClient.of_settings(load_settings(), refresh=refresh, offline=offline)) as client:
        embedded = Matcher.open()
        table = LiveTable(client, EmbeddedTable())
        yield [*engines, LiveMatcher(table, embedded)]
        if notices is not None:
            notices += table.notices


def _surest(engines: Sequence[_Engine], line: str, remembered: Mapping[str, str] | None) -> LineMatch:
    """The match that is surest, of equal ones the first."""

    def match(engine: _Engine) -> LineMatch:
        try:
            return engine.match(line, remembered)
        except UnknownFood:  # a choice remembered for a food of another table: the embedded one has it
            return Matcher.open().match(line, remembered)

    return max((match(engine) for engine in engines), key=lambda found: found.confidence)


def lines_of(path: str) -> list[str]:
    """The lines of a file, or of standard input for '-', that are not blank. Raises DocumentError.

    Of a batch ('.toml', or one of the book): its ingredient lines that draw on no label.
    """
    # Imported here: `find` has no document to read and starts quicker without.
    from nutricost.api.inputs import input_of
    from nutricost.sources.documents.loading import IN_BOOK, load_bytes, source_name

    if path.startswith(IN_BOOK) or path.lower().endswith(".toml"):
        from nutricost.sources.documents import read_batch

        batch = read_batch(input_of(path, "batch"))
        return [each.line for each in batch.ingredients if each.label is None]
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
