"""Entering and changing things on the page: problems beside the field, nothing typed is lost.

The outside here is the public document format: what the page keeps is read back by the strict reader.
"""

from __future__ import annotations

import re
from html import unescape

import pytest
from page_visitor import NEW_BATCH, NEW_POUCH, Visitor

from nutricost.api.kitchen import Kitchen
from nutricost.errors import StaleEdit
from nutricost.settings import load_settings


def field(html: str, name: str) -> str:
    """What stands in a field."""
    found = re.search(rf'<input id="{re.escape(name)}"[^>]*? value="([^"]*)"', html)
    assert found is not None, name
    return unescape(found[1])


def wrong_at(html: str, name: str) -> str:
    """The problem shown beside a field."""
    found = re.search(rf'id="{re.escape(name)}-wrong">(.*?)</span>\s*</div>', html, re.DOTALL)
    assert found is not None, name
    return unescape(re.sub(r"<[^>]+>", "", found[1])).strip()


def revision(html: str) -> str:
    found = re.search(r'name="revision" value="(\d+)"', html)
    assert found is not None
    return found[1]


def test_a_batch_is_kept_as_a_plain_document(visitor: Visitor) -> None:
    saved = visitor.send(
        "/batches/new",
        {
            **NEW_BATCH,
            "drying.cost": "3.5 to 5",
            "drying.trays": "2",
            "drying.wet_weight": "0.9 kg, 0.8 kg",
            "ingredients[1].for": "2 lb",
        },
    )
    assert saved.status_code == 303 and saved.headers["location"] == "/batches/corn-and-beans?saved"
    text = visitor.get("/batches/corn-and-beans/document.json").json()["text"]
    assert 'title = "Corn and beans"' in text and "paid = 4.50" in text
    assert (
        "cost = [3.5, 5]" in text and 'wet_weight = ["0.9 kg", "0.8 kg"]' in text and 'for = "2 lb"' in text
    )
    form = visitor.get("/batches/corn-and-beans/edit").text
    assert field(form, "drying.cost") == "3.5 to 5" and field(form, "drying.wet_weight") == "0.9 kg, 0.8 kg"


def test_problems_stand_beside_their_field_and_what_was_typed_stays(visitor: Visitor) -> None:
    typed = {
        **NEW_BATCH,
        "servings": "six",
        "ingredients[1].paid": "much",
        "drying.energy": "29",
        "ingredients[0].label": "no such",
        "labels[3].name": "soup",
        "labels[3].calories": "lots",
    }
    answer = visitor.send("/batches/new", typed)
    assert answer.status_code == 422
    for name, text in typed.items():
        assert field(answer.text, name) == text
    assert "six" in wrong_at(answer.text, "servings")
    assert "much" in wrong_at(answer.text, "ingredients[1].paid")
    assert "no unit" in wrong_at(answer.text, "drying.energy") and "kWh" in wrong_at(
        answer.text, "drying.energy"
    )
    assert "no such" in wrong_at(answer.text, "ingredients[0].label")
    assert "missing" in wrong_at(answer.text, "labels[3].serving_size")
    assert wrong_at(answer.text, "title") == ""
    assert visitor.get("/batches.json").json()["batches"] == []


def test_an_empty_form_names_each_missing_key(visitor: Visitor) -> None:
    answer = visitor.send("/batches/new", {"title": ""})
    assert answer.status_code == 422
    assert "missing" in wrong_at(answer.text, "title") and "missing" in wrong_at(answer.text, "servings")
    assert "ingredients" in answer.text


def test_comments_and_keys_that_the_form_does_not_show_stay(demo: Visitor) -> None:
    before = Kitchen(demo.book).stored_batch("lentil-kits")
    more = before.text + '\n[[losses]]\nwhat = "tasted"   # by the cook\nservings = 0.5\n'
    Kitchen(demo.book).save_text(
        more.replace("bags = 8", "bags = 8\naltitude_m = 1600"), "lentil-kits", before.revision
    )
    page = demo.get("/batches/lentil-kits/edit").text
    form = {
        unescape(name): unescape(value)
        for name, value in re.findall(
            r'<input (?:type="hidden" |id="[^"]+" )name="([^"]+)" value="([^"]*)"', page
        )
        if "NUMBER" not in name and name != "csrf"
    }
    form["title"] = "Lentil curry"
    assert demo.send("/batches/lentil-kits/edit", form).status_code == 303
    after = Kitchen(demo.book).stored_batch("lentil-kits").text
    assert "# typed in as printed" in after and "# by the cook" in after and "altitude_m = 1600" in after
    assert after.replace('"Lentil curry"', '"Lentil curry with peas"') == more.replace(
        "bags = 8", "bags = 8\naltitude_m = 1600"
    )


def test_the_second_of_two_tabs_is_told_and_loses_nothing(demo: Visitor) -> None:
    page = demo.get("/batches/chicken-rice/edit").text
    seen = revision(page)
    form = {
        "title": "Chicken and rice",
        "servings": "9",
        "ingredients[0].line": "2 lb chicken breast",
        "of": "chicken-rice",
    }
    assert (
        demo.send("/batches/chicken-rice/edit", {**form, "revision": seen, "servings": "8"}).status_code
        == 303
    )
    second = demo.send("/batches/chicken-rice/edit", {**form, "revision": seen, "servings": "7"})
    assert second.status_code == 409
    assert field(second.text, "servings") == "7", "what the second tab typed is still there"
    assert "changed in the book" in second.text and ">8<" in second.text, "what the first one saved is shown"
    assert Kitchen(demo.book).stored_batch("chicken-rice").servings == "8"
    again = demo.send(
        "/batches/chicken-rice/edit", {**form, "revision": revision(second.text), "servings": "7"}
    )
    assert again.status_code == 303
    assert Kitchen(demo.book).stored_batch("chicken-rice").servings == "7"


def test_a_batch_removed_in_another_tab_can_be_saved_again(demo: Visitor) -> None:
    seen = revision(demo.get("/batches/chicken-rice/edit").text)
    assert demo.send("/batches/chicken-rice/remove", {"revision": seen}).status_code == 303
    answer = demo.send("/batches/chicken-rice/edit", {**NEW_BATCH, "revision": seen})
    assert answer.status_code in (404, 409)
    if answer.status_code == 409:
        assert field(answer.text, "title") == NEW_BATCH["title"]


def test_page_and_command_on_one_book(demo: Visitor) -> None:
    """A change by another program between opening and saving is noticed too."""
    seen = revision(demo.get("/batches/lentil-kits/document").text)
    kitchen = Kitchen(demo.book)
    text = kitchen.stored_batch("lentil-kits").text
    kitchen.save_text(text.replace("servings = 16", "servings = 15"), "lentil-kits", int(seen))
    mine = text.replace("servings = 16", "servings = 14")
    answer = demo.send("/batches/lentil-kits/document", {"text": mine, "revision": seen})
    assert answer.status_code == 409 and "servings = 14" in answer.text and "servings = 15" in answer.text
    with pytest.raises(StaleEdit):
        kitchen.save_text(mine, "lentil-kits", int(seen))


def test_totals_while_typing_leave_out_what_cannot_be_read(visitor: Visitor) -> None:
    half = {
        "ingredients[0].line": "2 lb frozen corn",
        "ingredients[0].paid": "4.50",
        "ingredients[1].line": "1 lb rice",
        "ingredients[1].paid": "4,x",
        "servings": "",
        "of": "",
    }
    answer = visitor.send("/batches/preview.json", half).json()
    assert set(answer["problems"]) == {"ingredients[1].paid"}
    assert answer["totals"]["per_batch"]["energy"]["value"] > 0
    assert answer["totals"]["per_batch"]["cost"]["value"] is None, "the unread price is not taken as nothing"
    assert answer["lines"]["ingredients[0]"]["food"]["description"]
    assert visitor.send("/batches/preview.json", {}).json()["totals"] is None
    assert visitor.get("/batches.json").json()["batches"] == [], "nothing is kept by looking"


def test_another_food_is_picked_and_remembered(visitor: Visitor) -> None:
    first = visitor.send("/batches/preview.json", NEW_BATCH).json()["lines"]["ingredients[0]"]
    other = next(
        food
        for food in first["candidates"]
        if food["key"] != first["food"]["key"] and food["source"] == "sr28"
    )
    saved = visitor.send("/batches/new", {**NEW_BATCH, "ingredients[0].food": other["key"]})
    assert saved.status_code == 303
    card = visitor.get("/batches/corn-and-beans.json").json()
    assert card["lines"][0]["food"]["key"] == other["key"]
    again = visitor.send("/batches/preview.json", NEW_BATCH).json()["lines"]["ingredients[0]"]
    assert again["food"]["key"] == other["key"], "the kitchen remembers what was picked"


def test_pouches_are_kept_with_their_prices(visitor: Visitor) -> None:
    assert visitor.send("/pouches/new", NEW_POUCH).status_code == 303
    page = visitor.get("/pouches/edit?name=Far%20Meadow%20stew").text
    seen = re.search(r'name="seen" value="(\w+)"', page)
    assert seen is not None
    change = {**NEW_POUCH, "was": NEW_POUCH["name"], "seen": seen[1]}
    assert (
        visitor.send("/pouches/edit", {**change, "price": "8.95", "place": "corner shop"}).status_code == 303
    )
    stale = visitor.send("/pouches/edit", {**change, "price": "7.95"})
    assert stale.status_code == 409 and field(stale.text, "price") == "7.95" and "8.95" in stale.text
    prices = visitor.get("/pouches/edit.json?name=Far%20Meadow%20stew").json()["prices"]
    assert [float(one["price"]) for one in prices] == [9.95, 8.95]
    twice = visitor.send("/pouches/new", NEW_POUCH)
    assert twice.status_code == 422 and "already" in wrong_at(twice.text, "name")
    wrong = visitor.send("/pouches/new", {**NEW_POUCH, "name": "B", "price": "-1", "calories": ""})
    assert wrong.status_code == 422
    assert wrong_at(wrong.text, "price") and wrong_at(wrong.text, "calories")


def test_a_file_of_pouches_is_kept_whole_or_not_at_all(visitor: Visitor) -> None:
    def sent(content: bytes) -> tuple[int, str]:
        answer = visitor.ask(
            "POST",
            "/pouches/file",
            data={"csrf": visitor.token(), "currency": "USD"},
            files={"file": ("../../etc/pouches.csv", content)},
        )
        return answer.status_code, answer.text

    status, text = sent(b"name,price,servings,calories\nA,5,2,200\nB,x,2,200\n")
    assert status == 422 and "line 3" in text and visitor.get("/pouches.json").json()["pouches"] == []
    assert sent(b"name,price,servings,calories\nA,5,2,200\n")[0] == 200
    assert sent(b"\x00\xff\xfe")[0] == 422 and sent(b"")[0] == 422
    assert [one["name"] for one in visitor.get("/pouches.json").json()["pouches"]] == ["A"]


def test_the_machine_form(visitor: Visitor) -> None:
    form = {
        "price": "2495",
        "trays": "5",
        "tray_capacity": "1.4",
        "accessories[0].name": "sealer",
        "accessories[0].amount": "60",
        "revision": "0",
    }
    wrong = visitor.send("/machine", form)
    assert wrong.status_code == 422 and "no unit" in wrong_at(wrong.text, "tray_capacity")
    assert field(wrong.text, "accessories[0].name") == "sealer"
    assert visitor.send("/machine", {**form, "tray_capacity": "1.4 kg"}).status_code == 303
    assert visitor.send("/machine", {**form, "tray_capacity": "1.5 kg"}).status_code == 409
    page = visitor.get("/machine").text
    assert field(page, "price") == "2495" and field(page, "accessories[0].amount") == "60"


def test_bags_go_on_the_shelf_and_are_eaten(demo: Visitor) -> None:
    """Balance: what is left is what was packed less what was eaten."""
    assert demo.send("/shelf/store", {"batch": "lentil-kits", "packed_on": "2026-01-05"}).status_code == 303
    lot = demo.get("/shelf.json").json()["shelf"][0]
    assert (lot["bags_left"], lot["servings_left"]) == (8, 16)
    eaten = {
        "lot": str(lot["id"]),
        "servings": "1.5",
        "replaced": "pouch",
        "replaced_name": "Heron Creek lentil dal",
    }
    assert demo.send("/shelf/eat", eaten).status_code == 303
    assert demo.get("/shelf.json").json()["shelf"][0]["servings_left"] == 14.5
    assert demo.send("/shelf/eat", {**eaten, "servings": "99"}).status_code == 422
    assert demo.send("/shelf/store", {"batch": "lentil-kits", "bags": "many"}).status_code == 422
    assert demo.send("/shelf/store", {"batch": "lentil-kits", "packed_on": "soon"}).status_code == 422


def test_settings_from_the_page(visitor: Visitor) -> None:
    assert visitor.send("/settings", {"name": "currency", "value": "eur"}).status_code == 303
    assert load_settings()["currency"] == "EUR"
    wrong = visitor.send("/settings", {"name": "price_per_kwh", "value": "dear"})
    assert wrong.status_code == 422 and 'value="dear"' in wrong.text
    assert visitor.send("/settings", {"name": "fdc_api_key", "value": "abc123secret"}).status_code == 303
    assert "abc123secret" not in visitor.get("/settings").text + visitor.get("/settings.json").text


def test_a_food_is_pinned_by_its_key(visitor: Visitor) -> None:
    key = visitor.get("/foods.json?q=sweet corn").json()["foods"][3]["key"]
    assert visitor.send("/batches/new", {**NEW_BATCH, "ingredients[0].other_food": key}).status_code == 303
    assert visitor.get("/batches/corn-and-beans.json").json()["lines"][0]["food"]["key"] == key
    wrong = visitor.send("/batches/new", {**NEW_BATCH, "ingredients[0].other_food": "corn"})
    assert wrong.status_code == 422 and "is no food key" in wrong.text
    unknown = visitor.send("/batches/new", {**NEW_BATCH, "ingredients[0].other_food": "ndb:99999"})
    assert unknown.status_code == 422 and "99999" in unknown.text
