"""The document of a batch scaled to another load: what was planned, without what was measured."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

from nutricost.api.again import SameAgain
from nutricost.api.files import write_file
from nutricost.domain.documents import Drying, Ingredient, Packing
from nutricost.domain.quantities import Figure, ceiling, minor_unit, rounded, total
from nutricost.domain.recipes.batch import tray_share
from nutricost.domain.recipes.scaled_lines import scaled_line
from nutricost.errors import InputError
from nutricost.sources.documents.write import batch_to_toml

_GRAM_PLACES = Decimal("0.1")
_KWH_PLACES = Decimal("0.01")


def write_again(again: SameAgain, path: str) -> None:
    """Writes the scaled batch under a new name, in one step. Raises InputError where the file exists."""
    target = Path(path)
    if target.exists():
        raise InputError(f"{path} is there already (accepted: the name of a new file)")
    write_file(target, again_document(again).encode("utf-8"))


def again_document(again: SameAgain) -> str:
    """The TOML of the scaled batch.

    Left out: what was measured or happened last time (dry weights, weighings, hours, losses, dates, lot,
    how rehydrating turned out). The weights to cook and to load are the past ones scaled, for they tell
    the water that went in and what was eaten; weigh and correct them. Electricity or cost of the cycle is
    this batch's share, scaled.
    """
    batch, content = again.card.batch, again.content
    factor = again.factor.must()
    coin = minor_unit(batch.currency)
    costs = {name: _money(cost, factor, coin) for name, cost in batch.other_costs.items()}
    return batch_to_toml(
        {
            "title": batch.title,
            "servings": _number(again.load["servings"].must(), Decimal("0.01")),
            "currency": batch.currency,
            "cooked": content.get("cooked"),
            "ingredients": [
                _ingredient(
                    line.recipe_line.ingredient,
                    line.recipe_line.share,
                    line.recipe_line.content.weight,
                    factor,
                    coin,
                    line.label,
                )
                for line in again.card.lines
            ],
            "labels": content.get("labels"),
            "cooking": {"weight": _grams(batch.cooked_weight, factor)} if batch.cooked_weight else None,
            "drying": _drying(batch.drying, again, coin) if batch.drying is not None else None,
            "packing": _packing(batch.packing, again) if batch.packing is not None else None,
            "other_costs": costs or None,
        }
    )


def _ingredient(
    ingredient: Ingredient, share: Figure, weight: Figure, factor: Decimal, coin: Decimal, label: str | None
) -> dict[str, Any]:
    """An ingredient scaled; its weight is pinned where the amount can't be put into words."""
    line = scaled_line(ingredient.line, factor)
    grams = None
    if ingredient.grams is not None or (line is None and weight.is_known):
        grams = _quantity(ingredient.grams or weight, factor, "g", _GRAM_PLACES)
    bought, times = _bought(ingredient, share, factor)
    return {
        "line": line or ingredient.line,
        "label": label,
        "food": ingredient.food,
        "grams": grams,
        "paid": _money(ingredient.paid, times, coin) if ingredient.paid is not None else None,
        "normal": _money(ingredient.normal, times, coin) if ingredient.normal is not None else None,
        "for": bought,
    }


def _bought(ingredient: Ingredient, share: Figure, factor: Decimal) -> tuple[str | None, Decimal]:
    """What the money bought, and how many times it is paid: whole purchases, as many as the line needs."""
    if ingredient.shared_for is None:
        return None, factor
    if not share.is_known:
        return ingredient.shared_for, Decimal(1)
    purchases = max(ceiling(share.high * factor), Decimal(1))
    bought = ingredient.shared_for if purchases == 1 else scaled_line(f"{ingredient.shared_for} x", purchases)
    if bought is None:
        return None, share.must() * factor
    return bought.removesuffix(" x"), purchases


def _grams(weight: Figure | None, factor: Decimal) -> Any:
    return None if weight is None else _quantity(weight, factor, "g", Decimal(1))


def _load(drying: Drying, factor: Decimal) -> Any:
    """The weight to load in all; an estimate as [[low, high]], which can't be read as two trays."""
    weight = _grams(total(drying.wet_weight, "weight loaded"), factor)
    return [weight] if isinstance(weight, list) else weight


def _drying(drying: Drying, again: SameAgain, coin: Decimal) -> dict[str, Any]:
    factor = again.factor.must()
    # A [cooking] weight would say that the food was cooked, so it can't stand in for the load.
    load_tells = again.part_was_eaten or again.card.batch.cooked_weight is None
    share = tray_share(drying)
    own = factor * share.must() if share.is_known else None
    return {
        "trays": int(again.load["trays"].must()) if drying.trays is not None else None,
        "wet_weight": _load(drying, factor) if drying.wet_weight and load_tells else None,
        "energy": (
            _quantity(drying.energy, own, "kWh", _KWH_PLACES) if drying.energy is not None and own else None
        ),
        "price_per_kwh": _plain(drying.price_per_kwh),
        "cost": _money(drying.cost, own, coin) if drying.cost is not None and own else None,
        "residual_moisture": _plain(drying.residual_moisture),
        "scale_step": _quantity(drying.scale_step, Decimal(1), "g", Decimal("0.01"))
        if drying.scale_step
        else None,
        "tray_area_cm2": drying.tray_area_cm2,
    }


def _packing(packing: Packing, again: SameAgain) -> dict[str, Any]:
    bags = again.load["bags"]
    absorbers = packing.absorbers
    if absorbers is not None and bags.is_known and packing.bags is not None:
        absorbers = absorbers * (bags.must() / packing.bags.must())
    return {
        "bags": int(bags.must()) if bags.is_known else None,
        "bag_price": _plain(packing.bag_price),
        "absorbers": int(ceiling(absorbers.must())) if absorbers is not None else None,
        "absorber_price": _plain(packing.absorber_price),
        "bag_volume": _quantity(packing.bag_volume, Decimal(1), "mL", Decimal(1))
        if packing.bag_volume
        else None,
        "absorber_sizes_cc": list(packing.absorber_sizes_cc) or None,
        "altitude_m": packing.altitude_m,
    }


def _number(value: Decimal, step: Decimal) -> Decimal:
    """The value rounded, without trailing zeros."""
    return Decimal(f"{rounded(value, step).normalize():f}")


def _ends(figure: Figure, times: Decimal, step: Decimal) -> list[Decimal]:
    """One number, or two for an estimate."""
    low, high = (_number(end * times, step) for end in figure.box)
    return [low] if low == high else [low, high]


def _quantity(figure: Figure, times: Decimal, unit: str, step: Decimal) -> Any:
    texts = [f"{end:f} {unit}" for end in _ends(figure, times, step)]
    return texts[0] if len(texts) == 1 else texts


def _money(figure: Figure, times: Decimal, coin: Decimal) -> Any:
    ends = _ends(figure, times, coin)
    return ends[0] if len(ends) == 1 else ends


def _plain(figure: Figure | None) -> Any:
    """The figure as it was written."""
    if figure is None:
        return None
    low, high = figure.box
    return low if low == high else [low, high]
