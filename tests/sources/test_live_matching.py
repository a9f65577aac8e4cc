"""Lines and names against the live service's hits (recorded stand-ins), and the way back from a failure."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
import vcr

from nutricost.api import foods as api_foods
from nutricost.settings import Secret
from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.live_matching import LiveMatcher
from nutricost.sources.matching_engine import Matcher
from nutricost.sources.web_client import FdcClient, LiveTable

CASSETTES = Path(__file__).parents[2] / "fixtures" / "http"


def replay(name: str) -> AbstractContextManager[Any]:
    player = vcr.VCR(record_mode="none", match_on=["method", "uri"])
    played: AbstractContextManager[Any] = player.use_cassette(str(CASSETTES / f"{name}.yaml"))
    return played


@pytest.fixture
def table(tmp_path: Path) -> Iterator[LiveTable]:
    client = FdcClient(api_key=Secret("k"), cache_folder=tmp_path, sleep=lambda _: None)
    yield LiveTable(client, EmbeddedTable())
    client.close()


def test_a_line_is_matched_against_what_the_service_finds(table: LiveTable) -> None:
    matcher = LiveMatcher(table, Matcher.open())
    with replay("search-line"):
        found = matcher.match("250 g broccoli, raw")
    assert found.food is not None
    assert (found.food.source, found.food.description) == ("live", "Broccoli, raw")
    assert found.grams.value == 250
    assert table.notices == ()


def test_a_remembered_choice_of_another_table_wins(table: LiveTable) -> None:
    matcher = LiveMatcher(table, Matcher.open())
    with replay("search-line"):
        found = matcher.match("250 g broccoli", {Matcher.open().key("broccoli"): "ndb:11092"})
    assert found.food is not None
    assert found.food.key == "ndb:11092"


def test_names_in_order_of_likeness_then_of_the_service(table: LiveTable) -> None:
    matcher = LiveMatcher(table, Matcher.open())
    with replay("search-line"):
        found = matcher.search("broccoli", 25)
    assert len(found) == 25
    assert len({candidate.food.key for candidate in found}) == 25
    assert found[0].food.description.startswith("Broccoli")


def test_a_failure_leads_to_the_embedded_table_once_and_for_all(table: LiveTable) -> None:
    matcher = LiveMatcher(table, Matcher.open())
    with replay("fault-500-line"):
        assert matcher.match("2 cups broccoli, raw").food == Matcher.open().match("2 cups broccoli, raw").food
        assert matcher.search("carrot")[0].food.source == "sr28"
    (notice,) = table.notices
    assert "embedded table is used" in notice


def test_sources_together(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NUTRICOST_CACHE_FOLDER", str(tmp_path))
    monkeypatch.setenv("NUTRICOST_SETTINGS", str(tmp_path / "none.toml"))
    monkeypatch.setenv("NUTRICOST_FDC_API_KEY", "k")
    notices: list[str] = []
    with replay("search-line"):
        found = api_foods.find_foods("broccoli", ("sr28", "live"), 25, notices=notices)
    assert {food.source for food in found} == {"sr28", "live"}
    assert notices == []
    matches = api_foods.match_lines(["1 carrot"], ("live",), offline=True, notices=notices)
    assert matches[0].food is not None
    assert "offline" in notices[0]
