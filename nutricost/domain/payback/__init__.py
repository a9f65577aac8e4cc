"""When the machine has paid for itself, and what the shelf has really given back."""

from nutricost.domain.payback.ledger import Meal, Progress, progress
from nutricost.domain.payback.payback import (
    AS_GIVEN,
    CAVEAT,
    Alternative,
    CashPoint,
    Equal,
    HomeBatch,
    IfSold,
    Payback,
    Scenario,
    Sensitivity,
    cumulative_cash,
    outlay_of,
    payback,
    running_cost,
    sensitivity,
    yearly_saving,
)
from nutricost.domain.payback.returns import (
    discounted_payback_years,
    machine_share_per_cycle,
    net_present_value,
    payback_years,
)

__all__ = [
    "AS_GIVEN", "CAVEAT", "Alternative", "CashPoint", "Equal", "HomeBatch", "IfSold", "Meal", "Payback",
    "Progress", "Scenario", "Sensitivity", "cumulative_cash", "discounted_payback_years",
    "machine_share_per_cycle", "net_present_value", "outlay_of", "payback", "payback_years", "progress",
    "running_cost", "sensitivity", "yearly_saving",
]  # fmt: skip
