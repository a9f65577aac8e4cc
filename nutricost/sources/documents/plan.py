"""Reading a plan: people, days, limits, and the documents that may be chosen from."""

from __future__ import annotations

import os
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

from nutricost.domain.documents import Limits, Person, Plan
from nutricost.sources.documents.loading import IN_BOOK, Source, load_toml, source_name
from nutricost.sources.documents.tables import Document, Table, needed
from nutricost.sources.documents.values import (
    NOT_NEGATIVE,
    POSITIVE,
    SHARE,
    Bounds,
    read_amount,
    read_fraction,
    read_plain,
    read_text,
    short,
)

SEXES = ("male", "female")
ACTIVITIES = ("inactive", "low active", "active", "very active")
"""The activity categories of the 2023 Dietary Reference Intakes for energy."""

AGES = Bounds("years, above 0 and at most 120", Decimal(0), low_in=False, high=Decimal(120))
BODY = {
    "sex": '"male" or "female"', "age_years": "a number of years", "weight": '"70 kg"', "height": '"170 cm"',
    "activity": ", ".join(ACTIVITIES),
}  # fmt: skip
CM_PER_INCH = Decimal("2.54")


def read_plan(source: Source) -> Plan:
    """The plan in a TOML document; its file names are resolved against the folder it lies in.

    Raises DocumentError with every problem of the document.
    """
    name = source_name(source)
    document = Document(name, load_toml(source))
    root = document.root
    folder = None if isinstance(source, tuple) else Path(source).parent
    document.read_currency()
    days = root.number("days", POSITIVE, required="for how many days, a number above 0")
    people = tuple(_person(table) for table in root.tables("people", required="one [[people]] or more"))
    limits = _limits(table) if (table := root.table("limits")) else Limits()

    def file(raw: Any) -> str:
        text = read_text(raw)
        if folder is None or text.startswith(IN_BOOK):
            return text
        return os.fspath(folder / text)

    batch_files = root.each("batches", lambda _, raw: file(raw), 'a list of files, such as ["chili.toml"]')
    pouches_file = root.get("pouches", file)
    machine_file = root.get("machine", file)
    on_hand = _on_hand(root.table("on_hand"))
    if not any(map(root.has, ("batches", "pouches", "on_hand"))):
        root.problem("batches", "missing", "batches, pouches or [on_hand]: something to choose from")
    document.finish()
    return Plan(
        where=name,
        days=needed(days),
        people=people,
        limits=limits,
        batch_files=batch_files,
        pouches_file=pouches_file,
        machine_file=machine_file,
        on_hand=on_hand,
        currency=document.money_unit,
    )


def _person(table: Table) -> Person:
    name = table.text("name", required="what the person is called") or ""
    energy = table.number("energy_kcal_per_day", POSITIVE)
    person = Person(
        name=name,
        where=table.where,
        energy_kcal_per_day=energy,
        sex=table.choice("sex", SEXES),
        age_years=table.number("age_years", AGES),
        weight_kg=_kilograms(table),
        height_cm=table.get("height", read_height),
        activity=table.choice("activity", ACTIVITIES),
        excludes=table.each("excludes", lambda _, raw: read_text(raw), 'a list of words, such as ["milk"]'),
    )
    if not table.has("energy_kcal_per_day"):
        for key, accepted in BODY.items():
            if not table.has(key):
                table.problem(key, "missing", f"energy_kcal_per_day, or {', '.join(BODY)}; here {accepted}")
    return person


def _kilograms(table: Table) -> Decimal | None:
    grams = table.base("weight", "mass")
    return None if grams is None else grams / 1000


def read_height(raw: Any) -> Decimal:
    """A person's height [cm] from "170 cm", "67 in" or "5 ft 7 in". Raises Fault."""
    text = short(raw).strip() if isinstance(raw, str) else ""
    match = re.fullmatch(r"(?:(\d+)\s*(?:ft|feet|'))?\s*(?:([\d./ ]+?)\s*(?:in|inches|\"))?", text)
    if match is None or not any(match.groups()):
        return read_amount(raw, "length", POSITIVE)
    inches = 12 * Decimal(match[1] or 0) + (read_fraction(match[2]) if match[2] else 0)
    return POSITIVE.check(inches * CM_PER_INCH, raw)


def _limits(table: Table) -> Limits:
    return Limits(
        budget=table.money("budget", "budget"),
        sodium_mg_per_day=table.number("sodium_mg_per_day", NOT_NEGATIVE),
        protein_g_per_day=table.number("protein_g_per_day", NOT_NEGATIVE),
        max_share_per_offer=table.number("max_share_per_offer", SHARE),
        packed_weight_g=table.base("packed_weight", "mass"),
        packed_volume_ml=table.base("packed_volume", "volume"),
        cycles=table.number("cycles", NOT_NEGATIVE),
        machine_days=table.number("machine_days", NOT_NEGATIVE),
        min_offers=table.whole("min_offers", 1, 1000),
    )


def _on_hand(table: Table | None) -> dict[str, Decimal]:
    found = {}
    for key in table.names() if table else ():
        servings = table.get(key, lambda raw: read_plain(raw, NOT_NEGATIVE)) if table else None
        if servings is not None:
            found[key] = servings
    return found
