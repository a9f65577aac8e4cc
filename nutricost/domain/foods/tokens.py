"""Words of ingredient lines and of table descriptions, cut and normalised the same way."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

LONGEST_LINE = 2000
"""Characters of a line that are read; the rest can't change what the line means."""

VULGAR = {
    "½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5),
    "⅘": (4, 5), "⅙": (1, 6), "⅚": (5, 6), "⅐": (1, 7), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
    "⅑": (1, 9), "⅒": (1, 10),
}  # fmt: skip

_SCAN = re.compile(r"[0-9]+(?:[.,][0-9]+)?|\.[0-9]+|[^\W\d_]+(?:['’][^\W\d_]+)?|\S")
_AND = re.compile(
    r"(?<=[^\W\d_])(?:\s*['’`´]n(?:['’`´]\s*|\s+)|\s*-n-\s*|\s+n['’`´]?\s+|\s*[&+]\s*)(?=[^\W\d_])",
    re.IGNORECASE,
)
"""Short forms of 'and' between two words: "mac 'n' cheese", 'mac-n-cheese', 'salt & pepper'."""
_DASHES = {"–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "×": "x", "⁄": "/", "*": "x"}


@dataclass(frozen=True, slots=True)
class Token:
    """One number, word or mark; `space` tells whether white space stood before it."""

    kind: Literal["number", "word", "mark"]
    text: str
    raw: str
    space: bool = False
    value: Decimal | None = None
    fraction: bool = False


def unaccented(text: str) -> str:
    """The text in lower case without accents ('Gruyère' -> 'gruyere')."""
    decomposed = unicodedata.normalize("NFKD", text.lower())
    return "".join(c for c in decomposed if not unicodedata.combining(c))


def _number(text: str) -> Decimal:
    """A number as written; '1,000' is a thousand and '1,5' one and a half."""
    if "," in text:
        whole, part = text.split(",", 1)
        return Decimal(whole + part) if len(part) == 3 and whole != "0" else Decimal(f"{whole}.{part}")
    return Decimal(text)


def scan(text: str) -> list[Token]:
    """Numbers, words and marks of a line, left to right."""
    tokens: list[Token] = []
    end = 0
    for found in _SCAN.finditer(_AND.sub(" and ", text[:LONGEST_LINE])):
        raw = found.group()
        space = found.start() > end
        end = found.end()
        first = raw[0]
        if first.isascii() and (first.isdigit() or (first == "." and len(raw) > 1)):
            tokens.append(Token("number", raw, raw, space, _number(raw)))
        elif raw in VULGAR:
            above, below = VULGAR[raw]
            tokens.append(Token("number", raw, raw, space, Decimal(above) / below, fraction=True))
        elif first.isalpha():
            tokens.append(Token("word", unaccented(raw).replace("’", "'"), raw, space))
        else:
            mark = _DASHES.get(raw, raw)
            tokens.append(Token("word" if mark == "x" else "mark", mark, raw, space))
    return tokens


_UNCHANGED = frozenset(
    "molasses couscous hummus asparagus citrus octopus bass swiss grass brussels watercress "
    "cress lemongrass gas hibiscus anis schnapps plus yes status cactus lotus lens chassis this "
    "us as jus los les".split()
)
_IRREGULAR = {
    "leaves": "leaf", "halves": "half", "loaves": "loaf", "calves": "calf", "knives": "knife",
    "potatoes": "potato", "tomatoes": "tomato", "mangoes": "mango", "mangos": "mango",
    "avocadoes": "avocado",
    "cookies": "cookie", "brownies": "brownie", "smoothies": "smoothie", "pies": "pie", "ties": "tie",
    "anchovies": "anchovy", "patties": "patty", "geese": "goose", "feet": "foot", "radishes": "radish",
    "squashes": "squash", "dishes": "dish", "fishes": "fish", "peaches": "peach", "sandwiches": "sandwich",
    "veggies": "veggie", "calories": "calorie", "zucchinis": "zucchini", "chilies": "chili",
    "chillies": "chili",
    "chiles": "chili", "chile": "chili", "chilli": "chili", "chilis": "chili", "chillis": "chili",
    "chickpeas": "chickpea", "cheeses": "cheese", "lentils": "lentil", "roes": "roe",
    "octopuses": "octopus",
    "slices": "slice", "juices": "juice", "spices": "spice", "sauces": "sauce", "ounces": "ounce",
    "pieces": "piece",
    "molluscs": "mollusk", "mollusc": "mollusk", "mussles": "mussel", "doughnuts": "doughnut",
    "donuts": "doughnut",
    "donut": "doughnut", "catsup": "ketchup", "filets": "fillet", "filet": "fillet", "yoghurt": "yogurt",
    "yoghurts": "yogurt", "barbeque": "barbecue", "bbq": "barbecue", "omelette": "omelet",
    "omelettes": "omelet",
    "flavour": "flavor", "flavoured": "flavored", "flavours": "flavor", "colour": "color", "fibre": "fiber",
    "litre": "liter", "grey": "gray", "doughs": "dough",
    "bnls": "boneless", "sknls": "skinless", "w": "with",
}  # fmt: skip


def stem(word: str) -> str:
    """The word in the singular and in one spelling ('berries' -> 'berry', 'yoghurt' -> 'yogurt')."""
    known = _IRREGULAR.get(word)
    if known is not None:
        return known
    if word.endswith("'s"):
        word = word[:-2]
    if len(word) < 4 or not word.endswith("s") or word in _UNCHANGED or word.endswith(("ss", "us")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "xes", "ches", "shes", "sses", "zzes")):
        return word[:-2]
    return word[:-1]


MERGED = {
    ("hard", "boiled"): "hardboiled", ("hard", "cooked"): "hardboiled", ("soft", "boiled"): "softboiled",
    ("stir", "fried"): "stirfried", ("pan", "fried"): "panfried", ("pan", "seared"): "panfried",
    ("deep", "fried"): "deepfried", ("par", "fried"): "parfried", ("air", "fried"): "fried",
    ("pan", "broiled"): "panbroiled", ("pan", "browned"): "panbrowned", ("dry", "heat"): "dryheat",
    ("moist", "heat"): "moistheat", ("bone", "in"): "bonein", ("skin", "on"): "skinon",
    ("sun", "dried"): "sundried", ("freeze", "dried"): "freezedried", ("air", "dried"): "dried",
    ("low", "fat"): "lowfat", ("non", "fat"): "nonfat", ("fat", "free"): "nonfat",
    ("reduced", "fat"): "reducedfat",
    ("half", "fat"): "reducedfat", ("low", "sodium"): "lowsodium", ("reduced", "sodium"): "lowsodium",
    ("less", "sodium"): "lowsodium", ("lower", "sodium"): "lowsodium", ("low", "salt"): "lowsodium",
    ("sodium", "reduced"): "lowsodium", ("air", "popped"): "airpopped", ("home", "made"): "homemade",
    ("water", "chestnut"): "waterchestnut", ("sweet", "corn"): "sweetcorn", ("brazil", "nut"): "brazilnut",
    ("black", "eyed"): "blackeyed", ("blackeye",): "blackeyed", ("cape", "gooseberry"): "groundcherry",
    ("chick", "pea"): "chickpea", ("whole", "wheat"): "wholewheat", ("whole", "grain"): "wholegrain",
    ("multi", "grain"): "multigrain", ("all", "purpose"): "allpurpose", ("self", "rising"): "selfrising",
    ("self", "raising"): "selfrising", ("fish", "stick"): "fishstick", ("corn", "starch"): "cornstarch",
    ("corn", "meal"): "cornmeal", ("corn", "bread"): "cornbread", ("egg", "plant"): "eggplant",
    ("apple", "sauce"): "applesauce", ("hot", "dog"): "hotdog", ("butter", "milk"): "buttermilk",
    ("star", "fruit"): "starfruit", ("passion", "fruit"): "passionfruit", ("jack", "fruit"): "jackfruit",
    ("kiwi", "fruit"): "kiwifruit", ("grape", "fruit"): "grapefruit", ("ginger", "bread"): "gingerbread",
    ("graham", "cracker"): "grahamcracker", ("soy", "milk"): "soymilk", ("soya", "milk"): "soymilk",
    ("spare", "rib"): "sparerib", ("back", "rib"): "backrib", ("flax", "seed"): "flaxseed",
    ("rib", "eye"): "ribeye", ("flat", "bread"): "flatbread", ("butter", "nut"): "butternut",
    ("bread", "crumb"): "breadcrumb", ("short", "bread"): "shortbread", ("mahi", "mahi"): "mahimahi",
    ("white", "fish"): "whitefish", ("monk", "fish"): "monkfish", ("cat", "fish"): "catfish",
    ("cheese", "cake"): "cheesecake", ("coffee", "cake"): "coffeecake", ("pop", "corn"): "popcorn",
    ("oat", "meal"): "oatmeal", ("pea", "nut"): "peanut", ("t", "bone"): "tbone", ("tri", "tip"): "tritip",
    ("quick", "cook"): "quick", ("quick", "cooking"): "quick", ("ready", "cooked"): "cooked",
    ("pre", "cooked"): "precooked", ("un", "cooked"): "uncooked", ("un", "drained"): "undrained",
    ("garlic", "bread"): "garlicbread", ("sour", "dough"): "sourdough", ("stock", "cube"): "stockcube",
    ("lemon", "grass"): "lemongrass", ("jerusalem", "artichoke"): "jerusalemartichoke",
    ("cauli",): "cauliflower", ("broad", "bean"): "broadbean", ("mung", "bean"): "mungbean",
    ("half", "and", "half"): "halfandhalf", ("half", "half"): "halfandhalf",
    ("mac", "and", "cheese"): "maccheese",
    ("mac", "cheese"): "maccheese", ("macaroni", "and", "cheese"): "maccheese",
    ("macaroni", "cheese"): "maccheese",
    ("bok", "choy"): "pakchoi", ("pak", "choi"): "pakchoi", ("pak", "choy"): "pakchoi",
    ("bok", "choi"): "pakchoi",
    ("pe", "tsai"): "petsai", ("sugar", "snap"): "sugarsnap", ("brussel", "sprout"): "brusselsprout",
    ("brussels", "sprout"): "brusselsprout", ("gefilte", "fish"): "gefiltefish",
    ("angel", "food"): "angelfood", ("egg", "nog"): "eggnog", ("jelly", "bean"): "jellybean",
    ("hazel", "nut"): "hazelnut", ("chest", "nut"): "chestnut", ("prickly", "pear"): "pricklypear",
    ("pigeon", "pea"): "pigeonpea", ("sweet", "potato"): "sweetpotato", ("hash", "brown"): "hashbrown",
    ("with", "o"): "without", ("with", "out"): "without",
    ("pine", "apple"): "pineapple", ("meat", "loaf"): "meatloaf", ("won", "ton"): "wonton",
}  # fmt: skip
"""Stemmed words that make one word together, in lines and in descriptions alike."""

_MERGE_STARTS = frozenset(words[0] for words in MERGED)


def merge(stems: Sequence[str]) -> list[str]:
    """The stems with words that belong together joined ('hard', 'boiled' -> 'hardboiled')."""
    merged: list[str] = []
    at = 0
    while at < len(stems):
        word = stems[at]
        if word in _MERGE_STARTS:
            for length in (3, 2, 1):
                joined = MERGED.get(tuple(stems[at : at + length]))
                if joined is not None:
                    merged.append(joined)
                    at += length
                    break
            else:
                merged.append(word)
                at += 1
        else:
            merged.append(word)
            at += 1
    return merged


def words_of(text: str) -> list[str]:
    """Stemmed and merged words of a text, marks left out; numbers stay as written."""
    return merge([stem(t.text) for t in scan(text) if t.kind != "mark"])


def stems(words: Iterable[str]) -> list[str]:
    """Stemmed and merged words of words."""
    return merge([stem(word) for word in words])
