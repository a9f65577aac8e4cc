"""What to make, buy and keep for people and days."""

from nutricost.domain.planning.energy_need import ACTIVITIES, energy_need, estimated_energy
from nutricost.domain.planning.problem import ENERGY_NEED, Bounds, Diner, Objective, PlanOffer
from nutricost.domain.planning.result import BindingLimit, Chosen, Infeasible, PlanResult, Relaxation
from nutricost.domain.planning.solve import plan

__all__ = [
    "ACTIVITIES", "ENERGY_NEED", "BindingLimit", "Bounds", "Chosen", "Diner", "Infeasible", "Objective",
    "PlanOffer", "PlanResult", "Relaxation", "energy_need", "estimated_energy", "plan",
]  # fmt: skip
