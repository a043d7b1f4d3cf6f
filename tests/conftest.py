"""What every test shares: an example may take as long as a busy machine makes it take.

``--hypothesis-profile=thorough`` tries twenty times as many.
"""

from __future__ import annotations

from hypothesis import HealthCheck, settings

SLOW_IS_NO_FAULT = [HealthCheck.too_slow]

settings.register_profile(
    "unhurried", max_examples=50, deadline=None, suppress_health_check=SLOW_IS_NO_FAULT
)
settings.register_profile(
    "thorough", max_examples=1_000, deadline=None, suppress_health_check=SLOW_IS_NO_FAULT
)
settings.load_profile("unhurried")
