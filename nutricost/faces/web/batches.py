"""Batches: the list, the card of one, entering and editing, its document, printing."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from nutricost.api.bag_labels import bag_labels as labels_of
from nutricost.api.bag_labels import label_view
from nutricost.api.batch_forms import FormError, form_of, rows_of, usual_form
from nutricost.api.kitchen import Kitchen, Worked
from nutricost.api.tracing import figure_at, figure_paths, trace_view
from nutricost.api.views import card_view, caution_view, line_view
from nutricost.domain.comparison import measures
from nutricost.domain.quantities import Figure
from nutricost.domain.quantities.display import shown, shown_with_range
from nutricost.errors import DocumentError, InputError, Problem, StaleEdit
from nutricost.faces.web import wording
from nutricost.faces.web.clock import today
from nutricost.faces.web.rendering import Page, json_response, unit_word
from nutricost.faces.web.wording import in_the_form

BLANK_LINES = 3


def summary(one: Worked) -> dict[str, Any]:
    """A batch in a list: name, title, key figures, or what is wrong with it."""
    view: dict[str, Any] = {
        "name": one.stored.name,
        "title": one.stored.title,
        "problems": list(one.problems),
    }
    if one.card is not None:
        per = one.card.per_serving
        code = one.card.batch.currency.lower()
        view |= {
            "servings": one.card.content.servings,
            "cost": per["cost"],
            "energy": per["energy"],
            "protein": per["protein"],
            "kcal_per_currency": measures(one.card.offer)[f"kcal_per_{code}"],
            "warnings": len(one.card.warnings),
        }
    return view


def listing(kitchen: Kitchen, request: Request) -> Page:
    """All batches, or those that hold the words of `q`."""
    search = request.query_params.get("q", "")[:200]
    return Page(
        "batches.html", "Batches", {"q": search, "batches": [summary(one) for one in kitchen.batches(search)]}
    )


def _worked(kitchen: Kitchen, request: Request) -> Worked:
    return kitchen.batch(request.path_params["name"])


def _view(one: Worked) -> dict[str, Any]:
    """The card as `card --json` gives it, with name and measures; problems where there is none."""
    view: dict[str, Any] = {
        "name": one.stored.name,
        "title": one.stored.title,
        "problems": list(one.problems),
    }
    if one.card is not None:
        view |= card_view(one.card) | {"measures": measures(one.card.offer)}
    return view


def card(kitchen: Kitchen, request: Request) -> Page:
    """One batch: what is in it and what it costs."""
    one = _worked(kitchen, request)
    return Page(
        "card.html",
        one.stored.title,
        _view(one),
        {
            "words": wording.NUTRIENT_WORDS,
            "saved": "saved" in request.query_params,
            "revision": one.stored.revision,
        },
    )


def print_card(kitchen: Kitchen, request: Request) -> Page:
    """The recipe card on one sheet."""
    one = _worked(kitchen, request)
    return Page("print_card.html", one.stored.title, _view(one), {"words": wording.NUTRIENT_WORDS})


def bag_labels(kitchen: Kitchen, request: Request) -> Page:
    """Labels for the bags, as many as there are bags."""
    one = _worked(kitchen, request)
    data: dict[str, Any] = {
        "name": one.stored.name,
        "title": one.stored.title,
        "problems": list(one.problems),
    }
    if one.card is not None:
        labels = labels_of(one.card, packed_on=_packed_on(one))
        data["labels"] = [label_view(label) for label in labels]
        data["cautions"] = [
            caution_view(caution) for caution in one.card.cautions if caution.severity == "danger"
        ]
    return Page("bag_labels.html", f"Bag labels: {one.stored.title}", data)


def _packed_on(one: Worked) -> date | None:
    """Today, where the batch itself names no day."""
    batch = one.card.batch if one.card else None
    named = batch is not None and (batch.made_on or (batch.packing and batch.packing.packed_on))
    return None if named else today()


def trace(kitchen: Kitchen, request: Request) -> Page:
    """How one figure came about, down to labels, table rows and prices."""
    one = _worked(kitchen, request)
    path = request.query_params.get("figure", "per_serving.cost")[:200]
    view = _view(one)
    if one.card is None:
        raise InputError(f"the document of {one.stored.title} can't be worked out")
    found = figure_at(view, path)
    paths = [known for known, _ in figure_paths(view)]
    return Page(
        "trace.html",
        f"How it came about: {one.stored.title}",
        {"name": one.stored.name, "path": path, "trace": trace_view(found)},
        {"paths": paths},
    )


# -- the form -------------------------------------------------------------------------------------


def _form_page(
    form: Mapping[str, str],
    *,
    title: str,
    name: str | None,
    revision: int,
    problems: Mapping[str, list[str]] | None = None,
    changed: list[dict[str, str]] | None = None,
    matches: Mapping[str, Any] | None = None,
    status: int = 200,
) -> Page:
    lines = list(rows_of(form, "ingredients"))
    following = max(lines, default=-1) + 1
    blank = BLANK_LINES if not lines else 1
    rows = {
        "ingredients": [*lines, *range(following, following + blank)],
        "labels": list(rows_of(form, "labels")),
        "drying.weighings": list(rows_of(form, "drying.weighings")),
        "other_costs": list(rows_of(form, "other_costs")),
        "losses": list(rows_of(form, "losses")),
    }
    data = {"name": name, "revision": revision, "form": dict(form), "problems": dict(problems or {})}
    return Page(
        "batch_form.html",
        title,
        data,
        {"rows": rows, "w": wording, "changed": changed or [], "matches": matches or {}},
        status,
    )


def new(kitchen: Kitchen, request: Request) -> Page:
    """A form with no more in it than the settings say."""
    return _form_page(usual_form(), title="A new batch", name=None, revision=0)


def edit(kitchen: Kitchen, request: Request) -> Page:
    """The form of a stored batch."""
    one = _worked(kitchen, request)
    form = form_of(one.stored.text)
    return _form_page(
        form,
        title=f"Edit {one.stored.title}",
        name=one.stored.name,
        revision=one.stored.revision,
        matches=_matches(one),
    )


def _matches(one: Worked) -> dict[str, Any]:
    """The match of each line by its place, for the choice beside it."""
    if one.card is None:
        return {}
    return {f"ingredients[{place}]": line_view(line) for place, line in enumerate(one.card.lines)}


def _texts(form: Mapping[str, Any]) -> dict[str, str]:
    """What was typed, without the fields that guard the form; line breaks as one kind."""
    typed = {
        key: value.replace("\r\n", "\n")[:20_000]
        for key, value in form.items()
        if isinstance(value, str) and key != "revision"
    }
    for key in [key for key in typed if key.endswith(".other_food")]:
        if chosen := typed.pop(key).strip():
            typed[f"{key.removesuffix('other_food')}food"] = chosen
    return typed


def _revision(form: Mapping[str, Any]) -> int:
    text = str(form.get("revision", "0"))
    return int(text) if text.isdigit() and len(text) < 10 else 0


def save(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page | str:
    """Keeps the batch; with problems the form comes back as it was typed, each problem at its field."""
    name = request.path_params.get("name")
    typed = _texts(form)
    revision = _revision(form)
    title = f"Edit {typed.get('title', '')}" if name else "A new batch"
    try:
        stored = kitchen.save_form(typed, name, revision, today())
    except FormError as error:
        return _form_page(
            typed, title=title, name=name, revision=revision, problems=error.by_field, status=422
        )
    except StaleEdit as error:
        there = form_of(error.stored or "")
        fields = sorted(key for key in {*there, *typed} if there.get(key, "") != typed.get(key, ""))
        changed = [
            {"field": key, "yours": typed.get(key, ""), "stored": there.get(key, "")}
            for key in fields
            if not key.endswith(".from")
        ]
        return _form_page(
            typed,
            title=title,
            name=name if error.stored is not None else None,
            revision=error.stored_revision,
            problems={"": [str(error)]},
            changed=changed,
            status=409,
        )
    return f"/batches/{stored.name}?saved"


def preview(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Response:
    """What the form comes to as it stands, for the totals beside it."""
    name = form.get("of") or None
    found = kitchen.preview({key: text for key, text in _texts(form).items() if key != "of"}, name)
    view: dict[str, Any] = {"problems": dict(found.problems), "lines": {}, "totals": None}
    if found.card is not None:
        worked = found.card
        code = worked.batch.currency.lower()
        ratios = measures(worked.offer)
        view["totals"] = {
            "currency": worked.batch.currency,
            "servings": worked.content.servings,
            "per_batch": {key: worked.per_batch[key] for key in ("energy", "protein", "weight_dry", "cost")},
            "per_serving": {
                key: worked.per_serving[key]
                for key in (
                    "energy",
                    "protein",
                    "fat",
                    "carbohydrate",
                    "sodium",
                    "weight_dry",
                    "water_to_add",
                    "cost",
                )
            },
            "measures": {key: ratios[key] for key in (f"kcal_per_{code}", "cost_per_100_kcal")},
            "costs": card_view(worked)["costs"],
        }
        view["shown"] = _shown(view["totals"])
        view["missing"] = _missing(view["totals"])
        for place, line in enumerate(worked.lines):
            field = found.fields.get(f"ingredients[{place}]", f"ingredients[{place}]")
            view["lines"][field] = line_view(line)
        view["warnings"] = list(worked.warnings)
    return json_response(view)


def _shown(totals: Mapping[str, Any]) -> dict[str, str]:
    """The totals as text, rounded as everywhere else, so that the browser rounds nothing."""
    return {path: _shown_total(figure) for path, figure in figure_paths(totals)}


def _shown_total(figure: Figure) -> str:
    if figure.is_known:
        return f"{shown_with_range(figure)} {unit_word(figure)}".strip()
    if figure.known is not None and figure.known.value:
        return f"{shown(figure.known)} {unit_word(figure.known)} so far"
    return "not known yet"


def _missing(totals: Mapping[str, Any]) -> list[str]:
    """Why totals are not known, each reason once, in the words of the form."""
    reasons = [
        reason
        for _, figure in figure_paths(totals)
        if not figure.is_known
        for reason in in_the_form(figure.why).split("; ")
    ]
    return list(dict.fromkeys(reasons))


# -- the document itself ----------------------------------------------------------------------


def document(kitchen: Kitchen, request: Request) -> Page:
    """The batch as the plain document it is kept as."""
    stored = kitchen.stored_batch(request.path_params["name"])
    return _document_page(stored.name, stored.title, stored.text, stored.revision)


def _document_page(
    name: str, title: str, text: str, revision: int, problems: tuple[Problem, ...] = (), status: int = 200
) -> Page:
    data = {
        "name": name,
        "text": text,
        "revision": revision,
        "problems": [{"where": p.where, "what": p.what, "accepted": p.accepted} for p in problems],
    }
    return Page("document.html", f"Document of {title}", data, status=status)


def save_document(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page | str:
    """Keeps the whole document; with problems it comes back as typed."""
    name = request.path_params["name"]
    text = str(form.get("text", "")).replace("\r\n", "\n")
    try:
        kitchen.save_text(text, name, _revision(form))
    except DocumentError as error:
        return _document_page(name, name, text, _revision(form), error.problems, 422)
    except StaleEdit as error:
        problem = Problem("", f"{error} What is in the book now:\n{error.stored}")
        return _document_page(name, name, text, error.stored_revision, (problem,), 409)
    return f"/batches/{name}?saved"


def remove(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> str:
    """Takes the batch out of the book."""
    kitchen.remove_batch(request.path_params["name"], _revision(form))
    return "/batches"
