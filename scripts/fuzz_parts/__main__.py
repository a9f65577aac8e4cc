"""Fuzzes every target in turn for some minutes; a failing case is named by target and seed."""

from __future__ import annotations

import argparse
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path
from types import FrameType

from fuzz_targets import TARGETS, run_case

HANG_S = 5.0
"""A case that takes longer counts as a hang [s of CPU]."""


class Hang(BaseException):
    """A case took too long."""


def _hung(signal_number: int, frame: FrameType | None) -> None:
    raise Hang


def main() -> int:
    """Runs the cases and prints a line a failure, then a table; 1 where anything failed."""
    parser = argparse.ArgumentParser(prog="scripts/fuzz", description=__doc__)
    parser.add_argument("targets", nargs="*", help=f"of {', '.join(TARGETS)}; default: all")
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--seed", type=int, default=0, help="number of the first case")
    parser.add_argument("--cases", type=int, help="stop after so many cases of each target")
    asked = parser.parse_args()
    for name in asked.targets:
        if name not in TARGETS:
            parser.error(f"unknown target {name!r} (accepted: {', '.join(TARGETS)})")
    signal.signal(signal.SIGPROF, _hung)
    names = asked.targets or list(TARGETS)
    cases: Counter[str] = Counter()
    spent_s: dict[str, float] = dict.fromkeys(names, 0.0)
    longest_s: dict[str, float] = dict.fromkeys(names, 0.0)
    failed: Counter[str] = Counter()
    seen: set[str] = set()
    started = time.monotonic()
    seed = asked.seed
    with tempfile.TemporaryDirectory() as name:
        for target in TARGETS:
            (Path(name) / target).mkdir()
        while time.monotonic() - started < asked.minutes * 60 and (
            asked.cases is None or seed < asked.seed + asked.cases
        ):
            for target in names:
                begun = time.process_time()
                signal.setitimer(signal.ITIMER_PROF, HANG_S)
                try:
                    run_case(target, seed, Path(name) / target)
                except (Exception, Hang) as error:
                    signal.setitimer(signal.ITIMER_PROF, 0)
                    failed[target] += 1
                    frames = traceback.extract_tb(error.__traceback__)[-6:]
                    where = " < ".join(f"{Path(f.filename).name}:{f.lineno}" for f in reversed(frames))
                    kind = f"{type(error).__name__} {where.split(' < ')[0]}"
                    if kind not in seen:
                        seen.add(kind)
                        print(f"FAILED {target} --seed {seed}: {error!r:.300}\n   {where}", flush=True)
                finally:
                    signal.setitimer(signal.ITIMER_PROF, 0)
                took_s = time.process_time() - begun
                cases[target] += 1
                spent_s[target] += took_s
                longest_s[target] = max(longest_s[target], took_s)
            seed += 1
    print(f"\n{'target':<16}{'cases':>8}{'cases/s':>9}{'longest s':>11}{'failed':>8}")
    for target in names:
        rate = cases[target] / spent_s[target] if spent_s[target] else 0
        print(f"{target:<16}{cases[target]:>8}{rate:>9.1f}{longest_s[target]:>11.2f}{failed[target]:>8}")
    minutes = (time.monotonic() - started) / 60
    print(f"{sum(cases.values())} cases in {minutes:.1f} minutes, seeds from {asked.seed}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
