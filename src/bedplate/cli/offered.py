"""What a recording command without its argument lists: what it could be given."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import islice
from typing import Any, NamedTuple

from bedplate.assembly.drawing import named_things
from bedplate.assembly.standing import proof_state
from bedplate.assembly.state import Assembly
from bedplate.assembly.toward import from_blocker
from bedplate.assess.fits import Assessment
from bedplate.cli import context
from bedplate.cli.recorded import action_row
from bedplate.cli.status import status_of
from bedplate.cli.store import AtHand, at_hand, clock
from bedplate.record.entries import Entry, Reading
from bedplate.record.job import UNSTRIKABLE
from bedplate.record.sets import Sets
from bedplate.record.waiting import Waiting
from bedplate.report.entry_words import words
from bedplate.text import shell, visible

SHOWN = 8
"""How many of the latest entries are listed."""


class _Offer(NamedTuple):
    """What a command could be given.

    Attributes:
        command: whose list it is.
        key: what the rows are called in JSON.
        rows: as JSON.
        lines: the same in two columns.
        none: what is said where there are none.
        typed: the command for one of them.
    """

    command: str
    key: str
    rows: Sequence[dict[str, Any]]
    lines: Sequence[tuple[str, str]]
    none: str
    typed: str


def _show(found: AtHand, offer: _Offer) -> None:
    screen = context.screen()
    if screen.as_json:
        head = context.document(offer.command, found.name, found.job.last)
        screen.json({**head, offer.key: list(offer.rows)})
        return
    if not offer.lines:
        screen.out(offer.none)
        return
    pairs = [(visible(first), visible(second)) for first, second in offer.lines]
    wide = max(len(first) for first, _ in pairs)
    for first, second in pairs:
        screen.out(f"{first:<{wide}}  {second}".rstrip())
    screen.err(context.to_type(f"Type:  bedplate {offer.typed}"))


def list_proofs() -> None:
    """List the proofs, each with how it stands."""
    found = at_hand()
    assembly = Assembly(found.job, Assessment(found.job).all, clock())
    states = [
        proof_state(assembly, tag, place.position)
        for tag in found.job.layout.names("proof")
        for place in found.job.layout.agreeing(tag, {})
    ]
    wanted = next((s.address for s in states if not s.stands), "PROOF")
    _show(found, _Offer(
        "prove", "proofs",
        [{"proof": s.address, "state": s.state} for s in states],
        [(s.address, s.state) for s in states],
        "The sheet has no proofs.", f"prove {wanted} pass",
    ))  # fmt: skip


def list_open() -> None:
    """List what was put off and is not settled, and the findings that ask for an answer."""
    found = at_hand()
    waiting = Waiting.of(found.job)
    texts = {item.n: item.text for item in waiting.put_off}
    texts |= {finding.n: finding.note or finding.severity for finding in waiting.findings}
    numbers = sorted(texts)
    _show(found, _Offer(
        "settle", "open",
        [{"entry": n, "text": texts[n]} for n in numbers],
        [(str(n), texts[n]) for n in numbers],
        "Nothing was put off, and no finding asks for an answer.",
        f"settle {numbers[0] if numbers else 'ENTRY'} --how ANSWER",
    ))  # fmt: skip


def list_blockers() -> None:
    """List what is in the way of the next signature."""
    found = at_hand()
    standing = status_of(found).in_the_way
    first = shell(standing[0].what) if standing else "WHAT"
    _show(found, _Offer(
        "concede", "blockers",
        [action_row(from_blocker(blocker)) for blocker in standing],
        [(blocker.what, blocker.text) for blocker in standing],
        "Nothing is in the way of a signature.",
        f"concede {first} --accepted-by NAME --why REASON",
    ))  # fmt: skip


def list_places(command: str, typed: str) -> None:
    """List the places and what sits in them, then the spare parts.

    Args:
        command: whose list it is.
        typed: what follows the place in the command shown.
    """
    found = at_hand()
    parts = found.job.parts
    there = {str(place): part for place, part in parts.in_place.items()}
    marks = {place: part.mark if part is not None else None for place, part in there.items()}
    spares = [
        part.mark for name in found.job.layout.names("component") for part in parts.spares(name)
    ]
    first = next(iter(marks), "COMPONENT")
    _show(found, _Offer(
        command, "places",
        [{"place": place, "part": mark} for place, mark in marks.items()]
        + [{"place": None, "part": mark} for mark in spares],
        [(place, mark or "stands empty") for place, mark in marks.items()]
        + [(mark, "spare") for mark in spares],
        "The sheet has no components.", f"{command} {first} {typed}",
    ))  # fmt: skip


def list_things() -> None:
    """List the one-use things that the sheet names, each with how many are left unspent."""
    found = at_hand()
    sets, sheet = Sets.of(found.job), found.job.sheet
    left = {name: sets.left(name) for name in named_things(sheet)}
    first = next((name for name, number in left.items() if number < 1), next(iter(left), "PART"))
    _show(found, _Offer(
        "use", "parts",
        [{"part": name, "left": number} for name, number in left.items()],
        [(name, f"{number} left") for name, number in left.items()],
        "The sheet names nothing that is used up; anything may be drawn.", f"use {shell(first)}",
    ))  # fmt: skip


def list_entries(command: str, typed: str, *, readings: bool = False) -> None:
    """List the latest entries that stand and may be struck, or the latest readings.

    Args:
        command: whose list it is.
        typed: what follows the number in the command shown.
        readings: only readings.
    """
    found = at_hand()
    standing: Iterable[Entry] = (
        entry
        for entry in reversed(found.job.entries)
        if entry.n not in found.job.struck
        and (isinstance(entry, Reading) if readings else entry.kind not in UNSTRIKABLE)
    )
    latest = {entry.n: words(entry, found.job) for entry in islice(standing, SHOWN)}
    _show(found, _Offer(
        command, "latest",
        [{"entry": n, "text": text} for n, text in latest.items()],
        [(str(n), text) for n, text in latest.items()],
        "No reading stands." if readings else "No entry may be struck.",
        f"{command} {next(iter(latest), 'ENTRY')} {typed}",
    ))  # fmt: skip


def list_rows(noun: str) -> None:
    """List the rows of one kind on the job's sheet.

    Args:
        noun: ``axis``, or one of the rows that have a name.
    """
    found = at_hand()
    layout = found.job.layout
    if noun == "axis":
        told = {name: ", ".join(names) for name, names in (found.job.sheet.axes or {}).items()}
    else:
        told = {name: layout.named(name).row.title for name in layout.names(noun)}
    lines = [(name, text if text != name else "") for name, text in told.items()]
    _show(found, _Offer(
        f"amend {noun}", "rows",
        [{"name": name, "title": text} for name, text in told.items()],
        lines, "The sheet has none.",
        f"amend {noun} {next(iter(told), 'NAME')} ... --why REASON",
    ))  # fmt: skip
