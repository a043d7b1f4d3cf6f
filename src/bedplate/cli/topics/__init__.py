"""What ``bedplate help TOPIC`` tells, each topic a text file beside this module."""

from __future__ import annotations

from pathlib import Path

NAMES = (
    "first-job",
    "addresses",
    "values",
    "verdicts",
    "files",
    "cautions",
    "exit-codes",
)
"""The topics, in the order a newcomer meets them."""


def text(name: str) -> str:
    """Return the text of one topic of `NAMES`."""
    return (Path(__file__).parent / f"{name}.txt").read_text(encoding="utf-8").rstrip("\n")
