"""What a session says of itself: at its start, when the readings are in, at its end."""

from __future__ import annotations

from collections.abc import Sequence

from bedplate.assembly.moments import open_moment
from bedplate.assess.result import FitResult
from bedplate.cli import context
from bedplate.cli.bench import heads
from bedplate.cli.bench.state import Bench
from bedplate.cli.bench.walk import Walk
from bedplate.record.entries import Reading
from bedplate.text import counted, listed, visible


def greet(bench: Bench, walk: Walk) -> None:
    """Say which job it is, how much is due, who records, and which keys there are."""
    screen = bench.screen
    name, hand = visible(bench.ledger.name), visible(bench.ledger.by)
    left, spot = bench.course.left, bench.course.next()
    begun = any(isinstance(entry, Reading) for entry in bench.job.entries)
    on = f"going on at {spot}" if begun and spot is not None else ""
    if screen.plain:
        said = f"Job {name}. {counted(left, 'reading')} due. Recording as {hand}."
        lines = [said, *([f"{on[:1].upper()}{on[1:]}."] if on else [])]
    elif heads.is_narrow(screen):
        lines = heads.running(f"{name}  {left} due   as {hand}", screen)
        lines += [on] if on else []
    else:
        lines = _wide_greeting(bench, name, hand, on)
    bench.err([*lines, *heads.key_line(screen), *_strip_hint(bench, walk)])
    bench.err([] if screen.plain else [""])


def _wide_greeting(bench: Bench, name: str, hand: str, on: str) -> list[str]:
    screen = bench.screen
    due = counted(bench.course.left, "reading")
    line = "    ".join(filter(None, (name, f"{due} due", f"recording as {hand}", on)))
    other = "  (someone else: q, then --by)"
    line += other if not on and len(line) + len(other) <= screen.columns else ""
    return [line] if len(line) <= screen.columns else heads.running(line, screen, "", "    ")


def _strip_hint(bench: Bench, walk: Walk) -> list[str]:
    """Return that steps of the strip are not recorded yet, and how to go there."""
    if walk.focus or bench.is_kept or not bench.course.left:
        return []
    steps = walk.open_strip()
    if not steps:
        return []
    gap = " " if bench.screen.plain else "  "
    text = f"The strip is not recorded yet: {visible(steps[0])}{gap}goes to its next step."
    return heads.running(text, bench.screen, "", "  ")


def all_in(bench: Bench) -> None:
    """Say that the readings are done, or left; and how the fits due by now stand."""
    if not bench.once("all in"):
        return
    assembly = bench.assembly()
    moment = open_moment(bench.job)
    index = assembly.moment_index(moment) if moment is not None else None
    due = [fit for fit in bench.fits if index is not None and assembly.due(fit.fit) <= index]
    left = bench.course.due
    said = f"{counted(len(left), 'reading')} left for later." if left else "All readings are in."
    screen = bench.screen
    stand = _how_they_stand(due)
    if screen.plain or heads.is_narrow(screen):
        bench.err([*heads.running(said, screen), *heads.running(stand, screen, "", "  ")])
    else:
        bench.err(heads.running(f"{said}  {stand}".strip(), screen, "", "  "))


def _how_they_stand(due: Sequence[FitResult]) -> str:
    if not due:
        return ""
    passing = sum(fit.passes for fit in due)
    out = sum(fit.measured and not fit.passes for fit in due)
    waiting = sum(not fit.measured for fit in due)
    said = f"{passing} of {counted(len(due), 'clearance')} in band"
    return said + (f", {out} not" if out else "") + (f", {waiting} waiting." if waiting else ".")


def stopped(bench: Bench, *, done: bool = False) -> None:
    """Say that a session was left, and how to go on; not so where nothing more was asked for."""
    kept = counted(bench.job.last, "entry", "entries")
    text = f"Stopped. {kept} kept, nothing half written."
    on = context.to_type("Go on with: bedplate bench")
    bench.err(heads.running(text if done else f"{text} {on}", bench.screen))


def ended(bench: Bench, walk: Walk) -> list[str]:
    """Return that nothing is left to ask for; what was left for later; what is to do elsewhere."""
    screen = bench.screen
    left = [str(spot) for spot in bench.course.due]
    said = []
    if left:
        on = context.to_type("Go on with: bedplate bench")
        text = f"Left for later: {listed(left, 4)}. {on}"
        said += heads.running(text, screen, "", "  ")
    elif bench.is_kept:
        said.append("All that was asked for is in.")
    first = walk.stopped or walk.remaining()
    if first is None:
        return [*said, "Nothing is left to do."]
    command = context.to_type(first.type)
    if screen.plain:
        return [*said, f"Next: {first.text}.", command]
    text = f"next: {first.text}"
    lines = heads.two_ends(text, command, heads.room(screen))
    apart = [*heads.running(text, screen, "", "  "), f"   {command}"]
    return [*said, *(lines if len(lines) == 1 else apart)]
