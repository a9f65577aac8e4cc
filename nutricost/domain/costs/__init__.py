"""Costs: what a batch's lines, cycle, packing and other things cost, to the cent."""

from nutricost.domain.costs.batch import BatchCosts, batch_costs
from nutricost.domain.costs.purchases import charged, purchase_share

__all__ = ["BatchCosts", "batch_costs", "charged", "purchase_share"]
