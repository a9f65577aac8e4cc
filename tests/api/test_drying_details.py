"""What the card tells of drying, against published figures and by hand."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from nutricost.api.cards import Card
from nutricost.api.drying_details import gas_figure
from nutricost.api.views import card_view
from nutricost.errors import DocumentError, InputError

MakeCard = Callable[..., Card]
D = Decimal


def view_of(card: Card, gas: str | None = None) -> dict[str, Any]:
    return card_view(card, gas_figure(gas) if gas is not None else None)


def test_dried_shallots_are_those_of_the_table(make_card: MakeCard) -> None:
    """SR28 lists shallots freeze-dried (NDB 11640): 3.5 g water, 348 kcal in 100 g; sample spread 1.5 %."""
    card = make_card(drying="residual_moisture = 0.035")
    assert float(card.per_100g_dry["energy"].must()) == pytest.approx(348, rel=0.015)
    assert float(card.content.dried.must()) == pytest.approx(404 / 0.965, rel=1e-9)


def test_energy_per_kg_of_water_and_its_money(make_card: MakeCard) -> None:
    drying = view_of(make_card())["drying"]
    # By hand: 1.58 kg water x 2838 kJ/kg / 3600 = 1.2456 kWh (0.788 kWh/kg); 20 kWh used; 4 USD paid for it.
    assert float(drying["minimum_energy"].must()) == pytest.approx(1.58 * 2838 / 3600, rel=1e-6)
    assert float(drying["energy_ratio"].must()) == pytest.approx(20 / (1.58 * 2838 / 3600), rel=1e-6)
    assert float(drying["energy_per_kg_water"].must()) == pytest.approx(20 / 1.58, rel=1e-9)
    assert drying["energy_per_kg_water"].shown_unit == "kWh/kg"
    assert float(drying["energy_cost_per_kg_water"].must()) == pytest.approx(4 / 1.58, rel=1e-9)
    assert drying["energy_cost_per_serving"].must() == D("0.4")


def test_freezing_duty_counts_water_and_solids(make_card: MakeCard) -> None:
    """1 kg water from 20 to -20 C: 83.7 + 333.4 + 41.0 = 458 kJ (IAPWS-95, R10-06); solids 40 K."""
    duty = view_of(make_card())["drying"]["freezing_duty"]
    water_kj = 1.596 * (83.7 + 333.4 + 41.0)
    assert float(duty.low) == pytest.approx((water_kj + 0.404 * 40 * 1.4) / 3600, rel=1e-3)
    assert float(duty.high) == pytest.approx((water_kj + 0.404 * 40 * 1.9) / 3600, rel=1e-3)


def test_water_of_each_tray(make_card: MakeCard) -> None:
    drying = 'trays = 2\nwet_weight = ["1000 g", "1000 g"]\ndry_weight = ["205 g", "215 g"]'
    trays = view_of(make_card(drying=drying))["drying"]["trays"]
    assert [tray["water_removed"].must() for tray in trays] == [795, 785]


def test_the_step_of_the_scale_widens_what_was_weighed(make_card: MakeCard) -> None:
    run = 'trays = 4\nwet_weight = "2000 g"\ndry_weight = "420 g"'
    fine, coarse = make_card(drying=run), make_card(drying=f'{run}\nscale_step = "10 g"')
    # By hand: 1 - 404 / 415 = 2.65 %, 1 - 404 / 425 = 4.94 %.
    assert fine.content.residual_moisture.is_exact
    assert float(coarse.content.residual_moisture.low) == pytest.approx(1 - 404 / 415, abs=1e-9)
    assert float(coarse.content.residual_moisture.high) == pytest.approx(1 - 404 / 425, abs=1e-9)
    assert coarse.content.water_removed.box == (D(1570), D(1590))
    doubt = view_of(coarse)["drying"]["residual_moisture_doubt_from_scale"]
    assert float(doubt.must()) == pytest.approx(404 * 10 / 420**2, rel=1e-6)


def test_below_the_solids_within_the_step_is_no_error_and_beyond_is(make_card: MakeCard) -> None:
    run = 'trays = 4\nwet_weight = "2000 g"\nscale_step = "10 g"\n'
    within = make_card(drying=f'{run}dry_weight = "400 g"')
    assert within.content.residual_moisture.low == 0
    with pytest.raises(DocumentError, match=r"390.*404"):
        make_card(drying=f'{run}dry_weight = "385 g"')


def test_electricity_below_the_least_is_said(make_card: MakeCard) -> None:
    run = 'trays = 4\nwet_weight = "2000 g"\ndry_weight = "420 g"\nenergy = "1 kWh"'
    assert any("1.00 kWh" in text and "1.25 kWh" in text for text in make_card(drying=run).warnings)


def test_losses_change_what_is_eaten_not_what_was_in_the_machine(make_card: MakeCard) -> None:
    losses = '[[losses]]\nwhat = "tasted"\nservings = 5'
    whole, less = make_card(), make_card(more=losses)
    assert less.content.loaded.must() == whole.content.loaded.must() == 2000
    assert less.content.weight_dry.must() * 2 == whole.content.weight_dry.must()
    assert view_of(less)["drying"]["energy_ratio"].must() == view_of(whole)["drying"]["energy_ratio"].must()
    # Was: solids after losses beside water removed before them. 404 g solids, 1580 g water taken out of
    # 2000 g: what was loaded is solids / (1 - residual moisture) + water removed.
    drying = view_of(less)["drying"]
    assert drying["solids"].must() == view_of(whole)["drying"]["solids"].must()
    dried = drying["solids"].must() / (1 - drying["residual_moisture"].must())
    assert dried + drying["water_removed"].must() == pytest.approx(D(2000), abs=D("1e-20"))


def test_rehydration_beside_what_was_computed(make_card: MakeCard) -> None:
    kept = view_of(make_card(more='[rehydration]\nwater_used = "200 mL"\nminutes = 8'))["rehydration"]
    # 1580 g over 10 servings: 158 mL each.
    assert kept["water_computed"].must() == 158
    assert float(kept["ratio"].must()) == pytest.approx(200 / 158, rel=1e-12)
    assert view_of(make_card())["rehydration"] is None


def test_reheating_only_for_cooked_food(make_card: MakeCard) -> None:
    assert view_of(make_card())["reheating"] is None
    cooked = view_of(make_card(more='[cooking]\nweight = "2000 g"'))["reheating"]
    # Heat balance: 158 g water at 95 C, 42 g food at 20 C of 1.4 to 1.9 kJ/(kg K).
    hot = [(158 * 4.19 * 95 + 42 * c * 20) / (158 * 4.19 + 42 * c) for c in (1.9, 1.4)]
    assert float(cooked["temperature"].low) == pytest.approx(hot[0], abs=1e-6)
    assert float(cooked["temperature"].high) == pytest.approx(hot[1], abs=1e-6)
    assert "nothing about safety" in cooked["text"]


def test_fuel_for_the_water_of_a_serving(make_card: MakeCard) -> None:
    """4.19 kJ/(kg K) from 15 to 100 C: 356 kJ a litre, 0.0989 kWh."""
    fuel = view_of(make_card(), "15 g")["boiling"]
    assert float(fuel["gas"].must()) == pytest.approx(0.158 * 15, rel=1e-9)
    assert fuel["gas"].shown_unit == "g/serving"
    heat_kwh = 0.158 * 4.19 * 85 / 3600
    assert float(fuel["electricity"].low) == pytest.approx(heat_kwh / 0.95, rel=1e-6)
    assert float(fuel["electricity"].high) == pytest.approx(heat_kwh / 0.7, rel=1e-6)
    assert "gas" not in view_of(make_card())["boiling"]


def test_gas_that_is_no_weight_is_refused() -> None:
    for text in ("0 g", "3 mL", "much"):
        with pytest.raises(InputError, match=text):
            gas_figure(text)


def test_alcohol_is_advised_against(make_card: MakeCard) -> None:
    """SR28 NDB 14096, table wine, red: 10.6 g alcohol and 86.49 g water in 100 g, far above 2 %."""
    card = make_card(
        drying="residual_moisture = 0.03",
        more='[[ingredients]]\nline = "1000 g red wine"\nfood = "ndb:14096"\npaid = 4.00',
    )
    advice = [each["code"] for each in view_of(card)["advice"]]
    assert "alcohol" in advice
    # Alcohol leaves with the water: 1000 g hold 1000 - 864.9 - 106 g of solids beside the 404 g.
    assert float(card.content.loaded_solids.must()) == pytest.approx(404 + 29.1, abs=0.05)
    assert "alcohol" not in [each["code"] for each in view_of(make_card())["advice"]]


def test_a_thick_layer_is_advised_against(make_card: MakeCard) -> None:
    """By hand: 1000 g on 400 cm2 at 0.9 to 1.1 g/mL is about 2.5 cm, above 2 cm."""
    run = 'trays = 2\nwet_weight = "2000 g"\ndry_weight = "420 g"\ntray_area_cm2 = '
    thick, thin = make_card(drying=f"{run}400"), make_card(drying=f"{run}800")
    assert [each["code"] for each in view_of(thick)["advice"]] == ["thick_layer"]
    assert view_of(thin)["advice"] == []
