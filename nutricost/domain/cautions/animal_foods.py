"""Which ingredients are meat, poultry, fish or egg, and whether they are raw, judged by words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from nutricost.domain.cautions.facts import Facts, FoodFact
from nutricost.domain.cautions.reading import masked, names_any, phrases, words

AnimalKind = Literal["poultry", "meat", "fish", "egg"]
State = Literal["raw", "cooked", "unstated"]

_NAMES: dict[AnimalKind, tuple[str, ...]] = {
    "poultry": phrases("""
    chicken; turkey; duck; goose; quail; pheasant; hen; poultry; guinea fowl; squab; ostrich; emu
    """),
    "meat": phrases("""
    beef; pork; lamb; mutton; veal; venison; bison; goat; rabbit; elk; deer; moose; boar; caribou; ham;
    bacon; sausage; chorizo; bratwurst; salami; pepperoni; prosciutto; pancetta; frankfurter; hot dog;
    hamburger; steak; ground chuck; sirloin; brisket; oxtail; tripe; liver; kidney; meatball; meat;
    jerky
    """),
    "fish": phrases("""
    fish; finfish; salmon; tuna; cod; haddock; halibut; tilapia; trout; anchovy; sardine; herring;
    mackerel; sea bass; perch; pollock; catfish; snapper; flounder; swordfish; eel; carp; whitefish;
    roe; mahimahi; monkfish; grouper; rockfish; walleye; shrimp; prawn; crab; lobster; crayfish;
    crawfish; clam; mussel; oyster; scallop; squid; calamari; octopus; shellfish; seafood; mollusk;
    crustacean
    """),
    "egg": ("egg",),
}

# USDA SR28 FD_GROUP: groups that hold one kind only.
_GROUPS: dict[str, AnimalKind] = {
    words("Poultry Products"): "poultry",
    words("Beef Products"): "meat",
    words("Pork Products"): "meat",
    words("Lamb, Veal, and Game Products"): "meat",
    words("Sausages and Luncheon Meats"): "meat",
    words("Finfish and Shellfish Products"): "fish",
}
_PLANT_GROUPS = frozenset(
    words(group)
    for group in (
        "Vegetables and Vegetable Products", "Fruits and Fruit Juices", "Legumes and Legume Products",
        "Spices and Herbs", "Cereal Grains and Pasta", "Nut and Seed Products", "Baked Products", "Sweets",
        "Beverages", "Breakfast Cereals", "Fats and Oils",
    )
)  # fmt: skip

_PARTS = phrases("""
    broth; stock; bouillon; consomme; gravy; gelatin; fat; oil; lard; tallow; drippings; base; powder;
    flavor; seasoning; noodle; sauce
    """)
_NAME_AND_PART = tuple(f"{name} {part}" for names in _NAMES.values() for name in names for part in _PARTS)
_NOT_ANIMAL = phrases("""
    noodle, egg; egg pasta; egg plant; egg roll wrapper; egg free; egg replacer; kidney bean;
    beans, kidney; crab apple; chicken of the woods; hen of the woods; oyster mushroom;
    mushrooms, oyster; oyster cracker; goat cheese; cheese, goat; goat milk; milk, goat; coconut meat;
    meat tenderizer; meat substitute; meat free; meat extender; beefsteak tomato; hamburger bun;
    hot dog bun; lamb lettuce; crab boil; vegetarian sausage; vegan sausage
    """)
_PLANT_BASED = phrases("meatless; vegetarian; vegan; plant based")
_COOKED = phrases("""
    cooked; precooked; canned; can; tin; tinned; jarred; roasted; braised; boiled; fried; broiled;
    grilled; baked; poached; scrambled; stewed; rotisserie; steamed; simmered; barbecued; seared;
    browned; microwaved; heated; luncheon; lunchmeat; deli; leftover; omelet; ready to eat; dried;
    dehydrated; jerky; pasteurized
    """)
_DISHES = phrases("chili; soup; chowder; gravy; casserole")
_RAW = phrases("raw; uncooked; unprepared; unheated")


@dataclass(frozen=True, slots=True)
class AnimalFood:
    """An ingredient of animal flesh or egg: its kind, its state by words, and its name as written."""

    kind: AnimalKind
    state: State
    name: str


@lru_cache(maxsize=256)
def animal_foods(foods: tuple[FoodFact, ...]) -> tuple[AnimalFood, ...]:
    """The meat, poultry, fish and egg among the foods. A reading of words, not a guarantee."""
    kinds = ((food, _kind(food)) for food in foods)
    return tuple(AnimalFood(kind, _state(food), food.name) for food, kind in kinds if kind is not None)


def raw_foods(facts: Facts) -> tuple[AnimalFood, ...]:
    """The animal foods that were dried raw, or that nobody said were cooked.

    Where the whole batch was cooked: none. Otherwise a food counts unless its own words say that it was
    cooked, canned or dried: the careful side.
    """
    if facts.cooked:
        return ()
    return tuple(food for food in animal_foods(facts.foods) if food.state != "cooked")


def _kind(food: FoodFact) -> AnimalKind | None:
    text = masked(words(f"{food.description} | {food.line}"), _NOT_ANIMAL)
    if names_any(text, _PARTS):
        text = masked(text, _NAME_AND_PART)
    group = words(food.group)
    if group in _PLANT_GROUPS or names_any(text, _PLANT_BASED):
        return None
    kind = _GROUPS.get(group) or _first_named(text)
    # A mixture is cooked to the hottest that a part of it asks for: turkey sausage, pork and chicken.
    return "poultry" if kind in ("meat", "fish") and names_any(text, _NAMES["poultry"]) else kind


def _first_named(text: str) -> AnimalKind | None:
    places = [(text.find(f" {name} "), kind) for kind, names in _NAMES.items() for name in names]
    found = min((hit for hit in places if hit[0] >= 0), default=None)
    return None if found is None else found[1]


def _state(food: FoodFact) -> State:
    # The line speaks of what was used; the table row may be only the nearest one.
    for text in (f"{' '.join(food.states)} | {food.line}", food.description):
        if names_any(words(text), _RAW):
            return "raw"
        if names_any(words(text), _COOKED):
            return "cooked"
    # Of the name alone: '2 lb beef for chili' is raw beef.
    return "cooked" if names_any(words(food.description), _DISHES) else "unstated"
