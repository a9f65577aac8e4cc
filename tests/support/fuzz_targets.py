"""What is fuzzed: each target makes one broken input from a seed, uses it, and checks the promise.

The promise: success, or an error of `nutricost.errors` in plain lines; exit codes 0, 1 and 2; JSON
without NaN or Infinity. `broken` says how it was not kept.
"""

from __future__ import annotations

import html
import io
import json
import os
import random
import re
import tomllib
from collections.abc import Callable, Mapping
from contextlib import suppress
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, NoReturn

import fuzz_mutate as mutate
import tomlkit
import yaml
from click.testing import CliRunner

from nutricost.api.demo import write_demo
from nutricost.errors import NutricostError, SettingError, SourceError
from nutricost.faces.cli import app

ROOT = Path(__file__).parents[2]

RICH_BATCH = """
title = "Bean chili"
servings = [11, 12]
currency = "USD"
cooked = true
made_on = 2026-03-01
[[ingredients]]
line = "8 cans bean chili"
label = "bean chili"
paid = 12.00
normal = 31.92
[[ingredients]]
line = "3 lb frozen sweet corn"
paid = 8.97
for = "5 lb"
food = "ndb:11178"
grams = 1360
[labels."bean chili"]
serving_size = "1 cup (240 g)"
servings_per_container = 2.5
calories = 170
calories_per_container = 420
fat_g = 6
saturated_fat_g = 1.5
carbohydrate_g = 15
fiber_g = 4
sugar_g = 4
protein_g = 13
sodium_mg = 590
net_weight = "370 g"
[cooking]
weight = "4.2 kg"
[drying]
trays = 4
cycle_trays = 5
wet_weight = ["1.0 kg", "1.0 kg", "1.1 kg", "1.0 kg"]
dry_weight = "1.18 kg"
hours = 54
extra_hours = 6
energy = "31 kWh"
price_per_kwh = 0.17
scale_step = "1 g"
weighings = [{ hours = 50, weight = "1.185 kg" }, { hours = 54, weight = "1.18 kg" }]
[packing]
bags = 10
bag_price = 0.55
absorbers = 2
absorber_price = 0.12
bag_volume = "1.5 L"
bulk_volume = "6 L"
absorber_sizes_cc = [100, 300]
altitude_m = 300
bag_weights = ["118 g", "118 g"]
lot = "A-17"
packed_on = 2026-03-03
[other_costs]
"pump oil" = 0.80
[rehydration]
water_used = "240 mL"
minutes = 8
rating = 4
note = "salt"
[[losses]]
what = "tasted"
servings = 0.5
"""
"""A batch with nearly every key, invented."""

RIVALS = """
price_per_kwh = 0.17
[[ways]]
name = "chest freezer"
calories = 9000
protein_g = 400
weight = "5 kg"
food = 40
servings = 20
energy_per_month = "20 kWh"
lasts_years = 1
[ways.once]
"bags" = 5
"""

PRICES = "line,paid,for,food,note\n5 lb white rice,4.50,,,\n2 cans black beans,1.80,,,invented\n"

RECIPE = {
    "@context": "https://schema.org",
    "@graph": [
        {"@type": "WebPage", "name": "page"},
        {
            "@type": ["Recipe", "Thing"],
            "name": "Corn &amp; beans",
            "recipeYield": ["6", "6 servings"],
            "recipeIngredient": ["2 lb frozen corn", "1 lb dry black beans"],
            "recipeInstructions": [
                {"@type": "HowToSection", "itemListElement": [{"@type": "HowToStep", "text": "Cook."}]}
            ],
        },
    ],
}

SETTINGS = (
    'offline = true\ncache_max_age_days = 30\ncurrency = "USD"\nprice_per_kwh = 0.17\nbook = "b.sqlite"\n'
)

RANKED = ("calories per dollar", "protein per dollar", "dollars per 1000 calories", "g protein per 100 kcal")


class Broken(AssertionError):
    """The promise was not kept."""


def no_number(word: str) -> NoReturn:
    """For `json.loads(parse_constant=...)`: NaN and Infinity are no JSON."""
    raise Broken(f"{word} in JSON")


def nutricost(
    *arguments: str | Path, stdin: str | bytes | None = None, exits: tuple[int, ...] = (0, 1, 2)
) -> int:
    """The exit code of a command run in-process, after checks of what it printed."""
    texts = [str(argument) for argument in arguments]
    result = CliRunner().invoke(app, texts, input=stdin)
    error = result.exception
    if isinstance(error, NutricostError):
        if not str(error).strip():
            raise Broken(f"{type(error).__name__} without a word: {texts}")
        str(error).encode("utf-8", "backslashreplace")
        return 1
    if error is not None and not isinstance(error, SystemExit):
        raise error
    if result.exit_code not in exits:
        raise Broken(f"exit code {result.exit_code}: {texts}")
    if "--json" in texts and result.exit_code == 0:
        json.loads(result.stdout, parse_constant=no_number)
    return result.exit_code


@cache
def demo_tree(name: str) -> Any:
    """The parsed demo document."""
    return tomllib.loads((ROOT / "nutricost/data/demo" / name).read_text(encoding="utf-8"))


@cache
def fdc_answers() -> tuple[Any, ...]:
    """Recorded stand-in answers of FoodData Central, parsed."""
    answers = []
    for path in sorted((ROOT / "fixtures/http").glob("*.yaml")):
        for interaction in yaml.safe_load(path.read_text(encoding="utf-8"))["interactions"]:
            with suppress(ValueError):
                answers.append(json.loads(interaction["response"]["body"]["string"]))
    return tuple(answers)


def in_demo(folder: Path) -> Path:
    """The demo's folder, made when it is first needed."""
    demo = folder / "demo"
    if not demo.exists():
        write_demo(demo)
    return demo


def toml_bytes(rng: random.Random, tree: Any, keys: tuple[str, ...]) -> bytes:
    """A mutated document: its tree changed and written again, or its text or bytes."""
    kind = rng.random()
    if kind < 0.75:
        try:
            return tomlkit.dumps(mutate.mutated_tree(rng, tree, keys)).encode()
        except Exception:  # the library that writes it has limits of its own
            return b""
    text = tomlkit.dumps(tree)
    if kind < 0.9:
        return mutate.mutated_text(rng, text).encode()
    return mutate.mutated_bytes(rng, text.encode())


def _paths(tree: Any, key: str, start: str = "") -> list[str]:
    """Every key path of the tree that ends in `key`."""
    found = []
    for name, value in tree.items():
        path = f"{start}.{json.dumps(name)}" if start else name
        if name == key:
            found.append(path)
        if isinstance(value, dict):
            found += _paths(value, key, path)
        if isinstance(value, list):
            for i, item in enumerate(value):
                found += _paths(item, key, f"{path}[{i}]") if isinstance(item, dict) else []
    return found


def _keys(tree: Any) -> tuple[str, ...]:
    return tuple(sorted({key for container, key in mutate.places(tree) if isinstance(key, str)}))


@cache
def rich_tree() -> tuple[Any, tuple[str, ...]]:
    """The rich batch, parsed, and every key that any document knows."""
    rich = tomllib.loads(RICH_BATCH)
    known = {
        "food", "label", "leftover_age_days", "cost", "residual_moisture", "net_volume", "water_to_add",
        "discount_rate", "resale_after_years", "excludes", "packed_weight", "packed_volume", "cycles",
        "machine_days", "min_offers", "sodium_mg_per_day", "added_sugar_g", "alcohol_g", "trans_fat_g",
    }  # fmt: skip
    for name in ("chicken-rice.toml", "machine.toml", "plan.toml"):
        known.update(_keys(demo_tree(name)))
    return rich, (*_keys(rich), *sorted(known))


# --- targets --------------------------------------------------------------------------------------


def lines(rng: random.Random, folder: Path) -> None:
    """Ingredient lines and searches of any text."""
    if rng.random() < 0.2:
        nutricost("find", "--json", "--limit", str(rng.randint(1, 20)), "--", mutate.odd_text(rng, 5))
        return
    shapes = ("2 lb boneless chicken breast, diced", "1 (15 oz) can black beans, drained", "1/2 cup butter")
    text = "\n".join(
        mutate.plain_text(rng) if rng.random() < 0.5 else mutate.mutated_text(rng, rng.choice(shapes))
        for _ in range(rng.randint(1, 3))
    )
    nutricost("match", "-", rng.choice(("--json", "--why")), stdin=text)


BATCH_COMMANDS: tuple[tuple[str, ...], ...] = (
    ("card", "--json"), ("card", "--json"), ("card",), ("card", "--format", "html"),
    ("card", "--format", "markdown"), ("compare", "--json"), ("compare", "--basis", "100g", "--sensitivity"),
    ("drying", "--json"), ("drying",), ("again", "--packages", "3", "--json"), ("again", "--servings", "7"),
    ("share", "--json"),
    ("share", "--by", "water"), ("labels", "--json"), ("labels", "--format", "html"), ("labels",),
    ("log", "--json"), ("rank", "calories per dollar", "--json"), ("book", "save"),
)  # fmt: skip


def batch(rng: random.Random, folder: Path) -> None:
    """Batch documents with their trees, texts and bytes changed, under every command that takes one."""
    rich, keys = rich_tree()
    tree = rich if rng.random() < 0.6 else demo_tree(rng.choice(("lentil-kits.toml", "chicken-rice.toml")))
    path = folder / "batch.toml"
    path.write_bytes(toml_bytes(rng, tree, keys))
    nutricost(*rng.choice(BATCH_COMMANDS), path)


def overrides(rng: random.Random, folder: Path) -> None:
    """--set KEY=VALUE of any kind."""
    demo = in_demo(folder)
    _, keys = rich_tree()
    tree = demo_tree("lentil-kits.toml")
    given: list[str] = []
    for _ in range(rng.randint(1, 2)):
        container, key = rng.choice([place for place in mutate.places(tree) if isinstance(place[1], str)])
        path = rng.choice(_paths(tree, key))
        value = rng.choice((mutate.likely_value(rng, container[key]), mutate.odd_value(rng)))
        if rng.random() < 0.2:
            path = rng.choice(
                (mutate.odd_text(rng, 3), f"drying.{rng.choice(keys)}", f"ingredients[{10**30}].paid")
            )
        text = mutate.odd_text(rng, 3) if rng.random() < 0.1 else str(value)
        given += ["--set", f"{path}={text}"]
    command = rng.choice(
        (("card", "--json"), ("compare", "--json"), ("drying", "--json"), ("again", "--trays", "3", "--json"))
    )
    nutricost(*command, demo / "lentil-kits.toml", *given)


def sheet_bytes(rng: random.Random, text: str) -> bytes:
    """A table of cells changed, as CSV or XLSX, at times with its bytes changed as well."""
    cells = [line.split(",") for line in text.strip().splitlines()]
    for _ in range(rng.randint(1, 3)):
        row = rng.randrange(len(cells))
        kind = rng.random()
        if kind < 0.65 and cells[row]:
            column = rng.randrange(len(cells[row]))
            cell = cells[row][column]
            pool = (*mutate.AMOUNTS, *map(str, mutate.NUMBERS), mutate.plain_text(rng, 3))
            try:
                likely = str(mutate.likely_value(rng, float(cell)))
            except ValueError:
                likely = str(mutate.likely_value(rng, cell))
            cells[row][column] = likely if rng.random() < 0.7 else rng.choice(pool)
        elif kind < 0.75:
            cells.append(list(cells[row]))
        elif kind < 0.85:
            cells[row].append(mutate.plain_text(rng, 2))
        elif len(cells[row]) > 1:
            cells[row].pop(rng.randrange(len(cells[row])))
    if rng.random() < 0.35:
        content = _workbook(rng, cells)
    else:
        separator = rng.choice((",", ",", ";", "\t"))
        content = rng.choice(("", "", "\ufeff", "sep=;\n")).encode() + "\n".join(
            separator.join(f'"{cell}"' if rng.random() < 0.2 else cell for cell in row) for row in cells
        ).encode("utf-8", "replace")
    return mutate.mutated_bytes(rng, content) if rng.random() < 0.25 else content


def _workbook(rng: random.Random, cells: list[list[str]]) -> bytes:
    import openpyxl
    from openpyxl.utils.exceptions import IllegalCharacterError

    book = openpyxl.Workbook()
    page = book.worksheets[0]
    for i, row in enumerate(cells, start=1):
        for j, text in enumerate(row, start=1):
            value: Any = text
            if rng.random() < 0.3:
                value = rng.choice([n for n in mutate.NUMBERS if abs(n) < 1e300] + [True, "=1/0", "#N/A"])
            try:
                page.cell(i, j, value)
            except (ValueError, IllegalCharacterError):
                continue
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def pouches(rng: random.Random, folder: Path) -> None:
    """Pouches as CSV and XLSX."""
    demo = in_demo(folder)
    path = folder / rng.choice(("p.csv", "p.xlsx"))
    path.write_bytes(sheet_bytes(rng, (demo / "pouches.csv").read_text(encoding="utf-8")))
    kind = rng.random()
    if kind < 0.5:
        basis = rng.choice(("serving", "pouch", "100kcal", "1000kcal", "25g-protein", "100g"))
        json_or_text = ("--json",) if rng.random() < 0.7 else ()
        nutricost("compare", demo / "lentil-kits.toml", "--pouches", path, "--basis", basis, *json_or_text)
    elif kind < 0.75:
        nutricost("rank", rng.choice(RANKED), "--pouches", path, "--json")
    elif kind < 0.9:
        machine = ("--machine", demo / "machine.toml", "--json")
        nutricost(rng.choice(("payback", "deal")), demo / "lentil-kits.toml", "--pouches", path, *machine)
    else:
        nutricost("book", "pouches", "--add", path)


def prices(rng: random.Random, folder: Path) -> None:
    """Groceries at a price as CSV and XLSX."""
    path = folder / "prices.csv"
    path.write_bytes(sheet_bytes(rng, PRICES))
    nutricost("rank", rng.choice(RANKED), "--prices", path, "--json")


def measures(rng: random.Random, folder: Path) -> None:
    """Measures for `rank` of any text."""
    words = ("energy", "calories", "protein", "cost", "dollars", "100", "serving", "machine hour", "fat",
             "sodium", "kcal", "g", "1000", "water", "weight", "/")  # fmt: skip
    kind = rng.random()
    if kind < 0.6:
        pool = words if rng.random() < 0.7 else (*words, *mutate.WORDS)
        above, below = (" ".join(rng.choices(pool, k=rng.choice((1, 1, 2)))) for _ in range(2))
        text = f"{above} per {below}"
    elif kind < 0.8:
        text = mutate.mutated_text(rng, rng.choice(RANKED))
    else:
        text = mutate.odd_text(rng)
    demo = in_demo(folder)
    batches = (demo / "leftover-stew.toml",) if rng.random() < 0.3 else ()
    nutricost("rank", "--json", "--pouches", demo / "pouches.csv", "--", text, *batches)


def traces(rng: random.Random, folder: Path) -> None:
    """Paths for `trace` of any text."""
    real = ("per_batch.energy", "per_serving.cost", "lines[0].grams", "measures.kcal_per_usd", "costs.total",
            "offers[1].cost", "drying.water_removed", "lines[0].food", "offers", "title")  # fmt: skip
    path = rng.choice(real)
    if rng.random() < 0.8:
        path = mutate.mutated_text(rng, path) if rng.random() < 0.7 else mutate.odd_text(rng)
    demo = in_demo(folder)
    nutricost(
        "trace", "--pouches", demo / "pouches.csv", "--basis", rng.choice(("serving", "100g", "pouch")),
        *rng.choice((("--json",), ("--depth", "3"), ())), "--", demo / "lentil-kits.toml", path,
    )  # fmt: skip


def machines(rng: random.Random, folder: Path) -> None:
    """Machine documents under payback, deal, log and the book."""
    demo = in_demo(folder)
    path = folder / "machine.toml"
    path.write_bytes(toml_bytes(rng, demo_tree("machine.toml"), rich_tree()[1]))
    more: tuple[str | Path, ...] = ("--pouches", demo / "pouches.csv", "--machine", path, "--json")
    batch_file = demo / "lentil-kits.toml"
    odd = str(rng.choice((*mutate.NUMBERS, *mutate.AMOUNTS)))
    nutricost(
        *rng.choice(
            (
                ("payback", batch_file, *more),
                ("payback", batch_file, *more, f"--rate={odd}"),
                ("payback", batch_file, *more, f"--years={odd}"),
                ("deal", batch_file, *more),
                ("deal", batch_file, *more, f"--days-to-date={odd}"),
                ("deal", batch_file, *more, f"--space={odd}", f"--hours={odd}"),
                ("log", batch_file, demo / "chicken-rice.toml", "--machine", path, f"--load={odd}", "--json"),
                ("book", "machine", path),
            )
        )
    )


def plans(rng: random.Random, folder: Path) -> None:
    """Plan documents; the search itself is kept short."""
    demo = in_demo(folder)
    path = demo / "fuzzed-plan.toml"
    tree = dict(demo_tree("plan.toml"), batches=["leftover-stew.toml"])
    path.write_bytes(toml_bytes(rng, tree, rich_tree()[1]))
    least = rng.choice(("cost", "weight", "cycles"))
    nutricost("plan", path, "--least", least, "--time-limit", "1", *rng.choice((("--json",), ())))


def rivals(rng: random.Random, folder: Path) -> None:
    """Other ways to keep food."""
    demo = in_demo(folder)
    path = folder / "rivals.toml"
    path.write_bytes(toml_bytes(rng, tomllib.loads(RIVALS), (*rich_tree()[1], "ways", "once", "food")))
    years = f"--years={rng.choice((1, 2, 0.5, *mutate.NUMBERS))}"
    if rng.random() < 0.5:
        nutricost("rank", rng.choice(RANKED), "--rivals", path, years, "--json")
    else:
        nutricost("compare", demo / "lentil-kits.toml", "--rivals", path, years, "--json")


def options(rng: random.Random, folder: Path) -> None:
    """Numbers, weights and days given as options."""
    demo = in_demo(folder)
    odd = rng.choice((*map(str, mutate.NUMBERS), *mutate.AMOUNTS, mutate.odd_text(rng, 3)))
    chili = demo / "lentil-kits.toml"
    nutricost(
        *rng.choice(
            (
                ("card", chili, f"--gas-per-litre={odd}", "--json"),
                ("again", chili, f"--servings={odd}", "--json"),
                ("again", chili, f"--packages={odd}", "--json"),
                ("again", chili, f"--trays={odd}", "--json"),
                ("labels", chili, f"--date={odd}", "--json"),
                ("labels", chili, f"--lot={odd}"),
                ("trace", chili, "per_batch.energy", f"--depth={odd}"),
                ("find", "rice", f"--limit={odd}", "--json"),
                ("match", "-", f"--source={odd}"),
                ("book", "buy", odd, "12.50"),
                ("book", "buy", "rice", odd),
                ("book", "eat", odd, odd),
                ("book", "eat", "rice", "1", f"--on={odd}"),
                ("settings", "set", "price_per_kwh", odd),
                ("settings", "set", odd, odd),
                ("settings", "unset", odd),
            )
        ),
        stdin="2 cups rice\n",
    )


def recipes(rng: random.Random, folder: Path) -> None:
    """JSON-LD recipes and saved pages; what is read is a batch that can be read again."""
    from nutricost.api.recipes_elsewhere import batch_of_recipe, recipe_of_batch

    path, batch_path = folder / "recipe.html", folder / "read.toml"
    tree = mutate.mutated_tree(
        rng, RECIPE, ("name", "recipeYield", "recipeIngredient", "@type", "text", "value")
    )
    text = json.dumps(tree, default=str, ensure_ascii=rng.random() < 0.5)
    kind = rng.random()
    if kind < 0.3:
        text = mutate.mutated_text(rng, text)
    if kind < 0.6:
        text = f'<html><script type="application/ld+json">{text}</script>'
    content = text.encode("utf-8", "replace")
    path.write_bytes(mutate.mutated_bytes(rng, content) if rng.random() < 0.2 else content)
    try:
        read, _ = batch_of_recipe(str(path), rng.choice((None, None, Decimal(4))))
    except NutricostError:
        return
    batch_path.write_text(read, encoding="utf-8")
    document = tomllib.loads(read)
    if not document["title"] or not document["ingredients"]:
        raise Broken("a batch without title or ingredients")
    nutricost("card", batch_path, "--json")
    with suppress(NutricostError):
        json.loads(recipe_of_batch(str(batch_path)), parse_constant=no_number)


def fdc(rng: random.Random, folder: Path) -> None:
    """Answers of FoodData Central: only SourceError, or foods with finite values."""
    from nutricost.sources.fdc_keys import read_json
    from nutricost.sources.fdc_reading import read_food, read_foods, read_search

    answer = mutate.mutated_tree(
        rng, rng.choice(fdc_answers()), ("amount", "value", "number", "unitName", "fdcId")
    )
    text = json.dumps(answer, default=str)
    content = text.encode() if rng.random() < 0.8 else mutate.mutated_bytes(rng, text.encode())
    try:
        parsed = read_json(content, "fuzz")
        if isinstance(parsed, dict) and "foods" in parsed:
            found = list(read_search(parsed).foods)
        elif isinstance(parsed, list):
            found = read_foods(parsed)
        else:
            found = [read_food(parsed)]
    except SourceError:
        return
    for item in found:
        for key, value in item.food.nutrients.items():
            if not value.amount_per_100g.is_finite() or value.amount_per_100g < 0:
                raise Broken(f"{key} of {item.food.key}: {value.amount_per_100g}")


def settings_files(rng: random.Random, folder: Path) -> None:
    """The settings file and the environment."""
    from nutricost.settings import load_settings, write_setting

    path = folder / "fuzzed-settings.toml"
    path.write_bytes(toml_bytes(rng, tomllib.loads(SETTINGS), ("offline", "cache_folder", "fdc_api_key")))
    name = rng.choice(("OFFLINE", "CACHE_MAX_AGE_DAYS", "CURRENCY", "PRICE_PER_KWH", "BOOK", "CACHE_FOLDER"))
    value = rng.choice((mutate.odd_text(rng, 3), *mutate.AMOUNTS, *map(str, mutate.NUMBERS)))
    environ = {f"NUTRICOST_{name}": value} if rng.random() < 0.5 else {}
    try:
        load_settings(path, environ)
    except SettingError as error:
        if not str(error):
            raise Broken("SettingError without a word") from None
    before = path.read_bytes()
    name = rng.choice(("price_per_kwh", "currency", "book"))
    try:
        write_setting(name, value, path)
    except SettingError:
        if path.read_bytes() != before:
            raise Broken("a refused setting changed the file") from None
    else:
        if name not in tomllib.loads(path.read_text(encoding="utf-8")):
            raise Broken("an accepted setting is not in the file")


def exported_book(folder: Path) -> Path:
    """A book with something of everything, as a folder of plain documents."""
    kept = folder / "kept"
    if not kept.exists():
        demo, book = in_demo(folder), folder / "kept.sqlite"
        for command in (
            ("save", demo / "lentil-kits.toml"), ("save", demo / "chicken-rice.toml"),
            ("pouches", "--add", demo / "pouches.csv"), ("machine", demo / "machine.toml"),
            ("buy", "rice", "12.50"), ("pack", "lentil-curry-with-peas", "--on", "2026-03-03"),
            ("eat", "Lentil curry with peas", "1"),
        ):  # fmt: skip
            if nutricost("book", "--book", book, *command):
                raise Broken(f"the book cannot be made: {command}")
        if nutricost("book", "--book", book, "export", kept):
            raise Broken("the book cannot be exported")
    return kept


def imports(rng: random.Random, folder: Path) -> None:
    """Folders for `book import`: all of it, or an empty book that is still sound."""
    import shutil

    kept, broken, book = exported_book(folder), folder / "broken", folder / "imported.sqlite"
    shutil.rmtree(broken, ignore_errors=True)
    shutil.copytree(kept, broken)
    for path in folder.glob("imported.sqlite*"):
        path.unlink()
    files = sorted(path for path in broken.rglob("*") if path.is_file())
    for path in rng.sample(files, rng.choice((1, 1, 2))):
        kind = rng.random()
        if kind < 0.1:
            path.unlink()
        elif path.suffix == ".toml" and kind < 0.6:
            path.write_bytes(toml_bytes(rng, tomllib.loads(path.read_text(encoding="utf-8")), rich_tree()[1]))
        elif path.suffix == ".csv" and kind < 0.7:
            path.write_bytes(sheet_bytes(rng, path.read_text(encoding="utf-8") or "a"))
        else:
            path.write_bytes(mutate.mutated_bytes(rng, path.read_bytes()))
    code = nutricost("book", "--book", book, "import", broken, "--json")
    checked = nutricost("book", "--book", book, "check")
    if checked not in (0, 1) or (code == 0 and checked != 0):
        raise Broken(f"import ended with {code}, then check with {checked}")


def books(rng: random.Random, folder: Path) -> None:
    """Damaged files of the book."""
    exported_book(folder)
    for path in folder.glob("damaged.sqlite*"):
        path.unlink()
    content = bytearray((folder / "kept.sqlite").read_bytes())
    for _ in range(rng.choice((1, 4, 40))):
        at = rng.choice((rng.randrange(100), rng.randrange(len(content)), rng.randrange(len(content))))
        content[at : at + rng.choice((1, 1, 16))] = rng.randbytes(1)
    if rng.random() < 0.2:
        del content[rng.randrange(len(content)) :]
    book = folder / "damaged.sqlite"
    book.write_bytes(content)
    nutricost(
        "book", "--book", book,
        *rng.choice((("check",), ("shelf",), ("batches",), ("load",), ("purchases",),
                     ("export", folder / f"out-{rng.randrange(10**9)}"), ("buy", "rice", "2"), ("matches",),
                     ("maintenance",), ("show", "chicken-and-rice"), ("backup", folder / "copy.sqlite"))),
    )  # fmt: skip


def pages(rng: random.Random, folder: Path) -> None:
    """Addresses and forms of the web page, found by following its links: never a fault of the server."""
    import httpx
    from page_visitor import NEW_BATCH, NEW_POUCH, Visitor

    exported_book(folder)
    visitor = Visitor(folder / "kept.sqlite")
    address = "/"
    for _ in range(rng.randint(1, 3)):
        page = visitor.get(address)
        _sound(page, "GET", address)
        links = [link for link in re.findall(r'href="(/[^"#]*)"', page.text) if "static" not in link]
        address = html.unescape(rng.choice(links or ["/"]))
    method, filled = rng.choice(("GET", "POST")), {**NEW_BATCH, **NEW_POUCH}
    forms = re.findall(r"<form([^>]*)>(.*?)</form>", visitor.get(address).text, re.DOTALL)
    if forms and rng.random() < 0.8:
        about, inside = rng.choice(forms)
        named = re.search(r'action="([^"]+)"', about)
        address = html.unescape(named[1]) if named else address
        method = "POST" if 'method="post"' in about else "GET"
        fields = re.findall(r'name="([^"]+)"(?:[^>]*? value="([^"]*)")?', inside)
        filled = {html.unescape(name): filled.get(name, html.unescape(value)) for name, value in fields}
    elif rng.random() < 0.5:
        address = "/" + mutate.mutated_text(rng, address).lstrip("/").replace("#", "%23")
    form = mutate.mutated_tree(rng, filled, tuple(filled))
    data = {str(key): str(value) for key, value in form.items()} if isinstance(form, dict) else {}
    if rng.random() < 0.9:
        data["csrf"] = visitor.token()
    try:
        more: dict[str, Any] = {"data": data} if method == "POST" else {"params": data}
        _sound(visitor.ask(method, address, **more), method, address)
    except (UnicodeError, httpx.InvalidURL):
        return  # the client's own limit


def _sound(answer: Any, method: str, address: str) -> None:
    if answer.status_code >= 500:
        raise Broken(f"{method} {address}: {answer.status_code}")


Target = Callable[[random.Random, Path], None]

TARGETS: Mapping[str, Target] = {
    target.__name__: target
    for target in (
        lines, batch, overrides, pouches, prices, measures, traces, machines, plans, rivals, options, recipes,
        fdc, settings_files, imports, books, pages,
    )
}  # fmt: skip


def own_environment(folder: Path) -> dict[str, str]:
    """Environment variables that keep the user's own book, cache and settings out of it."""
    return {
        **{
            name: str(folder / name.lower())
            for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")
        },
        "NUTRICOST_BOOK": str(folder / "book.sqlite"),
        "NUTRICOST_SETTINGS": str(folder / "settings.toml"),
        "NUTRICOST_OFFLINE": "true",
    }


def run_case(target: str, seed: int, folder: Path) -> None:
    """One case of a target. The same seed makes the same case."""
    os.environ.update(own_environment(folder))
    (folder / "settings.toml").unlink(missing_ok=True)
    TARGETS[target](random.Random(f"{target} {seed}"), folder)
