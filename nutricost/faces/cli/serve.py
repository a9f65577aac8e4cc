"""`nutricost serve`: the same on a local web page."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from nutricost.faces.cli.output import note

PORT = 8765


@click.command(epilog="Example: nutricost serve --port 8765 --no-open")
@click.option(
    "--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="0 takes any free one."
)
@click.option("--no-open", is_flag=True, help="Do not open the browser.")
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Another address lets other devices in, by a token in the printed address.",
)
@click.option(
    "--book", "book_path", metavar="FILE", type=click.Path(path_type=Path), help="The kitchen book to use."
)
def command(port: int, no_open: bool, host: str, book_path: Path | None) -> None:
    """Serve the kitchen book as a web page on this computer, until stopped with Ctrl-C."""
    from nutricost.api.serving import prepare_book

    book = prepare_book(book_path)
    # The web face is started by name: one face does not import another.
    import importlib

    server = importlib.import_module("nutricost.faces.web.server")

    def ready(address: str) -> None:
        note(f"serving {book} at {address}")
        note("stop with Ctrl-C")
        if not no_open and _has_display():
            click.launch(address)

    server.serve(book, host, port, ready)


def _has_display() -> bool:
    """Whether a browser can be shown here."""
    return sys.platform in ("win32", "darwin") or any(
        os.environ.get(k) for k in ("DISPLAY", "WAYLAND_DISPLAY")
    )
