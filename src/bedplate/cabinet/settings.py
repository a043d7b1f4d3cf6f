"""What a person has set once for all jobs, where each value came from, and what it may be."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any, NamedTuple

from bedplate.cabinet.files import Refusal, check_seen
from bedplate.text import listed, near_or_list, quoted

BUILT_IN = "built in"
"""Where a setting comes from that nobody has set."""


class Interval(NamedTuple):
    """After how long, or how many readings, a zero is checked again; None where it is not said."""

    seconds: Fraction | None
    readings: int | None


@dataclass(frozen=True, slots=True)
class Settings:
    """What a person has set.

    Attributes:
        name: who records, where neither ``--by`` nor ``$BEDPLATE_BY`` says.
        show: unit of computed lengths without a band: ``thou``, ``in``, ``mm``, ``um``, or
            ``as entered``.
        both_units: show a second unit in brackets.
        temperature: ``C`` or ``F`` for a bare figure after ``--temp``; None refuses one.
        zero_check_after: after how long (``4 h``, ``30 min``) or how many readings
            (``50 readings``), or whichever comes first (``4 h or 50 readings``), a zero check is
            asked for again.
        screen: ``full``, ``ascii`` (no line drawing) or ``plain`` (one fact a line).
        colour: ``auto`` or ``never``.
        bell: ring once at a question.
        usual_gauge: gauge by unit and range of nominals, ``{"in 0..1": "mic1"}``.
        sources: where each value that was set came from (a file, ``$NAME``, an option).
    """

    name: str | None = None
    show: str = "as entered"
    both_units: bool = False
    temperature: str | None = None
    zero_check_after: str = "4 h"
    screen: str = "full"
    colour: str = "auto"
    bell: bool = False
    usual_gauge: Mapping[str, str] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)

    def but(self, key: str, value: object, source: str) -> Settings:
        """Return the same settings with one value from somewhere else."""
        changed: dict[str, Any] = {key: value, "sources": {**self.sources, key: source}}
        return replace(self, **changed)

    def source(self, key: str) -> str:
        """Return where the value of a key came from."""
        return self.sources.get(key, BUILT_IN)

    @property
    def zero_check(self) -> Interval:
        """After how long, or how many readings, a zero check is asked for again.

        >>> Settings(zero_check_after="1.5 h or 50 readings").zero_check
        Interval(seconds=Fraction(5400, 1), readings=50)
        """
        seconds: Fraction | None = None
        readings: int | None = None
        for figure, unit in re.findall(r"([0-9.]+) ?([a-z]+)", self.zero_check_after):
            if unit.startswith("reading"):
                readings = int(figure)
            else:
                seconds = Fraction(figure) * (3600 if unit == "h" else 60)
        return Interval(seconds, readings)


class Rule(NamedTuple):
    """What a value may be: one of ``choices``, or a text of a ``shape`` that looks ``like``."""

    choices: tuple[str, ...] = ()
    shape: str = ""
    like: str = ""

    def allows(self, text: str) -> bool:
        """Say whether a text is such a value."""
        return text in self.choices or bool(self.shape and re.fullmatch(self.shape, text))

    def told(self) -> str:
        """Return the sentence that tells what is allowed."""
        if self.choices:
            return f"It is one of: {listed(self.choices)}"
        return f"It reads like:  {self.like}"


_TIME = r"(?=[0-9.]*[1-9])[0-9]{1,6}(\.[0-9]{1,6})? ?(min|h)"
_READINGS = r"[1-9][0-9]{0,5} ?readings?"

YES_NO = Rule(choices=("true", "false"))
RULES: dict[str, Rule] = {
    "name": Rule(shape=r"\S(.{0,198}\S)?", like="Ann Fitter"),
    "show": Rule(choices=("as entered", "thou", "in", "mm", "um")),
    "both_units": YES_NO,
    "temperature": Rule(choices=("C", "F")),
    "zero_check_after": Rule(
        shape=f"{_TIME}|{_READINGS}|{_TIME} or {_READINGS}|{_READINGS} or {_TIME}",
        like="4 h   30 min   50 readings   4 h or 50 readings",
    ),
    "screen": Rule(choices=("full", "ascii", "plain")),
    "colour": Rule(choices=("auto", "never")),
    "bell": YES_NO,
}
"""The settings of one value, in the order they are shown."""

USUAL = "usual_gauge"
USUAL_RANGE = Rule(shape=r"(in|mm|thou|um) ([0-9]+(\.[0-9]+)?)?\.\.([0-9]+(\.[0-9]+)?)?",
                   like="in 0..1")  # fmt: skip
GAUGE_NAME = Rule(shape=r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}", like="mic1")


def of_table(table: Mapping[str, object], source: str, refused: Refusal) -> Settings:
    """Return the settings that a file's content makes.

    Args:
        table: keys and values as read.
        source: where they came from.
        refused: makes the failure of what is wrong.
    """
    found = Settings()
    for key, value in table.items():
        if key == USUAL:
            found = found.but(key, _usual(value, refused), source)
        else:
            rule = _rule(key, refused)
            if isinstance(value, bool) != (rule is YES_NO):
                wanted = rule.told() + (", without quotes" if rule is YES_NO else "")
                raise refused(f"{key} cannot be {quoted(_as_written(value))}.", wanted)
            text = checked(key, _as_written(value), refused)
            found = found.but(key, value if rule is YES_NO else text, source)
    return found


def _rule(key: str, refused: Refusal) -> Rule:
    if key.partition("=")[0].strip() == USUAL:
        raise refused(
            f"{USUAL} is set for one range of sizes at a time.",
            f'Type:  bedplate settings "{USUAL}.in 0..1" mic1',
        )
    if key not in RULES:
        raise refused(
            f"{quoted(key)} is no setting.", near_or_list(key, [*RULES, USUAL], "Settings")
        )
    return RULES[key]


def _as_written(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def checked(key: str, typed: str, refused: Refusal) -> str:
    """Return a value of one setting as it is kept; ``yes`` and ``no`` stand for true and false.

    Args:
        key: of `RULES`.
        typed: its value.
        refused: makes the failure of what is wrong.
    """
    rule = _rule(key, refused)
    if rule is YES_NO:
        typed = {"yes": "true", "no": "false"}.get(typed, typed)
    check_seen(refused, key, typed)
    if not rule.allows(typed):
        raise refused(f"{key} cannot be {quoted(typed)}.", rule.told())
    return typed


def _usual(value: object, refused: Refusal) -> dict[str, str]:
    if not isinstance(value, dict):
        raise refused(f"{USUAL} is a table.", f'[{USUAL}]  then lines like  "in 0..1" = "mic1"')
    for wanted, gauge in value.items():
        check_usual(wanted, str(gauge), refused)
    return dict(value)


def check_usual(wanted: str, gauge: str, refused: Refusal) -> None:
    """Refuse a line of the usual gauges that is not a range and a gauge's name."""
    for text, rule in ((wanted, USUAL_RANGE), (gauge, GAUGE_NAME)):
        if not rule.allows(text):
            raise refused(f"{USUAL} cannot have {quoted(text)}.", rule.told())
