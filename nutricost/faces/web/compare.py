"""The comparison: every batch and pouch on equal terms, its picture, and files to take away."""

from __future__ import annotations

from functools import lru_cache

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from nutricost.api.kitchen import Kitchen
from nutricost.api.kitchen_answers import PageComparison, comparison_of
from nutricost.errors import InputError
from nutricost.faces.web.rendering import Page, environment
from nutricost.faces.web.wording import BASIS_WORDS

EXPORTS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "md": "text/markdown; charset=utf-8",
    "parquet": "application/vnd.apache.parquet",
    "pdf": "application/pdf",
}
PICTURED = 40
"""More offers than these make a picture that nobody can read."""


def _asked(kitchen: Kitchen, request: Request) -> PageComparison:
    query = request.query_params
    return comparison_of(
        kitchen, query.get("basis", "serving"), query.getlist("batch"), query.get("against") or None
    )


def comparison(kitchen: Kitchen, request: Request) -> Page:
    """The comparison on the basis asked for."""
    found = _asked(kitchen, request)
    if not found.whole.offers:
        return Page("compare_empty.html", "Compare", found.view)
    return Page(
        "compare.html",
        "Compare",
        found.view,
        {
            "bases": BASIS_WORDS,
            "said": _by_batch(found),
            "query": f"?{request.url.query}" if request.url.query else "",
            "chosen": request.query_params.getlist("batch"),
            "stored": found.batches,
            "rows": _rows(found),
            "exports": list(EXPORTS),
            "pictured": len(found.whole.offers) <= PICTURED,
            "code": found.whole.currency.lower(),
        },
    )


@lru_cache(maxsize=16)
def _rows(found: PageComparison) -> Markup:
    """The rows of the table; made once, as they are most of a large page."""
    template = environment().get_template("compare_rows.html")
    # The template has escaped every text in it.
    return Markup(template.render(offers=found.view["offers"], code=found.whole.currency.lower()))


def _by_batch(found: PageComparison) -> dict[str, list[str]]:
    """Statements under the batch they are about."""
    said: dict[str, list[str]] = {}
    for statement in found.whole.statements:
        said.setdefault(statement.subject, []).append(statement.text)
    return said


def picture(kitchen: Kitchen, request: Request) -> Response:
    """Energy for money of every offer, as a picture."""
    from nutricost.faces.exports.pictures import energy_picture

    return svg(energy_picture(_asked(kitchen, request).whole).svg())


def svg(content: bytes) -> Response:
    """A picture's answer. Drawn here without scripts; its own styles are all it may use."""
    policy = "default-src 'none'; style-src 'unsafe-inline'"
    return Response(content, media_type="image/svg+xml", headers={"content-security-policy": policy})


def export(kitchen: Kitchen, request: Request) -> Response:
    """The comparison as a file."""
    from nutricost.faces.exports import comparison_document

    kind = request.path_params["kind"]
    if kind not in EXPORTS:
        raise InputError(f"there is no export {kind!r} (accepted: {', '.join(EXPORTS)})")
    content = comparison_document(_asked(kitchen, request).whole, f".{kind}")
    name = f'attachment; filename="comparison.{kind}"'
    return Response(content, media_type=EXPORTS[kind], headers={"content-disposition": name})
