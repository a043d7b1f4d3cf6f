from __future__ import annotations

import pytest
import signed_jobs

from bedplate.seal.known import KnownKey


@pytest.fixture(scope="session")
def job() -> bytes:
    """A job of four entries and a seal."""
    return signed_jobs.signed_job()


@pytest.fixture(scope="session")
def known() -> tuple[KnownKey, ...]:
    """Ann's and Bert's keys, known here."""
    return signed_jobs.KNOWN
