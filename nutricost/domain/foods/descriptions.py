"""Table descriptions ('noun, qualifier, qualifier') read into words, places, states and a penalty."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from nutricost.domain.foods.tokens import merge, scan, stem
from nutricost.domain.foods.words import STATES

HEAD, SECOND, LATER, ASIDE, CLASS, STATE, LINK = range(7)
"""Place of a word: first noun, second part, later part, in brackets, class word, state word, grammar."""

_FREE_CLASSES = frozenset(
    {
        "nut", "seed", "spice", "fish", "crustacean", "mollusk", "cheese", "leavening agent", "game meat",
        "alcoholic beverage", "mushroom", "lettuce", "vegetable", "bean", "squash", "seaweed", "noodle",
        "pea",
        "cereal", "sweetener", "tomato product", "pepper", "fungi", "pickle", "sausage", "beverage",
        "snack", "candy",
    }
)  # fmt: skip
"""Classes that a line need not name."""

LINKS = frozenset(
    "and or with without in of from the a for to w by as at not on incl include includes style type".split()
)

FREE = frozenset(
    "fresh plain regular enriched all commercial variety class average year round ready serve "
    "eat table household mature seed common generic usda commodity nfs unspecified species "
    "mixed broiler fryer separable lean fat grade trimmed meat only area pack retail cut "
    "composite salad cooking original style whole ripe red source wild farmed solid include "
    "domestic domesticated fluid cultured english double acting straight phosphate dietary purchased "
    "prepackaged commercially salted bulb lower portion root table 80 3.25 milkfat type drained "
    "liquid refrigerated processing stick composite hard".split()
) - {"whole", "lean", "hard", "wild"}
"""Qualifiers that are the usual thing: a line need not say them."""

_PENALTIES = (
    # (words that must stand in the description, penalty); the line must ask for such rows
    (("babyfood",), 1.6),
    (("infant", "formula"), 1.6),
    (("child", "formula"), 1.2),
    (("fast", "food"), 0.7),
    (("restaurant",), 0.6),
    (("school", "lunch"), 0.7),
    (("commodity",), 0.15),
    (("industrial",), 0.7),
    (("imitation",), 0.5),
    (("meatless",), 0.6),
    (("vegetarian",), 0.4),
    (("substitute",), 0.5),
    (("formulated",), 0.8),
    (("dietetic",), 0.6),
    (("diabetes",), 1.0),
    (("alaska", "native"), 0.8),
    (("breaded",), 0.35),
    (("batter",), 0.35),
    (("solution",), 0.2),
    (("ultraviolet",), 0.2),
    (("fortified",), 0.1),
    (("industrially",), 0.5),
    (("zealand",), 0.3),
    (("australian",), 0.3),
    (("imported",), 0.2),
    (("mechanically",), 0.6),
    (("lowsodium",), 0.3),
    (("sodium",), 0.15),
    (("nonfat",), 0.15),
    (("reducedfat",), 0.2),
    (("lowfat",), 0.1),
    (("light",), 0.05),
    (("sweetened",), 0.08),
    (("low", "calorie"), 0.4),
    (("reduced", "calorie"), 0.4),
    (("sugar", "free"), 0.4),
    (("gluten", "free"), 0.25),
    (("unenriched",), 0.05),
    (("glandless",), 0.4),
    (("grass", "fed"), 0.15),
    (("dry", "mix"), 0.2),
    (("single", "brand"), 0.2),
    (("topping", "from"), 0.6),
)  # fmt: skip
_GROUP_PENALTIES = {
    "Baby Foods": 1.6,
    "Fast Foods": 0.5,
    "Restaurant Foods": 0.6,
    "American Indian/Alaska Native Foods": 0.9,
}
_DRY_GROUPS = frozenset(
    {"Legumes and Legume Products", "Cereal Grains and Pasta", "Nut and Seed Products", "Breakfast Cereals"}
)
"""Groups whose raw foods are dry ones: 'Lentils, raw' are dried lentils."""


@dataclass(frozen=True, slots=True)
class DescriptionWords:
    """A description cut into stems with the place of each, its states, and the penalty of a row nobody
    asked for (brand names, baby food, fast food, breaded or low-fat variants)."""

    words: tuple[str, ...]
    places: tuple[int, ...]
    states: frozenset[str]
    penalty: float
    penalty_words: tuple[str, ...]
    head: str


def _shouted(description: str) -> bool:
    """Whether the description carries a brand in capitals, as SR28 writes them."""
    for token in scan(description):
        raw = token.raw.split("'")[0].split("’")[0]
        if len(raw) > 3 and raw.isupper() and raw.isalpha() and raw not in ("USDA", "NLEA", "NFSMI"):
            return True
    return False


def read_description(description: str, group: str = "") -> DescriptionWords:
    """Words, places, states and penalty of one description."""
    words: list[str] = []
    places: list[int] = []
    segment: list[str] = []
    segments: list[tuple[list[str], bool]] = []
    depth = 0
    for token in [*scan(description), None]:
        if token is None or token.text in (",", ";", "(", ")"):
            if segment:
                segments.append((merge(segment), depth > 0))
                segment = []
            if token is not None:
                depth = max(depth + (token.text == "(") - (token.text == ")"), 0)
        elif token.kind != "mark":
            segment.append(stem(token.text))
    first = " ".join(segments[0][0]) if segments else ""
    class_first = first in _FREE_CLASSES
    main = 0
    head: list[str] = []
    states: set[str] = set()
    for found, aside in segments:
        if not aside:
            main += 1
        for word in found:
            if word in STATES and not (main == 1 and not aside and len(found) == 1):
                states.add(STATES[word])
            words.append(word)
            if word in LINKS:
                places.append(LINK)
            elif aside:
                places.append(ASIDE)
            elif main == 1:
                places.append(CLASS if class_first else HEAD)
            elif word in STATES:
                places.append(STATE)
            elif main == 2:
                places.append(HEAD if class_first else SECOND)
            else:
                places.append(LATER)
            if places[-1] == HEAD:
                head.append(word)
    low = set(words)
    if "undrained" in states or {"solid", "liquid"} <= low or {"total", "can", "content"} <= low:
        states.discard("drained")
        states.add("undrained")
    if group in _DRY_GROUPS and states & {"raw", "dried"} and "canned" not in states:
        states |= {"raw", "dried"}
    penalty = 0.0
    told: list[str] = []
    for needed, cost in _PENALTIES:
        if all(word in low for word in needed):
            penalty += cost
            told.append(" ".join(needed))
    for before, after in pairwise(words):
        if before == "with" and after == "salt":
            penalty += 0.04
            told.append("with salt")
    if _shouted(description) or (group == "Restaurant Foods" and "restaurant" not in low):
        penalty += 0.8
        told.append("brand")
    group_cost = _GROUP_PENALTIES.get(group, 0.0)
    if group_cost and not told:
        penalty += group_cost
        told.append(group)
    return DescriptionWords(
        tuple(words), tuple(places), frozenset(states), min(penalty, 2.5), tuple(told), " ".join(head)
    )
