"""The running server: its one line for a taken port, its clean stop, its limits. Contract: `serve`."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import uvicorn

from nutricost.errors import InputError
from nutricost.faces.web import server
from nutricost.faces.web.app import build_app
from nutricost.faces.web.safety import Access


@contextmanager
def started(book: Path, *more: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The program serving a book, and the address it printed."""
    command = [
        sys.executable,
        "-m",
        "nutricost",
        "serve",
        "--no-open",
        "--port",
        "0",
        "--book",
        str(book),
        *more,
    ]
    with subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as running:
        try:
            assert running.stderr is not None
            line = next(line for line in running.stderr if "http://" in line)
            yield running, line.rpartition(" at ")[2].strip()
        finally:
            if running.poll() is None:
                running.kill()


@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGINT])
def test_it_stops_within_ten_seconds_even_with_a_client_that_hangs(
    tmp_path: Path, stop: signal.Signals
) -> None:
    with started(tmp_path / "book.sqlite") as (running, address):
        assert address.startswith("http://127.0.0.1:")
        with urllib.request.urlopen(address, timeout=20) as answer:
            assert answer.status == 200
        port = int(address.rstrip("/").rpartition(":")[2])
        with socket.create_connection(("127.0.0.1", port)) as hanging:
            hanging.sendall(b"POST /batches/new HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100\r\n\r\nab")
            time.sleep(0.2)
            running.send_signal(stop)
            out, said = running.communicate(timeout=10)
        assert running.returncode == 0, said
        assert "Traceback" not in said and out == ""


def test_a_port_in_use_is_one_clear_line(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        command = [sys.executable, "-m", "nutricost", "serve", "--no-open", "--port", port]
        done = subprocess.run(
            [*command, "--book", str(tmp_path / "b.sqlite")],
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
    assert done.returncode == 1 and done.stdout == ""
    assert done.stderr.splitlines() == [
        f"error: port {port} is in use (accepted: another --port, or 0 for any free one)"
    ]


def test_another_address_prints_a_token(tmp_path: Path) -> None:
    with started(tmp_path / "book.sqlite", "--host", "0.0.0.0") as (_, address):
        assert "?token=" in address
        port = address.partition("?")[0].rstrip("/").rpartition(":")[2]
        request = urllib.request.Request(f"http://127.0.0.1:{port}/")
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(request, timeout=20)
        assert refused.value.code == 401
        refused.value.close()


def test_an_address_that_is_not_ours() -> None:
    with pytest.raises(InputError, match="can't listen"):
        server.listen("192.0.2.1", 0)  # RFC 5737: an address of nobody


def test_a_client_that_never_finishes_its_head_is_let_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "HEADER_TIME_S", 0.3)
    bound = server.listen("127.0.0.1", 0)
    config = uvicorn.Config(
        build_app(tmp_path / "b.sqlite", Access()), http=server.PatientlyBounded, ws="none", lifespan="off",
        log_level="warning", timeout_keep_alive=30,
    )  # fmt: skip
    running = uvicorn.Server(config)
    thread = threading.Thread(target=running.run, kwargs={"sockets": [bound]})
    thread.start()
    try:
        with socket.create_connection(bound.getsockname(), timeout=10) as slow:
            slow.sendall(b"GET / HTTP/1.1\r\nHost: localh")
            assert slow.recv(100) == b"", "closed by the server"
        with socket.create_connection(bound.getsockname(), timeout=10) as good:
            good.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
            assert good.recv(12) == b"HTTP/1.1 200"
    finally:
        running.should_exit = True
        thread.join(timeout=20)
        bound.close()
    assert not thread.is_alive()
