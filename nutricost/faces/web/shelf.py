"""The shelf: what is stored, in the order to eat it, and what was eaten."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from starlette.requests import Request

from nutricost.api.book import eat as eat_from
from nutricost.api.book import shelf, shelf_view
from nutricost.api.book_meals import pack
from nutricost.api.kitchen import Kitchen
from nutricost.errors import InputError
from nutricost.faces.web.clock import today
from nutricost.faces.web.rendering import Page

REPLACED = {
    "nothing": "nothing",
    "pouch": "a pouch of the book",
    "meal": "a bought meal",
    "lost": "it was lost",
}


def listing(kitchen: Kitchen, request: Request) -> Page:
    """What is on the shelf, earliest best-by first."""
    return _page(kitchen, request.query_params.get("q", "")[:200])


def _page(
    kitchen: Kitchen,
    search: str = "",
    *,
    form: Mapping[str, str] | None = None,
    problems: Mapping[str, list[str]] | None = None,
) -> Page:
    kitchen.overview()  # makes the book where there is none yet
    left = shelf_view(shelf(kitchen.path, search))
    pouches = kitchen.pouches()
    return Page(
        "shelf.html",
        "Shelf",
        {"q": search, "shelf": left, "form": dict(form or {}), "problems": dict(problems or {})},
        {
            "batches": [(one.name, one.title) for one in kitchen.stored_batches()],
            "pouches": [pouch.name for pouch in pouches],
            "replaced": REPLACED,
            "today": today().isoformat(),
        },
        422 if problems else 200,
    )


def _date(form: Mapping[str, str], key: str) -> date | None:
    text = form.get(key, "").strip()
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"{key}: {text!r} is no date (accepted: a date such as 2026-05-01)") from None


def _refused(kitchen: Kitchen, form: Mapping[str, str], error: InputError) -> Page:
    field, _, text = str(error).partition(": ")
    known = field in form and text
    return _page(kitchen, form=form, problems={field: [text]} if known else {"": [str(error)]})


def store(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page | str:
    """Puts the bags of a batch on the shelf."""
    typed = {key: str(value) for key, value in form.items()}
    bags = typed.get("bags", "").strip()
    try:
        if bags and not (bags.isdigit() and 0 < int(bags) < 100_000):
            raise InputError(f"bags: {bags!r} (accepted: a whole number above 0)")
        pack(
            kitchen.path,
            typed.get("batch", ""),
            packed_on=_date(typed, "packed_on") or today(),
            best_by=_date(typed, "best_by"),
            bags=int(bags) if bags else None,
        )
    except InputError as error:
        return _refused(kitchen, typed, error)
    return "/shelf"


def eat(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page | str:
    """Writes down servings that left the shelf, and what they replaced."""
    typed = {key: str(value) for key, value in form.items()}
    try:
        eat_from(
            kitchen.path,
            typed.get("lot", ""),
            typed.get("servings", "") or "1",
            eaten_on=today(),
            replaced=typed.get("replaced", "nothing"),
            replaced_name=typed.get("replaced_name", ""),
        )
    except InputError as error:
        return _refused(kitchen, typed, error)
    return "/shelf"
