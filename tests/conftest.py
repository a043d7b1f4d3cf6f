"""What every test shares: an example may take as long as a busy machine makes it take."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")
