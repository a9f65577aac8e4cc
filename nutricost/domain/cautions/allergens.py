"""The nine major food allergens of US law, found in the names of foods.

21 U.S.C. 321(qq): milk, egg, fish, Crustacean shellfish, tree nuts, wheat, peanuts, soybeans (Food
Allergen Labeling and Consumer Protection Act of 2004) and sesame (FASTER Act of 2021, from 1 January
2023). This is a reading aid over words: an ingredient whose name does not tell stays unseen.

Decisions. Coconut, chestnut and ginkgo are no tree nuts here: FDA's guidance of January 2025 took coconut
off its list (second-hand; chestnut and ginkgo from memory). Coconut is reported apart. Molluscs (clam,
oyster, squid) are not among the nine. Soybean oil counts: only highly refined oil is exempt, which a name
does not tell. 'May contain' statements count.
"""

from __future__ import annotations

from dataclasses import dataclass

from nutricost.domain.cautions.allergen_words import NO_FISH_IN_FISH_GROUP, SIGNS, Sign
from nutricost.domain.cautions.facts import FoodFact
from nutricost.domain.cautions.reading import masked, names_any, phrases, words

SOURCE = (
    "21 U.S.C. 321(qq): Food Allergen Labeling and Consumer Protection Act of 2004; "
    "FASTER Act of 2021 (sesame)"
)

_FISH_GROUP = words("Finfish and Shellfish Products")
_NO_HONEY = phrases("honey mushroom; honey melon; honey tangerine; honey free; vegan honey")


@dataclass(frozen=True, slots=True)
class Allergen:
    """A major allergen and the ingredients that name it. `code` is stable, such as 'tree_nuts'."""

    code: str
    name: str
    found_in: tuple[str, ...]


def allergens(foods: tuple[FoodFact, ...]) -> tuple[Allergen, ...]:
    """The major allergens that the foods' descriptions, lines and label texts name, in the law's order.

    A reading aid, not a guarantee: an absent name proves nothing.
    """
    found = []
    for sign in SIGNS:
        named = tuple(dict.fromkeys(food.name for food in foods if _tells(sign, food)))
        if named:
            found.append(Allergen(sign.code, sign.name, named))
    return tuple(found)


def has_coconut(foods: tuple[FoodFact, ...]) -> bool:
    """Whether a food names coconut, which is no longer a tree nut in FDA's list."""
    return any(names_any(words(_all_text(food)), ("coconut",)) for food in foods)


def has_honey(foods: tuple[FoodFact, ...]) -> bool:
    """Whether a food names honey (honeydew is another word)."""
    return any(names_any(masked(words(_all_text(food)), _NO_HONEY), ("honey", "mead")) for food in foods)


def _all_text(food: FoodFact) -> str:
    return f"{food.description} | {food.line} | {food.label_ingredients}"


def _tells(sign: Sign, food: FoodFact) -> bool:
    names = [words(food.description), words(food.line)]
    if sign.code == "wheat":
        names = [_without_gluten(name) for name in names]
    texts = [*names, words(food.label_ingredients)]
    if any(names_any(masked(text, sign.unless), sign.tells) for text in texts):
        return True
    in_fish_group = sign.code == "fish" and words(food.group) == _FISH_GROUP
    return in_fish_group and not names_any(names[0], NO_FISH_IN_FISH_GROUP)


def _without_gluten(text: str) -> str:
    """A gluten-free food is not wheat because it is a pasta; it is where wheat itself is named."""
    if " gluten free " not in text:
        return text
    return " wheat " if " wheat " in masked(text, ("wheat free",)) else " "
