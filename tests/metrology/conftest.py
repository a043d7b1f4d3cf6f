"""Random cases of a property: every mutant of the arithmetic meets the same few."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile(
    "mutants", settings.get_profile("unhurried"), max_examples=15, derandomize=True
)
if "MUTANT_UNDER_TEST" in os.environ:
    settings.load_profile("mutants")
