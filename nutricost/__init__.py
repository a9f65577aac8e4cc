"""What a home freeze-dried batch really holds and costs, beside the pouch on the shelf.

The verbs below do what the commands do; tables come back as pandas DataFrames whose column names carry
units. They are imported when first used, so that `import nutricost` is quick.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nutricost.api import bulk
    from nutricost.api.verbs import (
        compare,
        deal,
        find_foods,
        match_lines,
        payback,
        plan,
        rank,
        read_batch,
        read_machine,
        read_plan,
        read_pouches,
        recipe_card,
        trace,
    )

__all__ = [
    "bulk", "compare", "deal", "find_foods", "match_lines", "payback", "plan", "rank", "read_batch",
    "read_machine", "read_plan", "read_pouches", "recipe_card", "trace",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'nutricost' has no attribute {name!r}")
    import importlib

    if name == "bulk":
        return importlib.import_module("nutricost.api.bulk")
    return getattr(importlib.import_module("nutricost.api.verbs"), name)
