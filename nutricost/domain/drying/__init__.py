"""What freeze-drying does to food: water, energy, dryness, the user's own cycle log."""
