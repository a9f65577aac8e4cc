"""Writing TOML in place: comments and layout untouched, the file replaced in one step."""

from __future__ import annotations

import os
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.errors import DocumentError, InputError
from nutricost.sources.documents.batch import read_batch
from nutricost.sources.documents.write import batch_to_toml, toml_item, write_atomically

WRITTEN = b"""# my chili
title = "Chili"   # the good one
servings=4

[[ingredients]]  # from the garden
line = "1 lb beans"

[other_costs]
"pump oil" = 0.80  # a third of a bottle
"""


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "chili.toml"
    path.write_bytes(WRITTEN)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DocumentError, match="No space left"):
        write_atomically(path, b"servings = 9")
    assert path.read_bytes() == WRITTEN
    assert os.listdir(tmp_path) == ["chili.toml"]


def test_names_with_any_sign_are_quoted() -> None:
    content = {
        "title": 'The "best"\nchili',
        "servings": Decimal("20"),
        "lot": None,
        "ingredients": [{"line": "beans", "paid": [Decimal("1.50"), Decimal(2)], "food": None}],
        "labels": {'a.b "c"': {"serving_size": "1 g", "calories": 3}},
    }
    written = batch_to_toml(content)
    assert "paid = [1.50, 2]" in written
    assert "lot" not in written
    assert list(read_batch((written, "b")).labels) == ['a.b "c"']


@pytest.mark.parametrize("value", [Decimal("NaN"), object(), 0.5])
def test_what_has_no_toml_is_refused(value: object) -> None:
    with pytest.raises(InputError):
        toml_item(value)


def test_numbers_keep_their_digits() -> None:
    assert toml_item(Decimal("0.80")).as_string() == "0.80"
    assert toml_item(Decimal("1E+3")).as_string() == "1000"
