"""Money of a batch: what counts as none, what as unknown, packing, usual prices. All by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricost.domain.costs import BatchCosts, batch_costs
from nutricost.domain.documents import Batch, Drying, Ingredient, Packing
from nutricost.domain.quantities import Figure
from nutricost.domain.recipes.lines import RecipeLine, unknown_content

D = Decimal
ALL = Figure.exact(1, "", "loaded / cooked")
ONE = Figure.exact(1, "", "share")


def usd(amount: str, per: str = "") -> Figure:
    return Figure.exact(D(amount), f"USD{per}")


def line(paid: str | None, usual: str | None = None) -> RecipeLine:
    cost = Figure.unknown("USD", "nothing paid is given") if paid is None else usd(paid)
    return RecipeLine(
        Ingredient("corn", "x"),
        unknown_content("none", "corn"),
        ONE,
        cost,
        None if usual is None else usd(usual),
    )


def costs(*lines: RecipeLine, scale: Figure = ALL, **parts: object) -> BatchCosts:
    fields: dict[str, object] = {"drying": Drying(cost=usd("4")), "packing": Packing(), **parts}
    batch = Batch("t", "batch.toml", Figure.exact(4, "serving"), "USD", (), **fields)  # type: ignore[arg-type]
    return batch_costs(batch, lines or (line("10"),), scale)


def packing(**parts: Figure) -> Figure:
    return costs(packing=Packing(**parts)).packing  # type: ignore[arg-type]


BAGS = Figure.exact(10, "bag", "bags")


def test_the_total_is_the_sum_of_its_parts() -> None:
    whole = costs(
        line("12.00"), line("5.38"), other_costs={"oil": usd("0.80"), "salt": usd("0.05")},
        packing=Packing(bags=BAGS, bag_price=usd("0.50", "/bag"), absorber_price=usd("0.05")),
    )  # fmt: skip
    parts = (whole.ingredients, whole.energy, whole.packing, whole.other)
    assert [part.value for part in parts] == [D("17.38"), D(4), D("5.50"), D("0.85")]
    assert whole.total.value == D("27.73")
    assert whole.ingredients.formula == ""  # all was dried: no share in the trace
    assert whole.assumptions == ()
    assert [part.name for part in parts] == ["ingredients", "energy", "packing", "other costs"]


def test_what_is_left_out_is_none_and_is_listed() -> None:
    whole = costs(packing=None)
    assert (whole.packing.value, whole.other.value, whole.total.value) == (D(0), D(0), D(14))
    assert whole.packing.standing == whole.other.standing == "assumed"
    assert whole.assumptions == ("no [packing]: counted as none", "no [other_costs]: counted as none")


def test_packing_without_absorbers_says_so() -> None:
    bags = Packing(bags=BAGS, bag_price=usd("0.55", "/bag"))
    assert costs(packing=bags).assumptions == (
        "no packing.absorber_price: no absorbers counted",
        "no [other_costs]: counted as none",
    )


def test_an_unpaid_line_is_unknown_not_free() -> None:
    whole = costs(line("10"), line(None))
    assert whole.ingredients.value is None
    assert whole.total.why == "nothing paid is given"
    # 10 + 4 of electricity is what is known.
    assert whole.total.known is not None and whole.total.known.value == 14


def test_a_leftover_is_free() -> None:
    assert costs(line("0"), line("3")).ingredients.value == 3


def test_one_absorber_a_bag_unless_given() -> None:
    # 10 x 0.55 + 10 x 0.12 = 6.70; with 12 absorbers 5.50 + 1.44 = 6.94; with none 5.50.
    prices = {"bags": BAGS, "bag_price": usd("0.55", "/bag"), "absorber_price": usd("0.12")}
    assert packing(**prices).value == D("6.70")
    assert packing(**prices, absorbers=Figure.exact(12, "")).value == D("6.94")
    assert packing(**prices, absorbers=Figure.exact(0, "")).value == D("5.50")


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ({"bags": BAGS}, "packing.bag_price is not given"),
        ({"bag_price": usd("0.55", "/bag")}, "packing.bags is not given"),
        ({"absorber_price": usd("0.12")}, "packing.absorbers is not given"),
    ],
)
def test_a_piece_without_price_or_count_is_unknown(parts: dict[str, Figure], why: str) -> None:
    figure = packing(**parts)
    assert figure.value is None
    assert figure.why == why


def test_absorbers_that_were_counted_have_a_price_known_or_not() -> None:
    one, none = (
        costs(packing=Packing(BAGS, bag_price=usd("0.55", "/bag"), absorbers=Figure.exact(n, "")))
        for n in (1, 0)
    )
    assert (one.packing.value, one.packing.why) == (None, "packing.absorber_price is not given")
    assert "no packing.absorber_price: no absorbers counted" not in one.assumptions
    # None counted: nothing to price, and it is said.
    assert none.packing.value == D("5.50")
    assert "no packing.absorber_price: no absorbers counted" in none.assumptions


def test_the_trace_of_packing_names_its_pieces() -> None:
    whole = packing(bags=BAGS, bag_price=usd("0.55", "/bag"), absorber_price=usd("0.12"))
    assert [part.name for part in whole.parts] == ["bags", "absorbers"]
    for lacking in ({"bags": BAGS}, {"bag_price": usd("0.55", "/bag")}):
        assert [part.name for part in packing(**lacking).parts] == ["bags"]


def test_a_batch_without_lines_has_ingredients_for_nothing() -> None:
    batch = Batch("t", "batch.toml", Figure.exact(4, "serving"), "USD", ())
    nothing = batch_costs(batch, [], ALL).ingredients
    assert (nothing.value, nothing.unit) == (D(0), "USD")


def test_absorbers_alone_cost_their_price() -> None:
    alone = packing(absorber_price=usd("0.12"), absorbers=Figure.exact(5, ""))
    assert (alone.value, alone.unit) == (D("0.60"), "USD")


def test_empty_packing_is_nothing() -> None:
    assert (packing().value, packing().unit) == (D(0), "USD")


KWH = {"energy": Figure.exact(30, "kWh"), "price_per_kwh": usd("0.20", "/kWh")}


@pytest.mark.parametrize(
    ("parts", "cost"),
    [
        (KWH, "6.00"),  # 30 x 0.20
        ({**KWH, "cost": usd("4.50")}, "4.50"),  # a given cost wins
        ({**KWH, "trays": Figure.exact(2, "tray"), "cycle_trays": Figure.exact(5, "tray")}, "2.40"),  # x 2/5
        ({"cost": usd("5"), "trays": Figure.exact(2, "tray"), "cycle_trays": Figure.exact(5, "tray")}, "2"),
        ({**KWH, "trays": Figure.exact(2, "tray")}, "6.00"),
    ],
)
def test_electricity(parts: dict[str, Figure], cost: str) -> None:
    figure = costs(drying=Drying(**parts)).energy  # type: ignore[arg-type]
    assert (figure.value, figure.unit, figure.name) == (D(cost), "USD", "energy")


@pytest.mark.parametrize(
    ("drying", "why"),
    [
        (None, "drying.energy and drying.price_per_kwh not given (or drying.cost)"),
        (Drying(energy=KWH["energy"]), "drying.price_per_kwh not given (or drying.cost)"),
        (Drying(price_per_kwh=KWH["price_per_kwh"]), "drying.energy not given (or drying.cost)"),
    ],
)
def test_a_cycle_without_energy_or_price_is_unknown(drying: Drying | None, why: str) -> None:
    energy = costs(drying=drying).energy
    assert energy.value is None
    assert energy.why == why


def test_a_cost_of_the_cycle_as_a_range() -> None:
    whole = costs(drying=Drying(cost=Figure.between(D("3.50"), D("5"), "USD")))
    assert whole.total.box == (D("13.50"), D(15))


def test_only_the_share_that_was_dried_is_charged() -> None:
    # 10 USD of ingredients, 3 of 4 kg dried; electricity, packing and other are this batch's own.
    three_quarters = Figure.exact(D("0.75"), "", "loaded / cooked")
    whole = costs(line("10", "20"), scale=three_quarters, other_costs={"oil": usd("1")})
    assert (whole.ingredients.value, whole.total.value) == (D("7.5"), D("12.5"))
    assert whole.ingredients.formula == "cost of all lines x loaded / cooked"
    assert whole.ingredients.name == "ingredients"
    assert whole.usual_total is not None and whole.usual_total.value == 20


def test_marked_down_beside_usual() -> None:
    # Paid 12 and 5, usually 31.92 and (not given, so) 5; + 4 electricity.
    whole = costs(line("12", "31.92"), line("5"))
    assert whole.usual_total is not None and whole.usual_total.value == D("40.92")
    assert whole.saved is not None and whole.saved.value == D("19.92")
    assert whole.saved.formula == "usual - paid"


def test_without_a_usual_price_nothing_is_said_to_be_saved() -> None:
    whole = costs(line("12"), line("5"))
    assert whole.usual_total is None and whole.saved is None


def test_what_is_saved_is_sure_although_the_electricity_is_not() -> None:
    # The electricity is in both totals and counts once.
    whole = costs(line("12", "30"), drying=Drying(cost=Figure.between(D(3), D(5), "USD")))
    assert whole.saved is not None and whole.saved.box == (D(18), D(18))


@settings(max_examples=40)
@given(st.lists(st.decimals("0", "50", places=2), min_size=1, max_size=5), st.data())
def test_a_dearer_line_never_lowers_the_cost_and_order_does_not_matter(
    paid: list[Decimal], data: st.DataObject
) -> None:
    before = costs(*(line(str(one)) for one in paid)).total.must()
    assert costs(*(line(str(one)) for one in reversed(paid))).total.must() == before
    which = data.draw(st.integers(0, len(paid) - 1))
    more = data.draw(st.decimals("0", "20", places=2))
    dearer = [one + more if i == which else one for i, one in enumerate(paid)]
    assert costs(*(line(str(one)) for one in dearer)).total.must() == before + more
