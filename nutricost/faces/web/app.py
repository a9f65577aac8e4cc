"""The web application: every address, what answers it, and what happens when that goes wrong."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from nutricost.api.kitchen import Kitchen
from nutricost.errors import DocumentError, InputError, NutricostError, Problem, StaleEdit, StoreError
from nutricost.faces.web import batches, compare, decisions, foods, home, machine, pouches, settings, shelf
from nutricost.faces.web.rendering import Page, csrf_cookie, respond
from nutricost.faces.web.safety import CSRF_FIELD, Access, Gate, same

Reader = Callable[[Kitchen, Request], Page | Response]
Changer = Callable[[Kitchen, Request, Mapping[str, Any]], Page | Response | str]

PAGES: Mapping[str, Reader] = {
    "/": home.first,
    "/batches": batches.listing,
    "/batches/new": batches.new,
    "/batches/{name}": batches.card,
    "/batches/{name}/edit": batches.edit,
    "/batches/{name}/document": batches.document,
    "/batches/{name}/trace": batches.trace,
    "/batches/{name}/print": batches.print_card,
    "/batches/{name}/bag-labels": batches.bag_labels,
    "/pouches": pouches.listing,
    "/pouches/new": pouches.new,
    "/pouches/edit": pouches.edit,
    "/compare": compare.comparison,
    "/deal": decisions.deal_form,
    "/payback": decisions.payback_page,
    "/plan": decisions.plan_page,
    "/machine": machine.edit,
    "/shelf": shelf.listing,
    "/foods": foods.search,
    "/settings": settings.listing,
}
"""Pages, each also under its address with `.json`."""

FILES: Mapping[str, Reader] = {
    "/compare/picture.svg": compare.picture,
    "/compare/export.{kind}": compare.export,
    "/payback/picture.svg": decisions.payback_picture,
}

CHANGES: Mapping[str, Changer] = {
    "/demo": home.load_demo,
    "/batches/preview.json": batches.preview,
    "/batches/new": batches.save,
    "/batches/{name}/edit": batches.save,
    "/batches/{name}/document": batches.save_document,
    "/batches/{name}/remove": batches.remove,
    "/pouches/new": pouches.save,
    "/pouches/edit": pouches.save,
    "/pouches/file": pouches.upload,
    "/pouches/remove": pouches.remove,
    "/machine": machine.save,
    "/shelf/store": shelf.store,
    "/shelf/eat": shelf.eat,
    "/settings": settings.save,
}
"""Addresses a form is sent to: the answer is a page, or the address to go on to."""


def build_app(book: Path, access: Access) -> Gate:
    """The application over a book, behind its gate."""
    kitchen = Kitchen(book)
    routes: list[Any] = []
    for path, reader in PAGES.items():
        twin = "/index.json" if path == "/" else f"{path}.json"
        routes += [
            Route(twin, _reading(kitchen, reader), methods=["GET"]),
        ]
    for path, reader in FILES.items():
        routes.append(Route(path, _reading(kitchen, reader), methods=["GET"]))
    for path, changer in CHANGES.items():
        routes.append(Route(path, _changing(kitchen, changer), methods=["POST"]))
    for path, reader in PAGES.items():
        routes.append(Route(path, _reading(kitchen, reader), methods=["GET"]))
    routes.append(Mount("/static", StaticFiles(packages=[("nutricost.faces.web", "static")])))
    app = Starlette(
        routes=routes,
        exception_handlers={
            NutricostError: _said,
            HTTPException: _not_there,
            Exception: _broken,
        },
    )
    return Gate(app, access)


def _reading(kitchen: Kitchen, reader: Reader) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        return await run_in_threadpool(_made, reader, kitchen, request)

    return answer


def _made(reader: Reader, kitchen: Kitchen, request: Request) -> Response:
    page = reader(kitchen, request)
    return respond(request, page) if isinstance(page, Page) else page


def _changing(kitchen: Kitchen, changer: Changer) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        async with request.form(max_files=2, max_fields=5000) as sent:
            if not same(request.cookies.get(csrf_cookie(request), ""), str(sent.get(CSRF_FIELD, ""))):
                return respond(request, _problem_page("This form was opened in another session.", [], 403))
            form = await _plain_form(sent)
        return await run_in_threadpool(_changed, changer, kitchen, request, form)

    return answer


async def _plain_form(sent: FormData) -> dict[str, Any]:
    form: dict[str, Any] = {}
    for key, value in sent.multi_items():
        form[key] = (value.filename or "", await value.read()) if isinstance(value, UploadFile) else value
    form.pop(CSRF_FIELD, None)
    return form


def _changed(changer: Changer, kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Response:
    made = changer(kitchen, request, form)
    if isinstance(made, str):
        return RedirectResponse(made, 303)
    return respond(request, made) if isinstance(made, Page) else made


def _said(request: Request, error: Exception) -> Response:
    problems = list(error.problems) if isinstance(error, DocumentError) else [Problem("", str(error))]
    status = (
        409
        if isinstance(error, StaleEdit)
        else 503
        if isinstance(error, StoreError)
        else 404
        if isinstance(error, InputError) and str(error).startswith("there is no ")
        else 400
        if isinstance(error, InputError)
        else 503
    )
    return respond(request, _problem_page("That did not work.", problems, status))


def _not_there(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    text = "There is no such page." if status == 404 else "This address does not take that."
    return respond(request, _problem_page(text, [], status))


def _broken(request: Request, error: Exception) -> Response:
    """A fault of the program; it stands in the log as well."""
    text = "The program failed here. Nothing was changed, and what you typed is kept in this browser."
    return respond(request, _problem_page(text, [], 500))


def _problem_page(text: str, problems: list[Problem], status: int) -> Page:
    return Page(
        "problem.html",
        text,
        {
            "error": {
                "status": status,
                "text": text,
                "problems": [
                    {"where": problem.where, "what": problem.what, "accepted": problem.accepted}
                    for problem in problems
                ],
            }
        },
        status=status,
    )
