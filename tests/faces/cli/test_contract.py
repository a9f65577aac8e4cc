"""The public JSON of the commands, on the demo documents and small ones of our own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import simplejson

from nutricost.api.documents import cards_of, compare_files, read_batches
from nutricost.api.tracing import figure_paths
from nutricost.api.views import card_view

Run = Callable[..., Any]
NUTRIENTS = {"energy", "protein", "fat", "saturated_fat", "carbohydrate", "fiber", "sugar", "sodium"}
PER = NUTRIENTS | {"weight_dry", "weight_wet", "water_to_add", "cost"}


def is_figure(value: Any) -> bool:
    if not isinstance(value, dict) or "unit" not in value:
        return False
    if value["value"] is None:
        return bool(value["why"])
    # An end without a limit is written as null.
    low, high = value["low"], value["high"]
    return (low is None or low <= value["value"]) and (high is None or value["value"] <= high)


def test_card_has_every_key_of_the_contract(run: Run, demo: Path) -> None:
    card = run("card", demo / "lentil-kits.toml", "--json").data
    assert card["title"] and card["servings"] == 16
    assert set(card["per_serving"]) >= PER and set(card["per_batch"]) >= PER
    assert all(is_figure(card["per_serving"][key]) for key in PER)
    assert card["per_serving"]["energy"]["unit"] == "kcal/serving"
    assert card["per_batch"]["sodium"]["unit"] == "mg"
    assert card["per_serving"]["cost"]["unit"] == "USD/serving"
    assert set(card["costs"]) >= {"ingredients", "energy", "packing", "other", "total"}
    drying = card["drying"]
    assert {"solids", "water_removed", "residual_moisture", "minimum_energy", "measured_energy"} <= set(
        drying
    )
    assert drying["minimum_energy"]["unit"] == drying["measured_energy"]["unit"] == "kWh"
    assert set(card["coverage"]) >= NUTRIENTS
    assert all({"code", "text", "source"} <= set(caution) for caution in card["cautions"])
    assert isinstance(card["warnings"], list)
    line = card["lines"][1]
    assert {"line", "status", "amount", "grams", "food", "confidence", "candidates", "cost"} <= set(line)
    assert line["share_of_purchase"]["value"] == pytest.approx(0.4)


def test_card_of_the_demo_recomputed_by_hand(run: Run, demo: Path) -> None:
    card = run("card", demo / "lentil-kits.toml", "--json").data
    # 6 kits of 520 kcal (printed for the container) and 2 lb of peas at 77 kcal/100 g (SR28 11312),
    # of which 3.6 kg of 3.9 kg were dried.
    energy = (6 * 520 + 907.18474 * 0.77) * 3600 / 3900
    assert card["per_batch"]["energy"]["value"] == pytest.approx(energy, rel=1e-9)
    # 11.94 and 2/5 of 6.45; scaled; 29 kWh x 0.17; 8 x (0.55 + 0.12); 0.80.
    total = (11.94 + 2.58) * 3600 / 3900 + 4.93 + 5.36 + 0.80
    assert card["costs"]["total"]["value"] == pytest.approx(total, rel=1e-9)
    assert card["drying"]["water_removed"]["value"] == 3600 - 880
    # 2.72 kg x 2838 kJ/kg / 3600 (Murphy and Koop 2005, eq. 5 at -20 C).
    assert card["drying"]["minimum_energy"]["value"] == pytest.approx(2.72 * 2838 / 3600, rel=1e-3)


def test_compare_has_every_key_of_the_contract(run: Run, demo: Path) -> None:
    table = run("compare", demo / "lentil-kits.toml", "--pouches", demo / "pouches.csv", "--json").data
    assert table["basis"] == "serving"
    assert [offer["kind"] for offer in table["offers"]] == ["home", "pouch", "pouch", "pouch"]
    for offer in table["offers"]:
        assert set(offer) >= {"name", "kind", "servings", "cost", "energy", "protein", "sodium", "weight"}
        assert set(offer["measures"]) == {
            "cost_per_serving", "cost_per_100_kcal", "kcal_per_usd", "kcal_per_gram", "protein_g_per_usd",
            "sodium_mg_per_1000_kcal",
        }  # fmt: skip
        assert all(is_figure(figure) for figure in offer["measures"].values())
    assert table["statements"] and all(isinstance(text, str) for text in table["statements"])


def test_a_ratio_and_its_inverse_agree(run: Run, demo: Path) -> None:
    table = run("compare", demo / "lentil-kits.toml", "--pouches", demo / "pouches.csv", "--json").data
    for offer in table["offers"]:
        measures = offer["measures"]
        product = measures["cost_per_100_kcal"]["value"] * measures["kcal_per_usd"]["value"]
        assert product == pytest.approx(100, rel=1e-9)


@pytest.mark.parametrize(
    ("basis", "key", "amount"),
    [
        ("100kcal", "energy", 100),
        ("1000kcal", "energy", 1000),
        ("25g-protein", "protein", 25),
        ("100g", "weight", 100),
    ],
)
def test_bases_fix_their_amount(run: Run, demo: Path, basis: str, key: str, amount: int) -> None:
    arguments = (
        "compare",
        demo / "lentil-kits.toml",
        "--pouches",
        demo / "pouches.csv",
        "--basis",
        basis,
        "--json",
    )
    table = run(*arguments).data
    for offer in table["offers"]:
        assert offer[key]["value"] == amount
        per_kcal = offer["cost"]["value"] / offer["energy"]["value"]
        assert per_kcal * 100 == pytest.approx(offer["measures"]["cost_per_100_kcal"]["value"], rel=1e-9)


def test_rank_answers_with_both_the_ratio_and_its_inverse(run: Run, demo: Path) -> None:
    ranked = run(
        "rank",
        "dollars per 1000 calories",
        demo / "lentil-kits.toml",
        "--pouches",
        demo / "pouches.csv",
        "--json",
    ).data
    assert (ranked["unit"], ranked["inverse_unit"]) == ("USD/1000 kcal", "1000 kcal/USD")
    values = [offer["value"]["value"] for offer in ranked["offers"]]
    assert values == sorted(values)
    assert ranked["offers"][0]["kind"] == "home"
    for offer in ranked["offers"]:
        assert offer["value"]["value"] * offer["inverse"]["value"] == pytest.approx(1, rel=1e-9)


def test_rank_refuses_an_unknown_quantity_with_the_list(run: Run, demo: Path) -> None:
    ran = run("rank", "happiness per dollar", demo / "lentil-kits.toml")
    assert ran.code == 1
    assert "machine hour" in ran.err


def test_eighteen_dollars_for_thirty_servings(run: Run, tmp_path: Path) -> None:
    # Plain arithmetic: 18 / 30 = 0.60 USD/serving; 30 / 18 = 1.67 servings/USD.
    pouches = tmp_path / "p.csv"
    pouches.write_text("name,price,servings,calories\nTin Gate oats,18,30,150\n")
    ranked = run("rank", "dollars per serving", "--pouches", pouches, "--json").data
    offer = ranked["offers"][0]
    assert offer["value"]["value"] == pytest.approx(0.60)
    assert offer["value"]["unit"] == "USD/serving"
    assert offer["inverse"]["value"] == pytest.approx(1.6667, abs=1e-4)
    assert offer["inverse"]["unit"] == "serving/USD"


def test_match_answers_each_line_in_order(run: Run) -> None:
    lines = "2 lb boneless chicken breast\n\n1 cup glimzorp\n"
    found = run("match", "-", "--json", "--source", "sr28", stdin=lines).data
    assert [entry["line"] for entry in found] == ["2 lb boneless chicken breast", "1 cup glimzorp"]
    assert found[0]["status"] == "matched"
    assert found[0]["food"]["ndb_number"] == "05062"
    assert found[0]["amount"] == {"low": 2, "high": 2, "unit": "lb"}
    assert found[0]["grams"]["value"] == pytest.approx(907.18474)
    assert found[1]["status"] in ("none", "unsure")
    assert all(len(entry["candidates"]) <= 5 for entry in found)


def test_the_amount_of_a_line_is_as_written_whatever_it_draws_on(run: Run, tmp_path: Path) -> None:
    # Was: null for a line that draws on a label, and 50 for what was poured off.
    batch = tmp_path / "soup.toml"
    batch.write_text(
        'title = "Invented soup"\nservings = 8\n'
        '[[ingredients]]\nline = "2-3 cans soup"\nlabel = "soup"\n'
        '[[ingredients]]\nline = "soup"\nlabel = "soup"\n'
        '[[ingredients]]\nline = "-50 g butter"\n'
        '[labels.soup]\nserving_size = "245 g"\ncalories = 90\nnet_weight = "490 g"\n',
        encoding="utf-8",
    )
    assert [line["amount"] for line in run("card", batch, "--json").data["lines"]] == [
        {"low": 2, "high": 3, "unit": "can"},
        None,
        {"low": -50, "high": -50, "unit": "g"},
    ]


def test_the_same_dish_made_twice_stands_twice(run: Run, demo: Path) -> None:
    # Was: the text showed one row for both, the later one, and mixed what is said of them.
    text = (demo / "lentil-kits.toml").read_text(encoding="utf-8")
    (demo / "again.toml").write_text(text.replace("paid = 11.94", "paid = 19.94"), encoding="utf-8")
    files = (demo / "lentil-kits.toml", demo / "again.toml", "--pouches", demo / "pouches.csv")
    first, second = run("compare", *files, "--json").data["offers"][:2]
    assert (first["name"], second["name"]) == ("Lentil curry with peas", "Lentil curry with peas (2)")
    assert first["cost"]["value"] < second["cost"]["value"]
    shown = " ".join(run("compare", *files).out.split())
    assert all(f"{offer['cost']['value']:.2f}" in shown for offer in (first, second))
    assert "Lentil curry with peas against" in shown and "Lentil curry with peas (2) against" in shown


def test_what_is_bought_keeps_its_name_beside_a_dish_of_that_name(run: Run, demo: Path) -> None:
    text = (demo / "lentil-kits.toml").read_text(encoding="utf-8")
    same = text.replace('title = "Lentil curry with peas"', 'title = "Heron Creek lentil dal"')
    (demo / "same.toml").write_text(same, encoding="utf-8")
    offers = run("compare", demo / "same.toml", "--pouches", demo / "pouches.csv", "--json").data["offers"]
    names = {offer["name"]: offer["kind"] for offer in offers}
    assert len(names) == len(offers)
    assert names["Heron Creek lentil dal"] == "pouch"
    assert names["Heron Creek lentil dal (2)"] == "home"


def test_find_gives_foods_with_group_and_values(run: Run) -> None:
    found = run("find", "sweet corn frozen", "--limit", "3", "--json").data
    assert len(found) == 3
    assert {"group", "per_100g", "description", "source", "fdc_id"} <= set(found[0])
    assert is_figure(found[0]["per_100g"]["energy"])


def walk(view: Any) -> Iterator[tuple[str, Any]]:
    yield from figure_paths(view)


def test_every_figure_can_be_traced_and_adds_up(demo: Path) -> None:
    """Every figure of card and compare recomputes from its parts, down to its inputs, exactly."""
    paths = [str(demo / name) for name in ("lentil-kits.toml", "leftover-stew.toml", "chicken-rice.toml")]
    views = [card_view(card) for card in cards_of(read_batches(paths))]
    views.append(compare_files(paths, str(demo / "pouches.csv"), "100kcal").view())
    seen = 0
    for view in views:
        for path, figure in walk(view):
            if figure.value is None:
                assert figure.why, path
                continue
            seen += 1
            for step in figure.walk():
                if step.parts:
                    assert step.recomputed([part.must() for part in step.parts]) == step.value, path
                else:
                    assert step.source, f"{path}: the input {step.name!r} names no source"
            assert figure.low <= figure.value <= figure.high, path
    assert seen > 150


def test_trace_prints_a_tree_down_to_documents(run: Run, demo: Path) -> None:
    tree = run("trace", demo / "lentil-kits.toml", "per_serving.cost", "--json").data
    assert set(tree) >= {"name", "figure", "formula", "source", "parts"}
    text = run("trace", demo / "lentil-kits.toml", "per_serving.cost").out
    assert "ingredients[0].paid" in text
    kcal = run(
        "trace", demo / "lentil-kits.toml", "measures.kcal_per_usd", "--pouches", demo / "pouches.csv"
    ).out
    assert "calories" in kcal and "sr28" in kcal


def test_trace_of_an_unknown_path_names_near_ones(run: Run, demo: Path) -> None:
    ran = run("trace", demo / "lentil-kits.toml", "per_serving.energi")
    assert ran.code == 1
    assert "per_serving.energy" in ran.err


def test_a_place_in_a_list_may_be_a_step_of_its_own(run: Run, demo: Path) -> None:
    # Was: 'lines.0.grams', as some JSON tools write the same place, was refused.
    kits = demo / "lentil-kits.toml"
    pouches = ("--pouches", demo / "pouches.csv", "--json")
    for dotted, brackets in (("lines.0.grams", "lines[0].grams"), ("offers.1.cost", "offers[1].cost")):
        assert run("trace", kits, dotted, *pouches).data == run("trace", kits, brackets, *pouches).data
    for wrong in ("lines.99.grams", "title.0", "lines[0].line.0"):
        assert run("trace", kits, wrong, *pouches).code == 1


def test_what_if_changes_the_answer_and_not_the_file(run: Run, demo: Path) -> None:
    before = (demo / "lentil-kits.toml").read_bytes()
    plain = run("card", demo / "lentil-kits.toml", "--json").data
    changed = run("card", demo / "lentil-kits.toml", "--set", "drying.energy=40 kWh", "--json").data
    assert changed["costs"]["energy"]["value"] == pytest.approx(40 * 0.17)
    assert plain["costs"]["energy"]["value"] == pytest.approx(29 * 0.17)
    assert (demo / "lentil-kits.toml").read_bytes() == before


def test_json_money_is_written_from_the_decimal(run: Run, demo: Path) -> None:
    text = run("card", demo / "lentil-kits.toml", "--json").out
    card = simplejson.loads(text, use_decimal=True)
    assert card["lines"][1]["cost"]["value"] == Decimal("2.58")
    assert '"value": 2.58' in text


def test_demo_prints_and_writes(run: Run, tmp_path: Path) -> None:
    ran = run("demo", tmp_path / "d")
    assert ran.code == 0
    assert "invented" in ran.out
    assert (tmp_path / "d" / "pouches.csv").exists()
    data = run("demo", tmp_path / "d", "--json").data
    assert {"card", "compare", "files"} <= set(data)


def test_usual_comparison_does_not_wake_pint_or_pandas(shell: Run, demo: Path) -> None:
    """Cold start: the slow libraries stay asleep (what this saves is in scripts/bench)."""
    code = (
        "import sys; from nutricost.api.documents import compare_files;"
        "from nutricost.api.public_form import plain;"
        f"plain(compare_files([{str(demo / 'lentil-kits.toml')!r}], {str(demo / 'pouches.csv')!r}).view());"
        "print([name for name in ('pint', 'pandas', 'numpy', 'matplotlib') if name in sys.modules])"
    )
    import subprocess
    import sys

    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip() == "[]"
