"""Visitors of an empty book and of the demo."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from page_visitor import Visitor

from nutricost.api.kitchen import Kitchen
from nutricost.faces.web.safety import Access


@pytest.fixture(autouse=True)
def own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test touches the settings of the person who runs it."""
    monkeypatch.setenv("NUTRICOST_SETTINGS", str(tmp_path / "settings.toml"))


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """A visitor of an empty book."""
    return Visitor(tmp_path / "book.sqlite")


@pytest.fixture(scope="session")
def demo_bytes(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A book that holds the invented demo, as a file's content."""
    path = tmp_path_factory.mktemp("demo") / "book.sqlite"
    Kitchen(path).load_demo(date(2026, 1, 2))
    return path.read_bytes()


@pytest.fixture
def demo(tmp_path: Path, demo_bytes: bytes) -> Visitor:
    """A visitor of a book that holds the demo."""
    path = tmp_path / "demo.sqlite"
    path.write_bytes(demo_bytes)
    return Visitor(path)


@pytest.fixture
def with_access(tmp_path: Path) -> Callable[[Access], Visitor]:
    """A visitor of an empty book under other rules of access."""
    return lambda access: Visitor(tmp_path / "book.sqlite", access)
