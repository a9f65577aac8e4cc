"""Single keys of a FoodData Central answer: of the type they always had, or an error naming the food."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, NoReturn

from nutricost.errors import SourceError


def read_json(text: str | bytes, what: str) -> Any:
    """The JSON value of an answer, its numbers as Decimal; SourceError where it is no JSON."""

    def no_number(word: str) -> NoReturn:
        raise ValueError(f"{word} is no number")

    try:
        return json.loads(text, parse_float=Decimal, parse_int=int, parse_constant=no_number)
    except (ValueError, RecursionError):
        start = text[:60].decode("utf-8", "replace") if isinstance(text, bytes) else text[:60]
        raise SourceError(f"{what}: no JSON, or cut off; it starts {start.strip()!r}") from None


def mapping(value: object, where: str, key: str) -> Mapping[str, Any]:
    """The value as an object; SourceError naming the food where it is none."""
    if not isinstance(value, Mapping):
        raise SourceError(f"FoodData Central {where}: {key} is {shown(value)}, an object expected")
    return value


def sequence(value: object, where: str, key: str) -> Sequence[Any]:
    """The value as a list; SourceError naming the food where it is none."""
    if not isinstance(value, list | tuple):
        raise SourceError(f"FoodData Central {where}: {key} is {shown(value)}, a list expected")
    return value


def rows_at(item: Mapping[str, Any], key: str, where: str) -> Sequence[Any]:
    """The list under a key, empty where it is missing; SourceError naming the food for another type."""
    value = item.get(key)
    return () if value is None else sequence(value, where, key)


def text_at(item: Mapping[str, Any], key: str, where: str) -> str:
    """The text under a key, "" where it is missing; SourceError naming the food for another type."""
    value = item.get(key)
    if value is None:
        return ""
    if not isinstance(value, str):
        raise SourceError(f"FoodData Central {where}: {key} is {shown(value)}, a text expected")
    return value


def whole(value: object, where: str, key: str) -> int:
    """The value as a whole number; SourceError naming the food where it is none."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise SourceError(f"FoodData Central {where}: {key} is {shown(value)}, a whole number expected")
    return value


def number_at(item: Mapping[str, Any], key: str, where: str) -> Decimal | None:
    """The number under a key, None where it is missing; SourceError naming the food for another type."""
    value = item.get(key)
    return None if value is None else number(value, where, key)


def number(value: object, where: str, key: str) -> Decimal:
    """A JSON number as Decimal; '0E-8', the service's zero, as plain 0."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise SourceError(f"FoodData Central {where}: {key} is {shown(value)}, a number expected")
    number = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not number.is_finite():
        raise SourceError(f"FoodData Central {where}: {key} is {shown(value)}, a number expected")
    return number if number else Decimal(0)


def shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
