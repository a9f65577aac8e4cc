"""Faults around the program: each ends in its promised line and exit code, and nothing is lost."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

FULL = Path("/dev/full")
needs_full_device = pytest.mark.skipif(not FULL.exists(), reason="needs a device that is always full")
on_posix = pytest.mark.skipif(os.name != "posix", reason="needs a POSIX shell")

ACCENTED = """
title = "Crème brûlée, 🥔"
servings = 4
[[ingredients]]
line = "½ kg white rice – long"
paid = 2
[drying]
trays = 1
"""


def process(*arguments: str | Path, stdout: Any = subprocess.PIPE, **environ: str) -> Any:
    """The program in a process of its own; its output as bytes."""
    return subprocess.run(
        [sys.executable, "-m", "nutricost", *map(str, arguments)],
        stdout=stdout, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, timeout=120, check=False,
        env={**os.environ, **environ},
    )  # fmt: skip


@needs_full_device
@pytest.mark.parametrize("form", ["text", "json"])
def test_output_to_a_full_disk(demo: Path, form: str) -> None:
    with FULL.open("wb") as full:
        ran = process("card", demo / "lentil-kits.toml", "--format", form, stdout=full)
    assert ran.returncode == 1
    assert ran.stderr == b"error: standard output: No space left on device\n"


@on_posix
@pytest.mark.parametrize("form", ["text", "json"])
def test_a_reader_that_goes_away_early_is_no_fault(demo: Path, form: str) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with open(writing, "wb") as pipe:
        ran = process("card", demo / "lentil-kits.toml", "--format", form, stdout=pipe)
    assert (ran.returncode, ran.stderr) == (0, b"")


@on_posix
def test_without_standard_streams(demo: Path) -> None:
    card = f'"{sys.executable}" -m nutricost card'
    for command, code in (
        (f"{card} '{demo}/lentil-kits.toml' >&-", 0),
        (f"{card} - <&-", 1),
        (f"{card} x 2>&-", 1),
    ):
        ran = subprocess.run(["/bin/sh", "-c", command], capture_output=True, timeout=120, check=False)
        assert ran.returncode == code
        assert b"Traceback" not in ran.stderr


@on_posix
def test_a_disk_that_fills_up_while_exporting(demo: Path, tmp_path: Path) -> None:
    kept = tmp_path / "table.xlsx"
    kept.write_bytes(b"the table of last year")
    command = f'ulimit -f 1; exec "{sys.executable}" -m nutricost compare "$1" --export "$2"'
    ran = subprocess.run(
        ["/bin/sh", "-c", command, "sh", str(demo / "lentil-kits.toml"), str(kept)],
        capture_output=True, timeout=120, check=False,
    )  # fmt: skip
    assert ran.returncode == 1
    assert ran.stderr.decode().startswith(f"error: {kept}: cannot be written: ")
    assert kept.read_bytes() == b"the table of last year"
    assert [path.name for path in tmp_path.iterdir() if "table" in path.name] == ["table.xlsx"]


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_text_that_the_terminal_cannot_show(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "accented.toml"
    path.write_text(ACCENTED, encoding="utf-8")
    for arguments in (("card", path), ("compare", path), ("card", path, "--format", "html")):
        ran = process(*arguments, PYTHONIOENCODING=encoding)
        assert (ran.returncode, ran.stderr) == (0, b"")
    ran = process("card", path, "--json", PYTHONIOENCODING=encoding)
    assert json.loads(ran.stdout)["title"] == "Crème brûlée, 🥔"


@pytest.mark.parametrize(
    "environ",
    [
        {"LC_ALL": "C"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"LC_ALL": "C.UTF-8", "PYTHONUTF8": "0"},
        {"LC_ALL": "de_DE.UTF-8", "LC_NUMERIC": "de_DE.UTF-8"},
    ],
)
def test_the_locale_changes_no_number(demo: Path, tmp_path: Path, environ: dict[str, str]) -> None:
    path = tmp_path / "accented.toml"
    path.write_text(ACCENTED, encoding="utf-8")
    for document in (path, demo / "chicken-rice.toml"):
        usual = process("card", document, "--json", LC_ALL="C.UTF-8", PYTHONUTF8="1")
        assert json.loads(process("card", document, "--json", **environ).stdout) == json.loads(usual.stdout)


def test_no_colours_where_they_are_unwanted(run: Run, demo: Path) -> None:
    for environ in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
        ran = process("card", demo / "chicken-rice.toml", **environ)
        assert b"\x1b" not in ran.stdout


@pytest.mark.parametrize("columns", ["1", "12", "500"])
def test_a_narrow_terminal(demo: Path, columns: str) -> None:
    ran = process("compare", demo / "lentil-kits.toml", "--pouches", demo / "pouches.csv", COLUMNS=columns)
    assert (ran.returncode, ran.stderr) == (0, b"")


def test_a_home_that_cannot_be_written(demo: Path, tmp_path: Path) -> None:
    home = tmp_path / "a file"
    home.write_text("no folder")
    places = {name: str(home) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
    environ = {**places, "NUTRICOST_BOOK": ""}
    assert process("card", demo / "chicken-rice.toml", **environ).returncode == 0
    for arguments in (
        ("book", "buy", "rice", "2"),
        ("settings", "set", "offline", "true"),
        ("serve", "--no-open"),
    ):
        ran = process(*arguments, **environ)
        assert ran.returncode == 1
        assert ran.stderr.startswith(b"error: ") and str(home) in ran.stderr.decode()
        assert b"Traceback" not in ran.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("demo", "{file}/demo"),
        ("compare", "{demo}", "--export", "{file}/x.csv"),
        ("compare", "{demo}", "--export", "{file}/x.xlsx"),
        ("compare", "{demo}", "--export", "{file}/x.html"),
        ("compare", "{demo}", "--export", "{file}/x.parquet"),
        ("compare", "{demo}", "--plot", "{file}/x.svg"),
        ("again", "{demo}", "--packages", "3", "--write", "{file}/x.toml"),
        ("labels", "{demo}", "--format", "html", "--out", "{file}/x.html"),
        ("trace", "{demo}", "per_serving.cost", "--html", "{file}/x.html"),
        ("book", "--book", "{file}/b.sqlite", "buy", "rice", "2"),
    ],
    ids=lambda arguments: " ".join(arguments),
)  # fmt: skip
def test_a_place_that_cannot_be_written(
    run: Run, demo: Path, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    file = tmp_path / "file"
    file.write_text("no folder")
    ran = run(*(part.format(file=file, demo=demo / "lentil-kits.toml") for part in arguments))
    assert ran.code == 1
    assert len(ran.err.splitlines()) == 1
    assert ran.err.startswith(f"error: {file}")
    assert file.read_text() == "no folder"


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda content: content.replace(b"\n", b"\r\n"), 0),
        (lambda content: b"\xef\xbb\xbf" + content, 0),
        (lambda content: content.decode().encode("utf-16"), 1),
        (lambda content: content.replace(b"\n", b"\r"), 1),
        (lambda content: content + b"#" * 20_000_001, 1),
    ],
    ids=["CRLF", "BOM", "UTF-16", "CR", "20 MB"],
)
def test_a_batch_from_another_machine(
    run: Run, demo: Path, tmp_path: Path, change: Callable[[bytes], bytes], code: int
) -> None:
    path = tmp_path / "b.toml"
    path.write_bytes(change((demo / "chicken-rice.toml").read_bytes()))
    ran = run("card", path, "--json")
    assert ran.code == code
    assert all(line.startswith(f"error: {path}") for line in ran.err.splitlines())
    if code == 0:
        assert ran.data["per_batch"] == run("card", demo / "chicken-rice.toml", "--json").data["per_batch"]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-8"])
def test_pouches_from_another_machine(run: Run, demo: Path, tmp_path: Path, encoding: str) -> None:
    text = (demo / "pouches.csv").read_text(encoding="utf-8")
    path = tmp_path / "p.csv"
    path.write_bytes(text.replace("\n", "\r\n").encode(encoding))
    there = run("rank", "calories per dollar", "--pouches", path, "--json").data
    assert there == run("rank", "calories per dollar", "--pouches", demo / "pouches.csv", "--json").data


def test_a_clock_that_was_set_back_loses_nothing(run: Run, demo: Path) -> None:
    assert run("book", "save", demo / "lentil-kits.toml").code == 0
    assert run("book", "pack", "lentil-curry-with-peas", "--on", "2031-01-05").code == 0
    before = run("book", "shelf", "--json").data[0]
    assert run("book", "eat", "lentil-curry-with-peas", "1", "--on", "2024-01-01").code == 0
    assert run("book", "buy", "rice", "3.50", "--on", "2024-01-01").code == 0
    assert run("book", "check").code == 0
    after = run("book", "shelf", "--json").data[0]
    assert (after["packed_on"], after["servings_left"]) == ("2031-01-05", before["servings_left"] - 1)


def test_a_book_of_a_newer_version_or_damaged(run: Run, tmp_path: Path) -> None:
    book = tmp_path / "b.sqlite"
    assert run("book", "--book", book, "buy", "rice", "3.50").code == 0
    with closing(sqlite3.connect(book)) as opened:
        version = opened.execute("PRAGMA user_version").fetchone()[0]
        opened.execute(f"PRAGMA user_version = {version + 1}")
        opened.commit()
    newer = book.read_bytes()
    for command in ("purchases", "check", "shelf"):
        ran = run("book", "--book", book, command)
        assert ran.code == 1 and "newer than this program" in ran.err and len(ran.err.splitlines()) == 1
    assert book.read_bytes() == newer
    for path in tmp_path.glob("b.sqlite-*"):
        path.unlink()
    book.write_bytes(newer[:100] + b"\x5a" * (len(newer) - 100))
    ran = run("book", "--book", book, "purchases")
    assert ran.code == 1 and "damaged" in ran.err and len(ran.err.splitlines()) == 1


def test_bytes_on_standard_input_are_read_as_the_document_says(demo: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "nutricost", "card", "-"],
        input=ACCENTED.encode(), capture_output=True, timeout=120, check=False,
        env={**os.environ, "PYTHONIOENCODING": "latin-1"},
    )  # fmt: skip
    assert ran.returncode == 0
    assert "Crème brûlée".encode("latin-1") in ran.stdout
