"""Pouches: the list, one to enter or edit with its price history, a file of many."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from starlette.requests import Request

from nutricost.api.batch_forms import FormError
from nutricost.api.kitchen import Kitchen
from nutricost.errors import DocumentError, InputError, StaleEdit
from nutricost.faces.web import wording
from nutricost.faces.web.clock import today
from nutricost.faces.web.rendering import Page


def listing(kitchen: Kitchen, request: Request) -> Page:
    """All pouches as typed."""
    saved = request.query_params.get("saved")
    return _list_page(kitchen, done=() if saved is None else ("pouch ", f"pouch {saved}"))


def _list_page(
    kitchen: Kitchen,
    problems: tuple[str, ...] = (),
    notes: tuple[str, ...] = (),
    done: tuple[str, ...] = (),
    status: int = 200,
) -> Page:
    stored = kitchen.stored_pouches()
    view = [
        {
            "name": one.name,
            "price": one.price,
            "currency": one.currency,
            "servings": one.servings,
            "calories": one.calories,
            "net_weight": one.net_weight,
            "protein_g": one.protein_g,
            "sodium_mg": one.sodium_mg,
        }
        for one in stored
    ]
    return Page(
        "pouches.html",
        "Pouches",
        {"pouches": view, "problems": list(problems), "notes": list(notes)},
        {"drafts_done": done},
        status,
    )


def _form_page(
    form: Mapping[str, str],
    was: str,
    problems: Mapping[str, list[str]] | None = None,
    history: list[Any] | None = None,
    status: int = 200,
) -> Page:
    prices = [
        {"seen_on": one.seen_on.isoformat(), "price": one.price, "currency": one.currency, "place": one.place}
        for one in history or []
    ]
    data = {"was": was, "form": dict(form), "problems": dict(problems or {}), "prices": prices}
    return Page(
        "pouch_form.html", f"Edit {was}" if was else "A new pouch", data, {"fields": wording.POUCH}, status
    )


def new(kitchen: Kitchen, request: Request) -> Page:
    """An empty form."""
    return _form_page({}, "")


def edit(kitchen: Kitchen, request: Request) -> Page:
    """The form of a stored pouch."""
    name = request.query_params.get("name", "")
    form, history = kitchen.pouch_form(name)
    return _form_page(form, name, history=history)


def save(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page | str:
    """Keeps the pouch; with problems the form comes back as typed."""
    typed = {key: value for key, value in form.items() if isinstance(value, str)}
    was = typed.pop("was", "")
    try:
        kitchen.save_pouch_form(typed, was or None, today())
    except FormError as error:
        return _form_page(typed, was, error.by_field, status=422)
    except StaleEdit as error:
        if error.stored is None:
            return _form_page(typed, "", {"": [str(error)]}, status=409)
        there, history = kitchen.pouch_form(was)
        differing = [
            f"{key}: {there[key]}" for key in there if key != "seen" and there[key] != typed.get(key, "")
        ]
        problems = {"": [str(error), "In the book now: " + "; ".join(differing)]}
        return _form_page(typed | {"seen": there["seen"]}, was, problems, history, 409)
    return f"/pouches?saved={quote(was)}"


def upload(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page:
    """Keeps every pouch of a CSV or XLSX file, or none of them where one has a problem."""
    sent = form.get("file")
    currency = str(form.get("currency", "")).strip().upper() or "USD"
    if not isinstance(sent, tuple) or not sent[1]:
        return _list_page(kitchen, ("no file was chosen (accepted: a CSV or XLSX file)",), status=422)
    try:
        count, warnings = kitchen.add_pouches(sent[1], sent[0][:100] or "the file", currency, today())
    except DocumentError as error:
        return _list_page(kitchen, tuple(str(problem) for problem in error.problems), status=422)
    except InputError as error:
        return _list_page(kitchen, (str(error),), status=422)
    return _list_page(kitchen, notes=(f"{count} pouches of the file are in the book.", *warnings))


def remove(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> str:
    """Takes a pouch out of the book."""
    kitchen.remove_pouch(str(form.get("name", "")))
    return "/pouches"
