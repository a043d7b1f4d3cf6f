"""``DEVELOPERS.md`` names rooms, modules and functions that there are."""

from __future__ import annotations

import importlib
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
ROOMS = (
    "errors", "text", "units", "metrology", "sheet", "record", "cabinet", "assess", "assembly",
    "seal", "report", "cli",
)  # fmt: skip


def names() -> list[str]:
    """Return every dotted name of the page that begins with a room."""
    found = re.findall(r"`([a-z_]+(?:\.\w+)+)`", PAGE)
    return sorted({name for name in found if name.partition(".")[0] in ROOMS})


@pytest.mark.parametrize("name", names())
def test_a_name_of_the_page_is_one_of_the_program(name: str) -> None:
    parts = name.split(".")
    for taken in range(len(parts), 0, -1):
        try:
            found: object = importlib.import_module(".".join(["bedplate", *parts[:taken]]))
        except ModuleNotFoundError:
            continue
        for rest in parts[taken:]:
            found = getattr(found, rest)
        return
    pytest.fail(f"no module {name}")


def test_the_page_names_what_it_walks_through() -> None:
    assert len(names()) > 30


def test_the_rooms_stand_in_the_order_that_is_enforced() -> None:
    told = re.findall(r"^\| (`\w+`(?:, `\w+`)*) \|", PAGE, re.M)
    rooms = [room for cell in told for room in re.findall(r"`(\w+)`", cell)]
    assert tuple(rooms) == ROOMS
    contract = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    (layers,) = contract["tool"]["importlinter"]["contracts"]
    enforced = [layer.removeprefix("bedplate.") for layer in reversed(layers["layers"])]
    assert sorted(enforced[:2]) == ["errors", "text"]
    assert enforced[2:] == rooms[2:]


def test_the_walk_of_a_reading_takes_fifteen_lines_at_most() -> None:
    walk = PAGE.partition("## How a reading travels\n")[2].partition("\n## ")[0]
    steps = [line for line in walk.splitlines() if re.match(r"\d\. |   ", line)]
    assert 0 < len(steps) <= 15


@pytest.mark.parametrize("path", sorted(set(re.findall(r"`(tests/[\w/.]+|docs/[\w/.]+)`", PAGE))))
def test_a_file_of_the_page_is_there(path: str) -> None:
    assert (ROOT / path).exists()
