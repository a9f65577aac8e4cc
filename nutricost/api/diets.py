"""Who of a plan cannot eat which offer, by the words of what is in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nutricost.domain.cautions import FoodFact, allergens
from nutricost.domain.cautions.reading import names_any, words
from nutricost.domain.documents import Person

_SIGNS: Mapping[str, tuple[str, ...]] = {
    "milk": ("milk",), "dairy": ("milk",), "lactose": ("milk",),
    "egg": ("eggs",), "fish": ("fish",), "sesame": ("sesame",),
    "shellfish": ("crustacean_shellfish",), "crustacean": ("crustacean_shellfish",),
    "crustacean shellfish": ("crustacean_shellfish",),
    "tree nut": ("tree_nuts",), "nut": ("tree_nuts", "peanuts"), "peanut": ("peanuts",),
    "wheat": ("wheat",), "gluten": ("wheat",),
    "soy": ("soybeans",), "soya": ("soybeans",), "soybean": ("soybeans",),
}  # fmt: skip
"""What people say -> codes of the nine major allergens (21 U.S.C. 321(qq)) that it covers."""

_MORE: Mapping[str, tuple[str, ...]] = {
    # Gluten also comes from barley, rye and their crosses (21 CFR 101.91(a)); oats are often mixed with them.
    "gluten": ("barley", "rye", "triticale", "malt", "oat", "oatmeal"),
    # Molluscs are no major allergen of US law, but shellfish in common speech.
    "shellfish": ("clam", "oyster", "mussel", "scallop", "squid", "octopus", "abalone"),
}  # fmt: skip

READING_AID = (
    "Who can eat what is read from the words of lines, foods and ingredient lists: a reading aid, no "
    "guarantee. Read the package, and mind traces."
)


@dataclass(frozen=True, slots=True)
class Diet:
    """Names of the people who cannot eat an offer, with the reasons.

    `untold`: someone who excludes a food may eat it, though the ingredients of a part of it are not
    written down.
    """

    unfit_for: frozenset[str]
    reasons: tuple[str, ...]
    untold: bool


def diet(offer: str, facts: Sequence[FoodFact], people: Sequence[Person]) -> Diet:
    """Who cannot eat an offer made of these foods.

    A major allergen is looked for as its signs in every text; any other word as a word in the line, the
    food's description and group, and the ingredient text of a label.
    """
    unfit, reasons = set(), []
    excluding = [person for person in people if person.excludes]
    for person in excluding:
        for excluded in person.excludes:
            named = _named(excluded, facts)
            if named:
                unfit.add(person.name)
                reasons.append(f"{offer} is not for {person.name}: {excluded} ({named[0]})")
    hidden = any(not fact.group and not fact.label_ingredients for fact in facts)
    fed = any(person.name not in unfit for person in excluding)
    return Diet(frozenset(unfit), tuple(reasons), hidden and fed)


def _named(excluded: str, facts: Sequence[FoodFact]) -> list[str]:
    """The foods that name what is excluded."""
    word = words(excluded.replace("_", " ").replace("-", " ")).strip()
    codes = _SIGNS.get(word, ())
    found = [
        name for allergen in allergens(tuple(facts)) if allergen.code in codes for name in allergen.found_in
    ]
    # An allergen's own word may stand where it is not ('milk free'); its signs know that. And a group such
    # as 'Dairy and Egg Products' holds foods without either.
    wanted = _MORE.get(word, ()) if codes else (word,)
    for fact in facts:
        group = "" if codes else fact.group
        text = words(f"{fact.description} | {fact.line} | {group} | {fact.label_ingredients}")
        if names_any(text, wanted):
            found.append(fact.name)
    return list(dict.fromkeys(found))
