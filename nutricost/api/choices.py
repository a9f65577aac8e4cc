"""Confirmed choices of foods, kept in the book and used by every later match."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from nutricost.api.foods import phrase_of
from nutricost.api.inputs import book_in_use
from nutricost.errors import InputError
from nutricost.sources.embedded import EmbeddedTable
from nutricost.store.connection import Book, open_book
from nutricost.store.matches import confirm_match, forget_match, list_matches


def remembered() -> Mapping[str, str]:
    """Remembered choices, phrase -> food key; none where there is no book yet."""
    path = book_in_use()
    if not path.exists():
        return {}
    with open_book(path, create=False) as opened:
        return choices_in(opened)


def choices_in(book: Book) -> Mapping[str, str]:
    """Remembered choices of an open book, phrase -> food key."""
    return {match.phrase: match.food for match in list_matches(book)}


def choose(pair: str, on: date) -> tuple[str, str]:
    """Keeps 'LINE=KEY' as a choice; the phrase it is kept under and the key.

    Raises InputError for a pair without '=', UnknownFood for a key that no table has.
    """
    line, mark, key = pair.rpartition("=")
    if not mark or not line.strip() or not key.strip():
        raise InputError(f"{pair!r} is not a choice (accepted: LINE=KEY, such as 'rice=ndb:20044')")
    food = EmbeddedTable().food(key.strip())
    phrase = phrase_of(line)
    if not phrase:
        raise InputError(f"{line!r} names no food (accepted: a line such as '1 cup rice')")
    with open_book(book_in_use()) as opened, opened.transaction():
        confirm_match(opened, phrase, food.key, on=on)
    return phrase, food.key


def forget(line: str) -> None:
    """Removes a choice, named by its phrase or by any line of the same food. Raises InputError."""
    path = book_in_use()
    if path.exists():
        with open_book(path) as opened, opened.transaction():
            if forget_match(opened, line) or forget_match(opened, phrase_of(line)):
                return
    raise InputError(f"no choice is remembered for {line!r} (see: nutricost match --remembered)")
