"""A word while a person waits, and a stdout that compiled code cannot dirty."""

from __future__ import annotations

import ctypes
import os
import sys
import time

import pytest

from nutricost.faces.cli.waiting import Waiting, stdout_kept_clean


@pytest.mark.skipif(os.name != "posix", reason="C streams are reached by name on POSIX alone")
def test_what_compiled_code_prints_goes_to_stderr(capfd: pytest.CaptureFixture[str]) -> None:
    library = ctypes.CDLL(None)
    with stdout_kept_clean():
        library.puts(b"presolve: 12 rows")
        os.write(1, b"unbuffered\n")
    sys.stdout.write('{"feasible": true}\n')
    captured = capfd.readouterr()
    assert captured.out == '{"feasible": true}\n'
    assert "presolve: 12 rows" in captured.err and "unbuffered" in captured.err


def test_stdout_comes_back_after_an_error(capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(ValueError, match="refused"), stdout_kept_clean():
        raise ValueError("refused")
    os.write(1, b"answer\n")
    assert capfd.readouterr().out == "answer\n"


def test_a_short_wait_passes_without_a_word(capsys: pytest.CaptureFixture[str]) -> None:
    with Waiting(quiet_s=3600) as waiting:
        waiting.say("choosing")
    assert capsys.readouterr().err == ""


def test_a_long_wait_tells_the_step(capsys: pytest.CaptureFixture[str]) -> None:
    said = ""
    with Waiting(quiet_s=0) as waiting:
        waiting.say("choosing among 60 offers")
        until = time.monotonic() + 10
        while "choosing" not in said and time.monotonic() < until:
            said += capsys.readouterr().err
            time.sleep(0.01)
        waiting.say("what each limit is worth")
    said += capsys.readouterr().err
    assert said == "choosing among 60 offers ...\nwhat each limit is worth ...\n"
