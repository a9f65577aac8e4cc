"""Recipes: what lines hold, what a batch holds after cooking and drying."""
