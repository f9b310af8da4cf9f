"""What every test shares: fixed seeds, so that a run today and a run tomorrow try the same cases."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile(
    "ci", derandomize=True, deadline=None, database=None, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("ci")
