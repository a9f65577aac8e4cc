"""A form and the document behind it say the same. The outside is TOML 1.0 (tomllib) and the public format."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from importlib import resources
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.api.batch_forms import FormError, document_of, form_of, read_form, typed, untyped, usual_form
from nutricost.api.demo import BATCHES
from nutricost.sources.documents import batch_from_table

DEMO = [(resources.files("nutricost.data") / "demo" / name).read_text(encoding="utf-8") for name in BATCHES]
words = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=12).filter(str.strip)


@pytest.mark.parametrize("text", DEMO)
def test_a_form_sent_back_as_it_came_changes_nothing(text: str) -> None:
    assert document_of(form_of(text), text).text == text


@pytest.mark.parametrize("text", DEMO)
def test_a_document_written_from_its_form_reads_the_same(text: str) -> None:
    form = {field: value for field, value in form_of(text).items() if not field.endswith(".from")}
    again = document_of(form).text
    before, after = (tomllib.loads(one, parse_float=Decimal) for one in (text, again))
    assert form_of(again) == form_of(text)
    assert batch_from_table(before, "a").title == batch_from_table(after, "a").title
    assert after.keys() == before.keys()
    assert after["ingredients"] == before["ingredients"] and after.get("labels") == before.get("labels")


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("12", "amount", Decimal(12)),
        ("3.5 to 4", "amount", [Decimal("3.5"), Decimal(4)]),
        ("3.5 to 4 kg", "amount", ["3.5 kg", "4 kg"]),
        ("about 2.5", "amount", "about 2.5"),
        ("<1", "amount", "<1"),
        ("12.50 EUR", "amount", "12.50 EUR"),
        ("0.9 kg, 0.8 kg", "weights", ["0.9 kg", "0.8 kg"]),
        ("0.9 kg to 1 kg", "weights", [["0.9 kg", "1 kg"]]),
        ("12", "text", "12"),
        ("yes", "flag", True),
        ("soon", "date", "soon"),
        ("nan", "amount", "nan"),
        ("1e9", "amount", "1e9"),
    ],
)
def test_what_is_typed_becomes_a_value_and_back(text: str, kind: str, value: object) -> None:
    assert typed(text, kind) == value  # type: ignore[arg-type]
    assert typed(untyped(value, kind), kind) == value  # type: ignore[arg-type]


@settings(max_examples=60)
@given(title=words, line=words, name=words, note=words)
def test_any_text_survives(title: str, line: str, name: str, note: str) -> None:
    form = {"title": title, "servings": "2", "ingredients[4].line": line, "rehydration.note": note,
            "other_costs[1].name": name, "other_costs[1].amount": "1.10"}  # fmt: skip
    edited, batch = read_form(form)
    content = tomllib.loads(edited.text)
    assert content["title"] == title.strip() and content["ingredients"][0]["line"] == line.strip()
    assert content["other_costs"] == {name.strip(): 1.1} and batch.rehydration is not None
    shown = form_of(edited.text)
    assert shown["rehydration.note"] == note.strip() and shown["other_costs[0].name"] == name.strip()


def test_rows_are_added_changed_and_removed_in_place() -> None:
    text = DEMO[0]
    form = form_of(text)
    form["ingredients[0].paid"] = "10"
    form = {field: value for field, value in form.items() if not field.startswith("ingredients[1]")}
    form |= {"ingredients[7].line": "1 lb rice", "drying.weighings[1].weight": "0.8815 kg"}
    form["drying.dry_weight"] = ""
    changed = document_of(form, text).text
    content = tomllib.loads(changed, parse_float=Decimal)
    assert [line["line"] for line in content["ingredients"]] == ["6 kits lentil curry", "1 lb rice"]
    assert content["ingredients"][0]["paid"] == 10 and content["ingredients"][0]["normal"] == Decimal("29.94")
    assert content["drying"]["weighings"][1] == {"hours": 52, "weight": "0.8815 kg"}
    assert "dry_weight" not in content["drying"] and "# typed in as printed" in changed


def test_a_label_is_renamed_with_its_lines() -> None:
    text = DEMO[0]
    form = form_of(text) | {"labels[0].name": "dal kit", "ingredients[0].label": "dal kit"}
    edited, batch = read_form(form, text)
    assert list(batch.labels) == ["dal kit"] and batch.ingredients[0].label == "dal kit"
    assert '"lentil curry kit"' not in edited.text


def test_problems_are_told_by_the_field_of_the_form() -> None:
    text = DEMO[0]
    form = form_of(text) | {"labels[0].calories": "many", "drying.wet_weight": "0.9 kg, x, 0.8 kg, 1 kg"}
    form |= {"ingredients[5].line": "1 lb rice", "ingredients[5].paid": "-3", "ingredients[0].line": ""}
    with pytest.raises(FormError) as found:
        read_form(form, text)
    assert {"labels[0].calories", "drying.wet_weight", "ingredients[5].paid", "ingredients[0].line"} == set(
        found.value.by_field
    )


def test_two_rows_of_one_name_and_rows_without_a_name() -> None:
    form = {"title": "a", "servings": "1", "ingredients[0].line": "1 lb rice"}
    rows = {"other_costs[0].name": "oil", "other_costs[0].amount": "1", "other_costs[1].name": "oil",
            "other_costs[1].amount": "2", "other_costs[2].amount": "3"}  # fmt: skip
    with pytest.raises(FormError) as found:
        read_form({**form, **rows})
    assert set(found.value.by_field) == {"other_costs[1].name", "other_costs[2].name"}


def test_a_new_batch_starts_with_the_tariff_of_the_settings(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert usual_form() == {}
    monkeypatch.setenv("NUTRICOST_PRICE_PER_KWH", "0.31")
    monkeypatch.setenv("NUTRICOST_CURRENCY", "EUR")
    assert usual_form() == {"currency": "EUR", "drying.price_per_kwh": "0.31"}
