"""The command line in-process: exit code, stdout and stderr as a shell would see them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from nutricost.api.demo import write_demo
from nutricost.errors import NutricostError
from nutricost.faces.cli import app


@dataclass(frozen=True)
class Ran:
    """What a command did."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """stdout as JSON."""
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test touches the user's book, cache or settings."""
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    monkeypatch.setenv("NUTRICOST_BOOK", str(tmp_path / "book.sqlite"))


@pytest.fixture
def run() -> Run:
    """Runs a command as `nutricost ...` would."""

    def call(*arguments: str | Path, stdin: str | None = None) -> Ran:
        result = CliRunner().invoke(app, [str(argument) for argument in arguments], input=stdin)
        if isinstance(result.exception, NutricostError):
            lines = "".join(f"error: {line}\n" for line in str(result.exception).splitlines())
            return Ran(1, result.stdout, result.stderr + lines)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Ran(result.exit_code, result.stdout, result.stderr)

    return call


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    """A folder with the demo documents."""
    folder = tmp_path / "demo"
    write_demo(folder)
    return folder


@pytest.fixture
def shell() -> Run:
    """Runs a command in a process of its own."""

    def call(*arguments: str | Path, stdin: str | None = None) -> Ran:
        done = subprocess.run(
            [sys.executable, "-m", "nutricost", *map(str, arguments)],
            input=stdin, capture_output=True, text=True, timeout=120, env=os.environ.copy(), check=False,
        )  # fmt: skip
        return Ran(done.returncode, done.stdout, done.stderr)

    return call
