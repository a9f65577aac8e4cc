"""The documentation tells the truth: commands run and print what it shows, names are complete."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import click
import pytest

import nutricost
from nutricost.domain.comparison.bases import BASES
from nutricost.faces.cli import app

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def blocks(text: str, kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", text, re.DOTALL)


def nutricost_command(
    arguments: list[str], folder: Path, stdin: str = ""
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "nutricost", *arguments],
        cwd=folder, input=stdin, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip


def test_the_readme_opens_with_a_command_and_its_real_output() -> None:
    first = blocks(README, "console")[0]
    command, _, shown = first.partition("\n")
    ends = README.splitlines().index("```", 6) + 1
    assert ends <= 20, "command and output within the first 20 lines"
    words = shlex.split(command.removeprefix("$ "))
    assert words[0] == "scripts/run"
    ran = nutricost_command(words[1:], ROOT)
    assert [line.rstrip() for line in ran.stdout.strip().splitlines()] == shown.strip().splitlines()


def test_the_guide_can_be_followed_word_by_word(tmp_path: Path) -> None:
    """Writes the guide's own documents and runs every console command of it on them."""
    first, drying, *_ = blocks(README, "toml")
    scale, machine, plan = (
        next(b for b in blocks(README, "toml") if key in b)
        for key in ("scale_step", "batches_per_month", "[[people]]")
    )
    weighings = scale.split("[drying]\n")[1]
    drying = drying.replace(
        "[drying]\n", "[drying]\n" + weighings.replace("881 g", "721 g").replace("880 g", "720 g")
    )
    (tmp_path / "chili.toml").write_text(f"{first}\n{drying}", encoding="utf-8")
    (tmp_path / "pouches.csv").write_text(blocks(README, "csv")[0], encoding="utf-8")
    (tmp_path / "machine.toml").write_text(machine, encoding="utf-8")
    (tmp_path / "plan.toml").write_text(plan, encoding="utf-8")
    commands = [
        line[2:]
        for block in blocks(README, "console")[1:]
        for line in block.splitlines()
        if line.startswith("$ ")
    ]
    commands += [f"scripts/run {found}" for found in re.findall(r"`scripts/run ([^`]+)`", README)]
    ran = 0
    for command in commands:
        piped, _, rest = command.rpartition("| ")
        words = shlex.split(rest)
        assert words[0] == "scripts/run", command
        if len(words) == 1 or words[1] == "serve":
            continue
        stdin = piped.split("'")[1].replace("\\n", "\n") if piped else ""
        done = nutricost_command(words[1:], tmp_path, stdin)
        assert done.returncode == 0, f"{command}: {done.stderr}"
        ran += 1
    assert ran >= 8


def test_the_python_example_runs(tmp_path: Path) -> None:
    (tmp_path / "chili.toml").write_text(blocks(README, "toml")[0], encoding="utf-8")
    (tmp_path / "pouches.csv").write_text(blocks(README, "csv")[0], encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", blocks(README, "python")[0]],
        cwd=tmp_path, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "same energy" in done.stdout


@pytest.mark.parametrize("name", app.list_commands(click.Context(app)))
def test_every_command_is_documented_and_has_help_with_an_example(name: str) -> None:
    assert re.search(rf"`(scripts/run )?{name}\b", README), f"README does not name {name}"
    command = app.get_command(click.Context(app), name)
    assert command is not None
    text = command.get_help(click.Context(command, info_name=name))
    assert "Example:" in text


def test_every_basis_and_verb_is_documented() -> None:
    for name in (*BASES, *(verb for verb in nutricost.__all__ if verb != "bulk")):
        assert name in README, name


def test_developers_names_every_script() -> None:
    for path in (ROOT / "scripts").iterdir():
        if path.is_file() and path.suffix == "":
            assert f"scripts/{path.name}" in DEVELOPERS, path.name


def test_the_version_has_a_section_under_changes() -> None:
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    version = re.search(r'^version = "(.+)"', project, re.MULTILINE)
    assert version is not None
    assert f"### {version[1]}" in DEVELOPERS
