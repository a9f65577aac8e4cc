"""Changing values of a parsed document before it is read: "drying.energy=40 kWh"."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping, MutableMapping, Sequence
from typing import Any

from nutricost.errors import DocumentError, Problem
from nutricost.sources.documents.loading import parse_toml
from nutricost.sources.documents.tables import KeyPath, path_text

ACCEPTED = "KEY=VALUE such as drying.energy=40 kWh or ingredients[0].paid=9.50"

_PART = re.compile(r"""\s*(?:\[(?P<index>\d+)\]|\.?(?:(?P<bare>[A-Za-z0-9_-]+)|"(?P<quoted>[^"]*)"))\s*""")


def parse_path(text: str) -> KeyPath | None:
    """The key path written as `labels."sweet corn".fat_g` or `ingredients[0].paid`; None if it is none."""
    parts: list[str | int] = []
    at = 0
    while at < len(text):
        match = _PART.match(text, at)
        if match is None:
            return None
        if match["index"] is not None:
            parts.append(int(match["index"]))
        else:
            parts.append(match["bare"] if match["bare"] is not None else match["quoted"])
        at = match.end()
    return tuple(parts) if parts and isinstance(parts[0], str) else None


def parse_value(text: str) -> Any:
    """The text as a TOML value where it is one, else as a string."""
    try:
        parsed = parse_toml(f"value = {text}", "")
    except DocumentError:
        return text.strip()
    return parsed["value"] if len(parsed) == 1 else text.strip()


def apply_overrides(content: Mapping[str, Any], overrides: Sequence[str], name: str) -> dict[str, Any]:
    """The parsed document with each "key=value" put in; `content` itself is not changed.

    A table on the way that does not exist is made, a list index has to exist.
    Raises DocumentError with every override that cannot be applied.
    """
    changed = copy.deepcopy(dict(content))
    problems = []
    for override in overrides:
        key, equals, value = override.partition("=")
        path = parse_path(key.strip())
        if not equals or path is None:
            problems.append(Problem(f"{name}: {override}", "is no change of a value", ACCEPTED))
            continue
        if fault := put(changed, path, parse_value(value)):
            problems.append(Problem(f"{name}: {override}", fault, ACCEPTED))
    if problems:
        raise DocumentError(problems)
    return changed


def put(content: MutableMapping[str, Any], path: KeyPath, value: Any) -> str:
    """Put a value at a path of a parsed document; say what is wrong with the path, or nothing."""
    here: Any = content
    for depth, part in enumerate(path):
        last = depth == len(path) - 1
        if isinstance(part, int):
            if not isinstance(here, list):
                return f"{path_text(path[:depth])} is no list"
            if part >= len(here):
                return f"{path_text(path[:depth])} has {len(here)} items, counted from 0"
        elif not isinstance(here, dict):
            return f"{path_text(path[:depth])} is no table"
        if last:
            here[part] = value
        elif isinstance(part, str):
            here = here.setdefault(part, {})
        else:
            here = here[part]
    return ""
