"""From a page's plain data to HTML or JSON: one set of figures, two renderings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any
from urllib.parse import quote

import jinja2
import simplejson
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from nutricost.api.public_form import plain
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown, shown_number, shown_range
from nutricost.faces.web.safety import CSRF_FIELD, new_token
from nutricost.faces.web.wording import field_word

NAVIGATION = (
    ("/batches", "Batches"),
    ("/pouches", "Pouches"),
    ("/compare", "Compare"),
    ("/deal", "At the shop"),
    ("/payback", "Payback"),
    ("/plan", "Plan"),
    ("/shelf", "Shelf"),
    ("/foods", "Foods"),
    ("/settings", "Settings"),
)


@dataclass(frozen=True, slots=True)
class Page:
    """What a page shows. `data` is plain, its leaves are figures: it is the JSON twin as it stands.

    `form` holds what only the HTML needs: what was typed, problems by field, wording of fields.
    """

    template: str
    title: str
    data: Mapping[str, Any]
    form: Mapping[str, Any] = field(default_factory=dict)
    status: int = 200


def json_response(data: Any, status: int = 200) -> Response:
    """Plain data as JSON; money is written from its Decimal."""
    text = simplejson.dumps(plain(data), use_decimal=True, ensure_ascii=False, separators=(",", ":"))
    return Response(text, status, media_type="application/json")


def respond(request: Request, page: Page) -> Response:
    """The page as JSON under its `.json` address, else as HTML."""
    if request.url.path.endswith(".json"):
        return json_response(page.data, page.status)
    cookie = csrf_cookie(request)
    token = request.cookies.get(cookie) or new_token()
    path = request.url.path
    twin = path.rstrip("/") or "/index"
    query = f"?{request.url.query}" if request.url.query else ""
    around = {
        "title": page.title,
        "csrf": token,
        "here": path,
        "navigation": NAVIGATION,
        "json_address": f"{twin}.json{query}",
    }
    html = environment().get_template(page.template).render({**page.data, **page.form, **around})
    response = HTMLResponse(html, page.status)
    if cookie not in request.cookies:
        # No time limit: a form stays good over a restart of the server as long as the browser is open.
        response.set_cookie(cookie, token, httponly=True, samesite="strict", path="/")
    return response


def csrf_cookie(request: Request) -> str:
    """The cookie's name; browsers share cookies between ports, so it carries ours."""
    return f"nutricost-{CSRF_FIELD}-{request.url.port or 80}"


@cache
def environment() -> jinja2.Environment:
    """The templates, every output escaped."""
    env = jinja2.Environment(
        loader=jinja2.PackageLoader("nutricost.faces.web"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters.update(
        figure=figure_html,
        shown=shown,
        path=lambda text: quote(str(text), safe=""),
        brief=brief,
        field_word=field_word,
        spread=spread_html,
        round_money=round_money,
    )
    return env


def unit_word(figure: Figure) -> str:
    """The unit of a figure as a person reads it; that it is for a serving stands above it on a page."""
    return figure.shown_unit.removesuffix("/serving")


def figure_html(figure: Figure, unit: bool = True) -> Markup:
    """A figure with its range in small print; an unknown one says why."""
    if figure.value is None:
        known = f" (known part {brief(figure.known)})" if figure.known is not None else ""
        return Markup(
            '<span class="unknown" title="{}">not known</span><small class="why">{}</small>'
        ).format(figure.why, f"{figure.why}{known}")
    text = Markup("<b>{}</b>").format(shown(figure))
    if unit and (word := unit_word(figure)):
        text += Markup(" {}").format(word)
    if spread := shown_range(figure):
        text += Markup(" <small>{}</small>").format(spread)
    return text


def brief(value: Any) -> str:
    """A figure or number in few characters, for tables: '5.24', or a dash where it is not known."""
    if isinstance(value, Figure):
        return shown(value) if value.value is not None else "–"
    if isinstance(value, Decimal):
        return shown_number(value, "")
    return "–" if value is None else str(value)


@lru_cache(maxsize=20_000)
def spread_html(figure: Figure) -> Markup:
    """A figure for a wide table: the value, its range below in small print, a dash where not known.

    Remembered by the figure itself: a comparison that did not change is the same figures again.
    """
    if figure.value is None:
        return Markup('<span title="{}">–</span>').format(figure.why)
    spread = shown_range(figure)
    return Markup(f"{shown(figure)}<small>{spread}</small>") if spread else Markup(shown(figure))


def round_money(value: Decimal) -> str:
    """Money in whole units, for long spans of time."""
    return f"{value.quantize(Decimal(1)):f}" if value.is_finite() else "no limit"
