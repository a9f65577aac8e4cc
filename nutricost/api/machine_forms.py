"""The machine's document as a form, and a filled form as the document again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nutricost.api.batch_forms import Form, FormError, Kind, field_problems, fill_document, rows_of, untyped
from nutricost.errors import DocumentError
from nutricost.sources.documents import read_machine
from nutricost.sources.documents.loading import parse_toml

FIELDS: Mapping[str, Kind] = {
    "price": "amount", "currency": "text", "batches_per_month": "amount", "trays": "amount",
    "tray_capacity": "amount", "cycle_hours": "amount", "turnaround_hours": "amount",
    "energy_per_cycle": "amount", "price_per_kwh": "amount", "oil_per_cycle": "amount",
    "resale_value": "amount",
}  # fmt: skip


def machine_form(text: str) -> dict[str, str]:
    """The form that shows a machine's document. Raises DocumentError for broken TOML."""
    content: dict[str, Any] = parse_toml(text, "machine")
    form = {key: untyped(content[key], kind) for key, kind in FIELDS.items() if key in content}
    accessories = content.get("accessories")
    for number, (name, amount) in enumerate(accessories.items() if isinstance(accessories, dict) else ()):
        row = f"accessories[{number}]"
        form |= {f"{row}.from": name, f"{row}.name": name, f"{row}.amount": untyped(amount, "amount")}
    return form


def accessory_rows(form: Form) -> list[int]:
    """The numbers of the rows of accessories that hold anything."""
    return list(rows_of(form, "accessories"))


def read_machine_form(form: Form, before: str = "") -> str:
    """The document a form makes of `before`. Raises FormError with problems by field."""
    edited = fill_document(form, before, FIELDS, "accessories", machine_form(before) if before else {})
    found: dict[str, list[str]] = {field: [what] for field, what in edited.problems}
    try:
        read_machine((edited.text, "machine"))
    except DocumentError as error:
        found |= field_problems(error.problems, "machine", edited.fields)
    if found:
        raise FormError(found)
    return edited.text
