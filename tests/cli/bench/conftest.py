"""What the tests of the bench share: two example jobs, and a way to sit down at them."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_session import CRANK, PUMP, SMALL, Sat, add_gauge, on_sheet, opened, sit_down


@pytest.fixture(autouse=True)
def _ctrl_c_counts() -> None:
    """Let Ctrl-C interrupt, also where the tests run behind ``&``, which has it ignored."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def sit(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Sat]:
    """Return what runs a session with some answers."""

    def down(*answers: str | type[BaseException], words: tuple[str, ...] = ()) -> Sat:
        return sit_down(monkeypatch, answers, *words)

    return down


@pytest.fixture
def small() -> Path:
    """Open the small job."""
    return on_sheet(SMALL)


@pytest.fixture
def pump() -> Path:
    """Open the example of the transfer pump."""
    return opened(PUMP, "pump")


@pytest.fixture
def crank() -> Path:
    """Open the example of the bottom end."""
    return opened(CRANK, "crank")


@pytest.fixture
def mic() -> None:
    """Put a micrometer into the cabinet."""
    add_gauge("mic1", "--kind", "micrometer", "--range", "0..2 in")
