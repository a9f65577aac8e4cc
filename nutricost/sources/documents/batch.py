"""Reading a batch: the recipe as it was really made, dried, packed and paid for."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from nutricost.domain.documents import (
    Batch,
    Drying,
    Ingredient,
    Label,
    Loss,
    Packing,
    Rehydration,
    Weighing,
)
from nutricost.domain.quantities import ZERO, Figure
from nutricost.sources.documents.labels import read_label
from nutricost.sources.documents.loading import Source, load_toml, source_name
from nutricost.sources.documents.overrides import apply_overrides
from nutricost.sources.documents.tables import Document, KeyPath, Table, nearest, needed
from nutricost.sources.documents.values import (
    MOISTURE,
    NOT_NEGATIVE,
    POSITIVE,
    Bounds,
    Fault,
    read_amount,
    read_minutes,
    read_plain,
    read_text,
)

LINE_EXAMPLE = 'an ingredient line such as "3 lb frozen sweet corn"'
ALTITUDES = Bounds("metres from -500 to 6000", Decimal(-500), high=Decimal(6000))


def read_batch(source: Source, overrides: Sequence[str] = ()) -> Batch:
    """The batch in a TOML document. `overrides`: texts "key=value" that replace values before reading.

    Raises DocumentError with every problem of the document.
    """
    name = source_name(source)
    return batch_from_table(apply_overrides(load_toml(source), overrides, name), name)


def batch_from_table(content: Mapping[str, Any], name: str) -> Batch:
    """The batch in a parsed TOML table; `name` is what messages call it. Raises DocumentError."""
    document = Document(name, content)
    root = document.root
    document.read_currency()
    title = root.text("title", required="what the batch is called")
    servings = root.amount("servings", "serving", "servings of the batch", required="a number above 0")
    label_tables = root.table("labels")
    labels: dict[str, Label] = {}
    for label in label_tables.names() if label_tables else ():
        if table := label_tables.table(label) if label_tables else None:
            labels[label.strip()] = read_label(table, label.strip())
    known_labels = [label.strip() for label in label_tables.values] if label_tables else []
    ingredients = tuple(
        _ingredient(table, known_labels)
        for table in root.tables(
            "ingredients", required=f"one [[ingredients]] or more, each with {LINE_EXAMPLE}"
        )
    )
    cooking = root.table("cooking")
    cooked_weight = cooking.quantity("weight", "mass", "weight cooked") if cooking else None
    drying = _drying(table, cooked_weight) if (table := root.table("drying")) else None
    packing = _packing(table) if (table := root.table("packing")) else None
    other_costs = table.named_money() if (table := root.table("other_costs")) else {}
    rehydration = _rehydration(table) if (table := root.table("rehydration")) else None
    losses = _losses(root, servings)
    cooked = root.flag("cooked")
    made_on = root.date("made_on")
    leftover_age_days = root.number("leftover_age_days", NOT_NEGATIVE)
    document.finish()
    return Batch(
        title=needed(title),
        where=name,
        servings=needed(servings),
        currency=document.money_unit,
        ingredients=ingredients,
        labels=labels,
        cooked_weight=cooked_weight,
        drying=drying,
        packing=packing,
        other_costs=other_costs,
        rehydration=rehydration,
        losses=losses,
        cooked=cooked,
        made_on=made_on,
        leftover_age_days=leftover_age_days,
    )


def _ingredient(table: Table, labels: Sequence[str]) -> Ingredient:
    line = table.text("line", required=LINE_EXAMPLE) or ""
    label = table.text("label")
    if label is not None:
        _check_label(table, "label", label, labels)
    food = table.text("food")
    if food is not None:
        if label is not None and food != f"label:{label}":
            table.problem("food", f"the line draws on label {label!r} already", "either label or food")
        elif food.startswith("label:"):
            label, food = food.removeprefix("label:").strip().strip('"'), None
            _check_label(table, "food", label, labels)
        elif not re.fullmatch(r"(ndb|fdc):\d{1,9}|(survey|foundation):\S.*", food):
            table.problem("food", f"{food!r} is no food key", '"ndb:11178", "fdc:169999" or "label:NAME"')
    return Ingredient(
        line=line,
        where=table.where,
        label=label,
        food=food,
        grams=table.quantity("grams", "mass", f"weight of {line}", bare=True),
        paid=table.money("paid", f"paid for {line}"),
        normal=table.money("normal", f"usual price of {line}"),
        shared_for=table.get("for", _bought),
    )


def _bought(raw: object) -> str:
    """What the money bought, as written."""
    text = read_text(raw)
    if not re.match(r"[\d.½⅓⅔¼¾⅛⅜⅝⅞]", text):
        raise Fault(f"{text!r} does not start with an amount", '"5 lb" or "12 cans"')
    return text


def _check_label(table: Table, key: str, label: str, labels: Sequence[str]) -> None:
    if label in labels:
        return
    if labels:
        table.problem(key, f"there is no label {label!r}; the nearest is {nearest(label, list(labels))!r}")
    else:
        table.problem(key, f"there is no label {label!r}", f'a label that stands under [labels."{label}"]')


def _drying(table: Table, cooked_weight: Figure | None) -> Drying:
    trays = table.amount("trays", "tray", "trays")
    cycle_trays = table.amount("cycle_trays", "tray", "trays in the whole load")
    if trays and cycle_trays and cycle_trays.high < trays.low:
        what = f"{cycle_trays.value} trays in the whole load are fewer than the {trays.value} of the batch"
        table.problem("cycle_trays", what, "at least the trays of this batch")
    wet = _weights(table, "wet_weight", "weight loaded", trays)
    dry = _weights(table, "dry_weight", "dry weight", trays)
    loaded = wet or ((cooked_weight,) if cooked_weight else ())
    least_dry = sum((tray.low for tray in dry), ZERO).normalize()
    most_loaded = sum((tray.high for tray in loaded), ZERO).normalize()
    if dry and loaded and least_dry > most_loaded:
        what = "loaded" if wet else "cooked"
        table.problem("dry_weight", f"the dry weight, {least_dry:f} g, is above the weight {what}, "
                      f"{most_loaded:f} g", f"less than was {what}")  # fmt: skip
    return Drying(
        trays=trays,
        cycle_trays=cycle_trays,
        wet_weight=wet,
        dry_weight=dry,
        hours=table.quantity("hours", "time", "hours of the cycle", bare=True),
        extra_hours=table.quantity("extra_hours", "time", "extra drying", NOT_NEGATIVE, bare=True),
        energy=table.quantity("energy", "energy", "electricity of the cycle"),
        price_per_kwh=table.money("price_per_kwh", "price of electricity", per="kWh"),
        cost=table.money("cost", "cost of running the cycle"),
        residual_moisture=table.amount("residual_moisture", "", "residual moisture", MOISTURE),
        weighings=_weighings(table),
        scale_step=table.quantity("scale_step", "mass", "step of the scale"),
        tray_area_cm2=table.number("tray_area_cm2", POSITIVE),
    )


def _weights(table: Table, key: str, name: str, trays: Figure | None) -> tuple[Figure, ...]:
    """One weight or estimate, or one a tray.

    A list of two is one a tray where there are two trays, and a pair [low, high] otherwise; without
    `trays` it could be either, a factor of two apart, so the user has to say.
    """

    def weight(raw: object) -> Decimal:
        return read_amount(raw, "mass", POSITIVE)

    def read(raw: Any) -> tuple[Figure, ...]:
        path: KeyPath = (*table.path, key)
        if not isinstance(raw, list):
            return (table.to_figure(path, raw, weight, "g", name),)
        if not raw:
            raise Fault("is empty", "one weight, or one a tray")
        one_pair = len(raw) == 1 and isinstance(raw[0], list)
        if one_pair:
            return (table.to_figure(path, raw[0], weight, "g", name),)
        fits = trays is None or trays.low <= len(raw) <= trays.high
        if len(raw) == 2 and not any(isinstance(item, list) for item in raw):
            if not fits:
                return (table.to_figure(path, raw, weight, "g", name),)
            if not table.has("trays"):
                raise Fault(
                    "two weights may be two trays or an estimate",
                    f'"trays = 2" beside it for one a tray, or [["{raw[0]}", "{raw[1]}"]] for low and high',
                )
        if not fits and trays is not None:
            raise Fault(f"{len(raw)} weights for {trays.value} trays", "one weight in all, or one a tray")
        return tuple(
            table.to_figure((*path, number), item, weight, "g", f"{name}, tray {number + 1}")
            for number, item in enumerate(raw)
        )

    return table.get(key, read) or ()


def _weighings(table: Table) -> tuple[Weighing, ...]:
    weighings: list[Weighing] = []
    before: Figure | None = None
    for item in table.tables("weighings"):
        hours = item.quantity("hours", "time", "hours since the start", NOT_NEGATIVE, bare=True)
        weight = item.quantity("weight", "mass", "weight on the scale")
        for key in ("hours", "weight"):
            if not item.has(key):
                item.problem(key, "missing", 'hours = 20, weight = "1.31 kg"')
        if hours and before and hours.low <= before.high:
            item.problem(
                "hours", f"{hours.value:f} h do not come after the {before.value:f} h before", "rising hours"
            )
        before = hours or before
        if hours and weight:
            typed = item.values["weight"]
            weighings.append(Weighing(hours, weight, typed if isinstance(typed, str) else ""))
    return tuple(weighings)


def _packing(table: Table) -> Packing:
    def weight(path: KeyPath, raw: object) -> Figure:
        name = f"weight of bag {int(path[-1]) + 1}"
        return table.to_figure(path, raw, lambda item: read_amount(item, "mass", POSITIVE), "g", name)

    return Packing(
        bags=table.amount("bags", "bag", "bags"),
        bag_price=table.money("bag_price", "price of a bag", per="bag"),
        absorbers=table.amount("absorbers", "", "absorbers", NOT_NEGATIVE),
        absorber_price=table.money("absorber_price", "price of an absorber"),
        bag_volume=table.quantity("bag_volume", "volume", "volume of a bag"),
        bulk_volume=table.quantity("bulk_volume", "volume", "volume of the dry food"),
        absorber_sizes_cc=table.each(
            "absorber_sizes_cc",
            lambda _, raw: read_plain(raw, POSITIVE),
            "a list of sizes, such as [100, 300]",
        ),
        altitude_m=table.number("altitude_m", ALTITUDES),
        bag_weights=table.each("bag_weights", weight, 'a list of weights, such as ["108 g", "112 g"]'),
        lot=table.text("lot") or "",
        packed_on=table.date("packed_on"),
    )


def _rehydration(table: Table) -> Rehydration:
    return Rehydration(
        water_used=table.quantity("water_used", "volume", "water used per serving"),
        minutes=table.get("minutes", lambda raw: read_minutes(raw, NOT_NEGATIVE)),
        rating=table.whole("rating", 1, 5),
        note=table.get("note", lambda raw: read_text(raw) if raw != "" else "") or "",
    )


def _losses(root: Table, servings: Figure | None) -> tuple[Loss, ...]:
    losses = []
    for table in root.tables("losses"):
        what = table.text("what", required='what became of them, such as "tasted"')
        lost = table.amount("servings", "serving", f"servings lost: {what}", required="a number above 0")
        if what and lost:
            losses.append(Loss(what, lost))
    lost_in_all = sum((loss.servings.low for loss in losses), ZERO)
    if servings and lost_in_all > servings.high:
        root.problem(
            "losses", f"{lost_in_all} servings lost of {servings.value} made", "at most the servings made"
        )
    return tuple(losses)
