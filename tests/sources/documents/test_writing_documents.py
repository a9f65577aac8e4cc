"""Writing TOML in place: comments and layout untouched, the file replaced in one step."""

from __future__ import annotations

import os
from decimal import Decimal
from pathlib import Path

import pytest

from nutricost.errors import DocumentError, InputError
from nutricost.sources.documents.batch import read_batch
from nutricost.sources.documents.write import batch_to_toml, set_values, toml_item

WRITTEN = b"""# my chili
title = "Chili"   # the good one
servings=4

[[ingredients]]  # from the garden
line = "1 lb beans"

[other_costs]
"pump oil" = 0.80  # a third of a bottle
"""


def test_comments_stay_untouched(tmp_path: Path) -> None:
    path = tmp_path / "chili.toml"
    path.write_bytes(WRITTEN)
    path.chmod(0o640)
    set_values(
        path,
        {"servings": 5, "ingredients[0].paid": Decimal("9.50"), "rehydration.rating": 4, "drying.trays": 2},
    )
    after = path.read_bytes()
    for comment in (b"# my chili", b"   # the good one", b"  # from the garden", b"  # a third of a bottle"):
        assert comment in after
    batch = read_batch(path)
    assert batch.servings.value == 5
    assert batch.ingredients[0].paid is not None
    assert str(batch.ingredients[0].paid.value) == "9.50"
    assert batch.rehydration is not None
    assert batch.rehydration.rating == 4
    assert path.stat().st_mode & 0o777 == 0o640
    assert os.listdir(tmp_path) == ["chili.toml"]


def test_nothing_to_change_gives_the_same_bytes(tmp_path: Path) -> None:
    path = tmp_path / "chili.toml"
    windows = b"\xef\xbb\xbf" + WRITTEN.replace(b"\n", b"\r\n")
    path.write_bytes(windows)
    set_values(path, {})
    assert path.read_bytes() == windows


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    path, link = tmp_path / "chili.toml", tmp_path / "link.toml"
    path.write_bytes(WRITTEN)
    link.symlink_to(path)
    set_values(link, {"servings": 6})
    assert link.is_symlink()
    assert read_batch(path).servings.value == 6


def test_what_cannot_be_written_leaves_the_file_alone(tmp_path: Path) -> None:
    path = tmp_path / "chili.toml"
    path.write_bytes(WRITTEN)
    for key in ("ingredients[3].paid", "title.x", "[0]"):
        with pytest.raises(DocumentError):
            set_values(path, {"servings": 9, key: 1})
    for value in (Decimal("NaN"), object(), 0.5):
        with pytest.raises(InputError):
            set_values(path, {"servings": value})
    assert path.read_bytes() == WRITTEN
    with pytest.raises(DocumentError, match="no such file"):
        set_values(tmp_path / "none.toml", {"servings": 1})


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "chili.toml"
    path.write_bytes(WRITTEN)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DocumentError, match="No space left"):
        set_values(path, {"servings": 9})
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


def test_numbers_keep_their_digits() -> None:
    assert toml_item(Decimal("0.80")).as_string() == "0.80"
    assert toml_item(Decimal("1E+3")).as_string() == "1000"
