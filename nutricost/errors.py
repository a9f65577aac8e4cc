"""What can go wrong, ordered by who can fix it.

NutricostError
├── InputError          the person's document, line or argument
│   ├── UnitMismatch        a quantity of another dimension, or an unknown unit (also a TypeError)
│   ├── DocumentError       all problems of one file, collected
│   └── UnknownFood         a food key or label that does not exist (also a LookupError)
├── SourceError         a food table, file or service that could not be read
├── StoreError          the book: locked, damaged, newer than this program
│   └── StaleEdit           somebody else saved the same thing since it was read
└── SettingError        a setting with an unknown name or value
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong: where it is (file, key or line), what is wrong, what is accepted."""

    where: str
    what: str
    accepted: str = ""
    severity: Literal["error", "warning"] = "error"

    def __str__(self) -> str:
        text = f"{self.where}: {self.what}" if self.where else self.what
        return f"{text} (accepted: {self.accepted})" if self.accepted else text


class NutricostError(Exception):
    """Root of all errors this package raises on purpose."""


class InputError(NutricostError, ValueError):
    """The input cannot be used; the message says what is accepted."""


class UnitMismatch(InputError, TypeError):
    """A quantity has another dimension than the place needs, or its unit is unknown."""


class UnknownFood(InputError, LookupError):
    """A food key or label that no table or document has."""


class DocumentError(InputError):
    """A document that cannot be used, with every problem found in it.

    `problems` holds one `Problem` a fault, in the order of the file.
    """

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    def __reduce__(self) -> tuple[type[DocumentError], tuple[tuple[Problem, ...]]]:
        return (DocumentError, (self.problems,))


class SourceError(NutricostError):
    """A food table, file or service could not be read."""


class StoreError(NutricostError):
    """The book could not be opened, read or written."""


class StaleEdit(StoreError):
    """Somebody else saved the same thing since it was read; nothing was overwritten.

    `yours` is the text that was refused, `stored` what is in the book now, at `stored_revision`; both
    are None where a thing does not exist.
    """

    def __init__(self, what: str, yours: str | None, stored: str | None, stored_revision: int) -> None:
        self.what = what
        self.yours = yours
        self.stored = stored
        self.stored_revision = stored_revision
        state = "removed from the book" if stored is None else "changed in the book"
        super().__init__(
            f"{what} was {state} since you opened it, so your version was not saved over it: "
            "compare the two, then save again"
        )

    def __reduce__(self) -> tuple[type[StaleEdit], tuple[str, str | None, str | None, int]]:
        return (StaleEdit, (self.what, self.yours, self.stored, self.stored_revision))


class SettingError(NutricostError):
    """A setting has an unknown name or an unusable value."""
