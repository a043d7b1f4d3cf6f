"""What ``fasten`` says below its entries: what a judged stage came to, which places were left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bedplate.assembly.stages import StageVerdict, judged, read_reached, stage_of
from bedplate.cli.screen import Screen
from bedplate.record.entries import AnyEntry, Fasteners
from bedplate.record.job import Job
from bedplate.record.sets import Sets, SetState, meant
from bedplate.report import figures, verdicts
from bedplate.sheet.layout import joined
from bedplate.units import convert


def stage_lines(entries: Sequence[AnyEntry], job: Job, screen: Screen) -> list[str]:
    """Return a line for every stage that was reached and is judged, in order.

    Args:
        entries: what was just recorded.
        job: the job with it.
        screen: where it is shown.
    """
    return [
        line
        for entry in entries
        if isinstance(entry, Fasteners) and entry.value is not None
        for state in _states(job, entry)
        for line in _line(state, entry, screen)
    ]


def nothing_to_do(job: Job, moves: Sequence[Fasteners]) -> dict[str, str]:
    """Return the places of a set where a move finds nothing to do, and what is said of each.

    Nothing where that is so at all of them: then it is refused, with what may be done instead.

    Args:
        job: the job.
        moves: one and the same at several places of a set.
    """
    idle: dict[str, str] = {}
    for move in moves:
        (state,) = _states(job, move)
        if not meant(state, move):
            last = max(state.fasteners, key=lambda fastener: fastener.entry)
            since = f" (entry {last.entry})" if last.entry else ""
            idle[move.set] = f"{move.set} is left as it is: {last.state}{since}."
    return idle if len(idle) < len(moves) else {}


def _states(job: Job, entry: Fasteners) -> list[SetState]:
    selection = job.layout.select(entry.set, "fasteners")
    sets = Sets.of(job)
    return [sets.at(selection.named.name, position) for position in selection.positions]


def _line(state: SetState, entry: Fasteners, screen: Screen) -> Iterator[str]:
    """Yield what one set came to; nothing for a setting that is only reached, not judged."""
    stage = entry.stage or max(f.stage for f in state.fasteners if f.entry == entry.n)
    limits = stage_of(state.row, stage)
    verdict = judged(state.row, entry, stage)
    if limits is None or verdict is None or verdict.verdict not in ("in", "out"):
        return
    from bedplate.cli.bench.moves import stage_shown  # noqa: PLC0415 - where one is judged

    phrase = verdicts.said(verdict.verdict, verdict.side, "direct", _margin(entry, verdict))
    name = joined(state.row.tag, state.position)
    name += f" stage {stage}" if state.stages > 1 else ""
    reached = figures.amount(*_parted(entry.value or ""), draw=screen.can_draw)
    band = stage_shown(limits, draw=screen.can_draw)
    if screen.plain:
        yield f"{name}: {reached}, {phrase}; {band}."
        return
    has = {"has_low": verdict.limits.low is not None, "has_high": verdict.limits.high is not None}
    sign = verdicts.sign(verdict.verdict, verdict.side, **has)
    weighed = screen.weighed(phrase, verdict.verdict)
    if screen.columns < 60:
        yield f"  {name}  {reached}"
        yield f"  {weighed}  {sign}  {band}"
        return
    yield f"  {name}  {reached}  {weighed}  {sign}  {band}"


def _parted(value: str) -> tuple[str, str]:
    """Return figure and unit of a value as the record keeps it: ``17 lbf*ft``."""
    figure, _, unit = value.partition(" ")
    return figure, unit


def _margin(entry: Fasteners, verdict: StageVerdict) -> str | None:
    """Return by how much what was reached is out of its limits, in their unit."""
    limit = verdict.limits.low if verdict.side == "low" else verdict.limits.high
    typed = read_reached(f"{entry.value}", None)
    if verdict.verdict != "out" or limit is None or typed.low is None:
        return None
    places = len(_parted(entry.value or "")[0].partition(".")[2])
    if typed.unit != verdict.limits.unit:
        places = max(places, 1)
    return figures.margin(convert(typed.low, typed.unit, verdict.limits.unit) - limit, places)
