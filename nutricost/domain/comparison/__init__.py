"""Comparison: offers side by side on equal terms, and what may be said of them."""

from nutricost.domain.comparison.bases import BASES, at_basis
from nutricost.domain.comparison.measures import MEASURES, measures
from nutricost.domain.comparison.offers import Offer, pouch_offer
from nutricost.domain.comparison.ranking import Ranked, RankMeasure, rank_offers, read_measure
from nutricost.domain.comparison.statements import Statement, compare_statements, serving_size_warnings

__all__ = [
    "BASES", "MEASURES", "Offer", "RankMeasure", "Ranked", "Statement", "at_basis", "compare_statements",
    "measures", "pouch_offer", "rank_offers", "read_measure", "serving_size_warnings",
]  # fmt: skip
