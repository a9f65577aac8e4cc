"""One table: each measure as a ratio to a named reference, taken in the same run on the same machine."""

from __future__ import annotations

import importlib
import os
import platform
import sys
from importlib.metadata import version

PARTS = ("cold_start", "comparing", "matching", "branded", "planning", "bulk", "web")


def main() -> int:
    """Runs the parts asked for (all without arguments) and prints a row a measure."""
    asked = sys.argv[1:] or list(PARTS)
    unknown = [part for part in asked if part not in PARTS]
    if unknown:
        sys.stderr.write(f"unknown part {unknown[0]!r} (accepted: {', '.join(PARTS)})\n")
        return 2
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    print(
        ", ".join(f"{name} {version(name)}" for name in ("pint", "pandas", "rapidfuzz", "scipy", "pyarrow"))
    )
    print(f"{'measure (ours : reference)':<90}{'ours s':>11}{'ref s':>11}{'ratio':>9}")
    for part in asked:
        rows = importlib.import_module(f"scripts.bench_parts.{part}").run()
        for name, ours_s, reference_s in rows:
            print(f"{name:<90}{ours_s:>11.5f}{reference_s:>11.5f}{ours_s / reference_s:>9.3f}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
