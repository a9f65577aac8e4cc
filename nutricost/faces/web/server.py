"""Running the page: a socket of our own, limits on what a client may hold, a clean stop."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import signal
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from nutricost.errors import InputError
from nutricost.faces.web.app import build_app
from nutricost.faces.web.safety import access_for

HEADER_TIME_S = 15.0
"""Time for the head of a request to arrive."""

KEEP_ALIVE_S = 5
STOP_S = 4
CONNECTIONS = 100
HEAD_LIMIT_BYTES = 32_000


class PatientlyBounded(H11Protocol):
    """HTTP/1.1 that gives up on a client who does not finish the head of a request."""

    _deadline: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Starts the clock with the connection."""
        super().connection_made(transport)
        self._start_clock()

    def data_received(self, data: bytes) -> None:
        """Starts the clock anew for each further request on the connection."""
        super().data_received(data)
        if self._deadline is None and self.conn.their_state is h11.IDLE:
            self._start_clock()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stops the clock."""
        if self._deadline is not None:
            self._deadline.cancel()
        super().connection_lost(exc)

    def _start_clock(self) -> None:
        self._deadline = self.loop.call_later(HEADER_TIME_S, self._give_up)

    def _give_up(self) -> None:
        self._deadline = None
        if self.conn.their_state is h11.IDLE and not self.transport.is_closing():
            self.transport.close()


def listen(host: str, port: int) -> socket.socket:
    """A listening socket. Raises InputError where the port is taken or the address is not ours."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_STREAM)
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind((host, port))
        bound.listen(128)
    except OSError as error:
        bound.close()
        if error.errno == errno.EADDRINUSE:
            raise InputError(
                f"port {port} is in use (accepted: another --port, or 0 for any free one)"
            ) from None
        raise InputError(f"can't listen on {host} port {port}: {error.strerror or error}") from None
    except OverflowError:
        bound.close()
        raise InputError(f"port {port} (accepted: 0 to 65535)") from None
    return bound


def serve(book: Path, host: str, port: int, ready: Callable[[str], None]) -> None:
    """Serves the book until SIGTERM or SIGINT. `ready` is given the address once it is listened on.

    Raises InputError where the port can't be had.
    """
    access = access_for(host, (socket.gethostname(),))
    bound = listen(host, port)
    number: Any = bound.getsockname()[1]
    name = f"[{host}]" if ":" in host else host
    if host in ("0.0.0.0", "::"):
        name = socket.gethostname()
    token = f"?token={access.token}" if access.token else ""
    config = uvicorn.Config(
        build_app(book, access),
        http=PatientlyBounded,
        ws="none",
        lifespan="off",
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_keep_alive=KEEP_ALIVE_S,
        timeout_graceful_shutdown=STOP_S,
        limit_concurrency=CONNECTIONS,
        h11_max_incomplete_event_size=HEAD_LIMIT_BYTES,
    )
    ready(f"http://{name}:{number}/{token}")
    # uvicorn stops on either signal and then raises it again for whoever was there before: nobody.
    for stop in (signal.SIGTERM, signal.SIGINT):
        signal.signal(stop, lambda number, frame: None)
    with contextlib.closing(bound):
        uvicorn.Server(config).run(sockets=[bound])
