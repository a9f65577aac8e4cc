"""Tables, settings, barcodes and recipes from elsewhere on the command line."""

from __future__ import annotations

import json
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pytest
from bulk_samples import csv_files, embedded_foods, zipped
from click.testing import CliRunner, Result

from nutricost.errors import NutricostError
from nutricost.faces.cli import barcode as barcode_face
from nutricost.faces.cli import recipe, settings, tables

RECIPE = {
    "@type": "Recipe",
    "name": "Invented lentil stew",
    "recipeYield": "4",
    "recipeIngredient": ["2 cups dried lentils", "1 onion"],
}


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NUTRICOST_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("NUTRICOST_DATA_FOLDER", str(tmp_path / "data"))
    monkeypatch.setenv("NUTRICOST_CACHE_FOLDER", str(tmp_path / "cache"))
    monkeypatch.setenv("NUTRICOST_OFFLINE", "true")
    monkeypatch.delenv("NUTRICOST_FDC_API_KEY", raising=False)


def run(command: Any, *arguments: str) -> Result:
    return CliRunner().invoke(command, list(arguments))


def test_import_list_refresh_remove(tmp_path: Path) -> None:
    path = zipped(tmp_path / "a.zip", csv_files(embedded_foods(4)))
    said = run(tables.command, "import", str(path), "--name", "mine")
    assert said.exit_code == 0, said.output
    assert "mine: 15 foods, 4 labels" in said.stdout
    assert "left out: 1 foods that break a law (sugar 1)" in said.stdout
    (listed,) = json.loads(run(tables.command, "list", "--json").stdout)
    assert (listed["name"], listed["foods"], listed["rejected"]) == ("mine", 15, {"sugar": 1})
    assert Path(listed["rejected_file"]).exists()
    assert "mine" in run(tables.command, "list").stdout
    assert json.loads(run(tables.command, "refresh", "mine", "--json").stdout)["size_bytes"] > 0
    assert "removed mine" in run(tables.command, "remove", "mine").stdout
    assert json.loads(run(tables.command, "list", "--json").stdout) == []


def test_a_wrong_file_is_one_clear_line(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr("../food.csv", "x")
    said = run(tables.command, "import", str(tmp_path / "a.zip"))
    assert isinstance(said.exception, NutricostError)
    assert "leads out of the archive" in str(said.exception)


def test_barcode(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = zipped(tmp_path / "a.zip", csv_files(embedded_foods(2)))
    run(tables.command, "import", str(path), "--name", "mine")
    barcode_face.find_barcode("0012345678905", (), False)
    out, err = capsys.readouterr()
    label = tomllib.loads(out)["labels"]["invented lentil stew, spicy"]
    assert label["serving_size"] == "1 cup (245 g)"
    assert "from mine" in err
    barcode_face.find_barcode("0012345678905", ("branded",), True)
    assert json.loads(capsys.readouterr().out)["label"] == out
    barcode_face.find_barcode("6291041500213", ("branded",), True)
    assert json.loads(capsys.readouterr().out) is None
    barcode_face.find_barcode("6291041500213", ("branded",), False)
    assert "type its label in by hand" in capsys.readouterr().err
    with pytest.raises(NutricostError, match="offline"):
        barcode_face.find_barcode("6291041500213", (), False)
    with pytest.raises(NutricostError, match="accepted: branded, live"):
        barcode_face.find_barcode("6291041500213", ("sr28",), False)


def test_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    key = "invented-key-0123456789"
    assert run(settings.command, "set", "fdc_api_key", key).exit_code == 0
    shown = json.loads(run(settings.command, "--json").stdout)
    assert shown["fdc_api_key"]["value"] == "(hidden)"
    assert shown["offline"] == {"value": "true", "origin": "environment NUTRICOST_OFFLINE"}
    text = run(settings.command).output
    assert key not in text
    assert "cache_max_age_days" in text
    run(settings.command, "unset", "fdc_api_key")
    assert json.loads(run(settings.command, "--json").stdout)["fdc_api_key"]["value"] == "(none)"
    assert isinstance(run(settings.command, "set", "ofline", "1").exception, NutricostError)


def test_recipe_to_batch_and_back(tmp_path: Path) -> None:
    (tmp_path / "r.json").write_text(json.dumps([RECIPE, RECIPE]), encoding="utf-8")
    said = run(recipe.command, "read", str(tmp_path / "r.json"), "--servings", "6")
    assert tomllib.loads(said.stdout)["servings"] == 6
    assert "2 recipes in it" in said.stderr
    (tmp_path / "b.toml").write_text(said.stdout, encoding="utf-8")
    back = json.loads(run(recipe.command, "write", str(tmp_path / "b.toml")).stdout)
    assert back["recipeIngredient"] == RECIPE["recipeIngredient"]
    assert run(recipe.command, "read", str(tmp_path / "r.json"), "--servings", "none").exit_code == 2
