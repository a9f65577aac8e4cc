"""Decisions: the deal at the shelf, the payback of the machine, the plan for people and days."""

from __future__ import annotations

from typing import Any, cast, get_args

from starlette.requests import Request
from starlette.responses import Response

from nutricost.api.breakdown import cash_curves
from nutricost.api.kitchen import Kitchen
from nutricost.api.kitchen_answers import PagePayback, comparison_of, deal_of, payback_of
from nutricost.domain.payback import Equal
from nutricost.errors import InputError
from nutricost.faces.web.compare import svg
from nutricost.faces.web.rendering import Page
from nutricost.faces.web.wording import Field

DEAL = (
    Field("price", "Price of one package today", "1.99; empty: as in the batch", "decimal"),
    Field("days", "Days until it must be dried or frozen", "3; empty if no date binds", "decimal"),
    Field("space", "Free space in the freezer", "4 kg"),
)
EQUALS = {"kcal": "the same energy", "serving": "the same servings", "protein": "the same protein"}
DRAWN = 6
"""Curves in one picture."""


def _names(kitchen: Kitchen) -> dict[str, Any]:
    pouches, _ = kitchen.pouches()
    return {
        "batches": [(one.name, one.title) for one in kitchen.stored_batches()],
        "pouches": [pouch.name for pouch in pouches],
    }


def deal_form(kitchen: Kitchen, request: Request) -> Page:
    """The form for the shop and, once a batch is chosen, the verdict."""
    query = request.query_params
    form = {key: query.get(key, "")[:100] for key in ("batch", "price", "days", "space", "against")}
    problems: dict[str, list[str]] = {}
    verdict: Any = None
    if form["batch"]:
        try:
            _, verdict = deal_of(
                kitchen,
                form["batch"],
                price=form["price"],
                days=form["days"],
                space=form["space"],
                against=form["against"] or None,
            )
        except InputError as error:
            field, _, text = str(error).partition(": ")
            known = field in form and text
            problems = {field: [text]} if known else {"": [str(error)]}
    return Page(
        "deal.html",
        "At the shop",
        {"form": form, "problems": problems, "deal": verdict},
        {"fields": DEAL, "names": _names(kitchen), "has_machine": kitchen.overview().has_machine},
        422 if problems else 200,
    )


def _asked(kitchen: Kitchen, request: Request) -> PagePayback:
    query = request.query_params
    equal = query.get("equal", "kcal")
    if equal not in get_args(Equal):
        raise InputError(f"equal: {equal!r} (accepted: {', '.join(get_args(Equal))})")
    return payback_of(kitchen, cast(Equal, equal), query.getlist("batch"), query.get("against") or None)


def payback_page(kitchen: Kitchen, request: Request) -> Page:
    """When the machine has paid for itself, against each pouch."""
    problems: dict[str, list[str]] = {}
    found: PagePayback | None = None
    try:
        found = _asked(kitchen, request)
    except InputError as error:
        problems = {"": [str(error)]}
    return Page(
        "payback.html",
        "Payback",
        {"payback": list(found.view) if found else [], "problems": problems},
        {
            "names": _names(kitchen),
            "equals": EQUALS,
            "equal": request.query_params.get("equal", "kcal"),
            "against": request.query_params.get("against", ""),
            "curves": cash_curves(found.paybacks[:DRAWN]) if found else {},
            "drawn": DRAWN,
            "query": f"?{request.url.query}" if request.url.query else "",
        },
        422 if problems and request.url.query else 200,
    )


def payback_picture(kitchen: Kitchen, request: Request) -> Response:
    """Money over time, as a picture."""
    from nutricost.faces.exports.pictures import payback_picture as drawn

    found = _asked(kitchen, request)
    curves = cash_curves(found.paybacks[:DRAWN])
    if not curves:
        raise InputError("there is no curve to draw: a saving or the batches a month are not known")
    return svg(drawn(curves, found.currency).svg())


def plan_page(kitchen: Kitchen, request: Request) -> Page:
    """What to make and buy for people and days."""
    comparison_of(kitchen)
    raise InputError("not yet")
