"""An imported table as the rest of the program sees it: foods by key, by barcode, by name and by line."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa

from nutricost.domain.foods.barcodes import read_gtin
from nutricost.domain.foods.lines import IngredientLine
from nutricost.domain.foods.matching import FoodIndex
from nutricost.domain.foods.queries import read_query
from nutricost.domain.foods.records import Food, HouseholdWeight
from nutricost.domain.foods.vocabulary import Vocabulary
from nutricost.errors import SourceError, UnknownFood
from nutricost.sources.bulk_files import (
    BRANDED,
    DATA_TYPES,
    FOODS,
    GTIN_FOODS,
    GTINS,
    nutrients_of,
    read_facts,
)
from nutricost.sources.bulk_values import KEYS, LESS_THAN
from nutricost.sources.bulk_words import BulkIndex
from nutricost.sources.contract import FoodRow
from nutricost.sources.embedded import unpacked_weights
from nutricost.sources.fdc_labels import DeclaredLabel, declared_label, described_portion, serving_unit
from nutricost.sources.fdc_reading import SOURCES
from nutricost.sources.matching_engine import Candidate, LineMatch, Matcher

_WANTED_WEIGHT = 0.1
"""Weight of a word that is only preferred, when the rows to be scored are chosen."""


class BulkTable:
    """One imported table, read by memory mapping; raises SourceError where its files can't be read."""

    def __init__(self, folder: Path) -> None:
        self.facts = read_facts(folder)
        self._folder = folder
        try:
            self._foods = pa.ipc.open_file(pa.memory_map(str(folder / FOODS))).read_all()
            self._food_batches: list[pa.RecordBatch] = self._foods.to_batches()
            labels = pa.ipc.open_file(pa.memory_map(str(folder / BRANDED))).read_all()
            self._label_batches: list[pa.RecordBatch] = labels.to_batches()
        except (OSError, pa.ArrowInvalid) as error:
            raise SourceError(
                f"the table {self.facts.name!r} can't be read ({error}); import it anew"
            ) from None

    def __len__(self) -> int:
        return len(self._foods)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The sources in this table, those of most rows first."""
        counts = np.bincount(self._column("data_type"), minlength=len(DATA_TYPES))
        present = sorted(
            (kind for kind in range(len(DATA_TYPES)) if counts[kind]), key=lambda kind: -counts[kind]
        )
        return tuple(SOURCES[DATA_TYPES[kind]] for kind in present)

    @cached_property
    def index(self) -> BulkIndex:
        """The words of this table."""
        return BulkIndex(self._folder, self._foods["description"], self._source)

    @cached_property
    def _ids(self) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any] | None]:
        """FDC ids in order, and the row of each where the file is in another order."""
        ids = self._column("fdc_id")
        if bool(np.all(ids[1:] > ids[:-1])):
            return ids, None
        order = np.argsort(ids)
        return ids[order], order

    def _column(self, name: str) -> np.ndarray[Any, Any]:
        """A column of numbers without gaps; by DLPack, since pyarrow's own way imports pandas."""
        return np.concatenate([np.from_dlpack(batch[name]) for batch in self._food_batches])

    def food(self, key: str) -> Food:
        """The food with this key ("fdc:173410"); raises UnknownFood."""
        return self.food_at(self._row(key))

    def foods_at(self, ids: Sequence[int]) -> list[Food]:
        """The foods with these row numbers, in the given order."""
        return [self.food_at(row) for row in ids]

    def foods(self, sources: Collection[str] | None = None) -> Iterator[Food]:
        """All foods of the given sources (None: all), in table order."""
        return (self.food_at(row) for row in self._rows_of(sources))

    def rows(self, sources: Collection[str] | None = None) -> Iterator[FoodRow]:
        """The names alone of what `foods` gives, in the same order."""
        for row in self._rows_of(sources):
            description, group = (
                self._foods["description"][row].as_py(),
                self._foods["food_group"][row].as_py(),
            )
            yield FoodRow(
                row, self._source(row), f"fdc:{self._foods['fdc_id'][row].as_py()}", description, group
            )

    def food_at(self, row: int) -> Food:
        """The food in this row. Values declared per 100 mL are left out: the density is unknown."""
        values = self._values(row)
        weights = unpacked_weights(values["weights"])
        if not weights:
            weights = self._serving_weight(values["branded"])
        nutrients = nutrients_of(values["codes"], values["amounts"], values["standings"])
        return Food(
            key=f"fdc:{values['fdc_id']}",
            source=SOURCES[DATA_TYPES[values["data_type"]]],
            description=values["description"],
            group=values["food_group"] or "",
            ndb_number=values["ndb"],
            fdc_id=values["fdc_id"],
            nutrients={} if values["per_100_ml"] else nutrients,
            household_weights=weights,
            release=f"FoodData Central {DATA_TYPES[values['data_type']]}, imported table {self.facts.name}",
        )

    def _values(self, row: int) -> dict[str, Any]:
        """One row of foods.arrow, by column."""
        return _row_of(self._food_batches, row)

    def label(self, key: str) -> DeclaredLabel | None:
        """What the food with this key declares per serving; None without a label. Raises UnknownFood."""
        return self._label(self._row(key))

    def by_barcode(self, text: str) -> tuple[Food, DeclaredLabel | None] | None:
        """The latest food with this barcode and its label, or None; InputError where it is no barcode."""
        gtin = np.uint64(read_gtin(text))
        gtins = np.load(self._folder / GTINS, mmap_mode="r")
        first, end = np.searchsorted(gtins, gtin, "left"), np.searchsorted(gtins, gtin, "right")
        if first == end:
            return None
        rows = np.load(self._folder / GTIN_FOODS, mmap_mode="r")[first:end]
        newest = max((int(row) for row in rows), key=lambda row: int(self._foods["fdc_id"][row].as_py()))
        return self.food_at(newest), self._label(newest)

    def _label(self, row: int) -> DeclaredLabel | None:
        values = self._values(row)
        printed = self._label_row(values["branded"])
        unit = serving_unit(printed["unit"] or "") if printed else None
        if not printed or unit is None or not printed["serving"] or printed["serving"] <= 0:
            return None
        codes, standings = values["codes"], values["standings"]
        return declared_label(
            values["description"],
            printed["gtin"] or "",
            Decimal(repr(printed["serving"])),
            unit,
            nutrients_of(codes, values["amounts"], standings),
            printed={},
            less_than=[
                KEYS[code] for code, standing in zip(codes, standings, strict=True) if standing & LESS_THAN
            ],
            household_text=printed["household"] or "",
            package_text=printed["package"] or "",
            ingredients_text=printed["ingredients"] or "",
        )

    def _label_row(self, place: int) -> dict[str, Any]:
        return {} if place < 0 else _row_of(self._label_batches, place)

    def _serving_weight(self, place: int) -> tuple[HouseholdWeight, ...]:
        printed = self._label_row(place)
        if not printed or printed["unit"] != "g" or not printed["serving"] or not printed["household"]:
            return ()
        weight = described_portion(printed["household"], Decimal(repr(printed["serving"])))
        return () if weight is None else (weight,)

    def _row(self, key: str) -> int:
        kind, _, number = (part.strip() for part in key.partition(":"))
        if kind.lower() == "fdc" and number.isascii() and number.isdecimal() and len(number) < 10:
            ids, order = self._ids
            place = int(np.searchsorted(ids, int(number)))
            if place < len(ids) and ids[place] == int(number):
                return place if order is None else int(order[place])
        raise UnknownFood(
            f"no food {key!r} in the table {self.facts.name!r} (accepted: keys such as 'fdc:173410')"
        )

    def _source(self, row: int) -> str:
        return SOURCES[DATA_TYPES[self._foods["data_type"][row].as_py()]]

    def _rows_of(self, sources: Collection[str] | None) -> Iterator[int]:
        if sources is None:
            return iter(range(len(self)))
        kinds = [place for place, kind in enumerate(DATA_TYPES) if SOURCES[kind] in sources]
        return iter(np.flatnonzero(np.isin(self._column("data_type"), kinds)).tolist())


def _row_of(table: list[pa.RecordBatch], row: int) -> dict[str, Any]:
    """One row, by column. Batches differ in length: rejected foods are left out of theirs."""
    for batch in table:
        if row < len(batch):
            values: dict[str, Any] = batch.slice(row, 1).to_pylist()[0]
            return values
        row -= len(batch)
    raise IndexError(row)


class _NarrowMatcher(Matcher):
    """A matcher that scores a line against the few rows that share its rarest words."""

    def __init__(self, table: BulkTable, vocabulary: Vocabulary) -> None:
        super().__init__(table, table.index)
        self._bulk = table.index
        self._vocabulary = vocabulary

    def index_for(self, line: IngredientLine) -> FoodIndex:
        query = read_query(line, self._vocabulary, self._bulk.table_words, self.speller)
        weights = dict.fromkeys(query.wants, _WANTED_WEIGHT) | query.needs
        for words in query.lone:
            weights |= dict.fromkeys(words, 1.0)
        return self._bulk.narrowed(weights)


class BulkMatcher:
    """Matches lines and searches names in an imported table, as `Matcher` does in the embedded one.

    Branded names are written as people say them, the other tables as the synonyms know them: the one way
    is tried first, the other where it finds nothing.
    """

    def __init__(self, table: BulkTable) -> None:
        self.table = table
        synonyms = table.index.vocabulary
        self._by_synonyms = _NarrowMatcher(table, synonyms)
        as_said = _NarrowMatcher(table, Vocabulary({}, synonyms.rewrites, 0, synonyms.known))
        branded_first = table.names[0] == SOURCES["Branded"]
        self._ways = (as_said, self._by_synonyms) if branded_first else (self._by_synonyms, as_said)

    def match(self, text: str, remembered: Mapping[str, str] | None = None) -> LineMatch:
        """The food and the grams of one line; raises UnknownFood for a remembered key it has not."""
        key = self._by_synonyms.key(text)
        chosen = (remembered or {}).get(key)
        found = [self._ways[0].match(text, pinned_food=chosen)]
        if found[0].status == "none":
            found.append(self._ways[1].match(text, pinned_food=chosen))
        return replace(max(found, key=lambda match: match.confidence), key=key)

    def search(self, text: str, limit: int = 10) -> list[Candidate]:
        """Foods whose names answer a query best."""
        return self._ways[0].search(text, limit) or self._ways[1].search(text, limit)
