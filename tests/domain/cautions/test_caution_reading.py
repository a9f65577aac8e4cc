"""How the names of foods are read: whole words, in the singular. English plurals, by hand."""

from __future__ import annotations

import pytest

from nutricost.domain.cautions.reading import combined, masked, names_any, phrases, words


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("EGGS", "egg"),
        ("cherries", "cherry"),
        ("babies", "baby"),
        ("bries", "brie"),
        ("pies", "pie"),
        ("cookies", "cookie"),
        ("peaches", "peach"),
        ("radishes", "radish"),
        ("boxes", "box"),
        ("glasses", "glass"),
        ("tomatoes", "tomato"),
        ("peas", "pea"),
        ("nuts", "nut"),
        ("cheeses", "cheese"),
        ("bass", "bass"),
        ("couscous", "couscous"),
        ("cassis", "cassis"),
        ("gas", "gas"),
    ],
)
def test_a_word_is_read_in_the_singular(written: str, read: str) -> None:
    assert words(written) == f" {read} "


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("Milk, free-range eggs", " milk , free range egg "),
        ("beans (black); rice", " bean , black , , rice "),
        ("Baker's yeast", " baker yeast "),
        ("baker\N{RIGHT SINGLE QUOTATION MARK}s yeast", " baker yeast "),
        ("2 lb beef", " lb beef "),
    ],
)
def test_borders_stay_and_numbers_go(written: str, read: str) -> None:
    assert words(written) == read


def test_a_table_holds_phrases_between_semicolons() -> None:
    assert phrases("""
    Pine Nuts; za'atar;
    fish, smoked; """) == ("pine nut", "za atar", "fish , smoked")
    assert combined("soy; oat", "milk; ice creams") == (
        "soy milk", "soy ice cream", "oat milk", "oat ice cream",
    )  # fmt: skip


def test_masking_takes_out_every_occurrence_and_joins_nothing() -> None:
    text = masked(words("milk free milk free of milk, egg"), ("milk free",))
    assert not names_any(text, ("milk free",))
    assert names_any(text, ("milk",)) and names_any(text, ("egg",))
    assert not names_any(masked(words("soy corn nut milk"), ("corn nut",)), ("soy milk",))


def test_only_whole_words_count() -> None:
    assert not names_any(words("Squash, butternut"), ("nut", "butter"))
    assert not names_any(words("milk"), ())
