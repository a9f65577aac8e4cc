"""The kept answers about units are pint's own."""

from __future__ import annotations

from decimal import Decimal

from nutricost.domain.quantities import unit_answers, units


def test_every_kept_answer_is_pints_own() -> None:
    for (unit, into), factor in unit_answers.FACTORS.items():
        assert units.ask_factor(unit, into) == Decimal(factor), (unit, into)
    for (left, right), product in unit_answers.PRODUCTS.items():
        assert units.ask_product(left, right) == product, (left, right)
    for (above, below), quotient in unit_answers.QUOTIENTS.items():
        assert units.ask_quotient(above, below) == quotient, (above, below)


def test_there_are_answers_to_keep() -> None:
    assert len(unit_answers.FACTORS) > 40
    assert unit_answers.QUOTIENTS[("USD", "serving")] == "USD/serving"
