"""Words of ingredient lines that are not the food: preparation, state, praise, and what was taken away.

All words are stems (see tokens.stem). Household vocabulary, from memory.
"""

from __future__ import annotations

PREPARATION = frozenset(
    "diced dice chopped chop sliced minced mince cubed cut peeled grated shredded mashed beaten "
    "melted softened crushed crumbled torn trimmed halved quartered julienned julienne scrubbed "
    "debearded deveined shelled husked hulled stoned pitted cored deseeded seeded destemmed "
    "stemmed washed patted pat thawed defrosted soaked sifted divided split packed whisked "
    "separated cooled chilled squeezed zested juiced spiralized riced blended snipped pulled "
    "flaked slivered shaved pounded flattened butterflied deboned boned cleaned gutted scaled "
    "skinned shucked picked pricked scored crumbed cracked bruised smashed pressed strained "
    "reserved rough roughly coarse coarsely fine finely thin thinly thick thickly lightly "
    "freshly very into lengthwise lengthway crosswise diagonally across against chunk coin ring "
    "bite sized size inch matchstick ribbon florets floret room temperature cold warm hot "
    "optional removed discarded extra plus needed taste serve serving garnish topping tossed "
    "mixed stirred warmed ripped wilted blanched parboiled drizzled brushed dusted greased "
    "lining lined coated rolled rubbed reheated heated quarter half wedge rind tail topped "
    "unpeeled unpitted undiluted undrained chunky cubes strips handful leaf together preferably "
    "approximately about each total well then until just still if you like at or more julienne "
    "cutlets bashed sprinkled heaping big medium large small little tiny jumbo extra-large mini".split()
) - {
    "half",
    "quarter",
    "mixed",
    "rolled",
    "rind",
    "leaf",
    "extra",
    "tail",
    "chunky",
    "hot",
    "cutlets",
    "plus",
}
"""What is done to the food before or after weighing; never the food itself."""

FILLERS = frozenset(
    "the a an of and or to with in for from my your our some any this that it is are be on by "
    "per as i we into no not good quality best favorite favourite organic free range local "
    "natural real pure ripe nice fresh homegrown garden leftover leftovers store bought brand "
    "premium authentic traditional classic regular standard ordinary plain normal simple "
    "everyday strong additional optional raw day old assorted various family value size sized "
    "big large medium small little tiny jumbo extra whole mini thick thin long boxed bottled "
    "jarred bagged packaged prepackaged loose frozen fresh uk us usa imperial american british "
    "english homemade home made up bought cup ounce pound gram inch each about total "
    "approximately approx heavy light".split()
) - {"no", "not", "whole", "light", "heavy", "english", "american", "old", "extra", "long"}
"""Words of praise, grammar and packing that say nothing about the table row."""

STATES = {
    # raw
    "raw": "raw", "uncooked": "raw", "unprepared": "raw", "unheated": "raw", "fresh": "fresh",
    "unbaked": "raw",
    # cooked
    "cooked": "cooked", "heated": "cooked", "reheated": "cooked",
    "leftover": "cooked",
    "boiled": "boiled", "hardboiled": "hardboiled", "softboiled": "hardboiled", "simmered": "boiled",
    "poached": "poached", "steamed": "steamed", "moistheat": "boiled", "blanched": "boiled",
    "baked": "baked", "roasted": "roasted", "roast": "roasted", "dryheat": "roasted",
    "rotisserie": "roasted",
    "braised": "braised", "stewed": "stewed", "grilled": "grilled", "griddled": "grilled",
    "barbecued": "grilled",
    "broiled": "broiled", "panbroiled": "broiled", "panbrowned": "browned", "browned": "browned",
    "fried": "fried", "panfried": "fried", "deepfried": "fried", "stirfried": "fried", "parfried": "fried",
    "sauteed": "fried", "scrambled": "scrambled", "microwaved": "microwaved", "microwave": "microwaved",
    "toasted": "toasted", "smoked": "smoked", "prepared": "prepared", "reconstituted": "prepared",
    "popped": "cooked",
    # kept
    "canned": "canned", "tinned": "canned", "jarred": "canned", "bottled": "bottled", "frozen": "frozen",
    "dried": "dried", "dry": "dried", "dehydrated": "dried", "freezedried": "freezedried",
    "sundried": "sundried",
    "powdered": "powder", "powder": "powder", "pickled": "pickled", "condensed": "condensed",
    "evaporated": "evaporated", "candied": "candied", "breaded": "breaded", "battered": "breaded",
    "drained": "drained", "rinsed": "rinsed", "undrained": "undrained", "liquid": "liquid",
}  # fmt: skip
"""Words that tell the state of a food, in lines and in descriptions alike."""

COOKED = frozenset(
    "cooked boiled hardboiled poached steamed baked roasted braised stewed grilled broiled "
    "browned fried scrambled microwaved toasted prepared".split()
)
"""States that mean the food has been heated or made up."""

CUT_BEFORE = frozenset(
    "for plus such like including eg approximately preferably optional until if using e.g".split()
)
"""Words of the first part of a line after which nothing more about the food is said."""

NOTE_STARTS = frozenset(
    "for to at if plus such preferably optional i or as your about using until from reserve".split()
)
"""First words of a trailing part that is only a remark."""

TAKEN_AWAY = frozenset("removed discarded off out away trimmed less".split())
"""Words after a part that was taken away ('skin removed')."""

PARTS = {
    "skin": "skinless", "bone": "boneless", "seed": "seedless", "fat": "trimmed", "shell": "shelled",
    "peel": "peeled", "stem": "stemmed", "tail": "tailless", "rind": "rindless", "pit": "pitted",
}  # fmt: skip
"""Parts that cooks take away, and the word for a food without them."""

SHARED_HEADS = frozenset(
    "broth stock oil vinegar juice milk flour bean rice noodle pepper cheese wine sausage sauce "
    "onion apple potato bread cream lettuce mushroom breast thigh seed sugar pasta lentil "
    "tomato salt syrup butter squash cabbage grape olive soup gravy berry steak chop roast rib "
    "tortilla yogurt corn chocolate mustard nut pea plum cherry".split()
)
"""Heads that two alternatives share: 'chicken or vegetable broth', 'red or green lentils'."""
