"""HTTP for one service: answers kept in SQLite, one host, https, bounded time, size and patience.

The key never meets the cache: it is added below it, to a copy of the request that is thrown away, and
errors carry the request without it.
"""

from __future__ import annotations

import io
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, timedelta
from email.utils import parsedate_to_datetime
from ipaddress import ip_address
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import requests
import requests_cache
import urllib3
from requests.adapters import HTTPAdapter
from requests_cache.backends.sqlite import SQLiteCache

from nutricost.errors import SourceError
from nutricost.settings import Secret
from nutricost.sources.fdc_keys import read_json

CACHE_FILE = "fooddata-central.sqlite"
_DROPPED_HEADERS = frozenset(
    {"content-encoding", "content-length", "transfer-encoding", "set-cookie", "connection"}
)
_RETRIED = frozenset({429, 500, 502, 503, 504})


@dataclass(frozen=True, slots=True)
class Limits:
    """How long and how much: seconds to connect, to wait for the next byte, for a whole answer and for
    a pause that the service asks for; attempts; bytes of an answer, unpacked."""

    connect_s: float = 5
    read_s: float = 20
    answer_s: float = 60
    longest_pause_s: float = 20
    attempts: int = 3
    first_pause_s: float = 0.5
    answer_bytes: int = 32 * 2**20


class AnswerError(requests.RequestException):
    """The service gave no usable answer; `status` is its HTTP status, or 0 where there was none."""

    def __init__(self, message: str, status: int = 0) -> None:
        super().__init__(message)
        self.status = status


class ServiceAdapter(HTTPAdapter):
    """Sends requests to one service: adds the key, waits and tries again, and hands on sound JSON only."""

    def __init__(self, service: str, key: Secret, limits: Limits, sleep: Callable[[float], None]) -> None:
        self._service, self._key, self._limits, self._sleep = service, key, limits, sleep
        self.sent = 0
        super().__init__(max_retries=0)

    def send(self, request: requests.PreparedRequest, *_: object, **options: Any) -> requests.Response:
        """The answer to a request: JSON with status 200, or a redirect. Raises AnswerError otherwise."""
        options.pop("stream", None)
        options["timeout"] = (self._limits.connect_s, self._limits.read_s)
        for attempt in range(self._limits.attempts):
            last = attempt + 1 == self._limits.attempts
            try:
                status, headers, body, reason = self._once(request, options)
            except AnswerError as error:
                if last or error.status:
                    raise
                self._sleep(self._limits.first_pause_s * 2**attempt)
                continue
            if status in _RETRIED:
                pause = self._pause(status, headers, attempt)
                if pause is not None and not last:
                    self._sleep(pause)
                    continue
            if status != 200 and not 300 <= status < 400:
                raise AnswerError(self._refusal(status, headers), status)
            if status == 200:
                self._check_json(headers, body)
            raw = urllib3.HTTPResponse(
                body=io.BytesIO(body),
                headers=headers,
                status=status,
                reason=reason,
                preload_content=False,
                request_url=request.path_url,
            )
            return self.build_response(request, raw)
        raise AnswerError(f"{self._service} was never asked")  # pragma: no cover - attempts >= 1

    def _once(
        self, request: requests.PreparedRequest, options: Mapping[str, Any]
    ) -> tuple[int, dict[str, str], bytes, str]:
        """Status, headers, body and reason of one exchange; AnswerError with status 0 where it broke off."""
        keyed = request.copy()
        keyed.headers["X-Api-Key"] = self._key.reveal()
        self.sent += 1
        failure = ""
        try:
            answer = super().send(keyed, stream=True, **options)
            with answer:
                body = self._body(answer)
        except AnswerError:
            raise
        except (requests.Timeout, urllib3.exceptions.TimeoutError):
            failure = "did not answer in time"
        except (requests.ConnectionError, urllib3.exceptions.ProtocolError, OSError) as error:
            failure = "broke off its answer" if "IncompleteRead" in repr(error) else "can't be reached"
        except (requests.RequestException, urllib3.exceptions.HTTPError) as error:
            failure = f"gave no readable answer ({type(error).__name__})"
        if failure:  # raised out here, so that no error carries the frames that saw the key
            raise AnswerError(f"{self._service} {failure}")
        kept = {name: value for name, value in answer.headers.items() if name.lower() not in _DROPPED_HEADERS}
        return answer.status_code, kept, body, answer.reason or ""

    def _body(self, answer: requests.Response) -> bytes:
        """The whole body, unpacked, as long as it stays within size and time."""
        most = self._limits.answer_bytes
        ends = time.monotonic() + self._limits.answer_s
        parts: list[bytes] = []
        size = 0
        for part in answer.raw.stream(65536, decode_content=True):
            parts.append(part)
            size += len(part)
            if size > most:
                raise AnswerError(f"{self._service} sent more than {most // 2**20} MiB", answer.status_code)
            if time.monotonic() > ends:
                raise AnswerError(
                    f"{self._service} took longer than {self._limits.answer_s:g} s", answer.status_code
                )
        return b"".join(parts)

    def _pause(self, status: int, headers: Mapping[str, str], attempt: int) -> float | None:
        """Seconds to wait before the next attempt, or None where waiting is no use."""
        asked = retry_after_s(headers, time.time())
        if asked is not None:
            return asked if asked <= self._limits.longest_pause_s else None
        return None if status == 429 else self._limits.first_pause_s * 2**attempt

    def _refusal(self, status: int, headers: Mapping[str, str]) -> str:
        asked = retry_after_s(headers, time.time())
        later = f"; it asks to wait {asked:.0f} s" if asked else ""
        return {
            400: f"{self._service} did not understand the request (400)",
            401: f"{self._service} does not accept the key (401); check the setting fdc_api_key",
            403: f"{self._service} does not accept the key (403); check the setting fdc_api_key",
            404: f"{self._service} does not have it (404)",
            429: f"{self._service}: the number of requests allowed is used up (429){later}",
        }.get(status, f"{self._service} has a fault ({status}){later}")

    def _check_json(self, headers: Mapping[str, str], body: bytes) -> None:
        kind = next((value for name, value in headers.items() if name.lower() == "content-type"), "")
        if kind and "json" not in kind.lower():
            raise AnswerError(f"{self._service} answered with {kind.split(';')[0][:40]!r}, not JSON", 200)
        try:
            read_json(body, self._service)
        except SourceError as error:
            raise AnswerError(str(error), 200) from None


def retry_after_s(headers: Mapping[str, str], now_s: float) -> float | None:
    """Seconds that a Retry-After header asks to wait, or None without a readable one.

    Both forms are read: a number of seconds and an HTTP date (RFC 9110, section 10.2.3).
    """
    text = next((value for name, value in headers.items() if name.lower() == "retry-after"), "").strip()
    if text.isascii() and text.isdecimal() and len(text) < 10:
        return float(text)
    try:
        until = parsedate_to_datetime(text)
    except ValueError:
        return None
    return max(0.0, (until if until.tzinfo else until.replace(tzinfo=UTC)).timestamp() - now_s)


def checked_base_url(url: str) -> str:
    """The base address of a service without its last '/'; SourceError unless it is https.

    http is taken for a loopback address alone, which is where a stand-in of the service runs.
    """
    parts = urlsplit(url)
    host = parts.hostname or ""
    if parts.scheme == "https" and host and not parts.username:
        return url.rstrip("/")
    try:
        loopback = ip_address(host).is_loopback
    except ValueError:
        loopback = False
    if parts.scheme == "http" and loopback and not parts.username:
        return url.rstrip("/")
    raise SourceError(f"{url!r} is no address of a service (accepted: https)")


def open_session(
    service: str,
    base_url: str,
    key: Secret,
    *,
    cache_folder: Path,
    max_age_days: int,
    limits: Limits,
    sleep: Callable[[float], None],
) -> tuple[requests_cache.CachedSession, ServiceAdapter]:
    """A session that keeps answers for `max_age_days` and reaches the host of `base_url` alone.

    An answer that is too old is still given where the service fails. Bodies are kept as JSON rows,
    never as pickled objects.
    """
    parts = urlsplit(checked_base_url(base_url))
    cache_folder.mkdir(parents=True, exist_ok=True)
    session = requests_cache.CachedSession(
        backend=SQLiteCache(cache_folder / CACHE_FILE, serializer="json", wal=True, busy_timeout=5000),
        expire_after=timedelta(days=max_age_days),
        stale_if_error=True,
        allowable_codes=(200,),
        allowable_methods=("GET",),
        cache_control=False,
    )
    adapter = ServiceAdapter(service, key, limits, sleep)
    session.adapters.clear()
    session.mount(f"{parts.scheme}://{parts.netloc}/", adapter)  # no other host, no other scheme
    session.max_redirects = 3
    session.headers.update({"Accept": "application/json", "User-Agent": "nutricost"})
    return session, adapter
