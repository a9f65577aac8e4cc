"""Nutrition Facts panels: rounding read back, servings and packages, water by difference, checks."""

from nutricost.domain.labels.checks import label_problems
from nutricost.domain.labels.compliance import complies, lawful_interval
from nutricost.domain.labels.daily_values import percent_daily_value
from nutricost.domain.labels.reading import (
    LabelReading,
    content_of_weight,
    label_serving,
    package_content,
    package_weight,
    per_gram,
    read_label,
    serving_weight,
    servings_routes,
    weight_of_volume,
)
from nutricost.domain.labels.rounding import printed_interval, round_servings, servings_interval
from nutricost.domain.labels.water import serving_ash, serving_solids, serving_water, water_per_gram

__all__ = [
    "LabelReading", "complies", "content_of_weight", "label_problems", "label_serving", "lawful_interval",
    "package_content", "package_weight", "per_gram", "percent_daily_value", "printed_interval",
    "read_label", "round_servings", "serving_ash", "serving_solids", "serving_water", "serving_weight",
    "servings_interval", "servings_routes", "water_per_gram", "weight_of_volume",
]  # fmt: skip
