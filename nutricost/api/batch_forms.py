"""A batch document as a form, and a filled form as a document again.

A form is flat: field name -> text as typed. A field is named by its key in the document, such as
`drying.trays` or `ingredients[2].paid`; rows of labels and other costs are numbered and carry their
`name`. A row's `from` says which row of the document it was, so that comments and keys which the form
does not show stay with it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Literal

import tomlkit
from tomlkit.items import AoT

from nutricost.domain.documents import Batch
from nutricost.errors import DocumentError, Problem
from nutricost.settings import load_settings
from nutricost.sources.documents import batch_from_table
from nutricost.sources.documents.labels import EXTRA_NUTRIENTS
from nutricost.sources.documents.loading import parse_toml
from nutricost.sources.documents.tables import path_text
from nutricost.sources.documents.write import batch_to_toml, toml_item

Kind = Literal["text", "amount", "weights", "flag", "date"]
Form = Mapping[str, str]

FIELDS: Mapping[str, Kind] = {
    "title": "text", "servings": "amount", "currency": "text", "made_on": "date", "cooked": "flag",
    "leftover_age_days": "amount",
    "cooking.weight": "amount",
    "drying.trays": "amount", "drying.cycle_trays": "amount", "drying.wet_weight": "weights",
    "drying.dry_weight": "weights", "drying.hours": "amount", "drying.extra_hours": "amount",
    "drying.energy": "amount", "drying.price_per_kwh": "amount", "drying.cost": "amount",
    "drying.residual_moisture": "amount", "drying.scale_step": "amount",
    "packing.bags": "amount", "packing.bag_price": "amount", "packing.absorbers": "amount",
    "packing.absorber_price": "amount", "packing.packed_on": "date", "packing.lot": "text",
    "rehydration.water_used": "amount", "rehydration.minutes": "amount", "rehydration.rating": "amount",
    "rehydration.note": "text",
}  # fmt: skip
"""Single fields of the form: key path -> what is typed there."""

LABEL_FIELDS: Mapping[str, Kind] = {
    "serving_size": "text", "servings_per_container": "amount", "calories": "amount",
    "calories_per_container": "amount", "fat_g": "amount", "saturated_fat_g": "amount", "sodium_mg": "amount",
    "carbohydrate_g": "amount", "fiber_g": "amount", "sugar_g": "amount", "protein_g": "amount",
    **dict.fromkeys(EXTRA_NUTRIENTS.values(), "amount"),
    "net_weight": "text", "net_volume": "text", "ingredients": "text",
}  # fmt: skip

ROWS: Mapping[str, Mapping[str, Kind]] = {
    "ingredients": {
        "line": "text", "label": "text", "food": "text", "grams": "amount", "paid": "amount",
        "normal": "amount", "for": "text",
    },
    "drying.weighings": {"hours": "amount", "weight": "amount"},
    "losses": {"what": "text", "servings": "amount"},
}  # fmt: skip
"""Lists of tables: each row has these keys."""

NAMED: Mapping[str, Mapping[str, Kind]] = {"labels": LABEL_FIELDS, "other_costs": {"amount": "amount"}}
"""Tables whose keys are the user's own names: each row has a `name` and these keys."""

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)\Z")
_SPREAD = re.compile(r"(.*\S)\s*(?:\bto\b|–|\.\.)\s*(\S.*)\Z")
_ROW = re.compile(r"([a-z_.]+)\[(\d{1,4})\]\.([a-z_]+)\Z")


@dataclass(frozen=True, slots=True)
class Edited:
    """The document that a form makes. `fields`: start of a key path in it -> start of the form's field."""

    text: str
    fields: Mapping[str, str]
    problems: tuple[tuple[str, str], ...] = ()


def typed(text: str, kind: Kind) -> Any:
    """The value of a field as a document holds it: '3.5 to 4 kg' becomes a pair, '12' a number."""
    text = text.strip()
    if kind == "text":
        return text
    if kind == "flag":
        return {"yes": True, "no": False}.get(text, text)
    if kind == "date":
        try:
            return date.fromisoformat(text)
        except ValueError:
            return text
    if kind == "weights" and re.search(r"[,;]", text):
        return [typed(part, "amount") for part in re.split(r"[,;]", text) if part.strip()]
    if spread := _SPREAD.match(text):
        low, high = spread[1], spread[2]
        unit = re.search(r"[A-Za-z][A-Za-z ]*\Z", high)
        if unit and _NUMBER.match(low):
            low = f"{low} {unit[0]}"
        pair = [typed(low, "amount"), typed(high, "amount")]
        return [pair] if kind == "weights" else pair
    return Decimal(text) if _NUMBER.match(text) else text


def untyped(value: Any, kind: Kind) -> str:
    """What a form shows for a value of a document; `typed` brings it back."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        if kind == "weights" and len(value) == 1 and isinstance(value[0], list):
            return untyped(value[0], "amount")
        return (", " if kind == "weights" else " to ").join(untyped(item, "amount") for item in value)
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def form_of(text: str) -> dict[str, str]:
    """The form that shows a batch document. Raises DocumentError for broken TOML."""
    content = parse_toml(text, "batch")
    form: dict[str, str] = {}
    for path, kind in FIELDS.items():
        value = _at(content, path)
        if value is not None and not isinstance(value, dict):
            form[path] = untyped(value, kind)
    for group, keys in ROWS.items():
        rows = _at(content, group)
        for number, row in enumerate(rows if isinstance(rows, list) else []):
            if isinstance(row, dict):
                form[f"{group}[{number}].from"] = str(number)
                form.update(_shown(f"{group}[{number}]", row, keys))
    for group, keys in NAMED.items():
        named = _at(content, group)
        for number, (name, row) in enumerate((named if isinstance(named, dict) else {}).items()):
            form |= {f"{group}[{number}].from": name, f"{group}[{number}].name": name}
            form.update(_shown(f"{group}[{number}]", row if isinstance(row, dict) else {"amount": row}, keys))
    return form


def _shown(prefix: str, row: Mapping[str, Any], keys: Mapping[str, Kind]) -> dict[str, str]:
    return {f"{prefix}.{key}": untyped(row[key], kind) for key, kind in keys.items() if key in row}


def _at(content: Any, path: str) -> Any:
    for key in path.split("."):
        content = content.get(key) if isinstance(content, Mapping) else None
    return content


def rows_of(form: Form, group: str) -> dict[int, dict[str, str]]:
    """The rows of a group that hold anything, by the number the form gave them."""
    rows: dict[int, dict[str, str]] = {}
    for field, text in form.items():
        if (found := _ROW.match(field)) and found[1] == group:
            rows.setdefault(int(found[2]), {})[found[3]] = text
    return {
        number: row
        for number, row in sorted(rows.items())
        if any(text.strip() for key, text in row.items() if key != "from")
    }


def document_of(form: Form, before: str = "") -> Edited:
    """The document that a filled form makes of `before`; what the form does not show stays as it is.

    Raises DocumentError where `before` is no TOML.
    """
    shown = form_of(before) if before else {}
    document = tomlkit.parse(before)
    fields: dict[str, str] = {path: path for path in FIELDS}
    problems: list[tuple[str, str]] = []
    for path, kind in FIELDS.items():
        if path in form and form[path].strip() != shown.get(path, "").strip():
            _put(document, path.split("."), typed(form[path], kind) if form[path].strip() else None)
    for group, keys in ROWS.items():
        if any(field.startswith(f"{group}[") for field in form):
            _put_rows(document, group, keys, form, shown, fields)
    for group, keys in NAMED.items():
        if any(field.startswith(f"{group}[") for field in form):
            _put_named(document, group, keys, form, shown, fields, problems)
    text = tomlkit.dumps(document)
    if not before:
        text = batch_to_toml(parse_toml(text, "batch"))  # a new one has its tables in the usual order
    return Edited(text, fields, tuple(problems))


def _put(document: Any, keys: Sequence[str], value: Any) -> None:
    """Set or, with None, remove a value; a table that holds nothing any more goes with it."""
    *parents, last = keys
    tables = [document]
    for key in parents:
        if key not in tables[-1]:
            if value is None:
                return
            tables[-1][key] = tomlkit.table()
        tables.append(tables[-1][key])
    if value is not None:
        tables[-1][last] = toml_item(value)
        return
    tables[-1].pop(last, None)
    for table, key in zip(reversed(tables[:-1]), reversed(parents), strict=True):
        if not table[key]:
            table.pop(key)


def _put_rows(
    document: Any, group: str, keys: Mapping[str, Kind], form: Form, shown: Form, fields: dict[str, str]
) -> None:
    *parents, last = group.split(".")
    rows = rows_of(form, group)
    home = document
    for key in parents:
        if key not in home:
            if not rows:
                return
            home[key] = tomlkit.table()
        home = home[key]
    there = home.get(last)
    count = len(there) if there is not None else 0
    olds = {number: int(row["from"]) for number, row in rows.items() if row.get("from", "").isdigit()}
    kept = sorted({old for old in olds.values() if old < count})
    for old in reversed(range(count)):
        if old not in kept:
            del there[old]
    if rows and there is None:
        there = home[last] = tomlkit.aot() if not parents else tomlkit.array()
    ordered = sorted(rows, key=lambda number: (olds.get(number, count) >= count, olds.get(number, 0), number))
    for placed, number in enumerate(ordered):
        row, old = rows[number], olds.get(number, count)
        if old >= count:
            there.append(tomlkit.table() if isinstance(there, AoT) else tomlkit.inline_table())
        target = there[placed]
        before = {key: shown.get(f"{group}[{old}].{key}", "") for key in keys} if old < count else {}
        _fill(target, keys, row, before)
        fields[f"{group}[{placed}]"] = f"{group}[{number}]"
    if there is not None and not rows:
        home.pop(last)
        if parents and not home:
            document.pop(parents[0])


def _fill(target: Any, keys: Mapping[str, Kind], row: Mapping[str, str], before: Mapping[str, str]) -> None:
    for key, kind in keys.items():
        if key in row and row[key].strip() != before.get(key, "").strip():
            _put(target, [key], typed(row[key], kind) if row[key].strip() else None)


def _put_named(
    document: Any,
    group: str,
    keys: Mapping[str, Kind],
    form: Form,
    shown: Form,
    fields: dict[str, str],
    problems: list[tuple[str, str]],
) -> None:
    rows = rows_of(form, group)
    if group not in document:
        if not rows:
            return
        document[group] = tomlkit.table(is_super_table=group == "labels")
    home = document[group]
    shown_at = {
        text: field.removesuffix(".from")
        for field, text in shown.items()
        if field.startswith(f"{group}[") and field.endswith(".from")
    }
    kept = {row.get("from", "") for row in rows.values()}
    for name in [name for name in home if name not in kept]:
        home.pop(name)
    taken: set[str] = set()
    for number, row in rows.items():
        name, old = row.get("name", "").strip(), row.get("from", "")
        if not name or name in taken:
            what = "there is another one of this name" if name else "missing: a name, such as what it is"
            problems.append((f"{group}[{number}].name", what))
            continue
        taken.add(name)
        if old in home and old != name and name not in home:
            home[name] = home.pop(old)
        prefix = shown_at.get(old, "")
        before = {key: shown.get(f"{prefix}.{key}", "") for key in keys} if old else {}
        if group != "labels":
            if row.get("amount", "").strip() != before.get("amount", "").strip():
                home[name] = toml_item(typed(row.get("amount", ""), "amount"))
        else:
            if name not in home:
                home[name] = tomlkit.table()
            _fill(home[name], keys, row, before)
        path = path_text((group, name))
        fields[path] = f"{group}[{number}]" if group == "labels" else f"{group}[{number}].amount"
    if not home:
        document.pop(group)


def field_problems(problems: Sequence[Problem], name: str, fields: Mapping[str, str]) -> dict[str, list[str]]:
    """Problems of a document by the form's field; those of no field stand under ''."""
    found: dict[str, list[str]] = {}
    for problem in problems:
        path = problem.where.removeprefix(name).removeprefix(": ")
        starts = [start for start in fields if path == start or path.startswith((f"{start}.", f"{start}["))]
        start = max(starts, key=len, default="")
        field = fields[start] + path[len(start) :] if start else ""
        field = re.sub(r"(?<=[a-z])(\[\d+\])+\Z", "", field)  # one of several weights in a field
        text = f"{problem.what} (accepted: {problem.accepted})" if problem.accepted else problem.what
        found.setdefault(field, []).append(text if field else f"{path}: {text}" if path else text)
    return found


def read_form(form: Form, before: str = "", name: str = "batch") -> tuple[Edited, Batch]:
    """The document a form makes and the batch in it. Raises FormError with problems by field."""
    edited = document_of(form, before)
    found: dict[str, list[str]] = {field: [what] for field, what in edited.problems}
    try:
        batch = batch_from_table(parse_toml(edited.text, name), name)
    except DocumentError as error:
        found |= field_problems(error.problems, name, edited.fields)
        raise FormError(found) from None
    if found:
        raise FormError(found)
    return edited, batch


def fill_document(form: Form, before: str, kinds: Mapping[str, Kind], named: str, shown: Form) -> Edited:
    """The document that a form of single amounts and one table of named amounts makes of `before`."""
    document = tomlkit.parse(before)
    fields = {path: path for path in kinds}
    problems: list[tuple[str, str]] = []
    for path, kind in kinds.items():
        if path in form and form[path].strip() != shown.get(path, "").strip():
            _put(document, [path], typed(form[path], kind) if form[path].strip() else None)
    if any(field.startswith(f"{named}[") for field in form) and not isinstance(
        document.get(named), str | int
    ):
        _put_named(document, named, {"amount": "amount"}, form, shown, fields, problems)
    return Edited(tomlkit.dumps(document), fields, tuple(problems))


class FormError(DocumentError):
    """A form that makes no document: `by_field` holds the problems, '' those of the whole."""

    def __init__(self, by_field: Mapping[str, Sequence[str]]) -> None:
        self.by_field = {field: list(texts) for field, texts in by_field.items()}
        super().__init__([Problem(field, text) for field, texts in by_field.items() for text in texts])

    def __reduce__(self) -> Any:
        return (FormError, (self.by_field,))


def usual_form() -> dict[str, str]:
    """What a new batch starts with: the currency and tariff of the settings, where they are set."""
    settings = load_settings()
    form = {}
    if settings["currency"] != "USD":
        form["currency"] = settings["currency"]
    if settings["price_per_kwh"] is not None:
        form["drying.price_per_kwh"] = f"{settings['price_per_kwh']}"
    return form
