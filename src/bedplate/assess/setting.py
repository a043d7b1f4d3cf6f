"""Setting a gauge: what it stood at and what it then showed, proposed as an entry."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from bedplate.assess.doubts import FAR
from bedplate.assess.gauges import copied_gauge, described, described_again, described_by
from bedplate.assess.written import unit_in
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Setting
from bedplate.record.job import Job
from bedplate.text import quoted
from bedplate.units import Typed, convert, decimal_text, dimension, read_value, system


def setting_to_record(
    job: Job,
    gauge: str,
    shown: str,
    *,
    on: str | None,
    within: str | None,
    cabinet: Mapping[str, Mapping[str, str]],
) -> list[AnyEntry]:
    """Return the entries that record a setting: copies of the gauges, then the setting.

    Args:
        job: the job as it stands.
        gauge: what was set.
        shown: what it showed.
        on: the size of a standard, or the address of a reading it stood at; nought, without.
        within: the gauge it was set in.
        cabinet: the user's gauges by name.

    Raises:
        NotUnderstoodError: unknown gauge or address, gauges set in each other in a ring, a gauge
            set in another at no size named, or an offset that no gauge of sizes has.
    """
    entries: list[AnyEntry] = []
    name = _used(job, gauge, cabinet, entries)
    inner = _used(job, within, cabinet, entries) if within is not None else None
    if inner is not None:
        _refuse_ring(job, name, inner)
        _refuse_unsaid(name, shown, on, inner)
    known = described(job) | described_by(entries)
    unit = _unit(job, known.get(name, {}))
    typed = _one_figure(shown, unit)
    reference = _reference(job, on, unit)
    if isinstance(reference, Typed) and known.get(name, {}).get("reads") != "differences":
        _refuse_far(name, known.get(name, {}), typed, reference)
    text = reference.text if isinstance(reference, Typed) else reference
    entries.append(
        Setting.model_validate(
            {"gauge": name, "shown": typed.text, "reference": text, "in": inner}
        )
    )
    return entries


def _used(
    job: Job, gauge: str, cabinet: Mapping[str, Mapping[str, str]], entries: list[AnyEntry]
) -> str:
    try:
        name, copy = copied_gauge(job, gauge, cabinet)
    except NotUnderstoodError as fault:
        # Without a gauge there is no setting, so to leave it out is no way on.
        raise NotUnderstoodError(fault.message, *fault.hint[:1]) from None
    if copy is not None:
        entries.append(copy)
    return name


def _unit(job: Job, keys: Mapping[str, str]) -> str:
    """Return the unit of bare figures: the sheet's for lengths, else the gauge's own."""
    stated = next((keys[key] for key in ("resolution", "max_error") if key in keys), None)
    own = unit_in(stated) if stated is not None else None
    if own is not None and (dimension(own) != "length" or job.sheet.unit is None):
        return own
    return job.sheet.unit or "mm"


def _one_figure(text: str, unit: str) -> Typed:
    typed = read_value(text, unit)
    if typed.two_ended:
        raise NotUnderstoodError(f"Not recorded. A gauge shows one figure, not {quoted(text)}.")
    return typed


def _reference(job: Job, on: str | None, unit: str) -> Typed | str:
    """Return the size a gauge stood at, or the address of the reading."""
    if on is None:
        return read_value("0", unit)
    tag = on.partition("@")[0].partition(".")[0]
    if job.layout.find(tag, "feature") is not None:
        selection = job.select(on)
        spots = selection.spots
        if len(spots) != 1:
            raise NotUnderstoodError(
                f"Not recorded. {quoted(on)} names {len(spots)} places; a gauge is set at one.",
                f"Type:  --on {spots[0]}",
            )
        standing = job.standing if selection.mark is None else job.standing_spare
        if not any(taken.entry.value is not None for taken in standing(spots[0])):
            raise NotUnderstoodError(
                f"Not recorded. Nothing was read at {spots[0]} yet, so nothing can be set on it.",
                f"Type:  bedplate measure {spots[0]} VALUE",
            )
        return str(spots[0])
    if not any(char.isdigit() for char in on):
        raise NotUnderstoodError(
            f"Not recorded. {quoted(on)} is neither a size nor an address.",
            "Type:  --on 1in   or   --on H.idler@a",
        )
    return _one_figure(on, unit)


def _refuse_far(name: str, keys: Mapping[str, str], shown: Typed, reference: Typed) -> None:
    if shown.low is None or reference.low is None or dimension(shown.unit) != "length":
        return
    off = shown.low - convert(reference.low, reference.unit, shown.unit)
    limit, unit = FAR[system(shown.unit) or "metric"]
    if abs(off) > convert(limit, unit, shown.unit):
        raise NotUnderstoodError(
            f"Not recorded. {name} is said to show {shown.text} on {reference.text}: "
            f"{_decimal(off)} {shown.unit} off.",
            "Say what it stood on:  --on 1in",
            "Or, for a dial or comparator:  "
            + described_again(name, keys, "reads", "differences"),
        )


def _refuse_unsaid(name: str, shown: str, on: str | None, within: str) -> None:
    """Refuse a gauge set in another of which it is not said what it stood at.

    Nought, as on a surface, would make every later reading that much too small.
    """
    if on is None:
        raise NotUnderstoodError(
            f"Not recorded. {name} was set in {within}: what did {within} stand at?",
            f"Type:  bedplate gauge set {name} {shown} --on SIZE --in {within}",
        )


def _decimal(value: Fraction) -> str:
    return decimal_text(abs(value), 4)


def _refuse_ring(job: Job, gauge: str, within: str) -> None:
    """Refuse a gauge set in one that was itself set in the first, however far back."""
    last = {entry.gauge: entry.in_ for entry in job.live(Setting)}
    seen: list[str] = []
    inner: str | None = within
    while inner is not None and inner not in seen:
        if inner == gauge:
            chain = " in ".join([gauge, *seen, gauge] if seen else [gauge, gauge])
            raise NotUnderstoodError(
                f"Not recorded. The gauges would be set on each other in a ring: {chain}.",
                f"Set {within} on a standard first:  bedplate gauge set {within} SHOWN --on SIZE",
            )
        seen.append(inner)
        inner = last.get(inner)
