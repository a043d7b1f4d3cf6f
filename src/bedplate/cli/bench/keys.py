"""What the keys do: back, again, skip, gauge, temperature, note, finding, due, keep."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import groupby

from bedplate.assembly.words import until_words
from bedplate.assess.gauges import copied_gauge
from bedplate.assess.limits import feature_unit
from bedplate.assess.written import split_gauge
from bedplate.cli.bench import heads
from bedplate.cli.bench.answers import Answer
from bedplate.cli.bench.moves import LOOSENING
from bedplate.cli.bench.questions import Repeat, repeat
from bedplate.cli.bench.state import Act, Bench
from bedplate.cli.bench.task import Question, Task
from bedplate.cli.bench.zero import set_gauge
from bedplate.cli.times import temperature
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import Fasteners, Finding, GaugeDescribed, Step, Strike
from bedplate.record.job import UNSTRIKABLE, Job
from bedplate.record.waiting import Waiting
from bedplate.report.entry_words import numbered
from bedplate.sheet import model
from bedplate.sheet.layout import joined
from bedplate.text import counted, quoted, visible

SLIP = "slip at the bench"
"""Why an entry is struck that is taken back."""
SEVERITIES = ("note", "watch", "reject")
NONE = ("none", "-")
"""Words for no gauge and no temperature."""


def press(bench: Bench, task: Task, answer: Answer) -> Task | None:
    """Do what a key says; return a question that it asks, None where it asks none.

    Raises:
        BedplateError: nothing was recorded.
    """
    return _KEYS[answer.key](bench, task, answer.rest)


def _refuse_rest(letter: str, rest: str) -> None:
    if rest:
        raise NotUnderstoodError(
            f"Nothing done. {letter}  stands alone, and {quoted(rest)} was behind it."
        )


# ---- taking back, and reading again


def _back(bench: Bench, _task: Task, rest: str) -> Task | None:
    """Take back what the last answer recorded, and ask for it again."""
    _refuse_rest("b", rest)
    act = next((act for act in reversed(bench.run.acts) if _strikable(bench, act)), None)
    if act is None:
        raise NotUnderstoodError(
            "Nothing changed. Nothing of this session is left to take back.",
            "An older entry:  bedplate strike ENTRY --why slip",
        )
    numbers = _strikable(bench, act)
    recorded = bench.record(
        lambda _job: [Strike(entry=n, why=SLIP) for n in numbers], Act((), "back")
    )
    bench.run.acts = [kept for kept in bench.run.acts[:-1] if kept is not act]
    _say_struck(bench, numbers, act)
    bench.renew()
    bench.verdicts(recorded.entries)
    return _ask_again(bench, act)


def _strikable(bench: Bench, act: Act) -> list[int]:
    """Return what can be taken back of an act, the last first.

    The description of a gauge stays: other readings may rest on it.
    """
    return [
        n
        for n in reversed(act.entries)
        if n not in bench.job.struck
        and bench.job.entries[n - 1].kind not in UNSTRIKABLE
        and not isinstance(bench.job.entries[n - 1], GaugeDescribed)
    ]


def _say_struck(bench: Bench, numbers: list[int], act: Act) -> None:
    what = "entry" if len(numbers) == 1 else "entries"
    shown = ", ".join(str(n) for n in sorted(numbers))
    said = f"struck {what} {shown} ({visible(act.words)}, {SLIP})"
    if bench.screen.plain:
        said = f"S{said[1:]}."
    bench.out(heads.below(said, bench.screen))


def _ask_again(bench: Bench, act: Act) -> Task | None:
    """Ask for what was taken back; a repeat as a repeat."""
    bench.run.passed.clear()
    if act.gauge is not None:
        bench.checks.undone(act.gauge)
    bench.run.step = ""
    if act.spot is None:
        bench.run.strip_again |= any(_is_of_strip(bench.job, n) for n in act.entries)
        return None
    before = (kept.spot for kept in reversed(bench.run.acts) if kept.spot is not None)
    bench.run.last = next(before, None)
    if act.again:
        return Repeat(bench, act.spot)
    bench.course.go_to(act.spot)
    return None


def _is_of_strip(job: Job, n: int) -> bool:
    """Tell whether an entry is of the strip, which is asked for only where somebody goes to it."""
    entry = job.entries[n - 1]
    if isinstance(entry, Fasteners):
        return entry.state in LOOSENING
    if not isinstance(entry, Step):
        return False
    row = job.layout.row(entry.step.partition(".")[0], model.Step)
    return row.phase == "strip"


def _again(bench: Bench, _task: Task, rest: str) -> Task | None:
    """Read once more where the last reading was taken."""
    spot = bench.run.last
    if spot is None:
        raise NotUnderstoodError(
            "Nothing recorded. Nothing was read in this session yet, so nothing is read again.",
            "Name the place, with the value behind it:  H.driver@a 1.0001",
        )
    return repeat(bench, spot, rest) if rest else Repeat(bench, spot)


def _skip(_bench: Bench, task: Task, rest: str) -> Task | None:
    return task.skip(rest)


def _keep(_bench: Bench, task: Task, rest: str) -> Task | None:
    _refuse_rest("k", rest)
    if not isinstance(task, Question):
        raise NotUnderstoodError("Nothing is questioned, so there is nothing to keep.")
    return task.keep()


# ---- gauge and temperature


def _gauge(bench: Bench, task: Task, rest: str) -> None:
    """Change the gauge from here on; with what it shows, its zero too."""
    spot = task.spot
    if spot is None:
        raise NotUnderstoodError("Nothing changed. No reading is asked for just now.")
    if not rest:
        _say_gauges(bench, bench.gauges.of(bench.job, spot))
        return
    name, _, shown = rest.partition(" ")
    if name.casefold() in NONE:
        bench.gauges.name(bench.job, spot, None)
        _say(bench, "no gauge from here on: only the last digit typed counts as doubt")
        return
    parts = [part for part in split_gauge(name) if part is not None]
    known, unit = bench.gauges.cabinet, feature_unit(bench.job, spot.tag)
    own = "/".join(copied_gauge(bench.job, part, known, unit)[0] for part in parts)
    bench.gauges.name(bench.job, spot, own)
    if shown:
        set_gauge(bench, own.rpartition("/")[2], shown, None)
    _say(bench, f"on {visible(own)} from here on")


def _say_gauges(bench: Bench, now: str | None) -> None:
    known = [visible(name) for name in bench.gauges.cabinet]
    there = f" There are: {', '.join(known)}." if known else ""
    _say(bench, f"read on {visible(now)}." + there if now else f"no gauge is named.{there}")


def _temp(bench: Bench, _task: Task, rest: str) -> None:
    """Take a temperature of part and gauge for every reading from here on."""
    if not rest:
        _say(bench, f"part at {bench.run.temp}" if bench.run.temp else "no temperature is given")
    elif rest.casefold() in NONE:
        bench.run.temp = None
        _say(bench, "no temperature from here on")
    else:
        bench.run.temp = temperature(rest)
        _say(bench, f"part at {bench.run.temp} from here on")


def _say(bench: Bench, text: str) -> None:
    if bench.screen.plain:
        text = f"{text[:1].upper()}{text[1:].removesuffix('.')}."
    bench.say(text)


# ---- what was seen


def _note(bench: Bench, task: Task, rest: str) -> None:
    elsewhere, text = _place_named(bench, rest)
    if not text:
        raise NotUnderstoodError("Not recorded. n  takes a text:  n burr on the edge")
    _find(bench, "note", text, elsewhere or task.place)


def _finding(bench: Bench, task: Task, rest: str) -> None:
    """Record what was seen on the part in hand, or on one named before or behind the severity."""
    severity, text = _severity_named(rest)
    elsewhere, text = _place_named(bench, text)
    if elsewhere is not None and not severity:
        severity, text = _severity_named(text)
    if not text:
        raise NotUnderstoodError(
            "Not recorded. f  takes what you saw:  f reject pitted flank",
            f"Before it may stand how grave it is: {', '.join(SEVERITIES)}; watch, without.",
        )
    _find(bench, severity or "watch", text, elsewhere or _part_in_hand(bench, task))


def _severity_named(rest: str) -> tuple[str, str]:
    """Return the severity that a text begins with, and what follows; empty where with none."""
    word, _, behind = rest.partition(" ")
    severity = word.casefold()
    return (severity, behind.strip()) if severity in SEVERITIES else ("", rest)


def _place_named(bench: Bench, rest: str) -> tuple[str | None, str]:
    """Return the place that a text begins with, and what follows; none where it begins with none.

    Only a position says for sure that a word is a place: ``head cracked`` is about any head.

    Raises:
        NotUnderstoodError: it begins with a part or feature at a position that there is not.
    """
    word, _, text = rest.partition(" ")
    tag, dot, position = word.partition(".")
    if not dot:
        return None, rest
    try:
        found = bench.job.layout.select(word, "component", "feature")
    except NotUnderstoodError as fault:
        known = any(bench.job.layout.find(tag, noun) for noun in ("component", "feature"))
        if not known or not any(char.isalnum() for char in position):
            return None, rest
        raise NotUnderstoodError(f"Not recorded. {fault.message}", *fault.hint) from None
    if len(found.positions) != 1:
        return None, rest
    return joined(found.named.name, found.positions[0]), text.strip()


def _part_in_hand(bench: Bench, task: Task) -> str | None:
    """Return the part that is being read; the feature, where it rests on several."""
    spot = task.spot
    if spot is None:
        return task.place
    layout = bench.job.layout
    if len(spot.position) != len(layout.shapes[spot.tag].positions):
        return None  # a part without a place has no address of its own yet
    places = layout.rests_on(spot.tag, spot.position)
    return str(places[0]) if len(places) == 1 else joined(spot.tag, spot.position)


def _find(bench: Bench, severity: str, text: str, place: str | None) -> None:
    entry = Finding.model_validate({"place": place, "severity": severity, "note": text})
    words = f"{severity}: {text}"
    recorded = bench.record(lambda _job: [entry], Act((), words))
    screen = bench.screen
    for made in recorded.entries:
        if screen.plain:
            bench.out([f"Recorded, entry {made.n}."])
        else:
            bench.out(heads.below(numbered(made, bench.job), screen))


# ---- what is due


def _due(bench: Bench, _task: Task, rest: str) -> None:
    """List what is due, a feature at a time, with what was skipped."""
    _refuse_rest("d", rest)
    course = bench.course
    screen = bench.screen
    _say_held(bench)
    if not course.due:
        bench.err([f"{'' if screen.plain else '  '}All readings that are due are in."])
        return
    number = counted(len(course.due), "reading")
    bench.err([f"{number} due:" if screen.plain else f"  {number} due:"])
    for run, spots in groupby(course.due, key=lambda s: joined(s.tag, s.position)):
        labels = []
        for spot in spots:
            label = f"@{'/'.join(spot.station)}" if spot.station else ""
            labels.append(f"{label} (skipped)".strip() if spot in course.skipped else label)
        line = f"{run}  {'  '.join(labels)}".rstrip()
        if screen.plain:
            at = f" at {', '.join(labels).replace('@', '')}" if labels[0] else ""
            bench.err([f"{run}{at}."])
            continue
        bench.err(heads.running(line, screen, "  ", "    "))


def _say_held(bench: Bench) -> None:
    """Say what is not asked for because something put off holds it."""
    for item in Waiting.of(bench.job).put_off:
        if item.holds is None:
            continue
        until = f"until {until_words(item.until)} (entry {item.n})"
        said = f"not asked for: {visible(item.holds)}, {until}"
        bench.err([f"N{said[1:]}."] if bench.screen.plain else [f"  {said}"])


def _keys(bench: Bench, _task: Task, rest: str) -> None:
    _refuse_rest("?", rest)
    bench.err(heads.key_table(bench.screen))


_KEYS: Mapping[str, Callable[[Bench, Task, str], Task | None]] = {
    "b": _back,
    "a": _again,
    "s": _skip,
    "g": _gauge,
    "t": _temp,
    "n": _note,
    "f": _finding,
    "d": _due,
    "k": _keep,
    "?": _keys,
}
"""What each key does; quitting is the session's own."""
