"""Finding phrases in the names of foods: whole words, singular, commas kept as borders."""

from __future__ import annotations

import re
from collections.abc import Iterable

_TOKEN = re.compile(r"[a-z]+|[,;:.()\[\]|/]")
_KEPT = {"cookies": "cookie", "brownies": "brownie", "smoothies": "smoothie", "pies": "pie"}


def words(text: str) -> str:
    """The text as lower-case singular words with a space around each; punctuation becomes a comma.

    Commas stay, so that 'milk, free-range eggs' is not read as 'milk-free'.
    """
    lowered = text.lower().replace("’", "'").replace("'s ", " ")
    found = [_singular(token) if token.isalpha() else "," for token in _TOKEN.findall(lowered)]
    return f" {' '.join(found)} "


def _singular(word: str) -> str:
    if word in _KEPT:
        return _KEPT[word]
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 5:
        return word[:-3] + "y"
    if word.endswith(("ches", "shes", "xes", "sses", "oes")):
        return word[:-2]
    return word[:-1]


def phrases(text: str) -> tuple[str, ...]:
    """The phrases of a table, one between semicolons, as `words` writes them."""
    return tuple(words(phrase).strip() for phrase in text.split(";") if phrase.strip())


def combined(before: str, after: str) -> tuple[str, ...]:
    """Every phrase of one table followed by every phrase of another."""
    return tuple(f"{first} {second}" for first in phrases(before) for second in phrases(after))


def masked(text: str, unwanted: Iterable[str]) -> str:
    """The words with every occurrence of the phrases taken out."""
    for phrase in unwanted:
        while f" {phrase} " in text:
            text = text.replace(f" {phrase} ", " , ")
    return text


def names_any(text: str, wanted: Iterable[str]) -> bool:
    """Whether one of the phrases stands in the words."""
    return any(f" {phrase} " in text for phrase in wanted)
