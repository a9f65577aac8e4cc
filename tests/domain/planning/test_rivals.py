"""Ways of keeping food, by hand (invented figures)."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.comparison import measures
from nutricost.domain.planning.rivals import Keeping, kept_offer
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


def test_what_is_not_given_stays_unknown() -> None:
    mystery = Keeping("mystery", CONTENTS, usd("1"), per_month=Figure.exact(1, "kWh/month"))
    offer, _ = kept_offer(mystery, D(1))
    assert "price of a kWh" in offer.cost.why
    assert "servings are not given" in offer.servings.why
    assert "sodium of mystery is not given" in offer.whole["sodium"].why
    with pytest.raises(InputError, match="below 0"):
        kept_offer(mystery, D(-1))
