"""Decisions: the deal at the shelf, the payback of the machine, the plan for people and days."""

from __future__ import annotations

from typing import Any, cast, get_args

from starlette.requests import Request
from starlette.responses import Response

from nutricost.api.batch_forms import FormError, rows_of
from nutricost.api.breakdown import cash_curves
from nutricost.api.kitchen import Kitchen
from nutricost.api.kitchen_answers import PagePayback, deal_of, payback_of
from nutricost.api.kitchen_plan import plan_of
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
DAYS = Field("days", "Days", "14", "decimal")
PERSON = (
    Field("name", "Who"),
    Field("energy_kcal_per_day", "Energy a day, kcal", "2000; or the five fields after it", "decimal"),
    Field("sex", "Sex", mode="choice", choices=(("", "–"), ("female", "female"), ("male", "male"))),
    Field("age_years", "Age, years", mode="decimal"),
    Field("weight", "Body weight", "70 kg or 154 lb"),
    Field("height", "Height", "170 cm"),
    Field(
        "activity", "Activity", mode="choice",
        choices=(("", "–"), *((word, word) for word in ("inactive", "low active", "active", "very active"))),
    ),
)  # fmt: skip
LIMITS = (
    Field("budget", "Money at most", "600", "decimal"),
    Field("sodium_mg_per_day", "Sodium a person and day at most, mg", "2300", "decimal"),
    Field("protein_g_per_day", "Protein a person and day at least, g", "56", "decimal"),
    Field("max_share_per_offer", "Share of one meal at most", "0.7", "decimal"),
    Field("packed_weight", "Packed weight at most", "20 kg"),
)
EQUALS = {"kcal": "the same energy", "serving": "the same servings", "protein": "the same protein"}
DRAWN = 6
"""Curves in one picture."""


def _names(kitchen: Kitchen) -> dict[str, Any]:
    pouches = kitchen.pouches()
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
    """The form of a plan and, once days and people are given, what to make, buy and keep."""
    form = {key: text[:200] for key, text in list(request.query_params.items())[:500]}
    problems: dict[str, list[str]] = {}
    view: Any = None
    if form:
        try:
            view = plan_of(kitchen, form).view()
        except FormError as error:
            problems = error.by_field
        except InputError as error:
            problems = {"": [str(error)]}
    rows = list(rows_of(form, "people")) or [0]
    rows.append(max(rows) + 1)
    extra = {"rows": rows, "days": DAYS, "person": PERSON, "limits": LIMITS}
    data = {"form": form, "problems": problems, "plan": view}
    return Page("plan.html", "Plan", data, extra, 422 if problems else 200)
