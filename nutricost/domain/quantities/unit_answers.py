"""pint's answers to the usual questions about units. Written by scripts/build-unit-answers; do not edit."""

FACTORS: dict[tuple[str, str], str] = {}
PRODUCTS: dict[tuple[str, str], str] = {}
QUOTIENTS: dict[tuple[str, str], str] = {}
