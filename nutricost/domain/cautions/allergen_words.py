"""Words that tell of each major allergen, and phrases that look like them but do not.

Kitchen knowledge (common practice, no source); the list of nine is the law's, see `allergens`.
"""

from __future__ import annotations

from dataclasses import dataclass

from nutricost.domain.cautions.reading import combined, phrases


@dataclass(frozen=True, slots=True)
class Sign:
    """An allergen with the words that tell of it and the phrases that do not."""

    code: str
    name: str
    tells: tuple[str, ...]
    unless: tuple[str, ...]


_PLANT_MILKS = """
    soy; soya; soybean; almond; coconut; rice; oat; cashew; hemp; pea; macadamia; hazelnut; flax; nut;
    vegan; plant based; non dairy; nondairy; dairy free; milk free
    """
_PLANT_BUTTERS = """
    peanut; nut; almond; cashew; hazelnut; macadamia; pecan; pistachio; walnut; soy; coconut; sesame;
    sesame seed; sunflower; sunflower seed; pumpkin seed; seed; cocoa; cacao; shea; apple; pumpkin; fruit;
    cookie; vegan; plant based; dairy free
    """
_NO_DAIRY = "vegan; plant based; non dairy; nondairy; dairy free; milk free; soy; soya"

MILK = Sign(
    "milk",
    "milk",
    phrases("""
    milk; buttermilk; butter; cheese; cheeseburger; cheesecake; cream; creamer; crema; yogurt; yoghurt;
    kefir; whey; casein; caseinate; ghee; custard; half and half; curd; lactose; lactalbumin;
    lactoglobulin; dairy; paneer; queso; alfredo; bechamel; cheddar; mozzarella; parmesan; romano;
    asiago; ricotta; feta; brie; camembert; provolone; gouda; gruyere; mascarpone; monterey jack;
    colby; pesto; butterscotch; fudge
    """),
    (
        *combined(_PLANT_MILKS, "milk; cream; yogurt; yoghurt; creamer"),
        *combined(_PLANT_BUTTERS, "butter"),
        *combined(_NO_DAIRY, "cheese; ice cream; sour cream; cream cheese"),
        *phrases("""
    cream of tartar; cream of wheat; cream of rice; cream style; creamed corn; cream cracker;
    butter bean; butter lettuce; bean curd; soybean curd; milk thistle; head cheese; milk free;
    dairy free; non dairy; lactose free; romano bean; without milk; custard apple
    """),
    ),
)

EGGS = Sign(
    "eggs",
    "eggs",
    phrases("""
    egg; albumen; meringue; mayonnaise; mayo; eggnog; aioli; quiche; omelet; omelette; frittata;
    ovalbumin; ovomucoid; hollandaise
    """),
    phrases("egg plant; egg free; egg replacer; vegan mayonnaise; vegan mayo; vegan egg"),
)

FISH = Sign(
    "fish",
    "fish",
    phrases("""
    fish; finfish; salmon; tuna; cod; haddock; halibut; tilapia; trout; anchovy; sardine; herring;
    mackerel; bass; perch; pollock; catfish; snapper; flounder; sole; mahimahi; mahi; swordfish; eel;
    carp; pike; whitefish; caviar; roe; surimi; worcestershire; monkfish; grouper; rockfish; walleye;
    sturgeon; whiting; turbot; lox; kipper; smelt; bonito; dashi; butterfish; milkfish; sablefish;
    orange roughy; barramundi; bluefish; shad; imitation crab
    """),
    phrases("fish free; vegan fish; vegan tuna; vegan worcestershire"),
)

CRUSTACEANS = Sign(
    "crustacean_shellfish",
    "crustacean shellfish",
    phrases("""
    shrimp; prawn; crab; lobster; crayfish; crawfish; krill; langoustine; scampi; shellfish; crustacean
    """),
    phrases("crab apple; shellfish free; vegan shrimp; finfish and shellfish"),
)

TREE_NUTS = Sign(
    "tree_nuts",
    "tree nuts",
    phrases("""
    almond; walnut; pecan; cashew; pistachio; hazelnut; filbert; macadamia; brazilnut; pinenut;
    pignolia; pignoli; heartnut; nut; praline; marzipan; frangipane; gianduja; nougat; pesto
    """),
    phrases("""
    nuts, coconut; nuts, chestnuts; nuts, ginkgo nuts; nuts, acorns; nuts, acorn; ginkgo nut; nut free;
    tiger nut; soy nut; corn nut; nut and seed; kola nut; betel nut; pea nut
    """),
)

PEANUTS = Sign("peanuts", "peanuts", phrases("peanut; groundnut; goober; pea nut"), phrases("peanut free"))

_OTHER_FLOUR = """
    rice; corn; almond; coconut; oat; soy; soya; buckwheat; potato; chickpea; garbanzo; gram; besan;
    tapioca; cassava; rye; barley; sorghum; millet; quinoa; teff; amaranth; peanut; cottonseed; sesame;
    sunflower seed; lupin; arrowroot; chestnut; hazelnut; banana; plantain; carob; pea; lentil; bean;
    mesquite; nut; acorn; fish
    """
_OTHER_STARCH = """
    rice; corn; bean; mung bean; lentil; chickpea; glass; cellophane; shirataki; kelp; zucchini;
    sweet potato; konjac; quinoa; buckwheat
    """

WHEAT = Sign(
    "wheat",
    "wheat",
    phrases("""
    wheat; flour; bread; breadcrumb; breaded; pasta; macaroni; spaghetti; noodle; lasagna; lasagne;
    ravioli; tortellini; gnocchi; couscous; semolina; durum; spelt; farro; bulgur; seitan; cracker;
    tortilla; panko; kamut; einkorn; emmer; triticale; farina; graham; matzo; matzoh; pita; naan;
    bagel; biscuit; bun; croissant; pancake; waffle; cake; cookie; pretzel; pie crust; piecrust; pizza;
    dumpling; soy sauce; shoyu; teriyaki; hoisin; ramen; udon; gluten; stuffing; roux; fettuccine;
    linguine; penne; rotini; orzo; vermicelli; ziti; fusilli; rigatoni; cannelloni; crouton; cornbread;
    muffin; pastry; doughnut; donut; wonton; batter; freekeh; burrito; toast; shortbread; gingerbread;
    flatbread; crispbread
    """),
    (
        *combined(_OTHER_FLOUR, "flour"),
        *combined(_OTHER_STARCH, "noodle; pasta; vermicelli; spaghetti; cracker; tortilla; cake; macaroni"),
        *phrases("""
    noodles, chinese, cellophane; tortillas, corn; tortillas, ready-to-bake or -fry, corn;
    tortilla chip; spaghetti squash; winter, spaghetti; squash, spaghetti; wheat free; gluten free;
    sweet bread; bread and butter pickle; spaghetti sauce; pasta sauce; pizza sauce; pancake syrup;
    cake yeast; bread fruit; leavening agents, yeast, baker's, cake
    """),
    ),
)

SOYBEANS = Sign(
    "soybeans",
    "soybeans",
    phrases("""
    soy; soya; soybean; tofu; edamame; tempeh; miso; natto; bean curd; tamari; shoyu; teriyaki; hoisin;
    okara; yuba; textured vegetable protein; tvp
    """),
    phrases("soy free; soybean free"),
)

SESAME = Sign(
    "sesame",
    "sesame",
    phrases(
        "sesame; tahini; hummus; halva; halvah; benne; gingelly; gomasio; zaatar; za'atar; baba ghanoush"
    ),
    phrases("sesame free"),
)

SIGNS = (MILK, EGGS, FISH, CRUSTACEANS, TREE_NUTS, PEANUTS, WHEAT, SOYBEANS, SESAME)

NO_FISH_IN_FISH_GROUP = phrases("""
    shrimp; prawn; crab; lobster; crayfish; crawfish; crustacean; mollusk; clam; mussel; oyster;
    scallop; squid; octopus; turtle; frog; abalone; snail; conch; whelk; cuttlefish; krill
    """)
