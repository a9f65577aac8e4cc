"""Figures of the demo, each recomputed from the raw inputs without any code of the package.

Raw inputs are typed here once more: the demo's own documents (invented), rows of SR28 as published (food
and nutrient numbers beside the values), one row of the Survey table, and constants with their source.
Everything is plain fractions; a reader redoes each line with a pocket calculator.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction
from itertools import product
from math import ceil, floor
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from scipy import stats

from nutricost.api.demo import write_demo
from nutricost.faces.cli import app

F = Fraction
LB = F("453.59237")  # g, international pound of 1959
OZ = LB / 16

# SR28, NUT_DATA.txt: (value per 100 g, standard error or None, degrees of freedom of its mean).
# Where the table gives no degrees of freedom they are one less than its number of data points.
# Nutrient numbers: 208 energy kcal, 203 protein g, 204 fat g, 307 sodium mg, 255 water g, 269 sugars g.
Row = Mapping[str, tuple[Fraction, Fraction | None, int | None]]


def row(**values: tuple[str, str | None, int | None]) -> Row:
    return {key: (F(a), None if b is None else F(b), n) for key, (a, b, n) in values.items()}


CHICKEN = row(  # NDB 05062, chicken breast, meat only, raw
    n208=("120", None, None), n203=("22.50", "0.238", 5), n204=("2.62", "0.220", 5),
    n307=("45", "2.309", 5), n255=("73.90", "0.260", 5), n269=("0", None, None),
)  # fmt: skip
RICE = row(  # NDB 20044, white, long-grain, raw, enriched; household weight 1 cup = 185 g
    n208=("365", None, None), n203=("7.13", "0.134", 69), n204=("0.66", "0.053", 22),
    n307=("5", "1.051", 9), n255=("11.62", "0.332", 57), n269=("0.12", None, None),
)  # fmt: skip
MIXED = row(  # NDB 11583, vegetables, mixed, frozen, unprepared; no nutrient 269
    n208=("72", None, None), n203=("3.33", "0.082", 35), n204=("0.52", "0.073", 35),
    n307=("47", "2.057", 12), n255=("82.08", "0.309", 27),
)  # fmt: skip
ONION = row(  # NDB 11282, raw; household weight 1 medium = 110 g
    n208=("40", None, None), n203=("1.10", "0.036", 21), n204=("0.10", "0.005", 3),
    n307=("4", "0.158", 21), n255=("89.11", "0.248", 3), n269=("4.24", None, None),
)  # fmt: skip
OIL = row(  # NDB 04053, olive oil; household weight 1 tablespoon = 13.5 g
    n208=("884", None, None), n203=("0", None, None), n204=("100", None, None),
    n307=("2", "0.323", 3), n255=("0", None, None), n269=("0", None, None),
)  # fmt: skip
SALT = row(  # NDB 02047, table salt; household weight 1 tsp = 6.0 g
    n208=("0", None, None), n203=("0", None, None), n204=("0", None, None),
    n307=("38758", None, None), n255=("0.20", None, None), n269=("0", None, None),
)  # fmt: skip
PEAS = row(  # NDB 11312, green, frozen, unprepared
    n208=("77", None, None), n203=("5.22", "0.057", 92), n204=("0.40", "0.025", 94),
    n307=("108", "22.670", 52), n255=("79.98", "0.240", 95), n269=("5.00", None, None),
)  # fmt: skip

# Survey (FNDDS) row 'Stew, beef' per 100 g: no water column.
STEW = {key: F(text) for key, text in {
    "energy": "107", "protein": "8.76", "fat": "5.07", "carbohydrate": "6.29", "sodium": "307",
    "sugar": "1.57",
}.items()}  # fmt: skip

SUBLIMATION = F(2838, 3600)  # kWh/kg: 2838 kJ/kg at -20 C (Murphy and Koop 2005, eq. 5)

# 'Chicken and rice': 2 lb chicken, 3 cups rice, 1 lb vegetables, 2 onions, 1 tbsp oil, 2 tsp salt.
POT = [(2 * LB, CHICKEN), (3 * F(185), RICE), (LB, MIXED), (2 * F(110), ONION), (F("13.5"), OIL),
       (2 * F(6), SALT)]  # fmt: skip
PACKED_EACH = F("0.55") + F("0.12")  # bag and absorber


def of_pot(key: str) -> Fraction:
    """Grams / 100 x value per 100 g, over the lines."""
    return sum((grams / 100 * food[key][0] for grams, food in POT), F(0))


def doubt(lines: list[tuple[Fraction, Row]], key: str) -> float:
    """Half the width of the sum: Student's t (97.5 %) x standard error of every line, added up."""
    half = 0.0
    for grams, food in lines:
        _, error, degrees = food[key]
        if error is not None and degrees is not None:
            half += float(grams / 100 * error) * float(stats.t.ppf(0.975, degrees))
    return half


# 'Lentil curry with peas': 6 kits and 2 lb of peas, 3900 g cooked, 3600 g (scale step 1 g a tray) dried.
DRIED = F(3600, 3900)
KIT_ENERGY = 520  # printed for the container: 515 to 525, 21 CFR 101.9(c)(1)
KIT_SERVINGS = F("17.3") * OZ / 245  # net weight over serving weight
LENTIL_ENERGY = (6 * KIT_ENERGY + 2 * LB / 100 * 77) * DRIED
LENTIL_FIXED = 29 * F("0.17") + 8 * PACKED_EACH + F("0.80")
LENTIL_LINES = F("11.94") + F("6.45") * 2 / 5  # 2 lb of the 5 lb bag
LENTIL_COST = LENTIL_LINES * DRIED + LENTIL_FIXED
LENTIL_PROTEIN = (6 * 13 * KIT_SERVINGS + 2 * LB / 100 * F("5.22")) * DRIED
LENTIL_SODIUM = (6 * 690 * KIT_SERVINGS + 2 * LB / 100 * 108) * DRIED

# 555 g of rice out of 5 lb for 3.10: 0.7586, charged as 0.76; the rest of the lines is used up.
RICE_COST = F(round(F("3.10") * 555 / (5 * LB) * 100), 100)
POT_LINES = F("6.38") + RICE_COST + F("1.79") + F("0.90") + F("0.22") + F("0.02")
POT_CYCLE = tuple(F(text) * 3 / 5 for text in ("3.80", "4.20", "4.60"))  # three of five trays
POT_COST = tuple(POT_LINES + cycle + 9 * PACKED_EACH for cycle in POT_CYCLE)
POT_SOLIDS = sum((grams for grams, _ in POT), F(0)) - of_pot("n255")
POT_DRY = POT_SOLIDS / (1 - F("0.03"))

STEW_SOLIDS = 19 * (STEW["protein"] + STEW["fat"] + STEW["carbohydrate"] + STEW["sodium"] / 1000 * F("2.54"))
STEW_CYCLE = tuple(F(text) * 2 / 5 for text in ("3.80", "4.20", "4.60"))

HERON = {"price": F("10.50"), "servings": F(2), "kcal": F(290), "protein": F(14), "sodium": F(640)}
HERON_NET = F("4.9") * OZ
SLATE = {"price": F("12.95"), "servings": F("2.5"), "kcal": F(200), "protein": F(13), "sodium": F(720)}
SLATE_NET = F("4.3") * OZ
HERON_KCAL = (F("1.5") * 285, F(580), F("2.25") * 295)  # '2' servings: 1.5 to 2.25, 101.9(b)(8)
SLATE_KCAL = (F("2.25") * 195, F(500), F("2.75") * 205)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("audit")
    write_demo(folder)
    return folder


class Audited:
    """Runs a command once on the demo, with a book of its own, and keeps what it answered."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.answers: dict[tuple[str, ...], Any] = {}

    def __call__(self, *words: str) -> Any:
        if words not in self.answers:
            known = {path.name for path in self.folder.iterdir()}
            arguments = [str(self.folder / word) if word in known else word for word in words]
            environment = {"NUTRICOST_BOOK": str(self.folder / "no" / "book.sqlite")}
            result = CliRunner().invoke(app, [*arguments, "--json"], env=environment)
            assert result.exit_code == 0, result.output
            self.answers[words] = json.loads(result.stdout)
        return self.answers[words]


@pytest.fixture(scope="module")
def ask(demo: Path) -> Audited:
    return Audited(demo)


def close(figure: Any, *expected: Fraction | float, rel: float = 1e-9) -> None:
    """The figure is `value`, or `low, value, high`, to the 12 digits that JSON carries."""
    low, value, high = expected if len(expected) == 3 else expected * 3
    got = figure["low"], figure["value"], figure["high"]
    assert got == pytest.approx((float(low), float(value), float(high)), rel=rel), figure


# -- the card ------------------------------------------------------------------------------------------


def test_chicken_nutrients(ask: Audited) -> None:
    """2 x 453.59237 x 1.20 + 555 x 3.65 + 453.59237 x 0.72 + 220 x 0.40 + 13.5 x 8.84 = 3648.298 kcal."""
    card = ask("card", "chicken-rice.toml")
    close(card["per_batch"]["energy"], of_pot("n208"))
    close(card["per_serving"]["energy"], of_pot("n208") / 9)
    for key, number in (("protein", "n203"), ("fat", "n204"), ("sodium", "n307")):
        middle, half = float(of_pot(number)), doubt(POT, number)
        # The engine's t has three decimals, scipy's all of them.
        close(card["per_batch"][key], middle - half, middle, middle + half, rel=1e-4)


def test_error_bounds_of_chicken_protein_are_those_published(ask: Audited) -> None:
    """NUT_DATA.txt prints Low_EB 21.887 and Up_EB 23.112 for 05062, nutrient 203."""
    protein = ask("card", "chicken-rice.toml")["lines"][0]["nutrients"]["protein"]
    assert protein["low"] / float(2 * LB / 100) == pytest.approx(21.887, abs=0.0015)
    assert protein["high"] / float(2 * LB / 100) == pytest.approx(23.112, abs=0.0015)


def test_chicken_sugar_is_unknown_and_its_coverage_is_by_weight(ask: Audited) -> None:
    """11583 has no sugars: known for all but 453.59 g of the lines' 2161.3 g."""
    card = ask("card", "chicken-rice.toml")
    whole = sum((grams for grams, _ in POT), F(0))
    assert card["per_batch"]["sugar"]["value"] is None
    assert card["coverage"]["sugar"] == pytest.approx(float(1 - LB / whole), rel=1e-9)
    known = sum((grams / 100 * food["n269"][0] for grams, food in POT if "n269" in food), F(0))
    close(card["per_batch"]["sugar"]["known"], known)


def test_chicken_water_balance(ask: Audited) -> None:
    """Solids / 0.97, and at the ends the driest food / 0.98 and the wettest / 0.96; 3300 g went in."""
    card = ask("card", "chicken-rice.toml")
    half = doubt(POT, "n255")
    least, most = float(POT_SOLIDS) - half, float(POT_SOLIDS) + half
    close(card["drying"]["solids"], least, POT_SOLIDS, most, rel=1e-5)
    close(card["per_batch"]["weight_dry"], least / 0.98, POT_DRY, most / 0.96, rel=1e-5)
    removed = (3300 - most / 0.96, 3300 - float(POT_DRY), 3300 - least / 0.98)
    close(card["per_serving"]["water_to_add"], *(water / 9 for water in removed), rel=1e-5)
    close(
        card["drying"]["minimum_energy"], *(water / 1000 * float(SUBLIMATION) for water in removed), rel=1e-3
    )
    assert card["drying"]["residual_moisture"]["low"] == 0.02


def test_chicken_money_to_the_coin(ask: Audited) -> None:
    """6.38 + 0.76 + 1.79 + 0.90 + 0.22 + 0.02 = 10.07; 3/5 of 3.80 to 4.60; 9 x 0.67."""
    card = ask("card", "chicken-rice.toml")
    assert [line["cost"]["value"] for line in card["lines"]] == [6.38, 0.76, 1.79, 0.90, 0.22, 0.02]
    close(card["lines"][1]["share_of_purchase"], 555 / (5 * LB))
    close(card["costs"]["ingredients"], F("10.07"))
    close(card["costs"]["energy"], *POT_CYCLE)
    close(card["costs"]["packing"], F("6.03"))
    close(card["costs"]["total"], F("18.38"), F("18.62"), F("18.86"))
    close(card["per_serving"]["cost"], *(cost / 9 for cost in POT_COST))
    close(card["costs"]["saved_by_markdown"], F("9.98") - F("6.38"))


def test_lentil_energy_and_its_ends(ask: Audited) -> None:
    """(6 x 520 + 907.18474 x 0.77) x 3600/3900; 515 to 525 a kit, 3598 to 3602 g weighed on four trays."""
    card = ask("card", "lentil-kits.toml")
    peas = 2 * LB / 100 * 77
    ends = ((6 * 515 + peas) * 3598 / 3900, LENTIL_ENERGY, (6 * 525 + peas) * 3602 / 3900)
    close(card["per_batch"]["energy"], *ends)
    close(card["per_serving"]["energy"], *(end / 16 for end in ends))
    close(card["per_batch"]["protein"], *_kits(13, F("0.5"), "n203"), rel=1e-5)
    close(card["per_batch"]["sodium"], *_kits(690, F(5), "n307"), rel=1e-5)


def _kits(printed: int, half: Fraction, key: str) -> tuple[float, float, float]:
    """Six kits by net / serving weight and the peas, scaled by what was dried."""
    peas, reach = float(2 * LB / 100 * PEAS[key][0]), doubt([(2 * LB, PEAS)], key)
    kits = [float(6 * KIT_SERVINGS * (printed + sign * half)) for sign in (-1, 0, 1)]
    return (
        (kits[0] + peas - reach) * 3598 / 3900,
        (kits[1] + peas) * 3600 / 3900,
        (kits[2] + peas + reach) * 3602 / 3900,
    )


def test_lentil_money(ask: Audited) -> None:
    """(11.94 + 2/5 x 6.45) x 3600/3900 + 29 x 0.17 + 8 x 0.67 + 0.80 = 24.493."""
    card = ask("card", "lentil-kits.toml")
    ends = tuple(LENTIL_LINES * F(loaded, 3900) + LENTIL_FIXED for loaded in (3598, 3600, 3602))
    close(card["costs"]["total"], *ends)
    close(card["per_serving"]["cost"], *(end / 16 for end in ends))
    # (29.94 - 11.94) x 3600/3900
    close(card["costs"]["saved_by_markdown"], *(18 * F(loaded, 3900) for loaded in (3598, 3600, 3602)))


def test_lentil_water_and_residual_moisture(ask: Audited) -> None:
    """880 g dry of 3600 g. Solids: a kit serving holds 5 + 40 + 13 + 0.69 x 2.54 g of its 245 g."""
    card = ask("card", "lentil-kits.toml")
    kits = 6 * KIT_SERVINGS * (5 + 40 + 13 + F("0.69") * F("2.54"))
    solids = (kits + 2 * LB / 100 * (100 - PEAS["n255"][0])) * DRIED
    assert card["drying"]["solids"]["value"] == pytest.approx(float(solids), rel=1e-9)
    moisture = card["drying"]["residual_moisture"]["value"]
    assert moisture == pytest.approx(float(1 - solids / 880), rel=1e-9)
    close(card["drying"]["water_removed"], F("2717.5"), F(2720), F("2722.5"))
    close(card["water"]["per_bag"], F("2717.5") / 8, F(340), F("2722.5") / 8)
    close(card["water"]["cups_per_serving"], *(F(text) / 16 / F("236.5882365") for text in
                                               ("2717.5", "2720", "2722.5")))  # fmt: skip
    close(card["drying"]["measured_energy"], F(29))
    assert card["drying"]["minimum_energy"]["value"] == pytest.approx(
        float(F("2.72") * SUBLIMATION), rel=1e-3
    )


def test_leftover_stew(ask: Audited) -> None:
    """1900 g x 107 kcal; water 100 - 8.76 - 5.07 - 6.29 - 0.307 x 2.54; only 2/5 of a cycle and bags cost."""
    card = ask("card", "leftover-stew.toml")
    close(card["per_batch"]["energy"], 19 * STEW["energy"])
    close(card["per_serving"]["sugar"], 19 * STEW["sugar"] / 6)
    close(card["drying"]["solids"], STEW_SOLIDS)
    close(
        card["per_batch"]["weight_dry"],
        STEW_SOLIDS / F("0.98"),
        STEW_SOLIDS / F("0.97"),
        STEW_SOLIDS / F("0.96"),
    )
    close(card["costs"]["ingredients"], F(0))
    close(card["costs"]["total"], *(cycle + 3 * PACKED_EACH for cycle in STEW_CYCLE))


# -- comparison ----------------------------------------------------------------------------------------

WHOLES: Mapping[str, Mapping[str, Fraction]] = {
    "Chicken and rice": {
        "servings": F(9), "cost": POT_COST[1], "energy": of_pot("n208"), "protein": of_pot("n203"),
        "sodium": of_pot("n307"), "weight": POT_DRY, "packs": F(9),
    },
    "Lentil curry with peas": {
        "servings": F(16), "cost": LENTIL_COST, "energy": LENTIL_ENERGY, "protein": LENTIL_PROTEIN,
        "sodium": LENTIL_SODIUM, "weight": F(880), "packs": F(8),
    },
    "Slate Hut beef stew": {
        "servings": SLATE["servings"], "cost": SLATE["price"], "energy": F("2.5") * 200,
        "protein": F("2.5") * 13, "sodium": F("2.5") * 720, "weight": SLATE_NET, "packs": F(1),
    },
}  # fmt: skip
BASES = {
    "serving": ("servings", 1), "pouch": ("packs", 1), "100kcal": ("energy", 100),
    "1000kcal": ("energy", 1000), "25g-protein": ("protein", 25), "100g": ("weight", 100),
}  # fmt: skip


@pytest.mark.parametrize(("basis", "name"), list(product(BASES, WHOLES)))
def test_an_offer_on_every_basis(ask: Audited, basis: str, name: str) -> None:
    """Each figure of the whole batch or pouch x amount of the basis / what the whole has of it."""
    table = ask("compare", "chicken-rice.toml", "lentil-kits.toml", "--pouches", "pouches.csv",
                "--basis", basis)  # fmt: skip
    [offer] = [offer for offer in table["offers"] if offer["name"] == name]
    whole, (key, amount) = WHOLES[name], BASES[basis]
    for figure in ("servings", "cost", "energy", "protein", "sodium", "weight"):
        expected = whole[figure] * amount / whole[key]
        assert offer[figure]["value"] == pytest.approx(float(expected), rel=1e-9), figure


@pytest.mark.parametrize("name", WHOLES)
def test_measures(ask: Audited, name: str) -> None:
    """Ratios of the wholes."""
    table = ask("compare", "chicken-rice.toml", "lentil-kits.toml", "--pouches", "pouches.csv",
                "--basis", "serving")  # fmt: skip
    [found] = [offer["measures"] for offer in table["offers"] if offer["name"] == name]
    it = WHOLES[name]
    expected = {
        "cost_per_serving": it["cost"] / it["servings"],
        "cost_per_100_kcal": it["cost"] / it["energy"] * 100,
        "kcal_per_usd": it["energy"] / it["cost"],
        "kcal_per_gram": it["energy"] / it["weight"],
        "protein_g_per_usd": it["protein"] / it["cost"],
        "sodium_mg_per_1000_kcal": it["sodium"] / it["energy"] * 1000,
    }
    assert set(found) == set(expected)
    for key, value in expected.items():
        assert found[key]["value"] == pytest.approx(float(value), rel=1e-9), key


def test_ends_of_a_pouch(ask: Audited) -> None:
    """290 is 285 to 295 kcal, 2 servings 1.5 to 2.25, 640 mg 635 to 645; price and weight are exact."""
    table = ask("compare", "chicken-rice.toml", "lentil-kits.toml", "--pouches", "pouches.csv",
                "--basis", "serving")  # fmt: skip
    [pouch] = [offer for offer in table["offers"] if offer["name"] == "Heron Creek lentil dal"]
    close(pouch["measures"]["kcal_per_usd"], *(kcal / F("10.50") for kcal in HERON_KCAL))
    close(pouch["measures"]["kcal_per_gram"], *(kcal / HERON_NET for kcal in HERON_KCAL))
    close(pouch["measures"]["cost_per_serving"], F("10.50") / F("2.25"), F("5.25"), F("10.50") / F("1.5"))
    close(pouch["measures"]["sodium_mg_per_1000_kcal"], F(635000, 295), F(640000, 290), F(645000, 285))


def test_first_statement(ask: Audited) -> None:
    """Chicken costs 0.0051 USD/kcal (18.38 to 18.86 for 3648 kcal), the dal 10.50 for 427.5 to 663.75."""
    table = ask("compare", "chicken-rice.toml", "lentil-kits.toml", "--pouches", "pouches.csv",
                "--basis", "serving")  # fmt: skip
    ours = [cost / of_pot("n208") for cost in POT_COST]
    theirs = [F("10.50") / kcal for kcal in HERON_KCAL]  # falling
    less = [round(100 * (1 - ratio)) for ratio in (
        ours[2] / theirs[2], ours[1] / theirs[1], ours[0] / theirs[0])]  # fmt: skip
    said = f"Chicken and rice costs {less[1]} % less ({less[0]} to {less[2]} %) than Heron Creek lentil dal"
    tie = float(ours[1] * HERON_KCAL[1])
    [statement] = [text for text in table["statements"] if said in text]
    assert f"draw level when the pouch sells at {tie:.2f} USD instead of 10.50 USD" in statement


def test_rank(ask: Audited) -> None:
    """'dollars per 1000 calories' and its inverse, cheapest first."""
    files = ("chicken-rice.toml", "lentil-kits.toml", "leftover-stew.toml", "--pouches", "pouches.csv")
    found = ask("rank", "dollars per 1000 calories", *files)
    stew = (STEW_CYCLE[1] + 3 * PACKED_EACH) / (19 * STEW["energy"])
    expected = [
        ("Leftover beef stew", stew), ("Chicken and rice", POT_COST[1] / of_pot("n208")),
        ("Lentil curry with peas", LENTIL_COST / LENTIL_ENERGY), ("Heron Creek lentil dal", F("10.50") / 580),
        ("Far Orchard chicken and rice", F("11.25") / 600), ("Slate Hut beef stew", F("12.95") / 500),
    ]  # fmt: skip
    assert [offer["name"] for offer in found["offers"]] == [name for name, _ in expected]
    for offer, (_, per_kcal) in zip(found["offers"], expected, strict=True):
        assert offer["value"]["value"] == pytest.approx(float(per_kcal * 1000), rel=1e-9)
        assert offer["inverse"]["value"] == pytest.approx(float(1 / per_kcal / 1000), rel=1e-9)


# -- payback, deal, plan -------------------------------------------------------------------------------

OUTLAY = F(2495 + 60 + 120)


@pytest.mark.parametrize("equal", ["kcal", "serving", "protein"])
def test_payback_of_one_batch(ask: Audited, equal: str) -> None:
    """The same in pouches - the batch's cost; batches are whole, seven a month (60 h each fit 12)."""
    words = ("payback", "lentil-kits.toml", "--pouches", "pouches.csv", "--machine", "machine.toml")
    found = ask(*words, "--equal", equal)[0]
    bought = {
        "kcal": HERON["price"] * LENTIL_ENERGY / HERON_KCAL[1],
        "serving": HERON["price"] * 16 / HERON["servings"],
        "protein": HERON["price"] * LENTIL_PROTEIN / (2 * HERON["protein"]),
    }[equal]
    saving = bought - LENTIL_COST
    close(found["outlay"], OUTLAY)
    assert found["saving_per_batch"]["value"] == pytest.approx(float(saving), rel=1e-9)
    batches = ceil(OUTLAY / saving)
    assert found["batches_to_break_even"]["value"] == batches
    assert found["months_to_break_even"]["value"] == pytest.approx(batches / 7, rel=1e-9)
    assert found["saving_per_year"]["value"] == pytest.approx(float(saving * 84), rel=1e-9)
    # Sold after ten years without a discount rate: 1200 less to earn.
    assert found["batches_to_break_even_if_sold"]["value"] == ceil((OUTLAY - 1200) / saving)


def test_payback_ends_and_mean_of_two_batches(ask: Audited) -> None:
    """Pump oil is the batch's own for the lentils, 3/5 of the machine's 0.80 for the chicken."""
    words = ("payback", "lentil-kits.toml", "chicken-rice.toml", "--pouches", "pouches.csv")
    found = ask(*words, "--machine", "machine.toml", "--against", "Heron Creek lentil dal")[0]
    peas = 2 * LB / 100 * 77
    # What moves both terms: 3598 to 3602 g of lentils; more food is more saved.
    savings = []
    for kcal, loaded, pouch, cycle in ((515, 3598, 2, 2), (520, 3600, 1, 1), (525, 3602, 0, 0)):
        per_kcal = HERON["price"] / HERON_KCAL[pouch]
        lentils = (6 * kcal + peas) * loaded / 3900 * per_kcal - LENTIL_LINES * loaded / 3900 - LENTIL_FIXED
        chicken = of_pot("n208") * per_kcal - POT_COST[cycle] - F("0.80") * 3 / 5
        savings.append((lentils + chicken) / 2)
    close(found["saving_per_batch"], *savings)
    least, middle, most = (ceil(OUTLAY / saving) for saving in reversed(savings))
    close(found["batches_to_break_even"], F(least), F(middle), F(most))
    close(found["months_to_break_even"], F(least, 7), F(middle, 7), F(most, 7))


def test_deal_at_the_shelf(ask: Audited) -> None:
    """Tie: ((6 x kit + peas) x pouch's USD/kcal - 2.58) / 6 - (4.93 + 5.36 + 0.80) / (6 x 3600/3900)."""
    found = ask("deal", "lentil-kits.toml", "--pouches", "pouches.csv", "--machine", "machine.toml",
                "--days-to-date", "10")  # fmt: skip
    peas = 2 * LB / 100 * 77
    ties = [
        ((6 * kcal + peas) * HERON["price"] / pouch - F("2.58")) / 6 - LENTIL_FIXED / 6 / F(loaded, 3900)
        for kcal, loaded, pouch in ((515, 3598, HERON_KCAL[2]), (520, 3600, HERON_KCAL[1]),
                                    (525, 3602, HERON_KCAL[0]))
    ]  # fmt: skip
    close(found["tie_price_per_package"], *ties)
    loads = floor(F(24 * 10, 54 + 6)) + 1  # a load that starts on the last hour counts
    assert found["loads_before_date"]["value"] == loads == 5
    assert found["packages_per_load"]["value"] == pytest.approx(float(6 * DRIED), rel=1e-9)
    assert found["packages_to_buy"]["value"] == floor(6 * DRIED * loads) == 27
    assert found["kcal_per_usd"]["value"] == pytest.approx(float(LENTIL_ENERGY / LENTIL_COST), rel=1e-9)
    assert found["cost_per_serving"]["value"] == pytest.approx(float(LENTIL_COST / 16), rel=1e-9)


def test_plan_is_the_cheapest_of_all_combinations(ask: Audited) -> None:
    """Energy need by the 2023 DRI equations; every mix of batches and a few pouches is tried.

    Women 19+, active: 710.25 - 7.01 age + 6.54 cm + 12.34 kg; men 19+, low active: 581.47 - 10.83 age
    + 8.30 cm + 14.94 kg (National Academies 2023, doi 10.17226/26818).
    """
    woman = F("710.25") - F("7.01") * 38 + F("6.54") * 168 + F("12.34") * 66
    man = F("581.47") - F("10.83") * 41 + F("8.30") * 180 + F("14.94") * 80
    need = 14 * (woman + man + 1700)
    most = need * 7 / 10  # max_share_per_offer
    lentils = (LENTIL_ENERGY, LENTIL_COST)
    chicken = (of_pot("n208"), POT_COST[1] + F("0.80") * 3 / 5)
    stew_each, stew_cost = 19 * STEW["energy"] / 6, STEW_CYCLE[1] + 3 * PACKED_EACH + F("0.80") * 2 / 5
    best = min(
        a * lentils[1] + b * chicken[1] + c * stew_cost + d * HERON["price"]
        for a, b, c, d in product(range(30), range(30), range(2), range(12))
        if min(a * lentils[0], most) + min(b * chicken[0], most) + (6 * c + 4) * stew_each + d * HERON_KCAL[1]
        >= need
    )
    found = ask("plan", "plan.toml")
    assert found["feasible"]
    assert found["cost"]["value"] == pytest.approx(float(best), rel=1e-9)
    assert found["per_person_day"]["energy"]["value"] == pytest.approx(float(need / 42), rel=1e-6)
    assert found["per_person_day"]["cost"]["value"] == pytest.approx(float(best / 42), rel=1e-9)
