"""Waiting for a long answer: a word on stderr after a second, and stdout kept for the answer alone."""

from __future__ import annotations

import ctypes
import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import TracebackType

from nutricost.faces.cli.output import note

QUIET_S = 1.0
"""Shorter waits pass without a word."""


class Waiting:
    """Tells the step that is going on, once the wait has lasted over a second."""

    def __init__(self, quiet_s: float = QUIET_S) -> None:
        self._step = ""
        self._loud = False
        self._lock = threading.Lock()
        self._timer = threading.Timer(quiet_s, self._speak)
        self._timer.daemon = True

    def __enter__(self) -> Waiting:
        self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._timer.cancel()

    def say(self, step: str) -> None:
        """The step that begins now."""
        with self._lock:
            self._step = step
            if self._loud:
                note(f"{step} ...")

    def _speak(self) -> None:
        with self._lock:
            self._loud = True
            if self._step:
                note(f"{self._step} ...")


@contextmanager
def stdout_kept_clean() -> Iterator[None]:
    """What is written to file descriptor 1 inside goes to stderr.

    The solver is compiled code that in rare cases prints by itself; machines read one JSON value there.
    Nothing happens where a descriptor is closed.
    """
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:
        yield
        return
    try:
        os.dup2(2, 1)
        yield
    finally:
        sys.stdout.flush()
        _flush_c_streams()
        os.dup2(kept, 1)
        os.close(kept)


def _flush_c_streams() -> None:
    """Writes out what compiled code still holds back, so that it does not land on stdout afterwards."""
    if os.name == "posix":
        ctypes.CDLL(None).fflush(None)
