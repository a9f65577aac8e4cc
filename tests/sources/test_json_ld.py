"""Recipes in JSON-LD: the shapes that schema.org allows, pages, and the way back. All are invented."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.errors import DocumentError, InputError, NutricostError
from nutricost.sources.documents import read_batch
from nutricost.sources.json_ld import Recipe, batch_text, read_recipes, recipe_json

LINES = ["2 cups dried lentils", "1 onion, chopped", "½ tsp salt &amp; pepper"]
RECIPE: dict[str, Any] = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Invented lentil stew",
    "recipeYield": "4 servings",
    "recipeIngredient": LINES,
    "recipeInstructions": [
        {"@type": "HowToStep", "text": "Rinse the lentils."},
        {
            "@type": "HowToSection",
            "itemListElement": [{"@type": "HowToStep", "text": "<b>Cook</b> for\n30 minutes."}],
        },
    ],
}


def one(value: Any) -> Recipe:
    (recipe,) = read_recipes(json.dumps(value).encode(), "recipe.json")
    return recipe


def test_a_recipe_becomes_a_batch() -> None:
    recipe = one(RECIPE)
    assert recipe.lines == ("2 cups dried lentils", "1 onion, chopped", "½ tsp salt & pepper")
    assert recipe.steps == ("Rinse the lentils.", "Cook for 30 minutes.")
    text = batch_text(recipe)
    assert tomllib.loads(text) == {
        "title": "Invented lentil stew",
        "servings": 4,
        "ingredients": [{"line": line} for line in recipe.lines],
    }
    assert "# 2. Cook for 30 minutes." in text
    batch = read_batch((text, "made"))
    assert [ingredient.line for ingredient in batch.ingredients] == list(recipe.lines)


def test_and_back() -> None:
    batch = read_batch((batch_text(one(RECIPE)), "made"))
    text = recipe_json(batch, {"calories": "240 calories"})
    again = one(json.loads(text))
    assert again.servings == (Decimal(4), Decimal(4))
    assert (again.title, again.lines) == (one(RECIPE).title, one(RECIPE).lines)
    assert json.loads(text)["nutrition"] == {"@type": "NutritionInformation", "calories": "240 calories"}


@pytest.mark.parametrize(
    "wrapped",
    [
        [RECIPE],
        {"@graph": [{"@type": "WebPage", "name": "x"}, RECIPE]},
        {"@type": "WebPage", "mainEntity": RECIPE},
        {**RECIPE, "@type": ["Article", "Recipe"]},
        {**RECIPE, "@type": "http://schema.org/Recipe"},
        {**RECIPE, "name": {"@value": RECIPE["name"], "@language": "en"}},
        {key: value for key, value in RECIPE.items() if key != "recipeIngredient"}
        | {"ingredients": "\n".join(LINES)},
    ],
    ids=range(7),
)
def test_shapes(wrapped: Any) -> None:
    assert (one(wrapped).title, one(wrapped).lines) == (one(RECIPE).title, one(RECIPE).lines)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (4, (4, 4)),
        ("4", (4, 4)),
        ("Serves 4", (4, 4)),
        ("4 to 6 servings", (4, 6)),
        ("4–6", (4, 6)),
        (["12 muffins", "6 servings"], (6, 6)),
        (["6", "12 muffins"], (6, 6)),
        ("12 muffins", (12, 12)),
        ({"@type": "QuantitativeValue", "value": 8, "unitText": "portions"}, (8, 8)),
        (Decimal("2.5"), (Decimal("2.5"), Decimal("2.5"))),
        ("a crowd", None),
        (0, None),
        (True, None),
        (None, None),
    ],
)
def test_servings(value: Any, expected: tuple[Decimal, Decimal] | None) -> None:
    recipe = one({**RECIPE, "recipeYield": float(value) if isinstance(value, Decimal) else value})
    assert recipe.servings == expected


def test_servings_that_are_not_told_must_be_given() -> None:
    recipe = one({**RECIPE, "recipeYield": None})
    with pytest.raises(InputError, match="how many servings"):
        batch_text(recipe)
    assert tomllib.loads(batch_text(recipe, Decimal(5)))["servings"] == 5
    ranged = read_batch((batch_text(one({**RECIPE, "recipeYield": "4-6"})), "made"))
    assert ranged.servings.low == 4
    assert ranged.servings.high == 6
    assert json.loads(recipe_json(ranged))["recipeYield"] == "4-6 servings"


def page(*scripts: str, head: str = '<meta charset="utf-8">') -> bytes:
    return f"<!doctype html><html><head>{head}{''.join(scripts)}</head><body><p>{{</p></body></html>".encode()


def test_a_saved_page() -> None:
    script = f'<SCRIPT type="application/ld+json; charset=utf-8">{json.dumps(RECIPE)}</SCRIPT>'
    broken = '<script type="application/ld+json">{broken</script>'
    other = '<script>var a = \'{"@type": "Recipe"}\';</script>'
    (recipe,) = read_recipes(page(other, broken, script), "page.html")
    assert recipe.title == "Invented lentil stew"
    for start, end in (("<!--", "-->"), ("//<![CDATA[\n", "\n//]]>"), ("<![CDATA[", "]]>")):
        wrapped = f'<script type="application/ld+json">{start}{json.dumps(RECIPE)}{end}</script>'
        assert read_recipes(page(wrapped), "page.html") == [recipe]


def test_a_page_in_an_old_encoding() -> None:
    recipe = '{"@type": "Recipe", "name": "Gruyère pie", "recipeIngredient": ["1 egg"]}'
    body = f'<meta charset="iso-8859-1"><script type="application/ld+json">{recipe}</script>'
    assert read_recipes(body.encode("latin-1"), "page.html")[0].title == "Gruyère pie"
    with pytest.raises(DocumentError, match="not UTF-8"):
        read_recipes("Gruyère".encode("latin-1"), "page.html")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{}",
        b"[" * 5000,
        b"no recipe",
        page(),
        json.dumps({**RECIPE, "recipeIngredient": []}).encode(),
        b"{broken",
    ],
)
def test_what_has_no_recipe_is_refused_in_one_line(content: bytes) -> None:
    with pytest.raises(DocumentError, match=r"^some file: has no schema.org Recipe.*accepted") as caught:
        read_recipes(content, "some file")
    assert "\n" not in str(caught.value)


_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=8) | st.just("Recipe"),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["@type", "name", "recipeIngredient", "recipeYield", "recipeInstructions", "text", "value"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@settings(max_examples=120)
@given(_values)
def test_any_json_is_read_or_refused(value: Any) -> None:
    try:
        for recipe in read_recipes(
            json.dumps({**RECIPE, **(value if isinstance(value, dict) else {})}).encode(), "f"
        ):
            made = batch_text(recipe, Decimal(2))
            assert tomllib.loads(made)["title"] == recipe.title
    except NutricostError as error:
        assert str(error)


@settings(max_examples=60)
@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    with pytest.raises(DocumentError):
        read_recipes(content, "f")
