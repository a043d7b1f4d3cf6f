"""What can stand in the way of a signature, kind by kind, as left only."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from bedplate.assembly.due import undecided_places
from bedplate.assembly.locks import again_words, out_in_words, stage_out
from bedplate.assembly.mending import CARRIED_OUT, CONCEDE, command_to_mend, likely, pending
from bedplate.assembly.putting_off import is_due
from bedplate.assembly.reading import other_way
from bedplate.assembly.renewing import lacking_new
from bedplate.assembly.standing import cure, lacks, proof_state
from bedplate.assembly.state import Assembly
from bedplate.assembly.steps import is_done, over, to_reach
from bedplate.assembly.words import called, clock, title_of, until_words
from bedplate.assess.gauges import described, described_again
from bedplate.assess.result import FitResult
from bedplate.record.entries import Changed, Disposition, Entry, Fasteners, Proof, Reading, Step
from bedplate.record.sets import LOCKED, SetState
from bedplate.sheet import model
from bedplate.sheet.layout import Place, joined
from bedplate.text import quoted, shell, visible


class Blocker(NamedTuple):
    """One thing in the way of a signature.

    Attributes:
        kind: a verdict (``unmeasured``, ``out``, ``out-close``, ``in-close``), or ``disagree``,
            ``stranded``, ``disposition``, ``fasteners``, ``proof``, ``step``, ``finding``,
            ``deferred``, ``gauge``, ``copy``, ``unlawful``.
        what: what a concession names: an address, or the number of an entry.
        text: what is wrong, in words.
        type: the command that would mend it.
        since: number of the last entry that had a part in it; an older concession was given for
            something else.
        conceded: number of the concession that lifts it, None where it stands.

    """

    kind: str
    what: str
    text: str
    type: str
    since: int = 0
    conceded: int | None = None


def last_strike(
    assembly: Assembly, kinds: tuple[type[Entry], ...], names: set[str] | None = None
) -> int:
    """Return the number of the last strike of an entry of these kinds, 0 if there is none.

    Args:
        assembly: the job.
        kinds: of the entries struck.
        names: what they are about, without case; anything, without.
    """
    struck = assembly.job.struck
    if not struck:
        return 0
    return max(
        (
            by
            for n, by in struck.items()
            if 1 <= n <= assembly.job.last
            and isinstance(entry := assembly.entry(n), kinds)
            and (names is None or _name_in(entry) in names)
        ),
        default=0,
    )


def _name_in(entry: Entry) -> str:
    for key in ("address", "set", "proof", "step", "component"):
        address = getattr(entry, key, None)
        if isinstance(address, str):
            return address.partition("@")[0].partition(".")[0].strip().casefold()
    return ""


# ---- fits


def fits_in_the_way(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield the fits due by a moment that are unmeasured or do not pass."""
    for fit in assembly.fits:
        if assembly.due(fit.fit) > moment or fit.passes:
            continue
        if not fit.measured and other_way(assembly.fits, fit):
            continue
        if fit.measured:
            command = command_to_mend(assembly, fit)
        else:
            address = fit.missing[0] if fit.missing else None
            command = (
                f"bedplate measure {address} VALUE" if address else CONCEDE.format(fit.address)
            )
        yield Blocker(
            fit.verdict, fit.address, _fit_in_words(fit), command, _fit_since(assembly, fit)
        )


def _fit_in_words(fit: FitResult) -> str:
    name = f"{fit.tag} {fit.place}" if fit.place else fit.tag
    if fit.verdict == "out":
        return f"{name} is out of band" + (f", {fit.word}" if fit.word else "")
    if fit.verdict == "out-close":
        return f"{name} is out of band, but close" + (f": {fit.word}" if fit.word else "")
    if fit.measured:
        return f"{name} is in band, but too close to a limit to be sure"
    if not fit.missing and not fit.left_out:
        return f"{name} is not formed of values with two ends, and has no verdict"
    if not fit.missing:
        return f"{name} was left out and has no verdict"
    if not fit.readings:
        return f"{name} has no reading"
    more = f" and {len(fit.missing) - 1} more" if len(fit.missing) > 1 else ""
    return f"{name} waits for {fit.missing[0]}{more}"


def _fit_since(assembly: Assembly, fit: FitResult) -> int:
    spots = assembly.rests_on(fit)
    places = [place for s in spots for place in assembly.layout.rests_on(s.tag, s.position)]
    changed = assembly.changed(places, before=assembly.job.last + 1)
    struck = last_strike(assembly, (Reading,), {spot.tag.casefold() for spot in spots})
    return max([changed, struck, *fit.readings])


def disagreeing(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield the pairs of fits that are two ways to one quantity and disagree."""
    for fit in assembly.fits:
        if not fit.disagrees or assembly.due(fit.fit) > moment or fit.fit.same_as is None:
            continue
        other = assembly.layout.named(fit.fit.same_as, "fit").name
        pair = next((f for f in assembly.fits if f.tag == other and f.meets(fit)), fit)
        yield Blocker(
            "disagree",
            f"{fit.address}={pair.address}",
            f"{fit.address} and {pair.address} disagree: one of them is wrong",
            f"bedplate check {fit.tag} {other}",
            max(_fit_since(assembly, fit), _fit_since(assembly, pair)),
        )


def stranded(assembly: Assembly) -> Iterator[Blocker]:
    """Yield the readings that stand on nothing any more."""
    for taken in assembly.job.stranded():
        n = taken.entry.n
        why = taken.stranded or "the sheet has no such feature now"
        yield Blocker(
            "stranded",
            str(n),
            f"entry {n}, {visible(taken.entry.address)}, stands on nothing: {visible(why)}",
            f'bedplate strike {n} --why "stands on nothing"',
        )


# ---- parts


def undecided(assembly: Assembly) -> Iterator[Blocker]:
    """Yield the parts without a disposition, or whose disposition was not carried out."""
    without = set(undecided_places(assembly.job))
    for name in assembly.layout.names("component"):
        row = assembly.layout.row(name, model.Component)
        if row.renew:
            yield from _not_renewed(assembly, name)
            continue
        for place in assembly.layout.agreeing(name, {}):
            yield from _undecided_at(assembly, place, decided=place not in without)


def _not_renewed(assembly: Assembly, name: str) -> Iterator[Blocker]:
    lacking = lacking_new(assembly.job, name)
    if lacking:
        number = len(assembly.layout.agreeing(name, {}))
        of = f": {len(lacking)} of {number}" if number > 1 else ""
        count = f" --count {len(lacking)}" if len(lacking) > 1 else ""
        title = title_of(assembly.layout, name)
        text = f"{title} is always new, and has no new part yet{of}"
        yield Blocker("disposition", name, text, f"bedplate use {name}{count}")


def _undecided_at(assembly: Assembly, place: Place, *, decided: bool) -> Iterator[Blocker]:
    changed = assembly.changed([place], before=assembly.job.last + 1)
    last = assembly.job.decided.get(place)
    struck = last_strike(assembly, (Disposition, Changed), {place.component.casefold()})
    since = max(changed, last.n if last is not None else 0, struck)
    if assembly.job.parts.at(place) is None:
        text, command = (
            f"{place} stands empty",
            f"bedplate change {place} {assembly.new_words(place)}",
        )
    elif pending(assembly, place) is not None and last is not None:
        when = f"since: entry {changed} was before that" if 0 < changed < last.n else "yet"
        text = f"{place} is to be {_PAST[last.decision]} (entry {last.n}), and was not {when}"
        command = f"bedplate change {place} {CARRIED_OUT[last.decision]}"
    elif not decided:
        text = f"{place} has no decision"
        command = f"bedplate decide {place} {likely(assembly, place)} --why REASON"
    else:
        return
    yield Blocker("disposition", str(place), text, command, since)


_PAST = {"rework": "reworked", "replace": "replaced", "scrap": "scrapped and replaced"}


# ---- sets, proofs, steps


def set_due(assembly: Assembly, state: SetState) -> int:
    """Return at which moment a set must be in its final state.

    It is the first at which a step leaves it so; the first of all where no step does.
    """
    tag, enough = state.row.tag.casefold(), {state.row.final_state, LOCKED}
    found = [
        assembly.due(step)
        for step in assembly.job.sheet.step
        if any(
            name.casefold() == tag and left in enough for name, left in (step.leaves or {}).items()
        )
    ]
    return min(found, default=0)


def sets_in_the_way(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield the sets that are not in the state they must be left in."""
    for state in assembly.sets.states.values():
        if set_due(assembly, state) > moment:
            continue
        tag, final = state.row.tag, state.row.final_state
        since = max(state.touched, last_strike(assembly, (Fasteners,), {tag.casefold()}))
        name = called(assembly.layout, tag, state.position)
        out = stage_out(assembly, state)
        if out is not None:
            command = f"bedplate fasten {state.address} {again_words(state, out)}"
            yield Blocker(
                "fasteners", state.address, f"{name}, {out_in_words(out)}", command, since
            )
        elif not state.is_final:
            command = f"bedplate fasten {state.address} {to_reach(state, final)}"
            text = f"{name} is not {final}{_how_many(state)}"
            yield Blocker("fasteners", state.address, text, command, since)


def _how_many(state: SetState) -> str:
    if any(fastener.trial for fastener in state.fasteners):
        return ", but tight on old parts"
    done = state.count(LOCKED) if state.row.final_state == LOCKED else state.count("tight", LOCKED)
    return f": {done} of {state.number}" if 0 < done < state.number else ""


def proofs_in_the_way(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield the proofs due by a moment that do not stand."""
    for name in assembly.layout.names("proof"):
        row = assembly.layout.row(name, model.Proof)
        if assembly.due(row) > moment:
            continue
        for position in assembly.agreeing(name, {}):
            state = proof_state(assembly, name, position)
            if state.stands:
                continue
            made = [entry.n for entry in assembly.made.proof(name, position)]
            readings = [n for fit in state.fits for n in fit.readings]
            struck = last_strike(assembly, (Proof,), {name.casefold()})
            since = max([state.upset.n, struck, *made, *readings])
            command = cure(assembly, state)[-1].partition(":  ")[2]
            yield Blocker("proof", state.address, lacks(assembly, state), command, since)


def steps_in_the_way(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield the steps due by a moment that are not done, or whose wait is not over."""
    for step in assembly.job.sheet.step:
        if assembly.due(step) > moment:
            continue
        for position in assembly.agreeing(step.id, {}):
            if is_done(assembly, step.id, position):
                continue
            address = joined(step.id, position)
            last = assembly.made.steps.get((step.id, position))
            struck = last_strike(assembly, (Step,), {step.id.casefold()})
            since = max(last.n if last is not None else 0, struck)
            text, command = f"step {address} is not done", f"bedplate done {address}"
            done = assembly.made.done(step.id, position)
            until = over(assembly, step.id, done) if done is not None else None
            if until is not None:
                text = f"step {address} waits until {clock(until, assembly.now)}"
                command = "bedplate status"
            yield Blocker("step", address, text, command, since)


# ---- what waits, and the rest


def unanswered(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield the findings that ask for an answer by a moment and have none."""
    for finding in assembly.waiting.findings:
        if _finding_due(assembly, finding.back) > moment:
            continue
        place = f" ({visible(finding.place)})" if finding.place else ""
        yield Blocker(
            "finding",
            str(finding.n),
            f"{finding.n}{place} {quoted(finding.note or finding.severity)} has no answer",
            f"bedplate settle {finding.n} --how ANSWER",
        )


def _finding_due(assembly: Assembly, back: str | None) -> int:
    named = assembly.layout.find((back or "").partition(".")[0])
    return assembly.due(named.row) if named and isinstance(named.row, model.Step) else 0


def put_off(assembly: Assembly, moment: int) -> Iterator[Blocker]:
    """Yield what was put off and is due by a moment."""
    for item in assembly.waiting.put_off:
        if is_due(assembly, item, moment):
            yield Blocker(
                "deferred",
                str(item.n),
                f"{item.n} {quoted(item.text)} is due before signing "
                f"(put off until {until_words(item.until)})",
                f"bedplate settle {item.n}",
            )


def gauges(assembly: Assembly, names: Iterable[str]) -> Iterator[Blocker]:
    """Yield the gauges that were used past the day they were due to be checked."""
    known = described(assembly.job)
    for name in names:
        text = f"gauge {visible(name)} was used past its due date"
        again = described_again(name, known.get(name, {}), "due", "DATE")
        yield Blocker("gauge", name, text, again)


def other_copies(names: Iterable[str]) -> Iterator[Blocker]:
    """Yield the copies of the job that hold lines which this one lacks."""
    for name in names:
        shown = visible(name)
        text = f"{shown} is a copy of this job with entries that are not in this one"
        yield Blocker("copy", name, text, f"bedplate rejoin {shell(name)}")
