"""Nutrient rows of millions of foods, chosen and checked as `fdc_reading` does it for one, in arrays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from nutricost.domain.foods.laws import (
    ENERGY_TOLERANCE_FRACTION,
    ENERGY_TOLERANCE_KCAL,
    GENERAL_TOLERANCE_FRACTION,
    GENERAL_TOLERANCE_KCAL,
    PROXIMATES_TOLERANCE_G,
)
from nutricost.domain.foods.records import NUTRIENTS, Standing
from nutricost.sources.fdc_reading import MICROGRAMS_PER_IU_VITAMIN_D

STANDINGS: tuple[Standing, ...] = (
    "measured",
    "calculated",
    "imputed",
    "assumed zero",
    "declared",
    "estimated",
)
"""Standings by the code that a table file keeps."""

KEYS = tuple(NUTRIENTS)
_EXTRA = {"958": "kcal", "957": "kcal", "269.3": "g", "293": "g", "324": "IU"}
CODES: Mapping[str, int] = {
    number: code for code, number in enumerate([n.number for n in NUTRIENTS.values()] + list(_EXTRA))
}
"""USDA nutrient number -> column of a block: the engine's nutrients in order, then their substitutes."""
CODE_UNITS: Mapping[str, str] = {n.number: n.unit for n in NUTRIENTS.values()} | _EXTRA
LESS_THAN = 0x40
"""Bit of a standing: the label says 'less than' this amount (derivation code LCSL)."""

_SLACK = 1e-6
Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.uint8]


@dataclass
class NutrientRows:
    """Nutrient rows as read, in any order: food, column, amount and standing of each."""

    food: list[npt.NDArray[np.int32]] = field(default_factory=list)
    code: list[Codes] = field(default_factory=list)
    amount: list[Floats] = field(default_factory=list)
    standing: list[Codes] = field(default_factory=list)

    def sorted(self, foods: int) -> SortedRows:
        """The rows by food; of two with the same food and column, both are kept in their order."""
        food = _joined(self.food, np.int32)
        code, amount = _joined(self.code, np.uint8), _joined(self.amount, np.float64)
        standing = _joined(self.standing, np.uint8)
        if len(food) and bool(np.any(food[1:] < food[:-1])):
            order = np.argsort(food, kind="stable")
            food, code, amount, standing = food[order], code[order], amount[order], standing[order]
        starts = np.searchsorted(food, np.arange(foods + 1, dtype=np.int32))
        return SortedRows(starts.astype(np.int64), food, code, amount, standing)


def _joined(parts: list[npt.NDArray[np.generic]] | list[npt.NDArray], kind: type) -> npt.NDArray:  # type: ignore[type-arg]
    joined = np.concatenate(parts) if parts else np.empty(0, dtype=kind)
    parts.clear()  # the parts are as large as the whole
    return joined


@dataclass(frozen=True)
class SortedRows:
    """Nutrient rows by food: those of food n from starts[n] to starts[n + 1]."""

    starts: npt.NDArray[np.int64]
    food: npt.NDArray[np.int32]
    code: Codes
    amount: Floats
    standing: Codes

    def block(self, first: int, end: int) -> Block:
        """The rows of foods first to end as one block, a column a nutrient; NaN where there is none."""
        start, stop = self.starts[first], self.starts[end]
        # Turned round, so that the first of two rows for one nutrient is the one that stays.
        where = (self.code[start:stop][::-1], self.food[start:stop][::-1] - first)
        amounts = np.full((len(CODES), end - first), np.nan)
        amounts[where] = self.amount[start:stop][::-1]
        standings = np.zeros((len(CODES), end - first), dtype=np.uint8)
        standings[where] = self.standing[start:stop][::-1]
        return Block(amounts, standings)


@dataclass(frozen=True)
class Block:
    """Amounts per 100 g or mL and standings of some foods: a row a nutrient (CODES), a column a food."""

    amounts: Floats
    standings: Codes

    def chosen(self) -> Block:
        """The engine's nutrients alone: energy 208, else 958, else 957, else computed; substitutes used.

        The same choice as `fdc_reading.by_key` makes for one food.
        """
        amounts, standings = self.amounts.copy(), self.standings.copy()
        energy = CODES["208"]
        for substitute, wanted in (("958", "208"), ("957", "208"), ("269.3", "269"), ("293", "291")):
            self._fill(
                amounts, standings, CODES[wanted], amounts[CODES[substitute]], standings[CODES[substitute]]
            )
        protein, fat, carbohydrate = (amounts[CODES[number]] for number in ("203", "204", "205"))
        alcohol = np.nan_to_num(amounts[CODES["221"]])
        computed = np.round(4 * protein + 9 * fat + 4 * carbohydrate + 7 * alcohol, 6)
        estimated = np.full(computed.shape, STANDINGS.index("estimated"), dtype=np.uint8)
        self._fill(amounts, standings, energy, computed, estimated)
        units = CODES["324"]
        micrograms = np.round(amounts[units] * float(MICROGRAMS_PER_IU_VITAMIN_D), 6)
        self._fill(amounts, standings, CODES["328"], micrograms, standings[units])
        return Block(amounts[: len(KEYS)], standings[: len(KEYS)])

    @staticmethod
    def _fill(amounts: Floats, standings: Codes, wanted: int, values: Floats, codes: Codes) -> None:
        missing = np.isnan(amounts[wanted]) & ~np.isnan(values)
        amounts[wanted][missing] = values[missing]
        standings[wanted][missing] = codes[missing]

    def suspects(self) -> npt.NDArray[np.int64]:
        """Foods that may break an import law (domain.foods.laws), to be judged one by one.

        None that breaks a law is left out: the bounds are those of the laws, a hair narrower.
        """
        rows = {key: self.amounts[place] for place, key in enumerate(KEYS)}
        alcohol = np.nan_to_num(rows["alcohol"])
        parts = [rows[key] for key in ("water", "protein", "fat", "carbohydrate", "ash")]
        known = sum((np.nan_to_num(part) for part in parts), alcohol)
        whole = ~np.isnan(np.sum(parts, axis=0))
        tolerance = float(PROXIMATES_TOLERANCE_G) - _SLACK
        bad = (known > 100 + tolerance) | (whole & (known < 100 - tolerance))
        bad |= np.any(self.amounts < 0, axis=0)
        bad |= rows["sugar"] > rows["carbohydrate"]
        high = 4 * rows["protein"] + 9 * rows["fat"] + 4 * rows["carbohydrate"] + 7 * alcohol
        low = high - 4 * np.fmin(np.nan_to_num(rows["fiber"]), rows["carbohydrate"])
        fraction, kcal = float(GENERAL_TOLERANCE_FRACTION), float(GENERAL_TOLERANCE_KCAL)
        bad |= rows["energy"] > high + np.fmax(high * fraction, kcal) - _SLACK
        bad |= rows["energy"] < low - np.fmax(low * fraction, kcal) + _SLACK
        return np.flatnonzero(bad)

    def off_own_factors(self, factors: Floats) -> npt.NDArray[np.int64]:
        """Foods whose energy may be off their own factors [kcal/g], rows protein, fat, carbohydrate."""
        general = np.array([[4.0], [9.0], [4.0]])
        used = np.where(np.isnan(factors), general, factors)
        macros = np.array([self.amounts[KEYS.index(key)] for key in ("protein", "fat", "carbohydrate")])
        high = np.sum(used * macros, axis=0) + 7 * np.nan_to_num(self.amounts[KEYS.index("alcohol")])
        allowed = np.fmax(high * float(ENERGY_TOLERANCE_FRACTION), float(ENERGY_TOLERANCE_KCAL)) - _SLACK
        off = np.abs(self.amounts[KEYS.index("energy")] - high) > allowed
        return np.flatnonzero(off & ~np.all(np.isnan(factors), axis=0))
