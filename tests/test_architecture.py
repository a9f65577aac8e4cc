"""The shape of the code: layers, sizes, no floats into exact numbers, no real names of the workplace."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = sorted((ROOT / "nutricost").rglob("*.py"))
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "nutricost",
    "tests",
    "fixtures",
    "scripts",
    "LICENSE",
}


def test_the_import_contracts_hold() -> None:
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout


def test_a_broken_contract_is_noticed(tmp_path: Path) -> None:
    """A gate that never fires is no gate: a domain module that opens a database must fail the contracts."""
    package = tmp_path / "nutricost"
    for path in (ROOT / "nutricost").rglob("*.py"):
        target = package / path.relative_to(ROOT / "nutricost")
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(path.read_bytes())
    (package / "domain" / "quantities" / "numbers.py").write_text("import sqlite3\n")
    (tmp_path / "pyproject.toml").write_bytes((ROOT / "pyproject.toml").read_bytes())
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
        env={"PYTHONPATH": str(tmp_path), "PATH": "/usr/bin"},
    )  # fmt: skip
    assert done.returncode != 0
    assert "the domain is pure BROKEN" in done.stdout


def test_modules_stay_readable() -> None:
    for path in MODULES:
        lines = path.read_text(encoding="utf-8").count("\n")
        if path.name != "unit_answers.py":
            assert lines <= 600, f"{path.relative_to(ROOT)} has {lines} lines: look for the seam"


def test_every_module_says_what_it_is_for() -> None:
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        if tree.body:
            assert ast.get_docstring(tree), path.relative_to(ROOT)


@pytest.mark.parametrize("path", [p for p in MODULES if "domain" in p.parts], ids=lambda p: p.stem)
def test_no_float_becomes_an_exact_number(path: Path) -> None:
    """Decimal(0.1) keeps the float's error for ever."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Decimal":
            for argument in node.args:
                assert not (isinstance(argument, ast.Constant) and isinstance(argument.value, float)), (
                    ast.dump(node)
                )


def test_the_top_level_holds_only_what_the_design_names() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode != 0:
        pytest.skip("not a git checkout")
    names = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL
