"""The web client against recorded answers (fixtures/http: stand-ins) and a stand-in server on loopback."""

from __future__ import annotations

import logging
import os
import re
import threading
import traceback
from collections.abc import Iterator
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from decimal import Decimal
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from typing import Any

import pytest
import requests
import requests_cache
import vcr

from nutricost.errors import InputError, NutricostError, SourceError, UnknownFood
from nutricost.settings import Secret, load_settings
from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.http_cache import CACHE_FILE, AnswerError, Limits, checked_base_url, retry_after_s
from nutricost.sources.web_client import DEMO_NOTICE, FdcClient, LiveTable, same_gtin

ROOT = Path(__file__).parents[2]
CASSETTES = ROOT / "fixtures" / "http"
KEY = "invented-key-AbCdEf-0123456789"
QUERY = "broccoli raw"


def replay(name: str) -> AbstractContextManager[Any]:
    """Plays one cassette and nothing else."""
    player = vcr.VCR(record_mode="none", match_on=["method", "uri"])
    played: AbstractContextManager[Any] = player.use_cassette(str(CASSETTES / f"{name}.yaml"))
    return played


@pytest.fixture
def pauses() -> list[float]:
    return []


@pytest.fixture
def client(tmp_path: Path, pauses: list[float]) -> Iterator[FdcClient]:
    client = FdcClient(api_key=Secret(KEY), cache_folder=tmp_path, sleep=pauses.append)
    yield client
    client.close()


@pytest.fixture(scope="module")
def stand_in() -> Iterator[str]:
    """Address of a running stand-in server, without its path."""
    loader = SourceFileLoader("fdc_stand_in", str(ROOT / "scripts" / "fdc-stand-in"))
    spec = spec_from_loader(loader.name, loader)
    assert spec is not None
    module = module_from_spec(spec)
    loader.exec_module(module)
    server = module.serve(0, 3.0)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()


def at(address: str, folder: Path, fault: str = "", **options: Any) -> FdcClient:
    """A client of the stand-in, impatient where that one stalls."""
    options.setdefault(
        "limits",
        Limits(
            connect_s=60,
            read_s=0.3 if fault == "stall" else 120,
            answer_s=600,
            attempts=2,
            answer_bytes=2**20,
        ),
    )
    options.setdefault("sleep", lambda _: None)
    base_url = address + (f"/fault/{fault}" if fault else "") + "/fdc"
    return FdcClient(api_key=Secret(KEY), cache_folder=folder, base_url=base_url, **options)


# --- answers --------------------------------------------------------------------------------------


def test_search(client: FdcClient) -> None:
    with replay("search"):
        page = client.search(QUERY, page_size=3)
    assert (page.total_hits, page.page, len(page.foods)) == (6, 1, 3)
    embedded = EmbeddedTable()
    for found in page.foods:
        own = embedded.food(found.food.key)
        assert found.food.source == "live"
        assert found.food.description == own.description
        assert {key: value.amount_per_100g for key, value in found.food.nutrients.items()} == {
            key: value.amount_per_100g for key, value in own.nutrients.items()
        }


@pytest.mark.parametrize(("cassette", "fdc_id"), [("detail", 747447), ("detail-survey", 2706738)])
def test_food_by_id(client: FdcClient, cassette: str, fdc_id: int) -> None:
    with replay(cassette):
        found = client.food(fdc_id)
    own = EmbeddedTable().food(f"fdc:{fdc_id}")
    assert found.food.per_100g("energy") == own.per_100g("energy")
    assert found.food.household_weights == own.household_weights
    assert found.food.group == own.group


def test_foods_leave_out_what_does_not_exist(client: FdcClient) -> None:
    with replay("foods"):
        found = client.foods([747447, 1, 169968])
    assert [item.food.fdc_id for item in found] == [747447, 169968]


def test_twenty_ids_a_request(stand_in: str, tmp_path: Path) -> None:
    ids = [row.fdc_id for row in EmbeddedTable().foods(["foundation"]) if row.fdc_id is not None][:45]
    client = at(stand_in, tmp_path, limits=Limits(read_s=120, answer_s=600, attempts=1))
    assert [item.food.fdc_id for item in client.foods(ids)] == ids
    assert len(list(client._session.cache.filter())) == 3
    client.close()


def test_barcode(client: FdcClient) -> None:
    with replay("barcode"):
        found = client.by_barcode("012345678905")
    assert found is not None
    assert found.label is not None
    assert found.label.gtin == "0012345678905"
    assert found.label.per_serving["sodium"] == 480
    with replay("barcode-missing"):
        assert client.by_barcode("6291041500213") is None
    with pytest.raises(InputError, match="last digit"):
        client.by_barcode("0012345678904")
    assert not same_gtin("no barcode", "00012345678905")


def test_empty_result(client: FdcClient) -> None:
    with replay("search-empty"):
        assert client.search("qqqq zzzz").foods == ()


def test_a_missing_food(client: FdcClient) -> None:
    with replay("detail-missing"), pytest.raises(UnknownFood, match="no food 1"):
        client.food(1)


@pytest.mark.parametrize(
    "arguments", [{"text": " \n"}, {"text": "a", "page_size": 201}, {"text": "a", "data_types": ["Brand"]}]
)
def test_a_senseless_search_is_refused_before_it_is_sent(
    client: FdcClient, arguments: dict[str, Any]
) -> None:
    with pytest.raises(InputError, match="accepted"):
        client.search(**arguments)


# --- faults ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "message", "waits"),
    [
        ("fault-403", r"key \(403\); check the setting fdc_api_key", []),
        ("fault-404", r"does not have it \(404\)", []),
        ("fault-429", r"used up \(429\); it asks to wait 3600 s", []),
        ("fault-500", r"has a fault \(500\)", [0.5, 1.0]),
        ("fault-time-out", r"has a fault \(504\)", [0.5, 1.0]),
        ("fault-html", "'text/html', not JSON", []),
        ("fault-cut", "no JSON, or cut off", []),
        ("fault-elsewhere", "redirects to another host", []),
        ("fault-400", r"did not understand the request \(400\)", []),
    ],
)
def test_faults(client: FdcClient, pauses: list[float], name: str, message: str, waits: list[float]) -> None:
    def ask() -> object:
        return (
            client.food(747447) if name in ("fault-400", "fault-403") else client.search(QUERY, page_size=3)
        )

    with replay(name), pytest.raises(SourceError, match=message):
        ask()
    assert pauses == waits
    assert not list(client._session.cache.filter())  # nothing unsound is kept


def test_it_waits_as_long_as_it_is_asked_to(client: FdcClient, pauses: list[float]) -> None:
    with replay("fault-429-soon"):
        assert client.search(QUERY, page_size=3).foods
    assert pauses == [2.0]


def test_retry_after_in_seconds_or_as_a_date() -> None:
    # RFC 9110, section 10.2.3: "Fri, 31 Dec 1999 23:59:59 GMT" and "120" are its two examples.
    date = {"retry-after": "Fri, 31 Dec 1999 23:59:59 GMT"}
    assert retry_after_s({"Retry-After": "120"}, 0) == 120
    assert retry_after_s(date, 946684799 - 90) == 90
    assert retry_after_s(date, 946684799 + 90) == 0
    assert retry_after_s({"Retry-After": "soon"}, 0) is None
    assert retry_after_s({}, 0) is None


@pytest.mark.parametrize(
    ("fault", "message"),
    [("stall", "did not answer in time"), ("drop", "broke off its answer"), ("huge", "more than 1 MiB")],
)
def test_a_service_that_stalls_breaks_off_or_floods(
    stand_in: str, tmp_path: Path, fault: str, message: str
) -> None:
    client = at(stand_in, tmp_path, fault)
    with pytest.raises(SourceError, match=message):
        client.search(QUERY)
    client.close()


def test_a_service_that_is_not_there(tmp_path: Path) -> None:
    client = at("http://127.0.0.1:9", tmp_path)
    with pytest.raises(SourceError, match="can't be reached"):
        client.search(QUERY)
    client.close()


@pytest.mark.parametrize(
    "url",
    [
        "http://api.nal.usda.gov/fdc",
        "ftp://127.0.0.1",
        "https://",
        "http://10.0.0.1",
        "https://a@b/",
        "http://localhost.evil",
    ],
)
def test_only_https_or_loopback(url: str) -> None:
    with pytest.raises(SourceError, match="https"):
        checked_base_url(url)


def test_a_slow_answer_is_cut_short(stand_in: str, tmp_path: Path) -> None:
    client = at(stand_in, tmp_path, limits=Limits(answer_s=-1, attempts=1))
    with pytest.raises(SourceError, match="took longer"):
        client.search(QUERY)
    client.close()


# --- the store of answers -------------------------------------------------------------------------


def test_a_second_question_is_answered_from_the_store(client: FdcClient, tmp_path: Path) -> None:
    with replay("search") as cassette:
        first = client.search(QUERY, page_size=3)
        assert client.search(QUERY, page_size=3) == first
        assert cassette.play_count == 1
    again = FdcClient(api_key=Secret(""), cache_folder=tmp_path, offline=True)
    assert again.search(QUERY, page_size=3) == first
    assert again.notices == []
    with pytest.raises(SourceError, match="offline"):
        again.search("something else")
    again.close()


def expire(folder: Path) -> None:
    """Makes every stored answer too old."""
    session = requests_cache.CachedSession(
        str(folder / CACHE_FILE.removesuffix(".sqlite")), serializer="json"
    )
    for key, answer in list(session.cache.responses.items()):
        answer.expires = datetime(2001, 1, 1, tzinfo=UTC)
        session.cache.responses[key] = answer
    session.close()  # type: ignore[no-untyped-call]


@pytest.mark.parametrize("fault", ["fault-500", "fault-html", "fault-cut", "fault-429"])
def test_an_old_answer_is_better_than_none(client: FdcClient, tmp_path: Path, fault: str) -> None:
    with replay("search"):
        first = client.search(QUERY, page_size=3)
    expire(tmp_path)
    with replay(fault):
        assert client.search(QUERY, page_size=3) == first
    assert any("older than 30 days is used" in notice for notice in client.notices)


def test_an_old_answer_is_asked_for_anew(client: FdcClient, tmp_path: Path) -> None:
    with replay("search"):
        client.search(QUERY, page_size=3)
    expire(tmp_path)
    with replay("search") as cassette:
        client.search(QUERY, page_size=3)
        assert cassette.play_count == 1
    assert client.notices == []


def test_refresh_asks_anew_and_falls_back_on_the_store(client: FdcClient, tmp_path: Path) -> None:
    with replay("search"):
        first = client.search(QUERY, page_size=3)
    fresh = FdcClient(api_key=Secret(KEY), cache_folder=tmp_path, refresh=True, sleep=lambda _: None)
    with replay("search") as cassette:
        assert fresh.search(QUERY, page_size=3) == first
        assert cassette.play_count == 1
    with replay("fault-500"):
        assert fresh.search(QUERY, page_size=3) == first
    assert "stored earlier" in fresh.notices[-1]
    fresh.close()


@pytest.mark.skipif(os.name != "posix", reason="an open file can't be deleted there")
def test_a_store_that_is_deleted_meanwhile(stand_in: str, tmp_path: Path) -> None:
    folder = tmp_path / "cache"
    client = at(stand_in, folder)
    before = client.search(QUERY)
    for path in folder.iterdir():
        path.unlink()
    assert client.search(QUERY) == before
    client.close()


def test_a_store_that_is_damaged_is_named(tmp_path: Path) -> None:
    (tmp_path / CACHE_FILE).write_bytes(b"no database" * 1000)
    with pytest.raises(SourceError, match="stored web answers"):
        FdcClient(api_key=Secret(KEY), cache_folder=tmp_path).search(QUERY)


# --- the key --------------------------------------------------------------------------------------


def test_the_key_is_sent_and_nowhere_else(
    stand_in: str, tmp_path: Path, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    """Not in the store of answers, a log, an error, a traceback (with locals), standard output or error."""
    texts: list[str] = []
    with caplog.at_level(logging.DEBUG):
        client = at(stand_in, tmp_path, limits=Limits(read_s=120, answer_s=600, attempts=1))
        assert client.search(QUERY).foods  # the stand-in answers 403 without a key
        expire(tmp_path)
        for fault in ("403", "500", "stall", "drop", "html", "elsewhere"):
            faulty = at(stand_in, tmp_path, fault)
            try:
                faulty.search(QUERY)
            except NutricostError as error:
                seen: BaseException | None = error
                while seen is not None:
                    shown = traceback.TracebackException.from_exception(seen, capture_locals=True)
                    texts += ["".join(shown.format()), str(seen), repr(seen), repr(vars(seen))]
                    request = getattr(seen, "request", None)
                    texts.append(repr(getattr(request, "headers", "")))
                    seen = seen.__cause__ or seen.__context__
            faulty.close()
        texts += [repr(client), repr(vars(client))]
        client.close()
    texts += [record.getMessage() + repr(record.exc_text) for record in caplog.records]
    texts += list(capfd.readouterr())
    assert len(texts) > 20
    assert not any(KEY in text for text in texts)
    stored = [path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()]
    assert sum(map(len, stored)) > 1000
    assert not any(KEY.encode() in content for content in stored)
    session = requests_cache.CachedSession(str(tmp_path / "fooddata-central"), serializer="json")
    kept = list(session.cache.filter(expired=True))
    assert kept
    assert not any(KEY in repr(item.request.headers) + repr(item.headers) + item.text for item in kept)
    session.close()  # type: ignore[no-untyped-call]


def test_no_cassette_holds_a_key_or_an_address_of_a_person() -> None:
    cassettes = sorted(CASSETTES.glob("*.yaml"))
    assert len(cassettes) >= 18
    for path in cassettes:
        text = path.read_text(encoding="utf-8")
        assert not re.search(
            r"(?i)x-api-key|api_key=|authorization|cookie|stand-in-key|127\.0\.0\.1", text
        ), path.name


def test_demo_key_comes_with_a_note(tmp_path: Path) -> None:
    client = FdcClient(api_key=Secret(""), cache_folder=tmp_path)
    with replay("search"):
        client.search(QUERY, page_size=3)
        client.search(QUERY, page_size=3)
    assert client.notices == [DEMO_NOTICE]
    client.close()


def test_the_client_of_the_settings(tmp_path: Path) -> None:
    environ = {
        "NUTRICOST_OFFLINE": "yes",
        "NUTRICOST_CACHE_FOLDER": str(tmp_path),
        "NUTRICOST_FDC_API_KEY": KEY,
    }
    client = FdcClient.of_settings(load_settings(tmp_path / "none.toml", environ))
    with pytest.raises(SourceError, match="offline"):
        client.search(QUERY)
    client.close()


# --- as a food table ------------------------------------------------------------------------------


def test_live_table(client: FdcClient) -> None:
    table = LiveTable(client, EmbeddedTable())
    assert table.names[0] == "live"
    with replay("search"):
        found = table.search(QUERY, 3)
    assert [food.source for food in found] == ["live"] * 3
    assert [row.key for row in table.rows(["live"])] == [food.key for food in found]
    assert list(table.foods(["live"])) == found
    assert table.food(found[0].key) is found[0]
    assert table.food("ndb:11090").source == "sr28"
    with replay("detail-survey"):
        assert table.food("fdc:2706738").source == "live"
    assert table.notices == ()


def test_live_table_falls_back_with_one_notice(client: FdcClient) -> None:
    table = LiveTable(client, EmbeddedTable())
    with replay("fault-500"):
        assert table.search(QUERY, 3) == []
        assert table.search("other words") == []  # not asked again
        assert table.food("fdc:747447").source == "foundation"
    (notice,) = table.notices
    assert "embedded table is used" in notice
    with pytest.raises(UnknownFood):
        table.food("fdc:1")


def test_live_table_asks_the_fallback_for_what_the_service_lacks(client: FdcClient) -> None:
    table = LiveTable(client, EmbeddedTable())
    with replay("detail-missing"), pytest.raises(UnknownFood):
        table.food("fdc:1")
    assert table.notices == ()


def test_errors_of_the_service_have_a_status() -> None:
    error: requests.RequestException = AnswerError("gone", 404)
    assert isinstance(error, AnswerError)
    assert error.status == 404


@pytest.mark.live
def test_the_real_service_answers_in_the_known_shape(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Shape and plausible ranges only."""
    if request.config.getoption("-m") != "live":
        pytest.skip("asks the real service: run with -m live and a key in NUTRICOST_FDC_API_KEY")
    monkeypatch.undo()
    client = FdcClient.of_settings(load_settings())
    page = client.search("broccoli raw", data_types=("Foundation",), page_size=5)
    energies = [found.food.per_100g("energy") for found in page.foods]
    assert any(energy is not None and Decimal(10) < energy < Decimal(100) for energy in energies)
    client.close()
