"""Nothing is timed in a test: a busy machine fails no property."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("untimed", parent=settings.default, deadline=None)
settings.load_profile("untimed")
