"""Units of ingredient lines: what they are called, what kind they are, what they hold or weigh."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Kind = Literal["mass", "volume", "count", "container", "length"]

GRAMS = {
    "g": Decimal(1),
    "kg": Decimal(1000),
    "mg": Decimal("0.001"),
    "oz": Decimal("28.349523125"),
    "lb": Decimal("453.59237"),
}
"""Grams of a unit of weight. Avoirdupois pound and ounce: NIST Handbook 44, Appendix C."""

MILLILITERS = {
    "ml": Decimal(1),
    "cl": Decimal(10),
    "dl": Decimal(100),
    "l": Decimal(1000),
    "tsp": Decimal("4.92892159375"),
    "dessertspoon": Decimal(10),
    "tbsp": Decimal("14.78676478125"),
    "fl oz": Decimal("29.5735295625"),
    "cup": Decimal("236.5882365"),
    "pint": Decimal("473.176473"),
    "quart": Decimal("946.352946"),
    "gallon": Decimal("3785.411784"),
    "pinch": Decimal("0.308057599609375"),
    "dash": Decimal("0.61611519921875"),
    "drop": Decimal("0.05"),
    "handful": Decimal("177.441177375"),
}
"""Millilitres of a unit of volume. US customary: NIST Handbook 44, Appendix C. A dash as 1/8 and a pinch as
1/16 teaspoon, a handful as three quarters of a cup: common practice, no source."""

IMPERIAL_MILLILITERS = {
    "pint": Decimal("568.26125"),
    "quart": Decimal("1136.5225"),
    "gallon": Decimal("4546.09"),
    "fl oz": Decimal("28.4130625"),
}
"""The same names where the line says UK or imperial. UK Units of Measurement Regulations 1995."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit by its canonical word and its kind."""

    name: str
    kind: Kind


_ALIASES: dict[str, tuple[Kind, str]] = {
    "g": ("mass", "g gm gms gr gram grams gramme grammes"),
    "kg": ("mass", "kg kgs kilo kilos kilogram kilograms"),
    "mg": ("mass", "mg"),
    "oz": ("mass", "oz ozs ounce ounces"),
    "lb": ("mass", "lb lbs pound pounds #"),
    "ml": ("volume", "ml mls milliliter milliliters millilitre millilitres cc"),
    "cl": ("volume", "cl"),
    "dl": ("volume", "dl"),
    "l": ("volume", "l liter liters litre litres ltr"),
    "tsp": ("volume", "tsp tsps teaspoon teaspoons teaspoonful teaspoonfuls tspn"),
    "tbsp": ("volume", "tbsp tbsps tbs tbl tbls tblsp tablespoon tablespoons tablespoonful tablespoonfuls"),
    "dessertspoon": ("volume", "dessertspoon dessertspoons dsp"),
    "cup": ("volume", "cup cups cupful cupfuls c"),
    "pint": ("volume", "pint pints pt pts"),
    "quart": ("volume", "quart quarts qt qts"),
    "gallon": ("volume", "gallon gallons gal gals"),
    "pinch": ("volume", "pinch pinches"),
    "dash": ("volume", "dash dashes splash splashes glug shake shakes"),
    "drop": ("volume", "drop drops"),
    "handful": ("volume", "handful handfuls"),
    "inch": ("length", "inch inches in"),
    "cm": ("length", "cm"),
    "clove": ("count", "clove cloves"),
    "head": ("count", "head heads"),
    "bunch": ("count", "bunch bunches"),
    "bulb": ("count", "bulb bulbs"),
    "ear": ("count", "ear ears cob cobs"),
    "stalk": ("count", "stalk stalks"),
    "stick": ("count", "stick sticks"),
    "rib": ("count", "rib ribs"),
    "sprig": ("count", "sprig sprigs"),
    "leaf": ("count", "leaf leaves"),
    "slice": ("count", "slice slices"),
    "rasher": ("count", "rasher rashers"),
    "strip": ("count", "strip strips"),
    "piece": ("count", "piece pieces pc pcs chunk chunks"),
    "fillet": ("count", "fillet fillets filet filets"),
    "cube": ("count", "cube cubes"),
    "knob": ("count", "knob knobs"),
    "wedge": ("count", "wedge wedges"),
    "spear": ("count", "spear spears"),
    "floret": ("count", "floret florets"),
    "square": ("count", "square squares"),
    "loaf": ("count", "loaf loaves"),
    "block": ("count", "block blocks"),
    "ball": ("count", "ball balls"),
    "rack": ("count", "rack racks"),
    "sheet": ("count", "sheet sheets"),
    "link": ("count", "link links"),
    "patty": ("count", "patty patties"),
    "scoop": ("count", "scoop scoops"),
    "serving": ("count", "serving servings"),
    "crown": ("count", "crown crowns"),
    "half": ("count", "halves"),
    "can": ("container", "can cans tin tins cn"),
    "jar": ("container", "jar jars"),
    "package": ("container", "package packages pkg pkgs pkt pkts packet packets pack packs"),
    "bag": ("container", "bag bags"),
    "box": ("container", "box boxes"),
    "carton": ("container", "carton cartons ctn ctns"),
    "bottle": ("container", "bottle bottles"),
    "container": ("container", "container containers"),
    "envelope": ("container", "envelope envelopes sachet sachets"),
    "tub": ("container", "tub tubs"),
    "tube": ("container", "tube tubes"),
    "pouch": ("container", "pouch pouches"),
    "punnet": ("container", "punnet punnets"),
    "tray": ("container", "tray trays"),
    "sleeve": ("container", "sleeve sleeves"),
}

UNITS = {alias: Unit(name, kind) for name, (kind, aliases) in _ALIASES.items() for alias in aliases.split()}
"""Every written form of a unit, in lower case."""

SIZES = {
    "large": "large", "lg": "large", "big": "large", "jumbo": "extra large",
    "medium": "medium", "med": "medium", "md": "medium", "small": "small", "sm": "small", "little": "small",
    "mini": "small", "baby": "baby", "huge": "extra large", "thick": "thick", "thin": "thin",
}  # fmt: skip
"""Size words as they stand before a count, and what the tables call them."""

FILLED = frozenset(
    "heaping heaped rounded level scant generous packed lightly firmly good large small big full "
    "thumb sized size uk us imperial".split()
)
"""Words before a measure that say how well it is filled or whose it is; they stand outside the name."""


def unit_of(raw: str) -> Unit | None:
    """The unit a written word stands for; 'T' is a tablespoon and 't' a teaspoon."""
    if raw in ("T", "Tb", "Tbs"):
        return UNITS["tbsp"]
    if raw == "t":
        return UNITS["tsp"]
    return UNITS.get(raw.lower())
