"""Confirmed matches: which food a phrase means in this kitchen."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from nutricost.errors import InputError
from nutricost.store import rows
from nutricost.store.connection import Book

_KEY = re.compile(r"(ndb:\d{5,6}|fdc:\d+|(label|survey|foundation):\S.*)\Z")


@dataclass(frozen=True, slots=True)
class ConfirmedMatch:
    """A phrase, as `phrase_key` writes it, and the key of its food."""

    phrase: str
    food: str
    confirmed_on: date


def phrase_key(phrase: str) -> str:
    """A phrase as it is compared: small letters, single spaces."""
    return " ".join(phrase.casefold().split())


def confirm_match(book: Book, phrase: str, food: str, *, on: date) -> ConfirmedMatch:
    """The match, now kept in place of an earlier one of the phrase. Raises InputError."""
    if not phrase_key(phrase):
        raise InputError("match: the phrase is empty")
    if not _KEY.match(food):
        raise InputError(f'match: food {food!r} (accepted: "ndb:01001", "fdc:173410" or "label:NAME")')
    match = ConfirmedMatch(phrase_key(phrase), food, on)
    if not rows.update(book, "food_match", match, "phrase"):
        rows.insert(book, "food_match", match)
    return match


def list_matches(book: Book) -> list[ConfirmedMatch]:
    """All confirmed matches, by phrase."""
    return rows.fetch(book, "food_match", ConfirmedMatch, order="phrase")


def find_match(book: Book, phrase: str) -> ConfirmedMatch | None:
    """What was confirmed for the phrase, or None."""
    key = [phrase_key(phrase)]
    return next(iter(rows.fetch(book, "food_match", ConfirmedMatch, "phrase = ?", key, order="phrase")), None)


def forget_match(book: Book, phrase: str) -> bool:
    """Whether the phrase had a match, now gone."""
    return rows.delete(book, "food_match", "phrase", phrase_key(phrase))
