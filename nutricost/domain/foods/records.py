"""Rows of a food composition table, as every source hands them to the domain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

Standing = Literal["measured", "calculated", "imputed", "assumed zero", "declared", "estimated"]
"""How a table came by a value; SR28's derivation and source codes are mapped onto these words."""


@dataclass(frozen=True, slots=True)
class Nutrient:
    """A nutrient that the engine knows: its key, unit per 100 g, and number in USDA's tables."""

    key: str
    name: str
    unit: Literal["kcal", "g", "mg", "ug"]
    number: str


NUTRIENTS: Mapping[str, Nutrient] = {
    n.key: n
    for n in (
        Nutrient("energy", "energy", "kcal", "208"),
        Nutrient("protein", "protein", "g", "203"),
        Nutrient("fat", "total fat", "g", "204"),
        Nutrient("saturated_fat", "saturated fat", "g", "606"),
        Nutrient("carbohydrate", "carbohydrate, by difference", "g", "205"),
        Nutrient("fiber", "dietary fiber", "g", "291"),
        Nutrient("sugar", "sugars, total", "g", "269"),
        Nutrient("sodium", "sodium", "mg", "307"),
        Nutrient("water", "water", "g", "255"),
        Nutrient("ash", "ash", "g", "207"),
        Nutrient("alcohol", "alcohol", "g", "221"),
        Nutrient("cholesterol", "cholesterol", "mg", "601"),
        Nutrient("potassium", "potassium", "mg", "306"),
        Nutrient("calcium", "calcium", "mg", "301"),
        Nutrient("iron", "iron", "mg", "303"),
        Nutrient("magnesium", "magnesium", "mg", "304"),
        Nutrient("phosphorus", "phosphorus", "mg", "305"),
        Nutrient("zinc", "zinc", "mg", "309"),
        Nutrient("copper", "copper", "mg", "312"),
        Nutrient("manganese", "manganese", "mg", "315"),
        Nutrient("selenium", "selenium", "ug", "317"),
        Nutrient("vitamin_a", "vitamin A, RAE", "ug", "320"),
        Nutrient("vitamin_c", "vitamin C", "mg", "401"),
        Nutrient("thiamin", "thiamin", "mg", "404"),
        Nutrient("riboflavin", "riboflavin", "mg", "405"),
        Nutrient("niacin", "niacin", "mg", "406"),
        Nutrient("pantothenic_acid", "pantothenic acid", "mg", "410"),
        Nutrient("vitamin_b6", "vitamin B-6", "mg", "415"),
        Nutrient("folate", "folate, total", "ug", "417"),
        Nutrient("vitamin_b12", "vitamin B-12", "ug", "418"),
        Nutrient("choline", "choline", "mg", "421"),
        Nutrient("vitamin_d", "vitamin D (D2 + D3)", "ug", "328"),
        Nutrient("vitamin_e", "vitamin E (alpha-tocopherol)", "mg", "323"),
        Nutrient("vitamin_k", "vitamin K (phylloquinone)", "ug", "430"),
        Nutrient("trans_fat", "trans fat", "g", "605"),
    )
}
"""Nutrients by key. Numbers are those of USDA's nutrient definition file (SR28 NUTR_DEF)."""


@dataclass(frozen=True, slots=True)
class NutrientValue:
    """One value of a food, per 100 g edible portion, with how the table came by it.

    `degrees_of_freedom` of the standard error, None where not published. Where samples come from few
    places they are far fewer than `data_points` - 1.
    """

    amount_per_100g: Decimal
    standing: Standing = "measured"
    standard_error: Decimal | None = None
    data_points: int | None = None
    degrees_of_freedom: int | None = None


@dataclass(frozen=True, slots=True)
class HouseholdWeight:
    """What `amount` of a household measure weighs, such as 1 'cup, chopped' = 140 g."""

    amount: Decimal
    measure: str
    grams: Decimal


@dataclass(frozen=True, slots=True)
class AtwaterFactors:
    """Energy factors of one food [kcal/g] and its nitrogen factor [g protein / g nitrogen]."""

    protein: Decimal | None = None
    fat: Decimal | None = None
    carbohydrate: Decimal | None = None
    nitrogen: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Food:
    """One row of a composition table: values per 100 g edible portion, and where they come from.

    `key` is how documents pin it: "ndb:11178" where it has an NDB number, else "fdc:173410", else
    "survey:DESCRIPTION" or "foundation:DESCRIPTION" for rows without either.
    `refuse_fraction` is the share of the weight as purchased that is not eaten [0..1].
    """

    key: str
    source: str
    description: str
    group: str = ""
    ndb_number: str | None = None
    fdc_id: int | None = None
    nutrients: Mapping[str, NutrientValue] = field(default_factory=dict)
    household_weights: tuple[HouseholdWeight, ...] = ()
    refuse_fraction: Decimal = Decimal(0)
    refuse_description: str = ""
    factors: AtwaterFactors = AtwaterFactors()
    release: str = ""

    def per_100g(self, key: str) -> Decimal | None:
        """Amount of a nutrient per 100 g [unit of NUTRIENTS[key]], or None where the table has none."""
        value = self.nutrients.get(key)
        return None if value is None else value.amount_per_100g
