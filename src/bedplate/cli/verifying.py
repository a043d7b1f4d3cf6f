"""``bedplate verify`` and ``rejoin``: what a record shows, and what of a copy can be taken."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from bedplate.assess.retyped import copyable
from bedplate.cli import context
from bedplate.cli.keys import keys_home
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.screen import Screen, wrapped
from bedplate.cli.store import AtHand, at_hand, record
from bedplate.record.attachments import store_again, store_bytes
from bedplate.record.entries import AnyEntry, Attachment
from bedplate.record.job import Job, fold
from bedplate.record.jobfile import ENDING, report_on
from bedplate.report.entry_words import words
from bedplate.text import counted, visible


def verify(
    file: Annotated[
        str | None, typer.Argument(metavar="FILE", help="A job; the one at hand, without.")
    ] = None,
    *,
    head: Annotated[
        str | None, typer.Option(metavar="N:HEX", help="From a summary; 16 digits or more.")
    ] = None,
    signed: Annotated[bool, typer.Option("--signed", help="Unsigned is a no.")] = False,
    sound: Annotated[
        str | None,
        typer.Option("--save-sound", metavar="NEW", help="Write what stands as a job to go on."),
    ] = None,
) -> int:
    """Hold a record to what was signed.

    Yes only if the file is whole, nothing that belongs to it is altered, and every seal's key is
    known here under the name it claims.

    Examples:
      bedplate verify
      bedplate verify pump.job.jsonl --head 41:3f9ad1c277b0e52a
      bedplate verify pump --save-sound pump-sound.job.jsonl
    """
    from bedplate.seal.audit import audit  # noqa: PLC0415 - loads cryptography
    from bedplate.seal.verify import Wanted  # noqa: PLC0415

    path = _file_or_job(file)
    found = audit(path, keys_home(), wanted=Wanted(head=head, signed=signed))
    screen = context.screen()
    saved = None
    if sound is not None:
        from bedplate.seal.save_sound import save_sound  # noqa: PLC0415

        saved = save_sound(found, Path(sound))
    if screen.as_json:
        entries = found.head.entries if found.head is not None else 0
        name = context.job_name(path)
        screen.json({**context.document("verify", name, entries), **found.as_json()})
        return 0 if found.ok else 1
    for line in _verdict(visible(context.job_name(path)), found):
        for part in _folded(line, screen):
            screen.out(part)
    if saved is not None:
        screen.out(f"{visible(sound or '')} written: {counted(saved, 'entry', 'entries')}.")
    return 0 if found.ok else 1


def _folded(line: str, screen: Screen) -> list[str]:
    """Return a line as it is, or on a terminal too narrow for it as several."""
    if screen.width is None or len(line) <= screen.width:
        return [line]
    set_in = line[: len(line) - len(line.lstrip())]
    return wrapped(line.strip(), set_in, f"{set_in}    ", screen.width)


def _file_or_job(typed: str | None) -> Path:
    """Return a file under whatever name it came by mail or was copied to, else a job by its name.

    Raises:
        StorageError: there is neither.
    """
    if typed is None or typed.startswith("-") or "\0" in typed or Path(typed + ENDING).is_file():
        return context.job_at_hand(typed)
    return Path(typed) if Path(typed).is_file() else context.job_at_hand(typed)


def _verdict(name: str, found: Any) -> list[str]:
    """Return what was found in words: yes or no first, then each seal, then what else."""
    lines = []
    if found.ok:
        state = f"signed for {', '.join(found.signed)}" if found.signed else "not signed"
        lines.append(f"{name}: whole, {state}.")
    else:
        at = f" at entry {found.first_bad_entry}" if found.first_bad_entry else ""
        lines.append(f"{name}: NO{at}. {visible(found.reason or '')}.")
    for seal in found.seals:
        whose = f"known here as {seal.known_as}" if seal.known_as else "a key not known here"
        state = "sound" if seal.ok else (seal.fault or "the signature holds")
        lines.append(
            visible(
                f"  entry {seal.entry}  {seal.moment or '?'}, by {seal.by}, covers "
                f"{seal.covers}: {state}; {whose}"
            )
        )
        lines.append(f"    {seal.key}")
    lines += [
        visible(f"  entry {fact.entry}  {fact.name}: {fact.state}")
        for fact in found.attachments
        if fact.state != "whole"
    ]
    if found.head is not None:
        lines.append(f"  head {found.head}")
    return [*lines, *(f"  {visible(sentence)}" for sentence in found.said)]


def rejoin(
    other: Annotated[str, typer.Argument(metavar="OTHER", help="Another copy of this job.")],
) -> None:
    """Take over from a copy of this job what can be taken.

    Examples:
      bedplate rejoin "pump (copy).jsonl"
    """
    from bedplate.seal import rejoin as rejoining  # noqa: PLC0415 - rare

    found = at_hand()
    path = _file_or_job(other)
    report = report_on(path)
    result = rejoining.rejoin(found.file.report, report, copyable(str(path)))
    screen = context.screen()
    if result.further is not None:
        _tell_further(found, path, result.further)
        return
    tail = store_bytes(found.path, result.tail, path.name) if result.tail else None

    def taken(job: Job, _answers: object) -> Sequence[AnyEntry]:
        now = rejoining.rejoin(report_on(found.path), report)
        take = [_with_its_file(found.path, path, entry) for entry in now.take]
        return permitted(job, [*take, *([tail] if tail and now.tail else [])])

    recorded = record(taken)
    tell(recorded, "rejoin", _again_lines(result, report))
    if not recorded.entries:
        screen.err("Nothing was left to take.")


def _with_its_file(job: Path, other: Path, entry: AnyEntry) -> AnyEntry:
    """Return an entry taken over; what is attached to the other copy is kept here too."""
    if not isinstance(entry, Attachment):
        return entry
    kept = store_again(job, other, entry)
    return entry.model_copy(update={"file": kept.file, "sha256": kept.sha256})


def _tell_further(found: AtHand, other: Path, further: str) -> None:
    screen = context.screen()
    if screen.as_json:
        screen.json({
            **context.document("rejoin", found.name, found.job.last), "recorded": [],
            "questioned": [], "fits": [], "next": [], "further": further,
        })  # fmt: skip
        return
    here, there = visible(found.path.name), visible(other.name)
    said = {
        "here": f"Nothing to take: {here} is further on, and begins as {there} does.",
        "there": f"Nothing taken: {there} is further on, and begins as {here} does. Go on in it.",
        "same": f"Nothing to take: {here} and {there} are the same.",
    }
    screen.out(said[further])


def _again_lines(result: Any, report: Any) -> list[str]:
    if not result.again:
        return []
    other = fold(report.entries)
    lines = [f"To be done again ({len(result.again)}), not taken:"]
    return lines + [
        f"  {item.entry.n}  {words(item.entry, other)}: {item.why}" for item in result.again
    ]
