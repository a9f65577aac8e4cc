"""Making many figures: the collector rests, and is as it was afterwards; figures leave nothing for it."""

from __future__ import annotations

import gc

import pytest
from exported_offers import pouch

from nutricost.api.collector import collector_resting
from nutricost.api.comparing import compare_offers


@pytest.mark.parametrize("on", [True, False])
def test_the_collector_is_as_it_was(on: bool) -> None:
    was_on = gc.isenabled()
    (gc.enable if on else gc.disable)()
    try:
        with pytest.raises(ZeroDivisionError), collector_resting():
            assert not gc.isenabled()
            raise ZeroDivisionError
        assert gc.isenabled() is on
    finally:
        (gc.enable if was_on else gc.disable)()


def test_a_comparison_leaves_no_cycles() -> None:
    pouches = [pouch(f"Invented {i}", f"{9 + i % 5}.95", "139", 250 + i) for i in range(20)]
    compare_offers([], pouches).view()  # what is kept for next time is made now
    gc.collect()
    with collector_resting():
        compare_offers([], pouches).view()
        assert gc.collect() == 0
