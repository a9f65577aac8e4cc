"""A Chromium for the browser tests: found, started with nothing that asks the network, watched."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-default-apps", "--disable-extensions",
)  # fmt: skip
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")


def chromium() -> str:
    """The path of a Chromium. Skips the test with the reason where there is none, fails in CI."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        why = f"no Chromium on the PATH (looked for {', '.join(NAMES)})"
        if os.environ.get("CI", "").lower() in ("1", "true"):
            pytest.fail(f"{why}; CI must have one")
        pytest.skip(why)
    return found


@contextmanager
def browser() -> Iterator[Any]:
    """A running Chromium with a new, empty profile."""
    path = chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, headless=True, args=list(FLAGS))
        try:
            yield running
        finally:
            running.close()


class Watched:
    """A page of the browser that remembers what went wrong in it."""

    def __init__(self, context: Any, address: str) -> None:
        self.page = context.new_page()
        self.page.set_default_timeout(15_000)
        self.address = address.rstrip("/")
        self.wrong: list[str] = []
        self.page.on("pageerror", lambda error: self.wrong.append(f"error: {error}"))
        self.page.on("console", self._heard)
        self.page.on("request", self._asked)

    def _heard(self, message: Any) -> None:
        # What the server refuses on purpose (422, 409) is said there too; that is no fault of the page.
        if (
            message.type in ("error", "warning")
            and "the server responded with a status of 4" not in message.text
        ):
            self.wrong.append(f"{message.type}: {message.text}")

    def _asked(self, request: Any) -> None:
        if not request.url.startswith((self.address, "data:", "blob:")):
            self.wrong.append(f"asked another address: {request.url}")

    def go(self, path: str) -> Any:
        """The page at an address, loaded."""
        self.page.goto(self.address + path)
        return self.page

    def sideways(self) -> int:
        """By how many CSS pixels the page is wider than the window."""
        return int(
            self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        )
