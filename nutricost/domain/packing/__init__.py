"""Bags, oxygen absorbers, keeping, and what stands on a bag."""
