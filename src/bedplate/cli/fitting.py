"""``bedplate fasten``, ``prove``, ``done`` and ``use``: putting it together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Annotated

import typer

from bedplate.assembly.drawing import meant, named_things
from bedplate.assembly.next_step import next_actions
from bedplate.assembly.renewing import new_parts
from bedplate.assembly.rules import cautions
from bedplate.assess.fits import Assessment
from bedplate.assess.gauges import copied_gauge
from bedplate.assess.written import unit_in
from bedplate.cli import context
from bedplate.cli.declared import At, Gauge, Note
from bedplate.cli.permitted import permitted
from bedplate.cli.proofs_told import left_lines, passed_already, proof_lines
from bedplate.cli.recorded import action_row, tell
from bedplate.cli.screen import wrapped
from bedplate.cli.stages_told import nothing_to_do, stage_lines
from bedplate.cli.store import Recorded, at_hand, clock, record
from bedplate.cli.times import done_at
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Fasteners, PartUsed, Proof, Step
from bedplate.record.job import Job
from bedplate.record.sets import STATES as STATES_IN_ORDER
from bedplate.record.sets import Sets, SetState
from bedplate.sheet import model
from bedplate.sheet.layout import joined
from bedplate.text import listed, near_or_list, quoted, titled, visible
from bedplate.units import read_limits, read_value

STATES = ("removed", "fitted", "tight", "locked", "backed-off", "again")


def places_named(job: Job, typed: str, noun: str, fate: str) -> list[str]:
    """Return every place that an address of a set, proof or step names, as the record spells it.

    Raises:
        NotUnderstoodError: there is none of that name, or no such position.
    """
    tag = typed.partition(".")[0]
    named = job.layout.find(tag, noun)
    if named is None:
        known = job.layout.names(noun)
        word = {"fasteners": "set of fasteners"}.get(noun, noun)
        raise NotUnderstoodError(
            f"{fate} There is no {word} {quoted(tag)}.", near_or_list(tag, known, "There are")
        )
    selection = job.layout.select(typed, noun)
    return [joined(named.name, position) for position in selection.positions]


def _whole(typed: str | None, option: str) -> int | None:
    """Return a count typed after an option."""
    if typed is None:
        return None
    if not typed.isascii() or not typed.isdigit() or not 0 < int(typed[:9]) < 100_000:
        raise NotUnderstoodError(
            f"Not recorded. {option} takes a whole number, not {quoted(typed)}."
        )
    return int(typed)


def _show_cautions(job: Job, entries: Sequence[AnyEntry]) -> None:
    screen = context.screen()
    for entry in entries:
        for caution in dict.fromkeys(cautions(entry, job)):
            head = "CAUTION  "
            whole = [f"{head}{caution}"]
            for line in whole if screen.plain else wrapped(caution, head, width=screen.measure):
                screen.err(line)
        return


def _append(
    propose: Callable[[Job], list[AnyEntry]],
    command: str,
    told: Callable[[Recorded], list[str]] = lambda _: [],
) -> None:
    shown = False
    assessment: Assessment | None = None

    def checked(job: Job, answers: object) -> list[AnyEntry]:
        nonlocal shown, assessment
        assessment = Assessment(job)
        entries = propose(job)
        if not shown:
            _show_cautions(job, [e for e in entries if isinstance(e, Step | Fasteners)])
            shown = True
        # The new part of what is always new is meant to be parted from its mate.
        return permitted(job, entries, answers, assessment, yes=True)

    recorded = record(checked)
    tell(recorded, command, told(recorded), before=assessment)


def fasten(
    tag: Annotated[
        str | None, typer.Argument(metavar="SET", help="N, or M.3; all positions, without.")
    ] = None,
    state: Annotated[
        str | None,
        typer.Argument(metavar="STATE", help=f"What was done: {', '.join(STATES)}."),
    ] = None,
    *,
    count: Annotated[str | None, typer.Option(metavar="N", help="How many; all, without.")] = None,
    stage: Annotated[
        str | None, typer.Option(metavar="N", help="Of a tightening in turns.")
    ] = None,
    reached: Annotated[
        str | None, typer.Option(metavar="VALUE", help="Torque or angle reached.")
    ] = None,
    gauge: Gauge = None,
    trial: Annotated[
        bool, typer.Option("--trial", help="Tight on old parts, to take readings.")
    ] = False,
    at: At = None,
    note: Note = None,
) -> None:
    """Record nuts, bolts and their locks.

    Alone it lists the sets and how they stand.

    Examples:
      bedplate fasten N removed
      bedplate fasten N tight --reached 17
      bedplate fasten M.2 tight --stage 1 --reached "30 N*m" -g wrench1
      bedplate fasten N locked
    """
    if tag is None:
        _list_sets()
        return
    if state not in STATES:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(state or '')} is no state of fasteners."
            if state
            else "Not recorded. What was done to them?",
            f"They are:  {listed(STATES)}",
        )
    when, number, turn = done_at(at, clock()), _whole(count, "--count"), _whole(stage, "--stage")

    left: dict[str, str] = {}

    def moved(job: Job) -> list[AnyEntry]:
        nonlocal left
        found = places_named(job, tag, "fasteners", "Not recorded.")
        unit = _unit_reached(job, found[0], turn)
        read_on, copies = _gauge(job, gauge, unit)
        value = _reached(job, found[0], unit, reached)
        moves = [
            Fasteners.model_validate({
                "set": place, "state": state, "count": number, "stage": turn, "value": value,
                "gauge": read_on, "trial": True if trial else None, "note": note,
                "done_at": when,
            })
            for place in found
        ]  # fmt: skip
        left = nothing_to_do(job, moves)
        return [*copies, *(move for move in moves if move.set not in left)]

    def told(recorded: Recorded) -> list[str]:
        screen = context.screen()
        stages = stage_lines(recorded.entries, recorded.job, screen)
        return [*stages, *left_lines(left.values(), screen)]

    _append(moved, "fasten", told)


def _gauge(job: Job, name: str | None, unit: str) -> tuple[str | None, list[AnyEntry]]:
    if name is None:
        return None, []
    own, copy = copied_gauge(job, name, context.cabinet().gauges(), unit)
    return own, [copy] if copy is not None else []


def _unit_reached(job: Job, place: str, stage: int | None) -> str:
    """Return the unit of what is reached at a stage."""
    stages = job.layout.row(place.partition(".")[0], model.Fasteners).stages or ()
    at = (stage or _stage_at(job, place)) - 1
    return _unit_of_stage(stages[at].limits) if at < len(stages) else "N*m"


def _reached(job: Job, place: str, unit: str, typed: str | None) -> str | None:
    """Return what was reached as the record keeps it; a bare figure has the stage's unit."""
    if typed is None:
        return None
    row = job.layout.row(place.partition(".")[0], model.Fasteners)
    value = read_value(typed, unit, what=titled(row.tag, row.title))
    if value.two_ended or value.sign:
        raise NotUnderstoodError(f"Not recorded. {quoted(typed)} is not what was reached.")
    return value.text


def _stage_at(job: Job, place: str) -> int:
    """Return the stage that a set is at: what is tightened again stays there."""
    return max((fastener.stage for fastener in _set_at(job, place).fasteners), default=0) or 1


def _set_at(job: Job, place: str) -> SetState:
    """Return a set by its address in full."""
    tag, _, position = place.partition(".")
    return Sets.of(job).at(tag, tuple(position.split("/")) if position else ())


def _unit_of_stage(limits: str) -> str:
    if ".." in limits:
        return read_limits(limits, "N*m")[2]
    return unit_in(limits)


def _list_sets() -> None:
    found = at_hand()
    screen = context.screen()
    rows = [
        (place, _standing(_set_at(found.job, place)))
        for name in found.job.layout.names("fasteners")
        for place in places_named(found.job, name, "fasteners", "Nothing shown.")
    ]
    if screen.as_json:
        sets_json = [{"set": place, "state": state} for place, state in rows]
        screen.json({**context.document("fasten", found.name, found.job.last), "sets": sets_json})
        return
    if not rows:
        screen.out("The sheet has no sets of fasteners.")
    for place, standing in rows:
        screen.out(f"{place}  {standing}")


def _standing(state: SetState) -> str:
    """Return how many fasteners of a set are in which state: ``3 of 4 tight, 1 of 4 fitted``."""
    counts = [(name, state.count(name)) for name in STATES_IN_ORDER]
    return ", ".join(f"{count} of {state.number} {name}" for name, count in counts if count)


def prove(
    proof: Annotated[str | None, typer.Argument(metavar="PROOF", help="SPIN, or TURN.3.")] = None,
    result: Annotated[
        str | None, typer.Argument(metavar="pass|fail", help="How it came out.")
    ] = None,
    *,
    at: At = None,
    note: Note = None,
) -> None:
    """Record a proof.

    Alone it lists the proofs and how they stand.

    Examples:
      bedplate prove SPIN pass
      bedplate prove TURN.2 fail --note "tight spot at half a turn"
    """
    if proof is None:
        from bedplate.cli.offered import list_proofs  # noqa: PLC0415 - loaded when nothing is given

        list_proofs()
        return
    if result not in ("pass", "fail"):
        raise NotUnderstoodError(
            f"Not recorded. {quoted(result)} is neither pass nor fail."
            if result
            else "Not recorded. How did it come out?",
            f"Type:  bedplate prove {proof} pass",
        )
    when = done_at(at, clock())

    left: dict[str, str] = {}

    def proved(job: Job) -> list[AnyEntry]:
        nonlocal left
        places = places_named(job, proof, "proof", "Not recorded.")
        left = passed_already(job, places, context.hand()) if result == "pass" else {}
        return [
            Proof(proof=place, passed=result == "pass", note=note, done_at=when)
            for place in places
            if place not in left
        ]

    def told(recorded: Recorded) -> list[str]:
        screen = context.screen()
        return list(proof_lines(recorded.entries, recorded.job, [*left.values()], screen))

    _append(proved, "prove", told)


def done(
    step: Annotated[str | None, typer.Argument(metavar="STEP", help="Its id.")] = None,
    *,
    undone: Annotated[bool, typer.Option("--undone", help="It has come apart again.")] = False,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="Why it is undone.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Record a step done; alone, show the next.

    Examples:
      bedplate done
      bedplate done gears-in
      bedplate done close --undone --why "gasket had slipped"
    """
    if step is None:
        _show_next()
        return
    if undone and why is None:
        raise NotUnderstoodError(
            "Not recorded. Undoing a step needs its reason.",
            f'Type:  bedplate done {step} --undone --why "..."',
        )
    when = done_at(at, clock())
    told = why if undone else note

    def finished(job: Job) -> list[AnyEntry]:
        return [
            Step(step=place, done=not undone, note=told, done_at=when)
            for place in places_named(job, step, "step", "Not recorded.")
        ]

    _append(finished, "done")


def _show_next() -> None:
    found = at_hand()
    upcoming = next_actions(found.job, Assessment(found.job).all, clock())
    screen = context.screen()
    if screen.as_json:
        rows = [action_row(action) for action in upcoming]
        screen.json({**context.document("done", found.name, found.job.last), "next": rows})
        return
    if not upcoming:
        screen.out("Nothing is left to do.")
        return
    first = upcoming[0]
    screen.out(f"next: {first.text}")
    if first.type:
        screen.out(f"   {first.type}")


def use(
    part: Annotated[
        str | None, typer.Argument(metavar="PART", help="gasket, tab washer, sealant.")
    ] = None,
    *,
    count: Annotated[str | None, typer.Option(metavar="N", help="How many; one, without.")] = None,
    number: Annotated[str | None, typer.Option(metavar="NUMBER", help="Its part number.")] = None,
    maker: Annotated[str | None, typer.Option(metavar="NAME", help="Who made it.")] = None,
    batch: Annotated[str | None, typer.Option(metavar="TEXT", help="Its batch.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Draw a gasket, seal, lock or part.

    One of a component that is always new is its new part. Alone it lists what the sheet uses up.

    Examples:
      bedplate use gasket --number G-114
      bedplate use "tab washer" --count 4
    """
    if part is None:
        from bedplate.cli.offered import list_things  # noqa: PLC0415 - loaded when nothing is given

        list_things()
        return
    drawn = PartUsed(
        part=part, count=_whole(count, "--count"), number=number, maker=maker, batch=batch,
        note=note, done_at=done_at(at, clock()),
    )  # fmt: skip

    def told(recorded: Recorded) -> list[str]:
        _say_slip(recorded, drawn.part)
        return []

    _append(lambda job: [drawn, *new_parts(job, drawn)], "use", told)


def _say_slip(recorded: Recorded, part: str) -> None:
    """Say that what was drawn is nothing the sheet asks for, where it nearly is."""
    near = meant(named_things(recorded.job.sheet), part)
    if near is None:
        return
    screen = context.screen()
    screen.warn(f"Recorded, but the sheet takes no {quoted(part)}. Nearest: {visible(near)}")
    command = context.to_type(f"bedplate strike {recorded.entries[0].n} --why slip")
    screen.err(f"A slip?  {command}" if screen.plain else f"  A slip?  {command}")
