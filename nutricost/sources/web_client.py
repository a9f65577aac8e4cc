"""FoodData Central over the web: search, foods by id, branded foods by barcode."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

import requests

from nutricost.domain.foods.barcodes import read_gtin, written_forms
from nutricost.domain.foods.records import Food
from nutricost.errors import InputError, SourceError, UnknownFood
from nutricost.settings import Secret, Settings
from nutricost.sources.contract import FoodRow, FoodTable
from nutricost.sources.fdc_keys import read_json
from nutricost.sources.fdc_reading import SOURCES, FdcFood, SearchPage, read_food, read_foods, read_search
from nutricost.sources.http_cache import AnswerError, Limits, open_session

SERVICE = "FoodData Central"
BASE_URL = "https://api.nal.usda.gov/fdc"
"""Server of the API's OpenAPI document 1.0.0."""

DEMO_KEY = "DEMO_KEY"
DEMO_NOTICE = (
    "FoodData Central is asked with DEMO_KEY: 30 requests an hour, 50 a day. A free key of your own allows"
    " 1,000 an hour; put it into the setting fdc_api_key or NUTRICOST_FDC_API_KEY."
)
"""Limits: checks.md section 9 (api-guide and rate limits of the service)."""

MOST_IDS = 20
MOST_HITS = 200
"""Ids in one request (OpenAPI document) and hits on one page (the same, maximum of pageSize)."""

_LONGEST_QUERY = 200

T = TypeVar("T")


class FdcClient:
    """The web service, with its answers kept. Not for sharing between threads.

    `notices` collects what a person should know: the demo key, answers older than allowed.
    """

    def __init__(
        self,
        *,
        api_key: Secret,
        cache_folder: Path,
        max_age_days: int = 30,
        offline: bool = False,
        refresh: bool = False,
        base_url: str = BASE_URL,
        limits: Limits | None = None,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._base_url = base_url.rstrip("/")
        self._offline, self._refresh = offline, refresh
        self._max_age_days = max_age_days
        self._demo = not api_key
        self.notices: list[str] = []
        try:
            self._session, self._adapter = open_session(
                SERVICE,
                base_url,
                api_key or Secret(DEMO_KEY),
                cache_folder=cache_folder,
                max_age_days=max_age_days,
                limits=limits or Limits(),
                sleep=sleep,
            )
        except (OSError, sqlite3.Error) as error:
            raise SourceError(f"stored web answers in {cache_folder} can't be used ({error})") from None

    @classmethod
    def of_settings(cls, settings: Settings, *, refresh: bool = False, offline: bool = False) -> FdcClient:
        """The client that the settings describe."""
        return cls(
            api_key=settings["fdc_api_key"],
            cache_folder=settings["cache_folder"],
            max_age_days=settings["cache_max_age_days"],
            offline=offline or settings["offline"],
            refresh=refresh,
        )

    def search(
        self, text: str, *, data_types: Sequence[str] = (), page_size: int = 25, page: int = 1
    ) -> SearchPage:
        """One page of the foods that match `text`; `data_types` are those of the service, none means all.

        Raises InputError for an empty text or an unknown data type, SourceError where there is no answer.
        """
        words = " ".join("".join(c if c.isprintable() else " " for c in text).split())[:_LONGEST_QUERY]
        unknown = [name for name in data_types if name not in SOURCES]
        if not words or unknown or not 1 <= page_size <= MOST_HITS or page < 1:
            raise InputError(
                f"can't search for {text[:40]!r} (accepted: words, page_size 1 to {MOST_HITS}, page from 1,"
                f" data types {', '.join(SOURCES)})"
            )
        asked = {"query": words, "pageSize": str(page_size), "pageNumber": str(page)}
        if data_types:
            asked["dataType"] = ",".join(data_types)
        return read_search(self._get("/v1/foods/search", asked), "live")

    def food(self, fdc_id: int) -> FdcFood:
        """The food with this FDC id; UnknownFood where there is none, SourceError without an answer."""
        try:
            return read_food(self._get(f"/v1/food/{int(fdc_id)}", {"format": "full"}), "live")
        except SourceError as error:
            if isinstance(error.__cause__, AnswerError) and error.__cause__.status == 404:
                raise UnknownFood(f"FoodData Central has no food {fdc_id}") from None
            raise

    def foods(self, fdc_ids: Sequence[int]) -> list[FdcFood]:
        """The foods with these ids, those that exist, in the order asked for; twenty a request."""
        found: dict[int, FdcFood] = {}
        for start in range(0, len(fdc_ids), MOST_IDS):
            ids = ",".join(str(int(number)) for number in fdc_ids[start : start + MOST_IDS])
            answer = self._get("/v1/foods", {"fdcIds": ids, "format": "full"})
            found.update(
                (item.food.fdc_id, item)
                for item in read_foods(answer, "live")
                if item.food.fdc_id is not None
            )
        return [found[number] for number in fdc_ids if number in found]

    def by_barcode(self, text: str) -> FdcFood | None:
        """The branded food with this barcode, the latest published one, or None where there is none.

        Raises InputError for a text that is no barcode, SourceError where there is no answer.
        """
        gtin = read_gtin(text)
        page = self.search(" ".join(written_forms(gtin)), data_types=("Branded",))
        found = [item for item in page.foods if item.label is not None and same_gtin(item.label.gtin, gtin)]
        newest = max(found, key=lambda item: item.food.fdc_id or 0, default=None)
        return None if newest is None or newest.food.fdc_id is None else self.food(newest.food.fdc_id)

    def close(self) -> None:
        """Closes connections and the store of answers."""
        self._session.close()  # type: ignore[no-untyped-call]

    def _get(self, path: str, asked: Mapping[str, str]) -> Any:
        """The JSON answer to a request, from the store or the service. Raises SourceError without one."""
        url = self._base_url + path
        try:
            body = self._stored(url, asked) if self._offline else self._asked(url, asked)
        except AnswerError as error:
            raise SourceError(str(error)) from error
        except requests.exceptions.InvalidSchema:
            raise SourceError(f"{SERVICE} redirects to another host; that is not followed") from None
        except requests.RequestException as error:
            raise SourceError(f"{SERVICE} gave no answer ({type(error).__name__})") from None
        except (sqlite3.Error, OSError) as error:
            raise SourceError(f"the stored web answers can't be used ({error}); remove that file") from None
        return read_json(body, SERVICE)

    def _asked(self, url: str, asked: Mapping[str, str]) -> bytes:
        before = self._adapter.sent
        try:
            answer = self._session.get(url, params=dict(asked), force_refresh=self._refresh)
        except requests.RequestException as error:
            if not self._refresh:
                raise
            try:
                body = self._stored(url, asked)
            except AnswerError:
                raise error from None
            self._notice(f"{error}: an answer stored earlier is used")
            return body
        if self._adapter.sent > before and self._demo:
            self._notice(DEMO_NOTICE)
        if getattr(answer, "from_cache", False) and getattr(answer, "is_expired", False):
            self._notice(f"{SERVICE} does not answer: one older than {self._max_age_days} days is used")
        return answer.content

    def _stored(self, url: str, asked: Mapping[str, str]) -> bytes:
        request = self._session.prepare_request(requests.Request("GET", url, params=dict(asked)))
        answer = self._session.cache.get_response(self._session.cache.create_key(request))
        if answer is None:
            raise AnswerError(f"offline, and {SERVICE}'s answer to this is not stored")
        content: bytes = answer.content
        return content

    def _notice(self, text: str) -> None:
        if text not in self.notices:
            self.notices.append(text)


def same_gtin(text: str, gtin: str) -> bool:
    """Whether a table's barcode, in whatever length, is this fourteen-digit one."""
    digits = "".join(text.split())
    return digits.isdecimal() and digits.zfill(14) == gtin


class LiveTable:
    """The web service as a food table, with another table to fall back on.

    After the first failure the service is not asked again, so that a long list does not wait for it line
    by line; `notices` says so once.
    """

    def __init__(self, client: FdcClient, fallback: FoodTable) -> None:
        self._client, self._fallback = client, fallback
        self._fetched: dict[str, Food] = {}
        self._down = ""

    @property
    def names(self) -> tuple[str, ...]:
        """ "live", then the names of the table it falls back on."""
        return ("live", *self._fallback.names)

    @property
    def is_down(self) -> bool:
        """Whether the service failed and is not asked any more."""
        return bool(self._down)

    @property
    def notices(self) -> tuple[str, ...]:
        """What a person should know about the answers so far."""
        return (*self._client.notices, *([self._down] if self._down else []))

    def search(self, text: str, limit: int = 25) -> list[Food]:
        """Foods that the service finds for `text`, best first; empty where it can't be asked.

        Foods declared per 100 mL are left out: they have no values per 100 g.
        """
        page = self._try(lambda: self._client.search(text, page_size=min(limit, MOST_HITS)))
        foods = [] if page is None else [item.food for item in page.foods if item.basis == "100 g"]
        self._fetched.update((food.key, food) for food in foods)
        return foods

    def food(self, key: str) -> Food:
        """The food with this key; "fdc:N" is asked from the service, others are looked up in the fallback.

        Raises UnknownFood where neither has it.
        """
        kind, _, number = (part.strip() for part in key.partition(":"))
        if kind.lower() == "fdc" and number.isascii() and number.isdecimal() and len(number) < 18:
            known = self._fetched.get(f"fdc:{int(number)}")
            if known is not None:
                return known
            found = self._try(lambda: self._client.food(int(number)))
            if found is not None:
                self._fetched[found.food.key] = found.food
                return found.food
        return self._fallback.food(key)

    def foods(self, sources: Collection[str] | None = None) -> Iterator[Food]:
        """Foods fetched so far (source "live"), then those of the fallback."""
        if sources is None or "live" in sources:
            yield from list(self._fetched.values())
        yield from self._fallback.foods(sources)

    def rows(self, sources: Collection[str] | None = None) -> Iterator[FoodRow]:
        """The names alone of what `foods` gives; fetched foods have their FDC id, negated, as row id."""
        if sources is None or "live" in sources:
            for food in list(self._fetched.values()):
                yield FoodRow(-(food.fdc_id or 0), food.source, food.key, food.description, food.group)
        yield from self._fallback.rows(sources)

    def _try(self, ask: Callable[[], T]) -> T | None:
        if self._down:
            return None
        try:
            return ask()
        except UnknownFood:
            return None
        except SourceError as error:
            self._down = f"{error}; the embedded table is used instead."
            return None
