"""No test of a source reaches the network: only loopback, where the stand-in runs."""

from __future__ import annotations

import socket
from typing import Any

import pytest


@pytest.fixture(autouse=True)
def _loopback_only(monkeypatch: pytest.MonkeyPatch) -> None:
    real = socket.socket.connect

    def connect(self: socket.socket, address: Any) -> None:
        if self.family == socket.AF_UNIX or address[0] in ("127.0.0.1", "::1", "localhost"):
            return real(self, address)
        raise AssertionError(f"a test tried to reach {address}")

    monkeypatch.setattr(socket.socket, "connect", connect)
