"""Who gets in and what gets out.

Sources: RFC 9110 7.2 and 15.5.20 (Host, 421 Misdirected Request), W3C Content Security Policy Level 3,
Fetch Standard (Origin header, Sec-Fetch-Site), RFC 6265 5.3 (cookies). The wording is our own.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from html.parser import HTMLParser

import pytest
from page_visitor import NEW_BATCH, NEW_POUCH, Visitor

from nutricost.api.kitchen import Kitchen
from nutricost.faces.web import app, safety
from nutricost.faces.web.safety import Access, access_for, host_name

HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>"
PAGES = (
    "/",
    "/batches",
    "/batches/new",
    "/pouches",
    "/pouches/new",
    "/compare",
    "/deal",
    "/payback",
    "/plan",
    "/machine",
    "/shelf",
    "/foods?q=corn",
    "/settings",
)


def test_the_first_page_needs_neither_redirect_nor_token_on_loopback(visitor: Visitor) -> None:
    """The public contract of `serve`."""
    for host in ("localhost", "localhost:8765", "127.0.0.1:1", "[::1]:8765"):
        assert visitor.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "elsewhere.example",
        "localhost.elsewhere.example",
        "127.0.0.1.example:80",
        "",
        "10.0.0.7",
        "localhost@elsewhere.example",
    ],
)
def test_a_foreign_host_is_refused(visitor: Visitor, host: str) -> None:
    answer = visitor.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "content-security-policy" in answer.headers


def test_a_change_from_another_origin_is_refused(visitor: Visitor) -> None:
    token = visitor.token()
    for headers in (
        {"origin": "http://elsewhere.example"},
        {"origin": "null"},
        {"origin": "http://localhost:81"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ):
        answer = visitor.ask("POST", "/batches/new", data={**NEW_BATCH, "csrf": token}, headers=headers)
        assert answer.status_code == 403, headers
    assert visitor.get("/batches.json").json()["batches"] == []
    own = {"origin": "http://localhost", "sec-fetch-site": "same-origin"}
    assert (
        visitor.ask("POST", "/batches/new", data={**NEW_BATCH, "csrf": token}, headers=own).status_code == 303
    )


@pytest.mark.parametrize("path", app.CHANGES)
def test_every_change_needs_the_token(visitor: Visitor, path: str) -> None:
    address = path.replace("{name}", "x")
    visitor.token()
    assert visitor.ask("POST", address, data={"title": "x"}).status_code == 403
    assert visitor.ask("POST", address, data={"csrf": "guess"}).status_code == 403
    assert visitor.ask("POST", address, content=b"").status_code == 403


def test_a_form_stays_good_when_the_server_starts_anew(visitor: Visitor) -> None:
    token = visitor.token()
    again = Visitor(visitor.book)
    again.cookies = visitor.cookies
    assert again.ask("POST", "/batches/new", data={**NEW_BATCH, "csrf": token}).status_code == 303


def test_nothing_is_changed_by_reading(demo: Visitor) -> None:
    for path in app.CHANGES:
        if path not in app.PAGES:
            answer = demo.get(path.replace("{name}", "lentil-kits"))
            assert answer.status_code in (404, 405), path
    assert len(demo.get("/batches.json").json()["batches"]) == 3


class _Tags(HTMLParser):
    """Every tag with its attributes, and the text of scripts and styles."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))


def tags_of(text: str) -> list[tuple[str, dict[str, str | None]]]:
    parser = _Tags()
    parser.feed(text)
    return parser.tags


def test_no_page_needs_an_inline_script_a_style_or_another_address(demo: Visitor) -> None:
    more = (
        "/batches/lentil-kits",
        "/batches/lentil-kits/edit",
        "/batches/lentil-kits/print",
        "/batches/lentil-kits/bag-labels",
        "/batches/lentil-kits/trace",
        "/batches/lentil-kits/document",
    )
    for path in (*PAGES, *more):
        answer = demo.get(path)
        assert answer.status_code == 200, path
        policy = answer.headers["content-security-policy"]
        assert "unsafe" not in policy and "default-src 'none'" in policy, path
        for tag, attributes in tags_of(answer.text):
            assert tag != "style" and "style" not in attributes, (path, tag)
            assert tag != "script" or attributes.get("src") == "/static/page.js", path
            assert not any(name.startswith("on") for name in attributes), (path, tag)
            for name in ("src", "href", "action", "srcset"):
                target = attributes.get(name) or "/"
                assert target.startswith(("/", "#")) and not target.startswith("//"), (path, target)


def test_what_a_person_typed_never_becomes_markup(visitor: Visitor) -> None:
    batch = {
        **NEW_BATCH,
        "title": HOSTILE,
        "ingredients[2].line": f"1 cup {HOSTILE}",
        "other_costs[0].name": HOSTILE,
        "other_costs[0].amount": "1",
        "labels[0].name": HOSTILE,
        "labels[0].serving_size": f"{HOSTILE} 10 g",
        "labels[0].calories": "10",
        "rehydration.note": HOSTILE,
        "packing.bags": "2",
        "packing.lot": HOSTILE,
    }
    saved = visitor.send("/batches/new", batch)
    assert saved.status_code == 303
    name = saved.headers["location"].partition("?")[0]
    assert visitor.send("/pouches/new", {**NEW_POUCH, "name": HOSTILE, "note": HOSTILE}).status_code == 303
    paths = (
        *PAGES,
        f"/foods?q={HOSTILE}",
        name,
        *(f"{name}/{part}" for part in ("edit", "print", "bag-labels", "trace", "document")),
        f"/batches?q={HOSTILE}",
        f"/shelf?q={HOSTILE}",
        f"/compare?basis={HOSTILE}",
        f"/compare?against={HOSTILE}",
        f"/deal?batch={HOSTILE}&price={HOSTILE}",
        f"/batches/{HOSTILE}",
    )
    for path in paths:
        answer = visitor.get(path)
        assert answer.status_code < 500, path
        found = tags_of(answer.text)
        assert [tag for tag, _ in found].count("script") <= 1, path
        assert not any(attributes.get("src") == "x" for _, attributes in found), path
    picture = visitor.get("/compare/picture.svg")
    assert picture.status_code == 200
    assert "<script" not in picture.text and "script-src" not in picture.headers["content-security-policy"]


def test_size_limits(visitor: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(safety, "BODY_LIMIT_BYTES", 5000)
    token = visitor.token()
    assert visitor.ask("POST", "/batches/new", data={"csrf": token, "title": "x" * 6000}).status_code == 413

    async def parts() -> object:  # no content-length: counted as it comes
        for _ in range(10):
            yield b"x" * 1000

    assert visitor.ask("POST", "/batches/new", content=parts()).status_code == 413
    assert visitor.get("/foods?q=" + "x" * 9000).status_code == 414
    wrong = visitor.ask("POST", "/batches/new", content=b"", headers={"content-length": "-5"})
    assert wrong.status_code == 413


def test_too_many_fields_are_refused_in_words(visitor: Visitor) -> None:
    form = {f"ingredients[{i}].line": "x" for i in range(6000)}
    answer = visitor.send("/batches/new", form)
    assert answer.status_code == 400
    assert "Traceback" not in answer.text


def test_no_path_leads_out_of_the_book(demo: Visitor) -> None:
    for path in (
        "/batches/..%2f..%2fetc%2fpasswd",
        "/static/..%2fapp.py",
        "/static/%2e%2e/app.py",
        "/batches/..%2fdemo/document",
        "/compare/export.%2fetc%2fpasswd",
        "/static//etc/passwd",
    ):
        answer = demo.get(path)
        assert answer.status_code in (400, 404, 405), path
        assert "root:" not in answer.text and "import " not in answer.text
    answer = demo.send("/settings", {"name": "book", "value": "/etc/passwd"})
    assert answer.status_code == 422


def test_another_address_needs_its_token(with_access: Callable[[Access], Visitor]) -> None:
    access = access_for("0.0.0.0", ("kitchen-box",))
    visitor = with_access(access)
    at = {"host": "192.0.2.7:8765"}  # an address of RFC 5737, for documents
    assert access.token is not None and len(access.token) >= 32
    assert visitor.get("/", headers=at).status_code == 401
    assert visitor.get("/?token=guess", headers=at).status_code == 401
    assert visitor.get("/", headers={"host": "elsewhere.example"}).status_code == 421
    entered = visitor.get(f"/?token={access.token}", headers=at)
    assert entered.status_code == 303 and entered.headers["location"] == "/"
    cookie = entered.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=Strict" in cookie
    known = {**at, "cookie": cookie.partition(";")[0]}
    assert visitor.get("/", headers=known).status_code == 200
    assert visitor.get("/", headers={**known, "host": "kitchen-box:8765"}).status_code == 200


def test_loopback_asks_for_no_token() -> None:
    for host in ("127.0.0.1", "localhost", "::1", "127.0.0.2"):
        assert access_for(host).token is None
    for host in ("0.0.0.0", "::", "192.0.2.7", "kitchen-box"):
        assert access_for(host).token is not None


@pytest.mark.parametrize(
    ("header", "name"),
    [("LocalHost:80", "localhost"), ("[::1]:8", "[::1]"), ("a.b", "a.b"), ("[::1", ""), (":80", "")],
)
def test_the_name_in_a_host_header(header: str, name: str) -> None:
    assert host_name(header) == name


def test_errors_have_one_shape(demo: Visitor) -> None:
    for path, status in (
        ("/batches/none.json", 404),
        ("/compare.json?basis=bushel", 400),
        ("/nowhere.json", 404),
    ):
        answer = demo.get(path)
        assert answer.status_code == status
        error = json.loads(answer.text)["error"]
        assert set(error) == {"status", "text", "problems"} and error["status"] == status
        for problem in error["problems"]:
            assert set(problem) == {"where", "what", "accepted"}
    assert re.search("bushel", demo.get("/compare?basis=bushel").text)


@pytest.mark.parametrize("path", ["/", "/index.json"])
def test_a_fault_of_the_program_shows_nothing_of_its_inside(
    visitor: Visitor, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    def broken(self: Kitchen) -> None:
        raise RuntimeError("a secret of the inside")

    monkeypatch.setattr(Kitchen, "overview", broken)
    answer = visitor.get(path)
    assert answer.status_code == 500 and "The program failed here" in answer.text
    assert "secret" not in answer.text and "content-security-policy" in answer.headers
