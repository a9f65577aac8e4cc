"""Recipes in schema.org's JSON-LD, in a file or a saved web page, to batch documents and back.

Vocabulary: schema.org/Recipe. Only local text is read; nothing is fetched.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from html.parser import HTMLParser
from typing import Any

import tomlkit

from nutricost.domain.documents import Batch
from nutricost.errors import DocumentError, InputError, Problem

LARGEST_BYTES = 32 * 2**20
_DEEPEST = 50
_COUNT = re.compile(r"([0-9]+(?:\.[0-9]+)?)(?:\s*(?:-|–|to|or)\s*([0-9]+(?:\.[0-9]+)?))?")
_CHARSET = re.compile(rb"""<meta[^>]{0,200}charset=["']?([A-Za-z0-9_-]{1,40})""", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Recipe:
    """A recipe from elsewhere, its lines as written there; `servings` is a range, None where not stated."""

    title: str
    lines: tuple[str, ...]
    servings: tuple[Decimal, Decimal] | None = None
    steps: tuple[str, ...] = ()


def read_recipes(content: bytes, name: str) -> list[Recipe]:
    """The recipes in a JSON-LD file or a saved web page.

    `name` stands in messages. Raises DocumentError where there is none.
    """
    if len(content) > LARGEST_BYTES:
        raise _refused(name, "is too large", f"at most {LARGEST_BYTES // 2**20} MiB")
    text = _decoded(content, name)
    if text.lstrip()[:1] in ("{", "["):
        blocks = [text]
    else:
        reader = _Scripts()
        reader.feed(text)
        reader.close()
        blocks = reader.blocks
    recipes: list[Recipe] = []
    faults: list[str] = []
    for block in blocks:
        try:
            value = json.loads(_bare(block), parse_float=Decimal, strict=False)
        except (ValueError, RecursionError) as error:
            faults.append(str(error)[:80])
            continue
        recipes += [_recipe(item) for item in _recipes_in(value)]
    usable = [recipe for recipe in recipes if recipe.title and recipe.lines]
    if not usable:
        fault = f" ({faults[0]})" if faults else ""
        raise _refused(
            name,
            f"has no schema.org Recipe with a name and ingredients{fault}",
            "JSON-LD, or a saved page that has it",
        )
    return usable


def batch_text(recipe: Recipe, servings: Decimal | None = None) -> str:
    """The recipe as a batch document (TOML); its steps stand at the end as comments.

    Raises InputError where neither the recipe nor `servings` tells how many servings it makes.
    """
    low, high = (servings, servings) if servings is not None else recipe.servings or (None, None)
    if low is None or high is None or low <= 0:
        raise InputError(
            f"{recipe.title!r} does not say how many servings it makes (accepted: a number of servings)"
        )
    document = tomlkit.document()
    document.add("title", recipe.title)
    document.add("servings", _plain(low) if low == high else [_plain(low), _plain(high)])
    lines = tomlkit.aot()
    for line in recipe.lines:
        table = tomlkit.table()
        table.add("line", line)
        lines.append(table)
    document.add("ingredients", lines)
    text = tomlkit.dumps(document).rstrip() + "\n"
    if recipe.steps:
        steps = "\n".join(f"# {number}. {step}" for number, step in enumerate(recipe.steps, 1))
        text += f"\n# How it was made, from the recipe:\n{steps}\n"
    return text


def recipe_json(batch: Batch, per_serving: Mapping[str, str] | None = None) -> str:
    """The batch as a schema.org Recipe (JSON-LD text).

    `per_serving`: properties of schema.org/NutritionInformation and their text, such as
    {"calories": "240 calories", "proteinContent": "12 g"}; what is unknown is left out of it.
    """
    low, high = batch.servings.low, batch.servings.high
    if low is None or high is None:
        raise InputError(f"{batch.where}: the number of servings is unknown (accepted: servings = 4)")
    count = f"{low:f}" if low == high else f"{low:f}-{high:f}"
    recipe: dict[str, Any] = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": batch.title,
        "recipeYield": f"{count} servings",
        "recipeIngredient": [ingredient.line for ingredient in batch.ingredients],
    }
    if per_serving:
        recipe["nutrition"] = {"@type": "NutritionInformation", **per_serving}
    return json.dumps(recipe, ensure_ascii=False, indent=2) + "\n"


class _Scripts(HTMLParser):
    """Collects the text of <script type="application/ld+json"> elements."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=False)
        self.blocks: list[str] = []
        self._inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        kind = (dict(attrs).get("type") or "").split(";")[0].strip().lower()
        self._inside = tag == "script" and kind == "application/ld+json"
        if self._inside:
            self.blocks.append("")

    def handle_endtag(self, tag: str) -> None:
        self._inside = self._inside and tag != "script"

    def handle_data(self, data: str) -> None:
        if self._inside:
            self.blocks[-1] += data


def _decoded(content: bytes, name: str) -> str:
    """The text: UTF-8, or what a page's meta element names."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        named = _CHARSET.search(content[:4096])
    if named is not None and named[1].lower() in (b"iso-8859-1", b"latin1", b"windows-1252", b"iso-8859-15"):
        return content.decode(named[1].decode("ascii"), errors="replace")
    raise _refused(name, "is not UTF-8 text", "a file saved as UTF-8")


def _bare(block: str) -> str:
    """The JSON in a script element, without the comment or CDATA marks that some pages put around it."""
    text = block.strip()
    for start, end in (("<!--", "-->"), ("//<![CDATA[", "//]]>"), ("<![CDATA[", "]]>")):
        if text.startswith(start):
            text = text.removeprefix(start).strip().removesuffix(end).strip()
    return text.rstrip(";")


def _recipes_in(value: Any, depth: int = 0) -> Iterator[Mapping[str, Any]]:
    """The Recipe objects in a JSON-LD value, however deep a page has put them."""
    if depth > _DEEPEST:
        return
    if isinstance(value, list):
        for item in value:
            yield from _recipes_in(item, depth + 1)
    elif isinstance(value, dict):
        kinds = value.get("@type", [])
        kinds = [kinds] if isinstance(kinds, str) else kinds if isinstance(kinds, list) else []
        if any(isinstance(kind, str) and re.split(r"[/:#]", kind)[-1] == "Recipe" for kind in kinds):
            yield value
            return
        for item in value.values():
            if isinstance(item, dict | list):
                yield from _recipes_in(item, depth + 1)


def _recipe(item: Mapping[str, Any]) -> Recipe:
    lines = item.get("recipeIngredient", item.get("ingredients"))
    return Recipe(
        title=next(iter(_texts(item.get("name"))), ""),
        lines=tuple(_texts(lines.splitlines() if isinstance(lines, str) else lines)),
        servings=_servings(item.get("recipeYield")),
        steps=tuple(_steps(item.get("recipeInstructions"))),
    )


def _texts(value: Any) -> list[str]:
    """Plain texts of a value that may be a text, a number, an object with a value, or a list of such."""
    if isinstance(value, list | tuple):
        return [text for item in value for text in _texts(item)]
    if isinstance(value, dict):
        return _texts(value.get("@value", value.get("name", value.get("text"))))
    if isinstance(value, str):
        plain = " ".join(html.unescape(re.sub(r"<[^<>]{0,500}>", " ", html.unescape(value))).split())
        plain = "".join(c for c in plain if c.isprintable())
        return [plain] if plain else []
    return []


def _servings(value: Any) -> tuple[Decimal, Decimal] | None:
    """The range of servings that a recipeYield tells, or None.

    It may be a number, a text ('4 to 6 servings'), a QuantitativeValue, or a list of such: one that says
    servings or portions counts before a bare number, and both before another unit ('12 muffins').
    """
    found: list[tuple[int, tuple[Decimal, Decimal]]] = []
    for item in value if isinstance(value, list) else [value]:
        if isinstance(item, dict):
            item = f"{item.get('value', '')} {item.get('unitText', '')}"
        if isinstance(item, int | Decimal) and not isinstance(item, bool):
            item = str(item)
        match = _COUNT.search(item) if isinstance(item, str) else None
        if match is None:
            continue
        low, high = Decimal(match[1]), Decimal(match[2] or match[1])
        if not 0 < low <= high < 10_000:
            continue
        rest = item.replace(match[0], "").strip().lower()
        rank = 0 if re.search(r"serv|portion|people|person", rest) else 2 if re.search(r"[a-z]", rest) else 1
        found.append((rank, (low, high)))
    return min(found)[1] if found else None


def _steps(value: Any) -> list[str]:
    """The instructions, step by step: a text, HowToStep objects, or sections of them."""
    if isinstance(value, str):
        return _texts(value.splitlines())
    if isinstance(value, list):
        return [step for item in value for step in _steps(item)]
    if isinstance(value, dict):
        if "itemListElement" in value:
            return _steps(value["itemListElement"])
        return _texts(value.get("text", value.get("name")))
    return []


def _plain(amount: Decimal) -> int | float:
    return int(amount) if amount == amount.to_integral_value() else float(amount)


def _refused(where: str, what: str, accepted: str) -> DocumentError:
    return DocumentError([Problem(where, what, accepted)])
