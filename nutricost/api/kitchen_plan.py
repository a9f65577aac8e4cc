"""A plan for people and days from the kitchen book: a form read as the plan document."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nutricost.api.batch_forms import Form, FormError, Kind, field_problems, rows_of, typed
from nutricost.api.kitchen import Kitchen
from nutricost.api.planning import PlanReport, plan_file
from nutricost.errors import DocumentError, InputError
from nutricost.sources.documents import read_plan
from nutricost.sources.documents.tables import path_text
from nutricost.sources.documents.write import toml_item
from nutricost.store.exporting import pouches_csv

PERSON: Mapping[str, Kind] = {
    "name": "text", "energy_kcal_per_day": "amount", "sex": "text", "age_years": "amount",
    "weight": "amount", "height": "amount", "activity": "text",
}  # fmt: skip
LIMITS: Mapping[str, Kind] = {
    "budget": "amount", "sodium_mg_per_day": "amount", "protein_g_per_day": "amount",
    "max_share_per_offer": "amount", "packed_weight": "amount",
}  # fmt: skip
TIME_LIMIT_S = 20.0
"""A page does not keep a person waiting longer."""


def plan_of(kitchen: Kitchen, form: Form) -> PlanReport:
    """The plan a form asks for, from every batch and pouch of the book. Raises FormError by field."""
    text, fields = _document(form)
    with tempfile.TemporaryDirectory() as folder:
        names = _write_documents(kitchen, Path(folder))
        if not names:
            raise InputError("the book holds neither a batch nor a pouch yet: there is nothing to plan with")
        path = Path(folder) / "plan.toml"
        path.write_text(f"{names}{text}", encoding="utf-8")
        try:
            read_plan(path)
            return plan_file(str(path), time_limit_s=TIME_LIMIT_S)
        except DocumentError as error:
            raise FormError(field_problems(error.problems, str(path), fields)) from None


def _document(form: Form) -> tuple[str, Mapping[str, str]]:
    """The plan document without what there is to choose from, and which key is which field."""
    fields = {"days": "days", **{f"limits.{key}": key for key in LIMITS}}
    lines = []
    if form.get("days", "").strip():
        lines.append(f"days = {toml_item(typed(form['days'], 'amount')).as_string()}")
    for place, (number, row) in enumerate(rows_of(form, "people").items()):
        lines.append("[[people]]")
        lines += _lines(row, PERSON)
        fields[path_text(("people", place))] = f"people[{number}]"
    limits = _lines(form, LIMITS)
    if limits:
        lines += ["[limits]", *limits]
    return "\n".join(lines) + "\n", fields


def _lines(row: Form, kinds: Mapping[str, Kind]) -> list[str]:
    return [
        f"{key} = {toml_item(typed(row[key], kind)).as_string()}"
        for key, kind in kinds.items()
        if row.get(key, "").strip()
    ]


def _write_documents(kitchen: Kitchen, folder: Path) -> str:
    """Writes the book's documents into a folder of our own; the lines of a plan that name them."""
    batches: list[Any] = []
    for one in kitchen.batches():
        if one.card is not None:
            path = folder / f"{one.stored.name}.toml"
            path.write_text(one.stored.text, encoding="utf-8")
            batches.append(path.name)
    lines = [f"batches = {toml_item(batches).as_string()}"] if batches else []
    with kitchen.reading() as book:
        pouches = pouches_csv(book)
    if len(pouches.splitlines()) > 1:
        (folder / "pouches.csv").write_text(pouches, encoding="utf-8")
        lines.append('pouches = "pouches.csv"')
    machine = kitchen.stored_machine()
    if machine is not None:
        (folder / "machine.toml").write_text(machine.text, encoding="utf-8")
        lines.append('machine = "machine.toml"')
    return "".join(f"{line}\n" for line in lines) if batches or len(lines) > 1 or pouches else ""
