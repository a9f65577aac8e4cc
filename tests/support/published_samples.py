"""Real answers of FoodData Central, which lie beside the checkout in CI and are not part of the project."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from nutricost.sources.fdc_keys import read_json

SAMPLES = Path(__file__).parents[3] / "shared" / "fdc" / "samples"


def sample(name: str) -> Any:
    """The answer of this name; the test is skipped where the samples are not at hand."""
    path = SAMPLES / f"{name}.json"
    if not path.exists():
        pytest.skip("FoodData Central's real answers lie beside the checkout in CI only")
    return read_json(path.read_text(encoding="utf-8"), name)
