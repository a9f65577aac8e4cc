"""Breaking things on purpose: odd texts, numbers, trees and bytes from a seeded generator."""

from __future__ import annotations

import copy
import math
import random
import re
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime
from typing import Any

ODD_CHARACTERS = (
    "\0", "\x1b[31m", "\r", "\n", "\t", "\u2028", "\u202e", "\ufeff", "\u200d", "\ud800", "\U0001f954", "½",
    "⁄", "²", "٣", "２", "一", "ß", "İ", "ſ", "e\u0301", "µ", "°", "…", "–", "'", '"', "\\", "[", "]", "[/b]",
    "{", "}", "=", "#", "%", "$", "€", "<b>", "&amp;", ",", ";", ".", "/", "-", "(", ")", "*", "\x7f",
)  # fmt: skip
WORDS = (
    "cups", "cup", "lb", "kg", "g", "oz", "fl oz", "tsp", "pinch", "cans", "kits", "large", "chopped", "dry",
    "cooked", "frozen", "beans", "rice", "chicken breast", "butter", "salt", "water", "to taste", "plus",
    "or", "and", "of", "x", "per", "calories", "dollar", "protein", "USD", "EUR", "nan", "inf", "-inf",
    "1e400", "1e-400", "0", "-1", "1/2", "1 1/2", "1/0", "1-2", "2 to 3", "½", "1,5", "1.000,5", "00012",
    "9" * 40, "0." + "0" * 40 + "1", "1_000", "0x10", "true", "null", "None", "__proto__", "../..", "a" * 300,
    "mL", "kcal", "kWh", "h", "min", "days", "cm", "serving", "servings", "heaping", "about", "ndb:11178",
)  # fmt: skip
AMOUNTS = (
    "5 kg", "0 g", "-3 kg", "1e9 kg", "1e-9 g", "1e999 kg", "nan kg", "3 mL", "3", "kg", "1,5 kg", "1 1/2 kg",
    "½ cup", "1/0 g", "2 cups (480 g)", "30 kWh", "30 kcal", "54 h", "54 h 30 min", "12.50 USD", "$12.50",
    "12.50 EUR", "USD", "1e30 USD", "0.17 USD/kWh", "3 servings", "3 cans", "٣ kg", "２ kg", " ", "",
    "5 kg kg", "kg 5", "5 kg\n", "1..5 kg", "--5 kg", "5 light_years", "5 ** 9 kg", "1 g / 0 g", "2026-05-01",
    "2026-13-45", "label:x", "fdc:1", "ndb:00000", "survey:Stew, beef", "female", "very active", "2 fl oz",
)  # fmt: skip
NUMBERS = (
    0, 1, -1, 2, 3, 0.5, -0.5, 0.1, 1e-9, 1e-12, 1e12, 1e13, 1e308, 5e-324, math.nan, math.inf, -math.inf,
    10**30, -(10**30), 2**63, 100, 7, 0.999, 1.0, 1000, 36500, 365000,
)  # fmt: skip


def odd_text(rng: random.Random, longest: int = 12) -> str:
    """A short text of words, odd characters and any code points."""
    parts = []
    for _ in range(rng.randint(0, longest)):
        kind = rng.random()
        if kind < 0.5:
            parts.append(rng.choice(WORDS))
        elif kind < 0.75:
            parts.append(rng.choice(ODD_CHARACTERS))
        elif kind < 0.85:
            parts.append(chr(rng.randrange(0x110000)))
        else:
            parts.append(str(rng.choice(NUMBERS)))
        if rng.random() < 0.7:
            parts.append(" ")
    return "".join(parts)


def plain_text(rng: random.Random, longest: int = 12) -> str:
    """As `odd_text`, but every character can be written in UTF-8."""
    return odd_text(rng, longest).encode("utf-8", "replace").decode("utf-8")


def odd_value(rng: random.Random, depth: int = 0) -> Any:
    """A value as TOML and JSON know them: number, text, date, list, table."""
    kind = rng.random()
    if kind < 0.3:
        return rng.choice(NUMBERS)
    if kind < 0.6:
        return rng.choice(AMOUNTS)
    if kind < 0.7:
        return plain_text(rng)
    if kind < 0.75:
        return rng.random() < 0.5
    if kind < 0.78:
        return rng.choice((date(2026, 5, 1), date(1, 1, 1), datetime(9999, 12, 31, 23, 59, tzinfo=UTC)))
    if kind < 0.92 or depth > 3:
        return [rng.choice((*AMOUNTS, *NUMBERS)) for _ in range(rng.randint(0, 3))]
    if rng.random() < 0.5:
        return [odd_value(rng, depth + 1) for _ in range(rng.randint(0, 3))]
    return {plain_text(rng, 2): odd_value(rng, depth + 1) for _ in range(rng.randint(0, 3))}


def places(tree: Any) -> Iterator[tuple[Any, Any]]:
    """Every (container, key or index) of a tree."""
    pairs: list[tuple[Any, Any]] = []
    if isinstance(tree, dict):
        pairs = [(tree, key) for key in tree]
    elif isinstance(tree, list):
        pairs = [(tree, i) for i in range(len(tree))]
    for container, key in pairs:
        yield container, key
        yield from places(container[key])


def likely_value(rng: random.Random, present: Any) -> Any:
    """Another value of the kind of the present one, which a reader may well accept."""
    if isinstance(present, bool):
        return not present
    if isinstance(present, int | float):
        return rng.choice(
            (0, 1, 2, 3, 7, 0.5, 0.1, 12, 100, 365, 1e-9, 1e12, present, [1, 2], [0.01, 0.02], 1000)
        )
    if isinstance(present, str):
        units = (
            "g",
            "kg",
            "oz",
            "lb",
            "mL",
            "cups",
            "fl oz",
            "L",
            "h",
            "min",
            "days",
            "kWh",
            "kcal",
            "cans",
            "cm",
        )
        unit = rng.choice(units)
        written = re.search(r"[a-zA-Z ]+", present)
        if written and rng.random() < 0.7:
            unit = written[0].strip()
        amount = rng.choice(("1", "2", "0.001", "1000", "1e6", "1/2", "1 1/2", "2.5", "12", "1e-6"))
        if not re.match(r"\s*[0-9]", present):
            return rng.choice(
                (present + " " + plain_text(rng, 3), plain_text(rng, 4), f"{amount} {unit} {present}")
            )
        pair = [f"{rng.choice((1, 2))} {unit}", f"{rng.choice((2, 3))} {unit}"]
        return pair if rng.random() < 0.15 else f"{amount} {unit}"
    return copy.deepcopy(present)


def mutated_tree(rng: random.Random, tree: Any, keys: Sequence[str] = ()) -> Any:
    """A copy of the tree with one to four changes: values replaced, nudged, moved, doubled, removed, added.

    `keys`: names that the reader may know, for keys that are added.
    """
    changed = copy.deepcopy(tree)
    for _ in range(rng.choice((1, 1, 1, 1, 2, 2, 3, 5))):
        found = list(places(changed))
        if not found:
            return odd_value(rng)
        container, key = rng.choice(found)
        kind = rng.random()
        if kind < 0.4:
            container[key] = likely_value(rng, container[key])
        elif kind < 0.55:
            container[key] = odd_value(rng)
        elif kind < 0.68:
            container[key] = _nudged(rng, container[key])
        elif kind < 0.82:
            del container[key]
        elif kind < 0.86:
            other, at = rng.choice(found)
            if at in other if isinstance(other, dict) else at < len(other):
                container[key] = copy.deepcopy(other[at])
        elif kind < 0.92 and isinstance(container, list):
            container.extend(copy.deepcopy(container[key : key + 1] * rng.choice((1, 1, 2, 30))))
        elif isinstance(container, dict):
            name = rng.choice(keys) if keys and rng.random() < 0.8 else plain_text(rng, 2)
            container[name] = odd_value(rng)
    return changed


def _nudged(rng: random.Random, value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value * rng.choice((0, -1, 0.5, 2, 10, 1000, 1e-6, 1e6)) + rng.choice((0, 0, 1, -1))
    if isinstance(value, str):
        return mutated_text(rng, value)
    return value


def mutated_text(rng: random.Random, text: str) -> str:
    """The text with one to four pieces cut, doubled, replaced or put in."""
    for _ in range(rng.randint(1, 4)):
        start = rng.randint(0, len(text))
        end = min(len(text), start + rng.choice((0, 1, 1, 2, 5, 40)))
        piece = rng.choice(
            ("", rng.choice(WORDS), rng.choice(ODD_CHARACTERS), text[start:end] * 2, rng.choice(AMOUNTS))
        )
        text = text[:start] + piece + text[end:]
    return text.encode("utf-8", "replace").decode("utf-8")


def mutated_bytes(rng: random.Random, content: bytes) -> bytes:
    """The content with bytes flipped, cut, doubled, or saved in another encoding."""
    kind = rng.random()
    if kind < 0.08:
        return content.decode("utf-8", "replace").encode(
            rng.choice(("utf-16", "utf-16-be", "utf-8-sig", "utf-32"))
        )
    if kind < 0.14:
        return content.replace(b"\n", rng.choice((b"\r\n", b"\r", b"\n\n", b"\0")))
    if kind < 0.18:
        return rng.randbytes(rng.randint(0, 200))
    changed = bytearray(content)
    for _ in range(rng.choice((1, 1, 2, 4, 16))):
        at = rng.randint(0, max(0, len(changed) - 1))
        piece = rng.choice(
            (b"", bytes([rng.randrange(256)]), rng.randbytes(3), bytes(changed[at : at + 60]), b"\xff", b"\0")
        )
        changed[at : at + rng.choice((0, 1, 1, 8, 64))] = piece
    if rng.random() < 0.1:
        del changed[rng.randint(0, len(changed)) :]
    return bytes(changed)
