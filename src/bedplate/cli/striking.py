"""``bedplate strike``, ``note``, ``decide`` and ``change``: what became of parts and entries."""

from __future__ import annotations

from typing import Annotated

import typer

from bedplate.assess.geometry import addresses_of
from bedplate.cli import context
from bedplate.cli.declared import At, Note
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.store import clock, record
from bedplate.cli.times import done_at
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, Changed, Disposition, Finding, Strike
from bedplate.record.job import UNSTRIKABLE, Job
from bedplate.sheet.layout import Place
from bedplate.sheet.model import Fit
from bedplate.text import listed, near_or_list, quoted, visible

DECISIONS = ("reuse", "rework", "replace", "scrap")
HOWS = ("reworked", "new", "moved", "found")


def strike(
    entry: Annotated[str | None, typer.Argument(metavar="ENTRY|last", help="Its number.")] = None,
    *,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="Why it is crossed out.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Cross an entry out; it stays readable.

    Alone it lists the latest entries.

    Examples:
      bedplate strike 17 --why "read the wrong gear"
      bedplate strike last --why slip
    """
    if entry is None:
        from bedplate.cli.offered import list_entries  # noqa: PLC0415 - loaded when nothing is given

        list_entries("strike", "--why slip")
        return
    if why is None:
        raise NotUnderstoodError(
            "Nothing changed. A strike needs its reason.",
            f"Type:  bedplate strike {entry} --why slip",
        )

    when = done_at(at, clock())

    def struck(job: Job, _answers: object) -> list[AnyEntry]:
        n = _number(job, entry)
        return permitted(job, [Strike(entry=n, why=why, note=note, done_at=when)])

    tell(record(struck), "strike")


def _number(job: Job, typed: str) -> int:
    if typed.casefold() == "last":
        last = next((e.n for e in reversed(job.entries) if _can_be_struck(job, e.n)), None)
        if last is None:
            raise NotUnderstoodError("Nothing changed. There is no entry that can be struck.")
        return last
    return entry_number(job, typed, "Nothing changed.")


def entry_number(job: Job, typed: str, fate: str) -> int:
    """Return the number of an entry that there is.

    Args:
        job: the job.
        typed: as typed.
        fate: what becomes of the command if there is none: ``Not recorded.``

    Raises:
        NotUnderstoodError: there is none.
    """
    if not typed.isascii() or not typed.isdigit() or not 1 <= int(typed[:20]) <= job.last:
        raise NotUnderstoodError(
            f"{fate} There is no entry {quoted(typed)}; the last is {job.last}.",
            "See them:  bedplate log",
        )
    return int(typed)


def _can_be_struck(job: Job, n: int) -> bool:
    return n not in job.struck and job.entries[n - 1].kind not in UNSTRIKABLE


def note(
    text: Annotated[str, typer.Argument(metavar="TEXT", help="Anything worth keeping.")],
    *,
    on: Annotated[
        str | None, typer.Option("--on", metavar="WHAT", help="What it is about.")
    ] = None,
    at: At = None,
) -> None:
    """Write anything down.

    Examples:
      bedplate note "cover gasket was hard and cracked"
      bedplate note "bright rub over a third of the face" --on gear.idler
    """
    when = done_at(at, clock())

    def noted(job: Job, _answers: object) -> list[AnyEntry]:
        place = named_place(job, on) if on is not None else None
        return permitted(job, [Finding(place=place, severity="note", note=text, done_at=when)])

    tell(record(noted), "note")


def named_place(job: Job, typed: str, *nouns: str) -> str:
    """Return an address as the record spells it, of anything on the sheet.

    Args:
        job: the job.
        typed: as typed.
        nouns: what it may be; anything, without.

    Raises:
        NotUnderstoodError: there is nothing of that name.
    """
    tag = typed.partition("@")[0].partition(".")[0]
    named = job.layout.named(tag, *nouns)
    if isinstance(named.row, Fit):
        # The rules say whether a fit is at that position; here it is only spelled.
        known = addresses_of(job.layout, named.row)
        return next((name for name in known if name.casefold() == typed.casefold()), typed)
    marks = [p.mark for p in job.parts.spares(named.name)] if named.noun == "component" else []
    selection = job.layout.select(typed, marks=marks)
    rest = typed.partition(".")[2]
    if len(selection.spots) == 1:
        return str(selection.spots[0])
    return f"{named.name}.{rest}" if rest else named.name


def places(job: Job, typed: str, fate: str) -> list[Place]:
    """Return the places of a component that an address names, ``all`` standing for an axis.

    Raises:
        NotUnderstoodError: no such component, or no such position.
    """
    tag, _, _ = typed.partition(".")
    if job.layout.find(tag, "component") is None:
        known = job.layout.names("component")
        raise NotUnderstoodError(
            f"{fate} There is no component {quoted(tag)}.", near_or_list(tag, known, "Components")
        )
    selection = job.layout.select(typed, "component")
    return [Place(selection.named.name, position) for position in selection.positions]


def decide(
    component: Annotated[
        str | None, typer.Argument(metavar="COMPONENT", help="gear.idler, or spring.all/ex.")
    ] = None,
    decision: Annotated[
        str | None, typer.Argument(metavar="|".join(DECISIONS), help="What becomes of it.")
    ] = None,
    *,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="Why.")] = None,
    extra: Annotated[
        bool, typer.Option("--extra", help="Beyond what was asked: waits for the customer.")
    ] = False,
    at: At = None,
    note: Note = None,
) -> None:
    """Decide what becomes of a part.

    Alone it lists the parts that have no decision yet.

    Examples:
      bedplate decide body rework --why "face scored"
      bedplate decide gear.idler replace --why "height under limit"
      bedplate decide spring.all/ex reuse --why "all within load"
    """
    if component is None:
        _list_undecided()
        return
    if decision not in DECISIONS:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(decision or '')} is no decision."
            if decision
            else "Not recorded. What becomes of it?",
            f"Type:  bedplate decide {component} {'|'.join(DECISIONS)} --why ...",
        )
    if why is None:
        raise NotUnderstoodError(
            "Not recorded. A decision needs its reason.",
            f'Type:  bedplate decide {component} {decision} --why "..."',
        )
    when = done_at(at, clock())

    def decided(job: Job, _answers: object) -> list[AnyEntry]:
        found = places(job, component, "Not recorded.")
        entries = [
            Disposition.model_validate({
                "component": str(place), "decision": decision, "why": why,
                "extra": True if extra else None, "note": note, "done_at": when,
            })
            for place in found
        ]  # fmt: skip
        return permitted(job, entries)

    tell(record(decided), "decide")


def _list_undecided() -> None:
    from bedplate.cli.due import list_undecided  # noqa: PLC0415 - it lists, it does not decide

    list_undecided()


def change(
    component: Annotated[
        str | None, typer.Argument(metavar="COMPONENT", help="gear.idler, crank.")
    ] = None,
    how: Annotated[
        str | None, typer.Argument(metavar="|".join(HOWS), help="What has happened.")
    ] = None,
    *,
    touching: Annotated[
        list[str] | None, typer.Option(metavar="ADDRESS", help="Only these features (repeat it).")
    ] = None,
    size: Annotated[str | None, typer.Option(metavar="SIZE", help="Made to this size.")] = None,
    mark: Annotated[
        str | None, typer.Option(metavar="MARK", help="What is written on it.")
    ] = None,
    number: Annotated[str | None, typer.Option(metavar="NUMBER", help="Its part number.")] = None,
    shop: Annotated[str | None, typer.Option(metavar="NAME", help="Who did the work.")] = None,
    origin: Annotated[
        str | None, typer.Option("--from", metavar="PLACE", help="Where a moved part was.")
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Alone, though it is matched to another part.")
    ] = False,
    at: At = None,
    note: Note = None,
) -> None:
    """Record that it has happened.

    Reworked and new begin a new life of the part; moved does not. Alone it lists the parts.

    Examples:
      bedplate change gear.idler new --number FT-2207
      bedplate change body reworked --touching D --note "joint face lapped"
      bedplate change crank reworked --size m25 --shop "Quay Grinding"
      bedplate change piston new --mark C
      bedplate change piston.2 moved --from C
    """
    if component is None:
        from bedplate.cli.offered import list_places  # noqa: PLC0415 - loaded when nothing is given

        list_places("change", "|".join(HOWS))
        return
    if how not in HOWS:
        raise NotUnderstoodError(
            f"Not recorded. {quoted(how)} is no change."
            if how
            else "Not recorded. What has happened to it?",
            f"They are:  {listed(HOWS)}",
        )
    when = done_at(at, clock())

    def changed(job: Job, answers: object) -> list[AnyEntry]:
        entries = [
            Changed.model_validate({
                "component": target, "how": how, "size": _size(job, size), "mark": mark,
                "touching": _features(job, touching), "from": _origin(job, target, origin),
                "number": number, "shop": shop, "note": note, "done_at": when,
            })
            for target in _targets(job, component, how, mark)
        ]  # fmt: skip
        return permitted(job, entries, answers, yes=yes)

    recorded = record(changed)
    tell(recorded, "change")
    for entry in recorded.entries:
        if isinstance(entry, Changed) and entry.how == "moved":
            _say_which(recorded.job, entry)


def _say_which(job: Job, entry: Changed) -> None:
    """Say which part came, where a part laid aside is marked as the place of another one."""
    parts = job.parts
    came, stays = (
        next((part for place, part in parts.in_place.items() if str(place) == name), None)
        for name in (entry.component, entry.from_)
    )
    if came is None or stays is None or came.mark != entry.from_ or _came_in_turn(job, entry):
        return
    screen = context.screen()
    screen.err(f"The part called {entry.from_} that was laid aside is in {entry.component} now.")
    screen.err(f"  {visible(stays.mark)} stays in {entry.from_}.")


def _came_in_turn(job: Job, entry: Changed) -> bool:
    """Tell whether what sits where a part was moved from came from its new place: they changed."""
    came = [
        other
        for other in job.live(Changed)
        if other.component == entry.from_ and other.how in ("new", "moved")
    ]
    return bool(came) and came[-1].from_ == entry.component


def _features(job: Job, typed: list[str] | None) -> tuple[str, ...] | None:
    """Return addresses of features as the sheet spells them, None for the whole part."""
    if not typed:
        return None
    for address in typed:
        job.layout.select(address, "feature")
    return tuple(named_place(job, address) for address in typed)


def _origin(job: Job, target: str, typed: str | None) -> str | None:
    """Return where a part comes from as the record spells it: a spare's mark, or a place.

    The mark of a part that has a place stands for that place.
    """
    if typed is None:
        return None
    component = target.partition(".")[0]
    known = [part.mark for part in job.parts.spares(component)]
    known += [str(place) for place in job.parts.in_place]
    for name in known:
        if name.casefold() == typed.casefold():
            return name
    for place, part in job.parts.in_place.items():
        if part and place.component == component and part.mark.casefold() == typed.casefold():
            return _place_of(job, part.mark, place)
    return typed


def _place_of(job: Job, mark: str, place: Place) -> str:
    """Return the place of a part, unless a part that was laid aside is called by it."""
    if (place.component, str(place)) in job.parts.loose:
        raise NotUnderstoodError(
            f"Not recorded. {visible(mark)} sits in {place}, but so is called the part that was "
            "found there too, and that one would be moved.",
            f"First put that back:  bedplate change {place} moved --from {place}",
            f"Then {visible(mark)} has no place, and goes anywhere by its mark.",
        )
    return str(place)


def _size(job: Job, typed: str | None) -> str | None:
    if typed is None:
        return None
    found = job.layout.find(typed, "size")
    if found is None:
        raise NotUnderstoodError(
            f"Not recorded. There is no size {quoted(typed)}.",
            near_or_list(typed, job.layout.names("size"), "Sizes"),
        )
    return found.name


def _targets(job: Job, typed: str, how: str, mark: str | None) -> list[str]:
    """Return the places a change is about; the component alone for a part without a place."""
    tag, _, position = typed.partition(".")
    named = job.layout.find(tag, "component")
    if named is not None and not position and how == "new" and mark and named.positions:
        return [named.name]
    if (
        named is not None
        and position
        and any(
            part.mark.casefold() == position.casefold() for part in job.parts.spares(named.name)
        )
    ):
        return [f"{named.name}.{position}"]
    found = places(job, typed, "Not recorded.")
    if len(found) > 1 and how in ("moved",):
        raise NotUnderstoodError(
            f"Not recorded. There are several: {listed([str(place) for place in found])}.",
            f"Type:  bedplate change {found[0]} {how} --from PLACE",
        )
    if len(found) > 1 and mark is not None:
        raise NotUnderstoodError("Not recorded. One mark is of one part.")
    return [str(place) for place in found]
