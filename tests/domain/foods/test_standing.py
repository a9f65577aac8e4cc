"""USDA's source and derivation codes in this project's words."""

from __future__ import annotations

import pytest

from nutricost.domain.foods.standing import standing_of


# Source: SR28 SRC_CD.txt and DERIV_CD.txt, the wording of each code.
@pytest.mark.parametrize(
    ("source", "derivation", "standing"),
    [
        ("1", "", "measured"),
        ("6", "", "measured"),
        ("12", "MA", "measured"),
        ("13", "", "measured"),
        ("1", "A", "measured"),
        ("1", "AS", "measured"),
        ("4", "NC", "calculated"),
        ("4", "RA", "calculated"),
        ("9", "", "calculated"),
        ("9", "MC", "calculated"),
        ("4", "", "imputed"),
        ("4", "BFZN", "imputed"),
        ("4", "CAZN", "imputed"),
        ("4", "FLA", "imputed"),
        ("4", "T", "imputed"),
        ("7", "", "assumed zero"),
        ("7", "Z", "assumed zero"),
        ("4", "Z", "assumed zero"),
        ("8", "LC", "declared"),
        ("5", "ML", "declared"),
        ("8", "", "declared"),
        ("99", "", "imputed"),
        ("", "XYZ", "imputed"),
    ],
)
def test_standing(source: str, derivation: str, standing: str) -> None:
    assert standing_of(source, derivation) == standing
