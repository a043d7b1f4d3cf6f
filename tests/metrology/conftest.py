"""Random cases: as many on a busy machine as on an idle one, and the same few for every mutant."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "any-machine", deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "mutants", settings.get_profile("any-machine"), max_examples=15, derandomize=True
)
settings.load_profile("mutants" if "MUTANT_UNDER_TEST" in os.environ else "any-machine")
