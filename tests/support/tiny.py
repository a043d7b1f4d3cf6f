"""Tiny jobs for tests, in the user's own format: a few lines of a sheet, a few readings.

A line of a job reads as a mechanic would say it: ``H.idler@b 0.9978``, ``H 1.0 1.1 again``,
``gear.idler new``, ``body reworked touching D.idler``, ``strike 4``.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from bedplate.assess.fits import Assessment
from bedplate.assess.request import Request, joined_values
from bedplate.assess.result import FitResult
from bedplate.assess.taking import readings_to_record
from bedplate.record.entries import (
    NO_LINE,
    AnyEntry,
    Changed,
    GaugeDescribed,
    Opened,
    Setting,
    Strike,
)
from bedplate.record.job import Job, fold
from bedplate.record.stamping import moment_text, stamped
from bedplate.sheet.model import Sheet
from bedplate.sheet.reader import read_sheet_text

START = dt.datetime(2025, 11, 24, 15, 40, tzinfo=dt.UTC)
HOWS = ("reworked", "new", "moved", "found")


def sheet_of(toml: str) -> Sheet:
    """Return a sheet from its tables; the first line of a sheet is put before them."""
    if "format =" not in toml:
        toml = f'format = "bedplate-sheet/1"\n{toml}'
    sheet, faults = read_sheet_text(toml.encode(), "tiny.toml")
    if sheet is None:
        raise AssertionError([fault.text for fault in faults])
    return sheet


class Tiny:
    """A job that grows line by line."""

    def __init__(self, toml: str, cabinet: Mapping[str, Mapping[str, str]] | None = None) -> None:
        self.cabinet = cabinet or {}
        self.entries: list[AnyEntry] = []
        self.put(Opened(job="0" * 32, sheet=sheet_of(toml).as_json()))

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return fold(self.entries)

    def put(self, *entries: AnyEntry) -> None:
        """Append entries as proposed."""
        for entry in entries:
            n = len(self.entries) + 1
            at = moment_text(START + dt.timedelta(minutes=n))
            self.entries.append(stamped(entry, n=n, at=at, by="Ann Fitter", prev=NO_LINE))

    def say(self, *lines: str) -> Tiny:
        """Append what each line says; return the job itself."""
        for line in lines:
            self._say(line.split())
        return self

    def _say(self, words: list[str]) -> None:
        first, *rest = words
        if first == "strike":
            self.put(Strike(entry=int(rest[0]), why="slip"))
        elif first == "set":
            self._set(rest)
        elif rest and rest[0] in HOWS:
            self._change(first, rest[0], rest[1:])
        else:
            self._read(first, rest)

    def _set(self, words: list[str]) -> None:
        """Say ``set mic1 shown 1.0002in on 1in`` or ``… on H.idler@a in mic2``."""
        told = dict(zip(words[1::2], words[2::2], strict=True))
        setting = {"gauge": words[0], "shown": told["shown"], "reference": told.get("on")}
        self.put(Setting.model_validate({**setting, "in": told.get("in")}))

    def _change(self, component: str, how: str, rest: list[str]) -> None:
        told = dict(zip(rest[::2], rest[1::2], strict=True))
        touching = tuple(told["touching"].split(",")) if "touching" in told else None
        self.put(
            Changed.model_validate({
                "component": component, "how": how, "touching": touching,
                "size": told.get("size"), "mark": told.get("mark"), "from": told.get("from"),
            })
        )  # fmt: skip

    def _read(self, address: str, words: list[str]) -> None:
        repeat = words.pop() if words[-1] in ("again", "instead") else None
        told = {}
        while len(words) > 2 and words[-2] in ("on", "at", "gauge-at"):
            said, word = words.pop(), words.pop()
            told[word] = said
        left_out = " ".join(words[1:]) if words[0] == "left-out" else None
        values = () if left_out else tuple(joined_values(words))
        request = Request(
            address=address, values=values, repeat=repeat, yes=True, left_out=left_out,
            gauge=told.get("on"), temp=told.get("at"), gauge_temp=told.get("gauge-at"),
        )  # fmt: skip
        self.put(*readings_to_record(self.job, request, {}, self.cabinet))

    def describe(self, **gauge: str) -> Tiny:
        """Describe a gauge in the job."""
        self.put(GaugeDescribed.model_validate({"gauge": gauge}))
        return self

    def fit(self, address: str, *, both: bool = False) -> FitResult:
        """Return one fit, by tag or by tag and position; the as-found one with ``both``."""
        tag, _, place = address.partition(".")
        found = Assessment(self.job).fits([tag], both=both)
        return next(r for r in found if (r.place or "") == place)

    def verdict(self, address: str) -> str:
        """Return the verdict of one fit."""
        return self.fit(address).verdict
