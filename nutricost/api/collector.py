"""The garbage collector rests while many figures are made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_resting() -> Iterator[None]:
    """No search for reference cycles inside; also as a decorator.

    Figures form graphs without cycles: the search finds nothing in them, yet walks all of them again and
    again. Half the time of a large comparison went there.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
