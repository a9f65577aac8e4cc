"""Standard streams that are missing, of a narrow encoding, closed early or on a full disk."""

from __future__ import annotations

import codecs
import io
import os
import sys
from contextlib import suppress


def provide() -> None:
    """Makes the standard streams fit to print to.

    Where one is missing (the program was started without it) it is the null device. A character that the
    terminal has no code for becomes '?'. Standard output in ASCII is taken as UTF-8, as click does.
    """
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115 (stays open)
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 (stays open)
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 (stays open)
    if isinstance(sys.stdout, io.TextIOWrapper):
        ascii_only = codecs.lookup(sys.stdout.encoding).name == "ascii"
        sys.stdout.reconfigure(encoding="utf-8" if ascii_only else None, errors="replace")


def plain_style() -> bool:
    """Whether bold and colours are unwanted: NO_COLOR (no-color.org), or a terminal without them."""
    return bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"


def give_up() -> None:
    """Lets what is still to be printed fall: nothing can be said on standard output any more.

    As in Python's documentation of SIGPIPE, so that the interpreter's own last flush cannot fail.
    """
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
