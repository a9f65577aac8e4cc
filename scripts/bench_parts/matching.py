"""Matching lines against plain string similarity over the same table, in one run on one machine."""

from __future__ import annotations

import json
import re
import sqlite3
import time
from pathlib import Path

from rapidfuzz import fuzz, process

from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.matching_engine import Matcher

LINES = Path(__file__).resolve().parents[2] / "fixtures" / "reference" / "lines.jsonl"
COUNT, PLAIN = 100, 10


def judged(count: int) -> list[str]:
    """The first lines of the judged file."""
    with LINES.open(encoding="utf-8") as file:
        return [json.loads(text)["line"] for text, _ in zip(file, range(count), strict=False)]


def _plain(lines: list[str], descriptions: list[str]) -> float:
    """Seconds a line of rapidfuzz's process.extract with WRatio, lower-cased."""
    lowered = [description.lower() for description in descriptions]
    started = time.perf_counter()
    for line in lines:
        process.extract(line.lower(), lowered, scorer=fuzz.WRatio, limit=5)
    return (time.perf_counter() - started) / len(lines)


def _ours(lines: list[str], sources: tuple[str, ...] | None) -> float:
    """Seconds a line with grams and reasons, opening the table and loading the index included."""
    started = time.perf_counter()
    matcher = Matcher.open(sources)
    for line in lines:
        matcher.match(line)
    return (time.perf_counter() - started) / len(lines)


def _full_text(lines: list[str], descriptions: list[str]) -> float:
    """Seconds a line of an SQLite FTS5 search for any of its words, best five by bm25."""
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE VIRTUAL TABLE food USING fts5(description)")
    connection.executemany("INSERT INTO food VALUES (?)", [(text,) for text in descriptions])
    started = time.perf_counter()
    for line in lines:
        words = " OR ".join(f'"{word}"' for word in re.findall(r"[a-z]+", line.lower()))
        query = "SELECT rowid FROM food WHERE food MATCH ? ORDER BY bm25(food) LIMIT 5"
        connection.execute(query, (words or '""',)).fetchall()
    return (time.perf_counter() - started) / len(lines)


def run() -> list[tuple[str, float, float]]:
    """Rows of (measure, our seconds a line, the reference's) over SR28 and over all tables."""
    lines = judged(COUNT)
    results = []
    cases: tuple[tuple[str, tuple[str, ...] | None], ...] = (
        ("matching, SR28, 100 lines and index load", ("sr28",)),
        ("matching, all embedded tables, 100 lines and index load", None),
    )
    for name, sources in cases:
        descriptions = [row.description for row in EmbeddedTable().rows(sources)]
        ours = _ours(lines, sources)
        results.append((f"{name} : rapidfuzz WRatio", ours, _plain(lines[:PLAIN], descriptions)))
        results.append((f"{name} : SQLite FTS5 bm25", ours, _full_text(lines, descriptions)))
    return results
