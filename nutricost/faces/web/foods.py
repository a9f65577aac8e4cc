"""Search of the food tables."""

from __future__ import annotations

from starlette.requests import Request

from nutricost.api.food_views import found_view
from nutricost.api.foods import find_foods
from nutricost.api.kitchen import Kitchen
from nutricost.faces.web.rendering import Page

COLUMNS = {
    "energy": "kcal",
    "protein": "protein, g",
    "fat": "fat, g",
    "carbohydrate": "carbohydrate, g",
    "sodium": "sodium, mg",
}


def search(kitchen: Kitchen, request: Request) -> Page:
    """Foods whose names fit the words, with values per 100 g."""
    text = request.query_params.get("q", "").strip()[:200]
    foods = [found_view(food) for food in find_foods(text, limit=20)] if text else []
    return Page("foods.html", "Foods", {"q": text, "foods": foods}, {"columns": COLUMNS})
