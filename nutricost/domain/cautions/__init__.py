"""What can hurt, in plain words with a source: rules over the foods of a batch and their states."""

from nutricost.domain.cautions.allergens import Allergen, allergens
from nutricost.domain.cautions.facts import Facts, FoodFact
from nutricost.domain.cautions.rules import RAW_TEXT, Caution, cautions

__all__ = ["RAW_TEXT", "Allergen", "Caution", "Facts", "FoodFact", "allergens", "cautions"]
