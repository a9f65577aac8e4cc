"""CSV files of a download, read as streams: runs of whole rows, parsed on all cores, columns by name."""

from __future__ import annotations

import csv
from collections.abc import Callable, Generator, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor

import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv as pa_csv

from nutricost.errors import SourceError
from nutricost.sources.bulk_archive import CountingFile, Member

PIECE = 32 << 20
"""Bytes of a file that are parsed at once, on all cores."""

LONGEST_ROW = 256 << 20

Tell = Callable[[str, int, int], None]
"""Told while reading: which file, rows more, bytes more."""

TEXT = pa.string()


def csv_batches(
    members: Mapping[str, Member],
    name: str,
    columns: Mapping[str, pa.DataType],
    tell: Tell,
    optional: tuple[str, ...] = (),
    newlines: bool = False,
) -> Iterator[pa.RecordBatch]:
    """The wanted columns of one file, batch by batch; an `optional` column that is missing is null.

    `newlines`: whether a text of this file may go over several lines.
    """
    member = members.get(name)
    if member is None or not member.size_bytes:
        return
    stream = CountingFile(member, lambda size: tell(name, 0, size))
    pieces = _pieces(stream)
    try:
        names = _header(next(pieces), name)
        missing = [column for column in columns if column not in names and column not in optional]
        if missing:
            raise SourceError(f"{name}: no column {missing[0]!r} (it has: {', '.join(names)[:200]})")
        convert = pa_csv.ConvertOptions(
            include_columns=list(columns),
            include_missing_columns=True,
            column_types=dict(columns),
            strings_can_be_null=False,
            null_values=["", "NULL"],
        )
        for piece in pieces:
            table = pa_csv.read_csv(
                pa.BufferReader(piece),
                read_options=pa_csv.ReadOptions(column_names=names, block_size=4 << 20),
                parse_options=pa_csv.ParseOptions(newlines_in_values=newlines),
                convert_options=convert,
            )
            tell(name, len(table), 0)
            yield from table.combine_chunks().to_batches()
    except pa.ArrowInvalid as error:
        raise SourceError(f"{name}: {_plain(str(error))}") from None
    finally:
        pieces.close()  # waits for the read ahead
        stream.close()


def _pieces(stream: CountingFile) -> Generator[bytes, None, None]:
    """The first line, then runs of whole rows; the next run is read while one is worked on.

    A run ends with a line outside quotes: one with an even number of quotation marks before it.
    """
    with ThreadPoolExecutor(1) as reader:
        ahead = reader.submit(stream.read, PIECE)
        rest, header = b"", True
        while True:
            data = ahead.result()
            ended = not data
            if not ended:
                ahead = reader.submit(stream.read, PIECE)
            rest += data
            if header:
                line, newline, rest = rest.partition(b"\n")
                if not newline and not ended and len(line) < PIECE:
                    rest = line
                    continue
                yield line
                header = False
            cut = len(rest) if ended else rest.rfind(b"\n") + 1
            while not ended and cut and rest.count(b'"', 0, cut) % 2:
                cut = rest.rfind(b"\n", 0, cut - 1) + 1
            if len(rest) > LONGEST_ROW and not cut:
                raise SourceError("a row of the file does not end: a quotation mark is missing")
            if cut:
                yield rest[:cut]
                rest = rest[cut:]
            if ended:
                return


def _header(line: bytes, name: str) -> list[str]:
    """The column names in the first line of a file."""
    try:
        return next(csv.reader([line.decode("utf-8-sig").strip()]), [])
    except (UnicodeDecodeError, csv.Error):
        raise SourceError(f"{name}: the text is not UTF-8") from None


def _plain(text: str) -> str:
    """A pyarrow message in one short line."""
    if "UTF8" in text or "utf-8" in text.lower():
        return "the text is not UTF-8"
    return " ".join(text.split())[:160]


def small_file(
    members: Mapping[str, Member], name: str, columns: tuple[str, ...], tell: Tell
) -> list[tuple[str, ...]]:
    """The rows of a small file as text; empty where the file is missing."""
    rows: list[tuple[str, ...]] = []
    for batch in csv_batches(members, name, dict.fromkeys(columns, TEXT), tell, optional=columns):
        rows.extend(zip(*(pc.fill_null(batch[column], "").to_pylist() for column in columns), strict=True))
    return rows


def small_mapping(
    members: Mapping[str, Member], name: str, columns: tuple[str, str], tell: Tell
) -> dict[str, str]:
    """The rows of a small file of two columns, as a mapping."""
    return {row[0]: row[1] for row in small_file(members, name, columns, tell)}
