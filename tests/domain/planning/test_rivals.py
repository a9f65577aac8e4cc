"""Ways of keeping food and groceries at a price, by hand (invented figures)."""

from __future__ import annotations

from decimal import Decimal

import pytest

from nutricost.domain.planning.groceries import Grocery, feeds_most
from nutricost.domain.planning.rivals import Keeping, kept_for
from nutricost.domain.quantities import Figure
from nutricost.errors import InputError

D = Decimal


def usd(amount: str) -> Figure:
    return Figure.exact(D(amount), "USD")


def test_keeping_is_part_of_the_cost() -> None:
    energy = Figure.exact(4000, "kcal")
    ways = [
        Keeping("frozen", energy, usd("10"), per_month=Figure.exact(D("0.5"), "kWh/month"),
                price_per_kwh=Figure.exact(D("0.20"), "USD/kWh"), lasts_years=D(1)),
        Keeping("canned", energy, usd("10"), {"lids": usd("1.20"), "jars": usd("0.80")}),
        Keeping("mystery", energy, usd("1"), per_month=Figure.exact(1, "kWh/month")),
    ]  # fmt: skip
    rows = kept_for(ways, D(5))
    assert [row.name for row in rows] == ["canned", "frozen", "mystery"]
    assert rows[0].per_1000_kcal.must() == 3
    assert rows[0].per_1000_kcal.shown_unit == "USD/1000 kcal"
    assert rows[1].cost.must() == 16  # 10 + 60 months x 0.5 kWh x 0.20
    assert rows[1].warnings == ("frozen keeps 1 years, not 5: it would have to be replaced",)
    assert rows[2].per_1000_kcal.value is None
    assert kept_for(ways, D(0))[0].per_1000_kcal.must() == D("2.5")
    with pytest.raises(InputError, match="below 0"):
        kept_for(ways, D(-1))


def test_what_feeds_most_for_the_money() -> None:
    per = {"energy": Figure.exact(360, "kcal")}
    foods = [
        Grocery("rice", Figure.exact(1000, "g"), usd("2"), per),
        Grocery("oats", Figure.exact(500, "g"), usd("0.90"), {"energy": Figure.exact(380, "kcal")}),
        Grocery("bark", Figure.exact(500, "g"), usd("0.10"), {}),
    ]
    rows = feeds_most(foods)
    assert [row.name for row in rows] == ["oats", "rice", "bark"]
    assert rows[1].per_money.must() == 1800
    assert rows[1].per_money.unit == "kcal/USD"
    assert rows[2].per_money.value is None
