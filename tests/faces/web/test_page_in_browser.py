"""Journeys of a newcomer in a real browser.

Sources: WCAG 2.2 (2.1.1 keyboard, 1.4.10 reflow, 2.4.7 focus visible) and the rules of axe-core, which the
package axe-playwright-python ships. They need Chromium; where there is none they skip and say so.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from browser import Watched, browser

from nutricost.api.kitchen import Kitchen
from nutricost.faces.web import server
from nutricost.faces.web.app import build_app
from nutricost.faces.web.safety import Access

pytestmark = [
    pytest.mark.browser,
    # Playwright's own loop leaves its policy and pipes to the garbage collector.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

PHONE = {"width": 360, "height": 740}
DESK = {"width": 1280, "height": 900}
DEMO_PAGES = (
    "/", "/batches", "/batches/new", "/batches/lentil-kits", "/batches/lentil-kits/edit",
    "/batches/lentil-kits/document", "/batches/lentil-kits/trace", "/batches/lentil-kits/print",
    "/batches/lentil-kits/bag-labels", "/pouches", "/pouches/new", "/compare",
    "/deal?batch=lentil-kits&price=1.50&days=9", "/payback", "/plan", "/machine", "/shelf", "/foods?q=corn",
    "/settings", "/batches/none",
)  # fmt: skip

Visit = Callable[..., Watched]


@pytest.fixture(scope="module")
def chrome() -> Iterator[Any]:
    """The browser of all tests here; each gets a context of its own."""
    with browser() as running:
        yield running


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Where the book of a test lies."""
    return tmp_path / "book.sqlite"


@pytest.fixture
def address(chrome: Any, book: Path) -> Iterator[str]:
    """A running server over the book of the test."""
    bound = server.listen("127.0.0.1", 0)
    config = uvicorn.Config(
        build_app(book, Access()),
        http=server.PatientlyBounded,
        ws="none",
        lifespan="off",
        log_level="warning",
        timeout_graceful_shutdown=2,
    )
    running = uvicorn.Server(config)
    thread = threading.Thread(target=running.run, kwargs={"sockets": [bound]})
    thread.start()
    yield f"http://127.0.0.1:{bound.getsockname()[1]}"
    running.should_exit = True
    thread.join(timeout=20)
    bound.close()


@pytest.fixture
def visit(chrome: Any, address: str) -> Iterator[Visit]:
    """Opens a new window; afterwards nothing may have gone wrong in any of them."""
    opened: list[tuple[Any, Watched]] = []

    def new(**options: Any) -> Watched:
        context = chrome.new_context(**{"viewport": DESK, **options})
        watched = Watched(context, address)
        opened.append((context, watched))
        return watched

    yield new
    wrong = [text for _, watched in opened for text in watched.wrong]
    for context, _ in opened:
        context.close()
    assert wrong == []


def demo(book: Path) -> None:
    Kitchen(book).load_demo(date(2026, 1, 2))


def test_a_newcomer_gets_from_an_empty_book_to_a_comparison(visit: Visit) -> None:
    page = visit(viewport=PHONE).go("/")
    page.get_by_role("link", name="Enter my first batch").click()
    page.get_by_label("What it is").fill("Corn and beans")
    page.get_by_label("Servings it makes").fill("6")
    page.get_by_label("What the drying cycle cost").fill("3.50 to 5.00")
    page.get_by_label("Ingredient", exact=True).nth(0).fill("2 lb frozen corn")
    page.get_by_label("Paid", exact=True).nth(0).fill("4.50")
    page.get_by_label("Ingredient", exact=True).nth(1).fill("1 lb dry black beans")
    page.get_by_label("Paid", exact=True).nth(1).fill("1.80")
    page.locator("[data-figure='per_serving.energy']").filter(has_text="kcal").wait_for()
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Saved in your book.").wait_for()
    page.get_by_role("link", name="Pouches").click()
    page.get_by_role("link", name="Add a pouch").click()
    typed = {"Name on the pouch": "Far Meadow stew", "Price": "9.95", "Servings per container": "2"}
    for label, text in {**typed, "Net weight": "4.6 oz"}.items():
        page.get_by_label(label).first.fill(text)
    page.locator("#calories").fill("280")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("link", name="Compare").first.click()
    page.get_by_text("For the same energy, Corn and beans costs").wait_for()
    assert page.locator("tr.own").count() == 1


def test_a_match_is_corrected(visit: Visit, book: Path) -> None:
    demo(book)
    page = visit().go("/batches/chicken-rice/edit")
    choice = page.locator("[id='ingredients[1].food']")
    choice.locator("option").nth(2).wait_for(state="attached")
    other = choice.locator("option").nth(2).get_attribute("value")
    choice.select_option(other)
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Saved in your book.").wait_for()
    stored = Kitchen(book).stored_batch("chicken-rice").text
    assert f'food = "{other}"' in stored and "# Invented demo scenario" in stored


def test_problems_are_marked_and_nothing_typed_is_lost(visit: Visit) -> None:
    page = visit().go("/batches/new")
    page.get_by_label("What it is").fill("Soup")
    page.get_by_label("Servings it makes").fill("a few")
    page.get_by_label("Ingredient", exact=True).nth(0).fill("1 lb carrots")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("alert").wait_for()
    page.wait_for_function("document.activeElement.id === 'alert'")  # set by the script, a moment later
    field = page.get_by_label("Servings it makes")
    assert field.input_value() == "a few" and field.get_attribute("aria-invalid") == "true"
    assert "a few" in page.locator("#servings-wrong").inner_text()
    assert page.get_by_label("Ingredient", exact=True).nth(0).input_value() == "1 lb carrots"


def test_a_draft_outlives_a_reload(visit: Visit) -> None:
    watched = visit()
    page = watched.go("/batches/new")
    page.get_by_label("What it is").fill("Half a soup")
    page.get_by_role("button", name="Add a line").click()
    page.get_by_label("Ingredient", exact=True).nth(3).fill("1 lb carrots")
    page.reload()
    page.get_by_text("What you typed before is here again").wait_for()
    assert page.get_by_label("What it is").input_value() == "Half a soup"
    assert page.get_by_label("Ingredient", exact=True).nth(3).input_value() == "1 lb carrots"
    page.get_by_role("button", name="Start from what is saved").click()
    page.wait_for_function("document.getElementById('title').value === ''")


def test_a_draft_is_gone_once_it_is_saved(visit: Visit) -> None:
    """The next new pouch starts empty, and so does another one's form."""
    page = visit().go("/pouches/new")
    for field, text in {"name": "A & B", "price": "9.95", "servings": "2", "calories": "280"}.items():
        page.locator(f"#{field}").fill(text)
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("link", name="Add a pouch").click()
    assert page.locator("#name").input_value() == ""
    assert not page.locator("[data-draft-notice]").is_visible()
    page.go_back()
    page.get_by_role("link", name="A & B").click()
    page.locator("#price").fill("8.95")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("8.95 USD").wait_for()
    page.get_by_role("link", name="A & B").click()
    assert not page.locator("[data-draft-notice]").is_visible()


def test_a_draft_outlives_a_stop_of_the_server(chrome: Any, book: Path) -> None:
    """The server goes away while somebody types, and comes back at the same address."""
    context = chrome.new_context(viewport=DESK)
    bound = server.listen("127.0.0.1", 0)
    port = bound.getsockname()[1]
    page = None
    for turn in ("typing", "again"):
        config = uvicorn.Config(build_app(book, Access()), ws="none", lifespan="off", log_level="warning")
        running = uvicorn.Server(config)
        thread = threading.Thread(target=running.run, kwargs={"sockets": [bound]})
        thread.start()
        try:
            if page is None:
                page = context.new_page()
                page.goto(f"http://127.0.0.1:{port}/batches/new")
                page.get_by_label("What it is").fill("Kept soup")
                page.get_by_label("Servings it makes").fill("4")
                page.get_by_label("Ingredient", exact=True).nth(0).fill("1 lb carrots")
            else:
                page.goto(f"http://127.0.0.1:{port}/batches/new")
                assert page.get_by_label("What it is").input_value() == "Kept soup"
                page.get_by_role("button", name="Save", exact=True).click()
                page.get_by_text("Saved in your book.").wait_for()
        finally:
            running.should_exit = True
            thread.join(timeout=20)
            bound.close()
        if turn == "typing":
            page.get_by_role("button", name="Save", exact=True).click(no_wait_after=True)
            with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
                page.wait_for_url("**/never", timeout=15_000)
            page.wait_for_timeout(500)
            bound = server.listen("127.0.0.1", port)
    context.close()
    assert [one.title for one in Kitchen(book).stored_batches()] == ["Kept soup"]


def test_the_second_of_two_tabs_is_told(visit: Visit, book: Path) -> None:
    demo(book)
    one, two = (visit().go("/batches/chicken-rice/edit") for _ in range(2))
    for page, servings in ((one, "8"), (two, "7")):
        page.get_by_label("Servings it makes").fill(servings)
        page.get_by_role("button", name="Save", exact=True).click()
    two.get_by_text("changed in the book since you opened it").wait_for()
    assert two.get_by_label("Servings it makes").input_value() == "7"
    assert Kitchen(book).stored_batch("chicken-rice").servings == "8"
    two.get_by_role("button", name="Save", exact=True).click()
    two.get_by_text("Saved in your book.").wait_for()
    assert Kitchen(book).stored_batch("chicken-rice").servings == "7"


def test_by_keyboard_alone(visit: Visit) -> None:
    """WCAG 2.2, 2.1.1: a batch is entered and saved without a pointer; focus can be seen all the way."""
    page = visit().go("/batches/new")
    keys = page.keyboard

    def tab_to(name: str) -> None:
        for _ in range(80):
            keys.press("Tab")
            if (
                page.evaluate("document.activeElement.name || document.activeElement.textContent.trim()")
                == name
            ):
                outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
                assert outline != "none", name
                return
        pytest.fail(f"{name} is not reached by Tab")

    keys.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    tab_to("title")
    keys.type("Rice")
    tab_to("servings")
    keys.type("3")
    tab_to("ingredients[0].line")
    keys.type("1 lb long grain rice")
    tab_to("ingredients[0].paid")
    keys.type("1.20")
    tab_to("Save")
    keys.press("Enter")
    page.get_by_text("Saved in your book.").wait_for()


def test_no_page_scrolls_sideways_on_a_phone(visit: Visit, book: Path) -> None:
    """WCAG 2.2, 1.4.10; wide tables scroll inside their own box."""
    demo(book)
    watched = visit(viewport=PHONE)
    for path in DEMO_PAGES:
        watched.go(path)
        assert watched.sideways() <= 0, path


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_accessibility_findings(visit: Visit, book: Path, scheme: str) -> None:
    demo(book)
    axe = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    watched = visit(color_scheme=scheme, viewport=PHONE if scheme == "dark" else DESK, bypass_csp=True)
    found = []
    for path in DEMO_PAGES:
        page = watched.go(path)
        page.evaluate(axe)
        result = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        for one in result["violations"]:
            if one["impact"] in ("serious", "critical", "moderate"):
                found.append(f"{path}: {one['id']} ({one['impact']}): {one['nodes'][0]['html'][:120]}")
    assert not found, "\n".join(found)


def test_what_is_printed(visit: Visit, book: Path) -> None:
    demo(book)
    page = visit().go("/batches/lentil-kits/print")
    page.emulate_media(media="print")
    assert not page.locator("nav").is_visible() and not page.get_by_role("button", name="Print").is_visible()
    assert page.get_by_role("heading", name="Lentil curry with peas").is_visible()
    assert page.pdf()[:5] == b"%PDF-"
    page = visit().go("/batches/lentil-kits/bag-labels")
    assert page.locator(".bag-labels > li").count() == 8


def test_without_scripts_a_batch_can_still_be_entered(visit: Visit) -> None:
    page = visit(java_script_enabled=False).go("/batches/new")
    page.get_by_label("What it is").fill("Plain rice")
    page.get_by_label("Servings it makes").fill("2")
    page.get_by_label("Ingredient", exact=True).nth(0).fill("1 lb rice")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Saved in your book.").wait_for()


def test_the_policy_of_the_page_holds_in_the_browser(visit: Visit, book: Path) -> None:
    """An inline script does not run even if one got into a page."""
    demo(book)
    watched = visit()
    page = watched.go("/")
    page.evaluate(
        "document.body.insertAdjacentHTML('beforeend', '<img src=\"/x\" onerror=\"window.ran = 1\">')"
    )
    page.wait_for_timeout(300)
    assert json.dumps(page.evaluate("window.ran === undefined")) == "true"
    watched.wrong.clear()
