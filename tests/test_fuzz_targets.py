"""Broken inputs of every kind, a few a run: only success or plain words, never anything else.

`scripts/fuzz` runs the same targets for as long as one likes. What it found stands as explicit tests
beside the code that was at fault.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from fuzz_targets import TARGETS, own_environment, run_case
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

CASES = 12


@pytest.mark.parametrize("target", TARGETS)
def test_broken_input_ends_in_plain_words(
    target: str, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder: Path = tmp_path_factory.mktemp(target)
    for name, value in own_environment(folder).items():
        monkeypatch.setenv(name, value)  # so that they are put back

    @settings(
        max_examples=CASES, deadline=None, database=None, derandomize=True,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(seed=st.integers(0, 2**32))
    def one(seed: int) -> None:
        run_case(target, seed, folder)

    one()
