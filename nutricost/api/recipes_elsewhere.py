"""Recipes from elsewhere (schema.org JSON-LD) to batch documents, and batches as such recipes."""

from __future__ import annotations

from decimal import Decimal

from nutricost.api.inputs import input_of
from nutricost.sources.documents import read_batch
from nutricost.sources.documents.loading import load_bytes, source_name
from nutricost.sources.json_ld import batch_text, read_recipes, recipe_json


def batch_of_recipe(path: str, servings: Decimal | None = None, number: int = 1) -> tuple[str, list[str]]:
    """A batch document (TOML) made of a recipe in a JSON-LD file or saved web page, and notes on it.

    `number` picks one where the file has several. Raises DocumentError where it has none, InputError where
    the number of servings is neither told nor given.
    """
    source = input_of(path)
    content = load_bytes(source, "a JSON-LD file or a saved web page")
    recipes = read_recipes(content, source_name(source))
    notes = []
    if len(recipes) > 1:
        titles = ", ".join(f"{place} {recipe.title!r}" for place, recipe in enumerate(recipes, 1))
        notes.append(f"{len(recipes)} recipes in it: {titles}; taken: {min(number, len(recipes))}")
    return batch_text(recipes[min(number, len(recipes)) - 1], servings), notes


def recipe_of_batch(path: str) -> str:
    """The batch as a schema.org Recipe, JSON-LD text."""
    return recipe_json(read_batch(input_of(path, "batch")))
