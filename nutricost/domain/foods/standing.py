"""How a USDA table came by a value: its source and derivation codes in this project's words."""

from __future__ import annotations

from nutricost.domain.foods.records import Standing

_BY_DERIVATION: dict[str, Standing] = {
    "A": "measured",
    "AI": "measured",
    "AR": "measured",
    "AS": "measured",
    "JA": "measured",
    "MA": "measured",
    "JO": "calculated",
    "MC": "calculated",
    "NC": "calculated",
    "NP": "calculated",
    "NR": "calculated",
    "RA": "calculated",
    "RC": "calculated",
    "RF": "calculated",
    "RK": "calculated",
    "RKA": "calculated",
    "RKI": "calculated",
    "RP": "calculated",
    "RPA": "calculated",
    "RPI": "calculated",
    "LC": "declared",
    "ML": "declared",
    "Z": "assumed zero",
}
"""SR28 DERIV_CD: analytical; by formula, sum or recipe; from a label. The other codes (based on another
food, category averages, estimated formulation, other tables, product standards) are imputed."""

_BY_SOURCE: dict[str, Standing] = {
    "1": "measured",
    "4": "imputed",
    "5": "declared",
    "6": "measured",
    "7": "assumed zero",
    "8": "declared",
    "9": "calculated",
    "11": "calculated",
    "12": "measured",
    "13": "measured",
}
"""SR28 SRC_CD, for the values that carry no derivation code."""


def standing_of(source_code: str, derivation_code: str) -> Standing:
    """Standing of a value with USDA's source code (such as "1") and derivation code ("BFZN", or "").

    The derivation code says more and wins; an unknown pair counts as imputed, the weakest of
    the standings that a table states. Source: SR28 files SRC_CD and DERIV_CD.
    """
    if derivation_code:
        return _BY_DERIVATION.get(derivation_code, "imputed")
    return _BY_SOURCE.get(source_code, "imputed")
