"""Where a document named on the command line comes from."""

from __future__ import annotations

import sys
from pathlib import Path


def input_of(path: str) -> Path | tuple[str, str]:
    """What a reader takes for a path; '-' is standard input."""
    if path == "-":
        return sys.stdin.read(), "standard input"
    return Path(path)
