"""The freeze dryer: what it cost and what a cycle takes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request

from nutricost.api.batch_forms import FormError
from nutricost.api.kitchen import Kitchen
from nutricost.errors import StaleEdit
from nutricost.faces.web.rendering import Page
from nutricost.faces.web.wording import Field

FIELDS = (
    Field("price", "Price of the machine", "2495", "decimal"),
    Field("currency", "Currency", "three letters; USD if left empty"),
    Field("batches_per_month", "Batches a month", "7", "decimal"),
    Field("trays", "Trays", "5", "decimal"),
    Field("tray_capacity", "What a tray holds", "1.4 kg"),
    Field("cycle_hours", "Hours of a cycle", "54", "decimal"),
    Field("turnaround_hours", "Hours between cycles", "6", "decimal"),
    Field("energy_per_cycle", "Electricity of a cycle", "30 kWh"),
    Field("price_per_kwh", "Price of a kWh", "0.17", "decimal"),
    Field("oil_per_cycle", "Pump oil of a cycle", "0.80", "decimal"),
    Field("resale_value", "What it would sell for", "1200", "decimal"),
)
ACCESSORY = (Field("name", "What", "impulse sealer"), Field("amount", "Paid", "60", "decimal"))


def _page(
    form: Mapping[str, str],
    revision: int,
    problems: Mapping[str, list[str]] | None = None,
    status: int = 200,
    saved: bool = False,
) -> Page:
    from nutricost.api.machine_forms import accessory_rows

    rows = accessory_rows(form)
    following = max(rows, default=-1) + 1
    data = {"form": dict(form), "revision": revision, "problems": dict(problems or {})}
    extra = {
        "fields": FIELDS,
        "accessory": ACCESSORY,
        "rows": [*rows, following, following + 1],
        "saved": saved,
    }
    return Page("machine.html", "Your machine", data, extra, status)


def edit(kitchen: Kitchen, request: Request) -> Page:
    """The form of the machine, empty where none is stored."""
    from nutricost.api.machine_forms import machine_form

    stored = kitchen.stored_machine()
    saved = "saved" in request.query_params
    return _page(machine_form(stored.text), stored.revision, saved=saved) if stored else _page({}, 0)


def save(kitchen: Kitchen, request: Request, form: Mapping[str, Any]) -> Page | str:
    """Keeps the machine; with problems the form comes back as typed."""
    typed = {key: value for key, value in form.items() if isinstance(value, str)}
    text = typed.pop("revision", "0")
    revision = int(text) if text.isdigit() and len(text) < 10 else 0
    try:
        kitchen.save_machine_form(typed, revision)
    except FormError as error:
        return _page(typed, revision, error.by_field, 422)
    except StaleEdit as error:
        return _page(typed, error.stored_revision, {"": [str(error)]}, 409)
    return "/machine?saved"
