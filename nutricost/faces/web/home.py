"""The first page: a guide while the book is empty, afterwards what is there and what comes next."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request

from nutricost.api.kitchen import Kitchen
from nutricost.api.kitchen_answers import verdicts
from nutricost.faces.web.batches import summary
from nutricost.faces.web.clock import today
from nutricost.faces.web.rendering import Page


def first(kitchen: Kitchen, request: Request) -> Page:
    """The first page."""
    overview = kitchen.overview()
    found = verdicts(kitchen)
    return Page(
        "home.html",
        "Your kitchen book",
        {
            "empty": not (overview.batches or overview.pouches),
            "count": {
                "batches": overview.batches,
                "pouches": overview.pouches,
                "machine": overview.has_machine,
            },
            "batches": [summary(one) for one in kitchen.batches()][:12],
            "verdicts": [{"batch": name, "text": text} for name, text in found],
        },
    )


def load_demo(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> str:
    """Puts the demo into the book and goes on to the comparison."""
    kitchen.load_demo(today())
    return "/compare"
