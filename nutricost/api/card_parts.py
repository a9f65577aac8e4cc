"""What a recipe card is made of on paper and screen: tables of figures, and lists of sentences."""

from __future__ import annotations

from dataclasses import dataclass

from nutricost.domain.quantities import Figure

Cell = str | Figure


@dataclass(frozen=True, slots=True)
class CardTable:
    """A table with sentences below it; its first `left` columns are words, the others figures.

    `ranged`: the range of the first figure is worth a column where there is no small print.
    """

    title: str
    headings: tuple[str, ...] = ()
    rows: tuple[tuple[Cell, ...], ...] = ()
    left: int = 1
    ranged: bool = False
    notes: tuple[str, ...] = ()

    @property
    def narrow(self) -> bool:
        """Whether it has one figure a row, so that several such tables fit beside each other."""
        return len(self.headings) == 2


@dataclass(frozen=True, slots=True)
class CardList:
    """A titled list of sentences."""

    title: str
    items: tuple[str, ...]


CardPart = CardTable | CardList
