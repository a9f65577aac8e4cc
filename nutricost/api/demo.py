"""The demo: invented documents that show the whole job."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from nutricost.errors import InputError

BATCHES = ("lentil-kits.toml", "leftover-stew.toml", "chicken-rice.toml")
FILES = (*BATCHES, "pouches.csv", "machine.toml", "plan.toml")


def write_demo(folder: Path) -> list[Path]:
    """Writes the demo documents into a folder, made if need be; files that are there stay as they are.

    Raises InputError where the folder can't be written.
    """
    source = resources.files("nutricost.data") / "demo"
    paths = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in FILES:
            path = folder / name
            if not path.exists():
                path.write_bytes((source / name).read_bytes())
            paths.append(path)
    except OSError as error:
        raise InputError(f"{folder}: can't be written ({error.strerror}); give another folder") from None
    return paths
