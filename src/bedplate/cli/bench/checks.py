"""When the zero of a gauge is to be checked, on what, and what it then takes off."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction
from typing import NamedTuple

from bedplate.assess.doubts import FAR, deviation
from bedplate.assess.gauges import described
from bedplate.assess.limits import nominal_of
from bedplate.assess.slips import THIMBLE
from bedplate.assess.written import split_gauge, unit_in
from bedplate.cabinet.settings import Interval
from bedplate.cli.bench.choice import Cabinet
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import Setting
from bedplate.record.job import Job
from bedplate.text import quoted
from bedplate.units import (
    convert,
    decimal_text,
    dimension,
    read_limits,
    read_value,
    rounded,
    system,
)

NO_ZERO = ("report", "feeler", "plastic", "straightedge", "block")
"""Words in the kind of a gauge that has no zero to check."""


class Standard(NamedTuple):
    """What a zero check of a gauge is made on.

    Attributes:
        on: the size, as typed; None where nothing says it.
        last: the last setting of the gauge in the job, None where there is none.
        differences: whether it shows differences, and must be set before it can be read at all.
    """

    on: str | None
    last: Setting | None
    differences: bool


def standard_of(job: Job, gauge: str, cabinet: Cabinet) -> Standard | None:
    """Return what the zero of a gauge is checked on; None for a gauge that has none.

    It is the size it was last set on; else the low end of its range, where the standard lies
    that comes with a micrometer.

    Args:
        job: the job.
        gauge: its name; of a pair the one that is read.
        cabinet: the user's gauges by name.
    """
    name = split_gauge(gauge)[1] or gauge
    keys = described(job).get(name) or next(
        (keys for own, keys in cabinet.items() if own.casefold() == name.casefold()), {}
    )
    if any(word in keys.get("kind", "").casefold() for word in NO_ZERO):
        return None
    span = keys.get("range")
    if _measures(keys) not in (None, "length"):
        return None
    last = next((s for s in reversed(job.live(Setting)) if s.gauge == name), None)
    differences = keys.get("reads") == "differences"
    if differences or span is None:
        return Standard(None, last, differences)
    if last is not None and last.reference and _is_size(last.reference):
        return Standard(last.reference, last, differences)
    low, _, unit = read_limits(span, "mm")
    on = f"{decimal_text(low, 6)} {unit}" if low is not None else None
    return Standard(on, last, differences)


def is_set_for(job: Job, standard: Standard, spot: Spot) -> bool:
    """Tell whether a gauge of differences stands where an address can be read with it.

    What it was set on must be about as large as what is read: within a turn of a thimble.
    """
    found = nominal_of(job, spot)
    if not standard.differences or found is None:
        return True
    if standard.last is None:
        return False
    nominal, unit = found
    text = standard.last.reference or f"0 {unit}"
    if not _is_size(text):
        on = nominal_of(job, job.select(text).spots[0])
        size = convert(on[0], on[1], unit) if on is not None else nominal
    else:
        typed = read_value(text, unit)
        size = convert(typed.low or Fraction(0), typed.unit, unit)
    turn, turn_unit = THIMBLE[system(unit) or "metric"]
    return abs(size - nominal) <= convert(turn, turn_unit, unit)


def _measures(keys: Mapping[str, str]) -> str | None:
    """Return what a gauge measures, None where nothing is said of it."""
    for key in ("range", "resolution", "max_error"):
        if key in keys:
            text = keys[key]
            unit = read_limits(text, "mm")[2] if ".." in text else unit_in(text)
            return dimension(unit)
    return None


def _is_size(reference: str) -> bool:
    return reference[:1].isdigit() or reference[:1] in ".-+"


SHOWN_ON_IN = re.compile(
    r"(?P<shown>.+?)(?:\s+on\s+(?P<on>.+?))?(?:\s+in\s+(?P<within>[A-Za-z][\w-]*))?", re.IGNORECASE
)


class Shown(NamedTuple):
    """What was typed of a setting: ``1.0001``, ``1.0001 on 1in``, ``0 on H.driver@a in mic1``."""

    shown: str
    on: str | None
    within: str | None


def read_shown(text: str) -> Shown:
    """Take apart what was typed of a setting.

    Raises:
        NotUnderstoodError: it does not begin with a figure.

    >>> read_shown("1.0001 on 1 in")
    Shown(shown='1.0001', on='1 in', within=None)
    >>> read_shown("0 on MJ.1@front/v in mic1").within
    'mic1'
    """
    found = SHOWN_ON_IN.fullmatch(text.strip())
    if found is None or not (found["shown"][0].isdigit() or found["shown"][0] in ".,+-\u2212"):
        raise NotUnderstoodError(
            f"Not recorded. {quoted(text)} is not what a gauge shows.",
            "It reads like  1.0001   or   1.0001 on 1in   or   0 on H.driver@a in mic1",
        )
    return Shown(found["shown"], found["on"], found["within"])


class Checks:
    """When the zero of which gauge was last asked for in this session.

    Args:
        interval: after how long it is asked for again.
    """

    def __init__(self, interval: Interval) -> None:
        self.interval = interval
        self._asked: dict[str, datetime] = {}
        self._read: dict[str, int] = {}

    def due(self, gauge: str, now: datetime) -> bool:
        """Tell whether a zero check is to be asked for: once a session, and after the interval."""
        name = gauge.casefold()
        if name not in self._asked:
            return True
        passed = (now - self._asked[name]).total_seconds()
        number = self.interval.readings
        return (self.interval.seconds is not None and passed >= self.interval.seconds) or (
            number is not None and self._read.get(name, 0) >= number
        )

    def made(self, gauge: str, now: datetime) -> None:
        """Note that a zero check was made, or put off for as long as the interval."""
        self._asked[gauge.casefold()] = now
        self._read[gauge.casefold()] = 0

    def undone(self, gauge: str) -> None:
        """Note that the last one was struck: it is asked for again."""
        self._asked.pop(gauge.casefold(), None)

    def read(self, gauge: str) -> None:
        """Count a reading."""
        self._read[gauge.casefold()] = self._read.get(gauge.casefold(), 0) + 1


def ago(then: str, now: datetime) -> str:
    """Return how long something was ago: ``3 h 10 min``.

    >>> from datetime import UTC
    >>> ago("2025-11-24T10:00:00+00:00", datetime(2025, 11, 24, 13, 10, tzinfo=UTC))
    '3 h 10 min'
    """
    minutes = int(max(0.0, (now - datetime.fromisoformat(then)).total_seconds()) // 60)
    hours, minutes = divmod(minutes, 60)
    if hours >= 48:
        return f"{hours // 24} days"
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


FAR_OFF = {"inch": (Fraction(1, 1000), "in"), "metric": (Fraction(1, 40), "mm")}
"""How far off a zero is asked about, unless ten times the gauge's own error is more."""


def far_off(job: Job, gauge: str, told: Shown, standard: Standard, cabinet: Cabinet) -> str | None:
    """Return by how much a zero is off, if that is more than a zero is likely to be.

    What no gauge of sizes can be off is refused where it is recorded, and not asked about.

    Args:
        job: the job.
        gauge: what is checked.
        told: what it shows, and on what.
        standard: what it is checked on where nothing was said.
        cabinet: the user's gauges by name.

    Raises:
        NotUnderstoodError: what it shows is no length.
    """
    on = told.on or standard.on
    if standard.differences or on is None or not _is_size(on):
        return None
    unit = job.sheet.unit or "mm"
    shown, stood = read_value(told.shown, unit), read_value(on, unit)
    if shown.low is None or stood.low is None or shown.two_ended or stood.two_ended:
        return None
    off = shown.low - convert(stood.low, stood.unit, shown.unit)
    least, least_unit = FAR_OFF[system(shown.unit) or "metric"]
    keys = described(job).get(gauge) or cabinet.get(gauge, {})
    known = [read_value(keys[key], unit) for key in ("zero_error", "max_error") if key in keys]
    allowed = [10 * convert(e.low, e.unit, shown.unit) for e in known if e.low is not None]
    refused = convert(*FAR[system(shown.unit) or "metric"], shown.unit)
    if abs(off) <= max([convert(least, least_unit, shown.unit), *allowed]) or abs(off) > refused:
        return None
    return deviation(off, shown.unit)


def offset_of(setting: Setting, gauge: Mapping[str, str]) -> str | None:
    """Return what a setting takes off every reading: ``+0.0001``; None if set on a reading.

    It has the decimals of what was shown, or those that the gauge reads if they are more.

    Args:
        setting: what it stood at and showed.
        gauge: what is known of the gauge.
    """
    if setting.reference is not None and not _is_size(setting.reference):
        return None
    shown = read_value(setting.shown, "mm")
    stood = read_value(setting.reference or f"0 {shown.unit}", shown.unit)
    if shown.low is None or stood.low is None:
        return None
    off = shown.low - convert(stood.low, stood.unit, shown.unit)
    figure = setting.shown.split(" ")[0]
    text = rounded(off, max(len(figure.partition(".")[2]), _places(gauge, shown.unit)))
    return f"+{text}" if off > 0 else text


def _places(gauge: Mapping[str, str], unit: str) -> int:
    """Return how many decimals a gauge reads in a unit, 0 where nothing is said of it."""
    if "resolution" not in gauge:
        return 0
    typed = read_value(gauge["resolution"], unit)
    step = convert(typed.low or Fraction(1), typed.unit, unit)
    return len(decimal_text(step, 6).partition(".")[2])
