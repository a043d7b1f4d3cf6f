"""``bedplate sign``, ``reopen``, ``verify``, ``rejoin``, ``attach`` and ``key``."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from bedplate.assembly.blockers import weigh
from bedplate.assembly.moments import open_moment
from bedplate.assembly.rules import may
from bedplate.assess.fits import Assessment
from bedplate.assess.gauges import overdue
from bedplate.cli import ask, context
from bedplate.cli.declared import At, Note
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.status import copies_ahead
from bedplate.cli.store import AtHand, Recorded, at_hand, clock, record
from bedplate.cli.striking import named_place
from bedplate.cli.times import done_at
from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.record.appending import OpenJob
from bedplate.record.attachments import store, store_again, store_bytes
from bedplate.record.chain import check
from bedplate.record.entries import AnyEntry, Attachment, Reopened, Signed, moment_text
from bedplate.record.job import Job, fold
from bedplate.record.jobfile import read_bytes
from bedplate.report.entry_words import words
from bedplate.text import counted, near_or_list, quoted, visible

STATEMENT = "The work is as recorded here."
"""What is declared where nothing else is said."""


def sign(
    moment: Annotated[
        str | None, typer.Argument(metavar="MOMENT", help="The first unsigned one, without.")
    ] = None,
    *,
    role: Annotated[str | None, typer.Option(metavar="TEXT", help="As what you sign.")] = None,
    statement: Annotated[
        str | None, typer.Option(metavar="TEXT", help="What you declare.")
    ] = None,
    key: Annotated[
        str | None, typer.Option(metavar="FILE", help="An OpenSSH Ed25519 key of your own.")
    ] = None,
) -> None:
    """Sign the record as it stands.

    It is refused while anything is in the way, and says what. A key is made at the first
    signature.

    Examples:
      bedplate sign
      bedplate sign "first run" --role "fitter"
    """
    found = at_hand()
    wanted = _moment(found.job, moment)
    _refuse_blocked(found, wanted)
    from bedplate.seal.sign import Draft, make_seal, only_as_shown  # noqa: PLC0415 - heavy

    by, now = context.hand(), clock()
    signer = _signer(by, key)
    shown = str(found.file.head)
    draft = Draft(wanted, by, role or "", moment_text(now), statement or STATEMENT)
    seal = make_seal(found.file.data, shown, draft, signer)
    _may_sign(found, seal, now, by)
    with OpenJob(found.path) as file:
        appended = file.append(only_as_shown(seal, shown), by=by, now=lambda: now)
        recorded = Recorded(found.name, found.path, fold(file.entries), appended.entries)
    fingerprint = f"key {signer.public.fingerprint}"
    head = f"{appended.head}"
    tell(recorded, "sign", [f"   {fingerprint}", f"   head {head.partition(':')[2]}"])


def _moment(job: Job, typed: str | None) -> str:
    moments = job.sheet.signed_for
    if typed is None:
        return open_moment(job) or moments[-1]
    for moment in moments:
        if moment.casefold() == typed.casefold():
            return moment
    raise NotUnderstoodError(
        f"Not signed. There is no moment {quoted(typed)}.",
        near_or_list(typed, list(moments), "Moments"),
    )


def _refuse_blocked(found: AtHand, moment: str) -> None:
    """Refuse while anything stands in the way, every blocker listed with its cure."""
    now = clock()
    late, copies = overdue(found.job, now.date()), copies_ahead(found)
    weighed = weigh(
        found.job, Assessment(found.job).all, moment, now, gauges_overdue=late, copies=copies
    )
    standing = [blocker for blocker in weighed if blocker.conceded is None]
    if standing:
        raise RefusedError(
            f"Not signed. In the way of the signature for {moment}: {len(standing)}.",
            *(f"{blocker.text}   {blocker.type}".rstrip() for blocker in standing),
        )


def _may_sign(found: AtHand, seal: Signed, now: datetime, by: str) -> None:
    late, copies = overdue(found.job, now.date()), copies_ahead(found)
    fits = Assessment(found.job).all
    may(seal, found.job, fits, now, by, gauges_overdue=late, copies=copies)


def _keys() -> Path:
    from bedplate.seal.own import keys_folder  # noqa: PLC0415 - signing only

    return keys_folder(context.cabinet().home)


def _passphrase(question: str) -> str:
    """Ask for a passphrase; without a terminal there is none."""
    if not ask.can_ask():
        return ""
    import getpass  # noqa: PLC0415 - a passphrase is rarely asked

    return getpass.getpass(question)


def _signer(name: str, file: str | None) -> Any:
    from bedplate.seal import own  # noqa: PLC0415 - loads cryptography

    folder = _keys()
    if file is not None:
        return own.key_from(folder, name, Path(file).expanduser(), _passphrase)
    if own.key_path(folder, name).exists():
        return own.own_key(folder, name, _passphrase)
    signer = own.make(folder, name, _passphrase)
    screen = context.screen()
    screen.err(f"A key was made for {visible(name)}: {signer.public.fingerprint}")
    screen.err(f"It lies in {visible(str(signer.path))}. Keep a copy; nobody can make it again.")
    return signer


def reopen(
    *,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="Why.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Go on after a signature.

    The seal stays true of the lines before it.

    Examples:
      bedplate reopen --why "weeps at the cover joint"
    """
    if why is None:
        raise NotUnderstoodError(
            "Not reopened. It needs its reason.", 'Type:  bedplate reopen --why "..."'
        )
    entry = Reopened(why=why, note=note, done_at=done_at(at, clock()))
    tell(record(lambda job, _: permitted(job, [entry])), "reopen")


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

    path = context.job_at_hand(file)
    found = audit(path, _keys(), wanted=Wanted(head=head, signed=signed))
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
        screen.out(line)
    if saved is not None:
        screen.out(f"{visible(sound or '')} written: {counted(saved, 'entry', 'entries')}.")
    return 0 if found.ok else 1


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
        state = "sound" if seal.ok else (seal.fault or "not known")
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
    path = Path(other)
    report = check(read_bytes(path), visible(path.name))
    result = rejoining.rejoin(found.file.report, report)
    screen = context.screen()
    if result.further is not None:
        _tell_further(found, path, result.further)
        return
    tail = store_bytes(found.path, result.tail, path.name) if result.tail else None

    def taken(job: Job, _answers: object) -> Sequence[AnyEntry]:
        now = rejoining.rejoin(check(read_bytes(found.path)), report)
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


def attach(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="Photos, reports.")],
    *,
    on: Annotated[str | None, typer.Option("--on", metavar="WHAT", help="What it shows.")] = None,
    at: At = None,
    note: Note = None,
) -> None:
    """Keep a photo or a report beside the job.

    Examples:
      bedplate attach idler-flank.jpg --on gear.idler --note "pitted flank"
    """
    found = at_hand()
    when = done_at(at, clock())
    place = named_place(found.job, on) if on is not None else None
    for name in files:
        if not Path(name).is_file():
            raise NotUnderstoodError(f"Not recorded. {quoted(name)} is no file.")
    kept = [
        store(found.path, Path(name), place).model_copy(update={"note": note, "done_at": when})
        for name in files
    ]
    tell(record(lambda job, _: permitted(job, kept)), "attach")


def key_show() -> None:
    """Show your own key and the keys known here.

    Examples:
      bedplate key show
    """
    from bedplate.seal.known import read_known  # noqa: PLC0415 - rare
    from bedplate.seal.own import own_public  # noqa: PLC0415

    folder = _keys()
    name = context.settings().name
    own = own_public(folder, name) if name else None
    known = read_known(folder)
    screen = context.screen()
    if screen.as_json:
        screen.json({
            **context.document("key show"),
            "own": None if own is None or name is None
            else {"name": name, "key": own.fingerprint, "line": own.line(name)},
            "known": [
                {"name": k.name, "key": k.key.fingerprint, "retired": k.retired} for k in known
            ],
        })  # fmt: skip
        return
    if own is not None and name is not None:
        screen.out(f"Yours, to give to others:  {visible(own.line(name))}")
    else:
        screen.out("No key of your own yet; one is made at your first signature.")
    for each in known:
        retired = f"   retired {each.retired}" if each.retired else ""
        screen.out(f"  {each.key.fingerprint}  {visible(each.name)}{retired}")


def key_trust(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Whose key it is.")],
    key: Annotated[
        list[str], typer.Argument(metavar="KEY|FILE", help="The line, or a file ending in .pub.")
    ],
) -> None:
    """Take up a person's public key.

    Compare the fingerprint with that person, by voice.

    Examples:
      bedplate key trust "Bo Smith" bo.pub
    """
    from bedplate.seal.known import trust  # noqa: PLC0415 - rare

    line = " ".join(key)
    if len(key) == 1 and Path(line).is_file():
        data = Path(line).read_bytes()[:65536]
        line = data.decode("utf-8", "replace").strip()
    kept = trust(_keys(), name, line)
    _tell_key("trust", kept, f"{visible(kept.name)} is known by {kept.key.fingerprint}")


def key_retire(
    who: Annotated[str, typer.Argument(metavar="NAME|SHA256:...", help="Whose, or which.")],
) -> None:
    """Put a key out of use.

    What it signed before stays known.

    Examples:
      bedplate key retire "Ann Fitter"
    """
    from bedplate.seal.own import retire  # noqa: PLC0415 - rare

    gone = retire(_keys(), who, moment_text(clock()))
    _tell_key("retire", gone, f"Retired: {gone.key.fingerprint} of {visible(gone.name)}")


def _tell_key(verb: str, key: Any, line: str) -> None:
    screen = context.screen()
    if screen.as_json:
        screen.json({
            **context.document(f"key {verb}"), "name": key.name,
            "key": key.key.fingerprint, "retired": key.retired,
        })  # fmt: skip
        return
    screen.out(line)
