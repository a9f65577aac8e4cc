"""Ways of keeping food, by hand (invented figures)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from nutricost.domain.comparison import measures
from nutricost.domain.comparison.offers import COUNTED
from nutricost.domain.planning.rivals import Keeping, kept_cost, kept_offer
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal


def usd(amount: str) -> Figure:
    return Figure.exact(D(amount), "USD")


CONTENTS = {"energy": Figure.exact(4000, "kcal"), "protein": Figure.exact(200, "g")}
FROZEN = Keeping(
    "frozen", CONTENTS, usd("10"), per_month=Figure.exact(D("0.5"), "kWh/month"),
    price_per_kwh=Figure.exact(D("0.20"), "USD/kWh"), lasts_years=D(1),
)  # fmt: skip
CANNED = Keeping(
    "canned", CONTENTS, usd("10"), Figure.exact(8, "serving"), {"lids": usd("1.20"), "jars": usd("0.80")}
)


def test_keeping_is_part_of_the_cost() -> None:
    frozen, said = kept_offer(FROZEN, D(5))
    assert frozen.cost.must() == 16  # 10 + 60 months x 0.5 kWh x 0.20
    assert said == ("frozen keeps 1 years, not 5: it would have to be replaced",)
    canned, said = kept_offer(CANNED, D(5))
    assert canned.cost.must() == 12  # 10 + 1.20 + 0.80, however long
    assert said == ()
    assert measures(canned)["cost_per_100_kcal"].must() == D("0.3")  # 12 / 40
    assert canned.cost_per_serving.must() == D("1.5")
    assert kept_offer(FROZEN, D(0))[0].cost.must() == 10


def test_what_keeps_just_as_long_need_not_be_replaced() -> None:
    assert kept_offer(FROZEN, D(1))[1] == ()
    assert len(kept_offer(FROZEN, D("1.5"))[1]) == 1
    assert kept_offer(replace(FROZEN, lasts_years=None), D(50))[1] == ()


def test_an_offer_that_needs_no_freeze_dryer() -> None:
    offer, _ = kept_offer(replace(CANNED, contents={**CONTENTS, "weight": Figure.exact(4800, "g")}), D(1))
    assert (offer.name, offer.kind, offer.currency) == ("canned", "other", "USD")
    assert (offer.cost.unit, offer.servings.must(), offer.packs.must(), offer.packs.unit) == (
        "USD", D(8), D(1), "package",
    )  # fmt: skip
    assert (offer.whole["machine_hour"].must(), offer.whole["machine_hour"].unit) == (D(0), "h")
    assert offer.whole["water"].value is None
    # 4000 kcal, 200 g of protein and 4800 g in 8 servings
    per = {
        key: (offer.per_serving[key].must(), offer.per_serving[key].unit)
        for key in ("energy", "protein", "weight")
    }
    assert per == {
        "energy": (D(500), "kcal/serving"),
        "protein": (D(25), "g/serving"),
        "weight": (D(600), "g/serving"),
    }
    assert offer.whole["energy"].must() == 4000
    for key, unit in (("fat", "g"), ("sodium", "mg"), ("water", "g")):
        assert (offer.whole[key].value, offer.whole[key].unit) == (None, unit)
    assert set(offer.whole) == {*COUNTED, "weight", "water", "machine_hour"} == set(offer.per_serving)


def test_half_a_year_of_electricity() -> None:
    # 6 months x 0.5 kWh x 0.20
    assert kept_cost(FROZEN, D("0.5")).must() == D("10.60")
    assert kept_cost(replace(FROZEN, once={"bags": usd("2")}), D(0)).must() == 12
    unpriced = kept_cost(replace(FROZEN, price_per_kwh=None), D(1))
    assert (unpriced.value, unpriced.unit) == (None, "USD")


def test_what_is_not_given_stays_unknown() -> None:
    mystery = Keeping("mystery", CONTENTS, usd("1"), per_month=Figure.exact(1, "kWh/month"))
    offer, _ = kept_offer(mystery, D(1))
    assert "price of a kWh" in offer.cost.why
    assert "servings are not given" in offer.servings.why
    assert "sodium of mystery is not given" in offer.whole["sodium"].why
    with pytest.raises(InputError, match="below 0"):
        kept_offer(mystery, D(-1))
