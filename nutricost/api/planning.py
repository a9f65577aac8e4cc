"""The plan for people and days, from documents."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from nutricost.api.cards import Card
from nutricost.api.comparing import Comparison, compare_offers
from nutricost.api.decisions import home_batch
from nutricost.api.documents import cards_of, input_of, pouches_file, read_batches
from nutricost.domain.cautions import allergens
from nutricost.domain.comparison import Offer
from nutricost.domain.documents import Machine, Plan
from nutricost.domain.planning import Bounds, Diner, Infeasible, PlanOffer, PlanResult, energy_need, plan
from nutricost.domain.planning.problem import Objective
from nutricost.domain.quantities import Figure
from nutricost.errors import DocumentError, InputError, Problem
from nutricost.sources.documents import read_machine, read_plan

Progress = Callable[[str], None]
