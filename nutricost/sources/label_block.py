"""A label that a food table declares, as a [labels."..."] block ready for a batch file."""

from __future__ import annotations

import re
from decimal import Decimal

import tomlkit

from nutricost.domain.documents import LABEL_NUTRIENTS
from nutricost.domain.labels.rounding import RULES
from nutricost.sources.fdc_labels import DeclaredLabel

_NET = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(kg|g|mL|ml|ML|L|l|fl\.? ?oz|oz|lbs?)\b", re.IGNORECASE)
_WEIGHTS = {"g": "g", "kg": "kg", "oz": "oz", "lb": "lb", "lbs": "lb"}
_VOLUMES = {"ml": "mL", "l": "L", "floz": "fl oz", "fl oz": "fl oz", "fl.oz": "fl oz", "fl. oz": "fl oz"}


def label_block(label: DeclaredLabel, name: str = "") -> str:
    """The label as TOML text, its figures rounded as 21 CFR 101.9 prints them.

    A table keeps values per 100 g; times the serving size they give what was printed but for noise, which
    the rounding takes off. What the label doesn't declare is left out. `name` is the label's name in the
    document; the food's description in small letters where it is left out.
    """
    table = tomlkit.table()
    table.add("serving_size", _serving_size(label))
    for nutrient, key in LABEL_NUTRIENTS.items():
        amount = label.per_serving.get(nutrient)
        if amount is None:
            continue
        printed = RULES[nutrient].print_amount(amount)
        if printed.less_than or nutrient in label.less_than:
            table.add(key, "< 1")
        else:
            table.add(key, _number(printed.amount))
    net = _net(label.package_text)
    if net is not None:
        table.add(*net)
    if label.ingredients_text:
        table.add("ingredients", " ".join(label.ingredients_text.split()))
    if label.gtin:
        table.comment(f"barcode {label.gtin}, as declared to FoodData Central: check it against the package")
    document = tomlkit.document()
    labels = tomlkit.table(is_super_table=True)
    labels.add(name or label.description.lower(), table)
    document.add("labels", labels)
    return tomlkit.dumps(document).strip() + "\n"


def _serving_size(label: DeclaredLabel) -> str:
    metric = f"{_text(label.serving_amount)} {label.serving_unit}"
    household = " ".join(label.household_text.split())
    return f"{household} ({metric})" if household else metric


def _net(text: str) -> tuple[str, str] | None:
    """Key and value of the net content in a package text such as '15 oz/425 g'; metric units first."""
    found: dict[str, tuple[str, str]] = {}
    for amount, unit in _NET.findall(text):
        word = unit.lower()
        if word in _WEIGHTS:
            found.setdefault(_WEIGHTS[word], ("net_weight", f"{amount} {_WEIGHTS[word]}"))
        elif word in _VOLUMES:
            found.setdefault(_VOLUMES[word], ("net_volume", f"{amount} {_VOLUMES[word]}"))
    return next((found[unit] for unit in ("g", "kg", "mL", "L", "oz", "lb", "fl oz") if unit in found), None)


def _number(amount: Decimal) -> int | float:
    """The number as TOML writes it; printed figures have at most one decimal."""
    return int(amount) if amount == amount.to_integral_value() else float(amount)


def _text(amount: Decimal) -> str:
    return format(amount.normalize(), "f")
