"""Stand-in answers against FoodData Central's own OpenAPI document (version 1.0.0, CC0)."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import yaml
from openapi_schema_validator import OAS30Validator

ROOT = Path(__file__).parents[2]
DOCUMENT = ROOT.parent / "shared" / "fdc" / "openapi.yml"
CASSETTES = sorted((ROOT / "fixtures" / "http").glob("*.yaml"))

beside_the_document = pytest.mark.skipif(
    not DOCUMENT.exists(), reason="FoodData Central's OpenAPI document lies beside the checkout in CI only"
)

SCHEMAS = {
    "SR Legacy": "SRLegacyFoodItem",
    "Foundation": "FoundationFoodItem",
    "Survey (FNDDS)": "SurveyFoodItem",
    "Branded": "BrandedFoodItem",
}


def faults(value: Any, schema: str) -> list[str]:
    """Where the value breaks the schema of this name."""
    components = yaml.safe_load(DOCUMENT.read_text(encoding="utf-8"))["components"]
    validator = OAS30Validator({"$ref": f"#/components/schemas/{schema}", "components": components})
    return [f"{list(error.absolute_path)}: {error.message}" for error in validator.iter_errors(value)]


@beside_the_document
@pytest.mark.parametrize("path", CASSETTES, ids=lambda path: str(path.stem))
def test_recorded_answers_follow_the_document(path: Path) -> None:
    """Each food by the schema of its own data type.

    The document's `oneOf` over all types can't be met: what fits one of them fits Survey as well. A search
    answer is one object there and in reality, though the document says a list of them.
    """
    for interaction in yaml.safe_load(path.read_text(encoding="utf-8"))["interactions"]:
        response = interaction["response"]
        if response["status"]["code"] != 200 or path.stem in ("fault-html", "fault-cut"):
            continue
        answer = json.loads(response["body"]["string"])
        endpoint = urlsplit(interaction["request"]["uri"]).path
        if endpoint.endswith("/foods/search"):
            assert faults(answer, "SearchResult") == []
        else:
            foods = [answer] if re.search(r"/food/\d+$", endpoint) else answer
            assert foods
            for food in foods:
                assert faults(food, SCHEMAS[food["dataType"]]) == []


@beside_the_document
def test_the_check_finds_a_fault() -> None:
    assert faults({"fdcId": "1", "dataType": "Branded", "description": "a"}, "BrandedFoodItem") != []


def test_recorded_answers_show_what_real_ones_do() -> None:
    """checks.md 9: upper-case units in search, a kJ row named Energy, headers without amount, '0E-8'."""

    def body(name: str) -> str:
        text = (ROOT / "fixtures" / "http" / f"{name}.yaml").read_text(encoding="utf-8")
        answer: str = yaml.safe_load(text)["interactions"][0]["response"]["body"]["string"]
        return answer

    assert '"unitName": "KCAL"' in body("search")
    assert '"unitName": "kJ"' in body("search")
    assert '"unitName": "kcal"' in body("detail")
    assert '"Proximates"' in body("detail")
    assert '"amount": 0E-8' in body("detail-survey")
    assert '"GRM"' in body("barcode")
