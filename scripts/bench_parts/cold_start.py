"""Cold starts of commands against importing pandas and making pint's default registry."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from nutricost.api.demo import BATCHES, write_demo

REFERENCE = "import pandas, pint; pint.UnitRegistry()"
ROUNDS = 7


def _fastest(*commands: list[str]) -> list[float]:
    """The fastest of several runs of each command [s], the commands taking turns."""
    best = [float("inf")] * len(commands)
    for _ in range(ROUNDS):
        for i, command in enumerate(commands):
            start = time.perf_counter()
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            best[i] = min(best[i], time.perf_counter() - start)
    return best


def run() -> list[tuple[str, float, float]]:
    """Rows of (measure, ours [s], reference [s])."""
    nutricost = [sys.executable, "-m", "nutricost"]
    with tempfile.TemporaryDirectory() as folder:
        write_demo(Path(folder))
        at = Path(folder)
        pouches = ["--pouches", str(at / "pouches.csv")]
        commands = {
            "compare on the demo": [*nutricost, "compare", *(str(at / name) for name in BATCHES), *pouches],
            "card": [*nutricost, "card", str(at / BATCHES[0])],
            "find": [*nutricost, "find", "sweet corn"],
            "--help": [*nutricost, "--help"],
        }
        reference, *ours = _fastest([sys.executable, "-c", REFERENCE], *commands.values())
    return [
        (f"cold start: {name} : import pandas, pint and make its registry", seconds, reference)
        for name, seconds in zip(commands, ours, strict=True)
    ]
