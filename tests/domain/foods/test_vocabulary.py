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


def test_phrases_rewrites_and_the_longest_entry() -> None:
    vocabulary = read_vocabulary(
        {
            "green beans": "beans green",
            "beans": "bean @dry",
            "green bean soup pot / stew": "soup ! dried | thick",
        },
        {"haricots": "green beans"},
        ["oat milk"],
        ["paper towel"],
    )
    longest = vocabulary.entry_at(("a", "green", "bean", "soup", "pot"), 1)
    assert (
        longest is not None and longest.phrase == ("green", "bean", "soup", "pot") and vocabulary.longest == 4
    )
    assert (longest.needs, longest.wants, longest.avoids) == (("soup",), ("thick",), ("dried",))
    shorter = vocabulary.entry_at(("green", "bean", "soup"), 0)
    assert shorter is not None and shorter.needs == ("bean", "green")
    last = vocabulary.entry_at(("green", "bean"), 1)
    assert last is not None and last.needs == ("bean",) and last.states == {"dried"} and not last.fused
    other = vocabulary.entry_at(("stew",), 0)
    assert other is not None and other.needs == ("soup",)
    assert vocabulary.entry_at(("green", "pea"), 0) is None and vocabulary.entry_at(("pea",), 0) is None
    assert vocabulary.rewritten(["haricot", "pea"]) == ("green", "bean", "pea")
    towel = vocabulary.entry_at(("paper", "towel"), 0)
    assert towel is not None and towel.states == {"notfood"} and towel.fused
    assert vocabulary.known >= {"haricot", "green", "bean", "soup", "pot", "stew", "oat", "paper"}
    assert vocabulary.common()["bean"] == 3
    again = unpack(pack(vocabulary))
    assert again.longest == 4 and again.rewrites == vocabulary.rewrites and again.known == vocabulary.known
    assert again.entry_at(("green", "bean", "soup", "pot"), 0) == longest


def test_an_empty_vocabulary() -> None:
    empty = read_vocabulary({}, {}, [], [])
    assert empty.longest == 0 and empty.entry_at(("rice",), 0) is None
