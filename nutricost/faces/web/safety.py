"""What keeps strangers out of the page: hosts, origins, tokens, sizes and times, headers.

Pure ASGI, so that nothing of a request is read before it has passed.
"""

from __future__ import annotations

import asyncio
import hmac
import ipaddress
import secrets
from collections.abc import Collection, MutableMapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qs, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.types import ASGIApp, Message, Receive, Scope, Send

BODY_LIMIT_BYTES = 2_000_000
"""A form of a thousand fields or a sheet of ten thousand pouches stays below it."""

BODY_TIME_S = 20.0
LOOPBACK_NAMES = frozenset({"localhost", "127.0.0.1", "[::1]"})
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
CSRF_FIELD = "csrf"
ACCESS_COOKIE = "nutricost-access"

HEADERS = {
    # Nothing from elsewhere, no inline script or style, in no frame, forms go here only.
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


@dataclass(frozen=True, slots=True)
class Access:
    """Who may ask. `names`: host names beside loopback's; `token`: needed where not None."""

    names: frozenset[str] = frozenset()
    any_address: bool = False
    token: str | None = None

    def knows(self, host: str) -> bool:
        """Whether a Host header names this machine, which a page of another site can't make it do."""
        name = host_name(host)
        if name in LOOPBACK_NAMES or name in self.names:
            return True
        # A literal address can't be rebound to another machine the way a name can.
        return self.any_address and _is_address(name)


def host_name(host: str) -> str:
    """The name in a Host header, without its port, in small letters."""
    host = host.strip().lower()
    if host.startswith("["):
        return host[: host.find("]") + 1]
    return host.rpartition(":")[0] if ":" in host else host


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True


def new_token() -> str:
    """A token that nobody guesses."""
    return secrets.token_urlsafe(24)


def same(left: str, right: str) -> bool:
    """Whether two secrets agree, in a time that tells nothing of where they differ."""
    return bool(left) and hmac.compare_digest(left.encode(), right.encode())


class Gate:
    """The outermost layer: answers what is not allowed, passes on the rest with the headers set."""

    def __init__(self, app: ASGIApp, access: Access) -> None:
        self.app = app
        self.access = access

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refused = self._refusal(scope, headers)
        if refused is not None:
            await _answer(send, *refused)
            return
        if not await self._let_in(scope, headers, send):
            return

        async def guarded_send(message: Message) -> None:
            if message["type"] == "http.response.start":
                out = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    out.setdefault(name, value)
            await send(message)

        try:
            body = await _body(receive) if scope["method"] not in SAFE_METHODS else b""
        except _TooLarge:
            await _answer(send, 413, f"Too large: at most {BODY_LIMIT_BYTES // 1000} kB are accepted.")
            return
        except TimeoutError:
            await _answer(send, 408, "The request did not arrive in time; send it again.")
            return
        except asyncio.CancelledError:  # the server stops while the request is still coming in
            await _answer(send, 503, "The program is being stopped.")
            return
        except ConnectionError:
            return
        await self.app(scope, _replay(body, receive), guarded_send)

    def _refusal(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        hosts = headers.getlist("host")
        if len(hosts) != 1 or not self.access.knows(hosts[0]):
            return 421, "This page answers only under the address that it was started with."
        if len(scope["path"]) + len(scope.get("query_string", b"")) > 8000:
            return 414, "The address is too long."
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > BODY_LIMIT_BYTES:
            return 413, f"Too large: at most {BODY_LIMIT_BYTES // 1000} kB are accepted."
        if scope["method"] not in SAFE_METHODS and not _same_origin(headers, hosts[0]):
            return 403, "A change asked for by another site is refused."
        return None

    async def _let_in(self, scope: Scope, headers: Headers, send: Send) -> bool:
        """Whether the token allows this request; where it came in the address it moves into a cookie."""
        token = self.access.token
        if token is None:
            return True
        cookies = cookie_parser(headers.get("cookie", ""))
        if same(cookies.get(ACCESS_COOKIE, ""), token):
            return True
        given = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("token", [""])[0]
        if scope["method"] == "GET" and same(given, token):
            cookie = f"{ACCESS_COOKIE}={token}; Path=/; HttpOnly; SameSite=Strict"
            await _answer(send, 303, "", {"location": scope["path"] or "/", "set-cookie": cookie})
            return False
        await _answer(send, 401, "This page needs its token: open the whole address that `serve` printed.")
        return False


def _same_origin(headers: Headers, host: str) -> bool:
    """Whether a change comes from our own page; a program other than a browser sends no Origin."""
    origin = headers.get("origin")
    if origin is not None and urlsplit(origin).netloc.lower() != host.strip().lower():
        return False
    return headers.get("sec-fetch-site", "same-origin") in ("same-origin", "none")


class _TooLarge(Exception):
    pass


async def _body(receive: Receive) -> bytes:
    """The whole body, no larger and no slower than allowed."""
    parts, size = [], 0
    async with asyncio.timeout(BODY_TIME_S):
        while True:
            message = await receive()
            if message["type"] == "http.disconnect":
                raise ConnectionError
            part = message.get("body", b"")
            size += len(part)
            if size > BODY_LIMIT_BYTES:
                raise _TooLarge
            parts.append(part)
            if not message.get("more_body"):
                return b"".join(parts)


def _replay(body: bytes, receive: Receive) -> Receive:
    sent = False

    async def again() -> MutableMapping[str, Any]:
        nonlocal sent
        if not sent:
            sent = True
            return {"type": "http.request", "body": body, "more_body": False}
        return await receive()

    return again


async def _answer(send: Send, status: int, text: str, extra: dict[str, str] | None = None) -> None:
    headers = {**HEADERS, "content-type": "text/plain; charset=utf-8", **(extra or {})}
    if status in (408, 413, 503):
        headers["connection"] = "close"
    raw = [(name.encode(), value.encode()) for name, value in headers.items()]
    await send({"type": "http.response.start", "status": status, "headers": raw})
    await send({"type": "http.response.body", "body": text.encode()})


def access_for(host: str, names: Collection[str] = ()) -> Access:
    """Who may ask a server bound to `host`: loopback needs no token, anything else does."""
    name = f"[{host}]" if ":" in host else host.lower()
    if name in LOOPBACK_NAMES or name.startswith("127."):
        return Access(frozenset({name}))
    everywhere = host in ("0.0.0.0", "::")
    return Access(frozenset({name, *(n.lower() for n in names)}), any_address=everywhere, token=new_token())
