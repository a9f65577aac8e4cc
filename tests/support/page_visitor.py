"""A visitor of the page: sends requests to the application without a socket, keeps its cookies."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import httpx

from nutricost.faces.web.app import build_app
from nutricost.faces.web.safety import Access

NEW_BATCH = {
    "title": "Corn and beans",
    "servings": "6",
    "ingredients[0].line": "2 lb frozen corn",
    "ingredients[0].paid": "4.50",
    "ingredients[1].line": "1 lb dry black beans",
    "ingredients[1].paid": "1.80",
}
NEW_POUCH = {
    "name": "Far Meadow stew",
    "price": "9.95",
    "servings": "2",
    "calories": "280",
    "net_weight": "4.6 oz",
}


class Visitor:
    """Somebody with a browser, as far as requests go."""

    def __init__(self, book: Path, access: Access | None = None) -> None:
        self.book = book
        self.app = build_app(book, access or Access())
        self.cookies = httpx.Cookies()

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        """The answer to one request."""

        async def send() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(
                transport=transport, base_url="http://localhost", cookies=self.cookies
            ) as client:
                answer = await client.request(method, path, **more)
                self.cookies = client.cookies
                return answer

        return asyncio.run(send())

    def get(self, path: str, **more: Any) -> httpx.Response:
        """The page at an address."""
        return self.ask("GET", path, **more)

    def token(self, path: str = "/batches/new") -> str:
        """The token in the form of a page."""
        found = re.search(r'name="csrf" value="([^"]+)"', self.get(path).text)
        assert found is not None, path
        return found[1]

    def send(self, path: str, form: Mapping[str, str], **more: Any) -> httpx.Response:
        """The answer to a form sent from our own page."""
        return self.ask("POST", path, data={**form, "csrf": self.token()}, **more)
