"""Leave the long runs out unless they are asked for by name."""

from __future__ import annotations

import pytest


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if "slow" in str(config.getoption("markexpr")):
        return
    skip = pytest.mark.skip(reason="minutes, not seconds: ask with -m slow")
    for item in items:
        if item.get_closest_marker("slow") is not None:
            item.add_marker(skip)
