"""The synonym file: every entry names words that some row has, and the index carries it unchanged."""

import pytest

from nutricost.domain.foods.vocabulary import pack, read_vocabulary, unpack
from nutricost.sources.embedded import EmbeddedTable
from nutricost.sources.food_index import EmbeddedIndex
from nutricost.sources.synonyms import shipped_vocabulary


@pytest.fixture(scope="module")
def index() -> EmbeddedIndex:
    return EmbeddedIndex(EmbeddedTable())


def test_the_index_carries_the_synonym_file(index: EmbeddedIndex) -> None:
    assert pack(index.vocabulary) == pack(shipped_vocabulary()), "run scripts/build-reference-table"


def test_every_entry_can_be_answered(index: EmbeddedIndex) -> None:
    vocabulary = shipped_vocabulary()
    unanswerable = []
    for phrase in vocabulary.packed:
        entry = vocabulary.entry_at(phrase.split(), 0)
        assert entry is not None and entry.phrase == tuple(phrase.split())
        rows = [set(index.rows_with(word)) for word in entry.needs]
        if (
            entry.needs
            and max(sum(row in found for found in rows) for row in set().union(*rows)) < len(rows) * 0.6
        ):
            unanswerable.append(phrase)
    assert unanswerable == []


def test_the_small_language() -> None:
    vocabulary = read_vocabulary(
        {"courgette / baby courgette": "squash zucchini | includes skin ! frozen @raw"},
        {"courgettes": "zucchini"}, ["oat milk"], ["skewer"],
    )  # fmt: skip
    entry = vocabulary.entry_at(("zucchini",), 0)
    assert entry is not None
    assert entry.needs == ("squash", "zucchini") and entry.wants == ("include", "skin")
    assert entry.avoids == ("frozen",) and entry.states == {"raw"}
    fused = vocabulary.entry_at(("oat", "milk"), 0)
    assert fused is not None and fused.fused
    assert pack(unpack(pack(vocabulary))) == pack(vocabulary)
