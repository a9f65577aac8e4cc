"""Writes the matcher's precomputed index into the embedded food file, from its table `food`."""

from __future__ import annotations

import sqlite3
import sys
from array import array

from nutricost.domain.foods.descriptions import read_description
from nutricost.domain.foods.vocabulary import pack
from nutricost.sources.synonyms import shipped_vocabulary

INDEX_VERSION = 1

SCHEMA = "CREATE TABLE match_index (name TEXT PRIMARY KEY, data BLOB NOT NULL) WITHOUT ROWID"


def little(values: array[int]) -> bytes:
    """The array's bytes in little-endian order, whatever the machine."""
    if sys.byteorder == "big":
        values = array(values.typecode, values)
        values.byteswap()
    return values.tobytes()


def write_index(connection: sqlite3.Connection) -> None:
    """Adds table `match_index`: words, their rows, and each row's words with places, states and penalty.

    Rows are numbered in the order of food.id. The result depends on table `food` and synonyms.toml alone.
    """
    rows = connection.execute("SELECT id, source, description, group_name FROM food ORDER BY id").fetchall()
    read = [read_description(description, group) for _, _, description, group in rows]
    words = sorted({word for row in read for word in row.words})
    number = {word: at for at, word in enumerate(words)}
    states = sorted({state for row in read for state in row.states})
    sources = sorted({source for _, source, _, _ in rows})
    starts, tokens, places = array("I", [0]), array("H"), bytearray()
    posting: list[list[int]] = [[] for _ in words]
    for at, row in enumerate(read):
        tokens.extend(number[word] for word in row.words)
        places.extend(row.places)
        starts.append(len(tokens))
        for word in sorted(set(row.words)):
            posting[number[word]].append(at)
    posting_starts, postings = array("I", [0]), array("H")
    for found in posting:
        postings.extend(found)
        posting_starts.append(len(postings))
    blobs = {
        "version": str(INDEX_VERSION).encode(),
        "words": "\n".join(words).encode(),
        "states": "\n".join(states).encode(),
        "sources": "\n".join(sources).encode(),
        "ids": little(array("I", [row[0] for row in rows])),
        "row_sources": bytes(sources.index(row[1]) for row in rows),
        "starts": little(starts),
        "tokens": little(tokens),
        "places": bytes(places),
        "row_states": little(array("Q", [sum(1 << states.index(s) for s in row.states) for row in read])),
        "penalties": bytes(round(row.penalty * 100) for row in read),
        "posting_starts": little(posting_starts),
        "postings": little(postings),
        "vocabulary": pack(shipped_vocabulary()).encode(),
    }
    connection.execute("DROP TABLE IF EXISTS match_index")
    connection.execute(SCHEMA)
    connection.executemany("INSERT INTO match_index VALUES (?, ?)", sorted(blobs.items()))
