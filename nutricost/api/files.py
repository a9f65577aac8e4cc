"""Writing files that a person asked for."""

from __future__ import annotations

import os
from pathlib import Path

from nutricost.sources.documents.write import write_atomically


def write_file(path: str | os.PathLike[str], content: bytes) -> None:
    """Puts the content under the path in one step; a reader sees the old file or the new one.

    Raises InputError where the folder is missing or the place can't be written.
    """
    write_atomically(Path(path).resolve(), content)
