"""Every kind of entry in words: one line each, as `log` and each recording show it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bedplate.assembly.words import until_words
from bedplate.record import entries as kinds
from bedplate.record.entries import Entry
from bedplate.record.job import Job
from bedplate.report import figures
from bedplate.report.echo import reading_shown
from bedplate.sheet.model import Feature
from bedplate.text import counted, folded, shown_text


def words(entry: Entry, job: Job) -> str:
    """Return what an entry says, without its number, time and hand.

    Args:
        entry: one entry of the job.
        job: the job; names and struck entries are looked up in it.
    """
    said = _WORDS[entry.kind](entry, job)
    note = getattr(entry, "note", None)
    own_note = entry.kind in ("finding", "deferred")
    return shown_text(f"{said}   ({note})" if note and not own_note else said)


def numbered(entry: Entry, job: Job) -> str:
    """Return an entry as a recording acknowledges it: ``entry 9   H.driver  1.0001 in``."""
    return f"entry {entry.n:<3} {words(entry, job)}"


def _opened(entry: kinds.Opened, job: Job) -> str:
    about = [text for text in (entry.machine, entry.serial, job.sheet.title) if text]
    return "opened" + (f": {', '.join(about)}" if about else "")


def _revised(entry: kinds.SheetRevised, _job: Job) -> str:
    return f"sheet: {entry.what}" + (f" ({entry.why})" if entry.why else "")


def _gauge(entry: kinds.GaugeDescribed, _job: Job) -> str:
    keys = entry.told
    told = [f"{key.replace('_', ' ')} {text}" for key, text in keys.items() if key != "name"]
    return f"gauge {keys['name']}: {', '.join(told) or 'nothing said of it'}"


def _setting(entry: kinds.Setting, _job: Job) -> str:
    stood = f" on {entry.reference}" if entry.reference else ""
    within = f", set in {entry.in_}" if entry.in_ else ""
    return f"setting {entry.gauge}: shows {entry.shown}{stood}{within}"


def _reading(entry: kinds.Reading, job: Job) -> str:
    found = job.layout.find(entry.address.partition("@")[0].partition(".")[0], "feature")
    name = found.row.title if found is not None and isinstance(found.row, Feature) else ""
    if entry.left_out is not None:
        return f"{entry.address}  left out: {entry.left_out}"
    value = reading_shown(entry)
    read_on = f"   on {entry.gauge}" if entry.gauge else ""
    warm = f" at {entry.temp}" if entry.temp else ""
    kept = "   kept though questioned" if entry.kept else ""
    title = f"   {name}" if name and name != entry.address.partition("@")[0] else ""
    return f"{entry.address}  {value}{warm}{title}{read_on}{kept}"


def _finding(entry: kinds.Finding, _job: Job) -> str:
    place = f" on {entry.place}" if entry.place else ""
    by = "" if folded(entry.how or "").startswith("by ") else "by "
    judged = f", {by}{entry.how}" if entry.how else ""
    back = f"; to be answered at {entry.back}" if entry.back else ""
    return f"{entry.severity}{place}: {entry.note or ''}{judged}{back}"


def _disposition(entry: kinds.Disposition, _job: Job) -> str:
    extra = ", extra to what was asked" if entry.extra else ""
    return f"{entry.component}: {entry.decision}{extra}, because {entry.why}"


def _changed(entry: kinds.Changed, _job: Job) -> str:
    said = f"{entry.component} {entry.how}"
    for word, text in (
        ("from", entry.from_), ("mark", entry.mark), ("size", entry.size),
        ("part number", entry.number), ("by", entry.shop),
    ):  # fmt: skip
        said += f", {word} {text}" if text else ""
    return said + (f", touching {', '.join(entry.touching)}" if entry.touching else "")


def _fasteners(entry: kinds.Fasteners, _job: Job) -> str:
    count = f", {entry.count}" if entry.count is not None else ""
    stage = f", stage {entry.stage}" if entry.stage is not None else ""
    value = f", {entry.value}" if entry.value else ""
    read_on = f" on {entry.gauge}" if entry.gauge else ""
    trial = ", on trial" if entry.trial else ""
    return f"{entry.set} {entry.state}{count}{stage}{value}{read_on}{trial}"


def _proof(entry: kinds.Proof, _job: Job) -> str:
    return f"{entry.proof} {'passed' if entry.passed else 'FAILED'}"


def _step(entry: kinds.Step, _job: Job) -> str:
    return f"step {entry.step} {'done' if entry.done else 'undone'}"


def _used(entry: kinds.PartUsed, _job: Job) -> str:
    several = entry.part if entry.part.endswith("s") else f"{entry.part}s"
    thing = entry.part if entry.count is None else counted(entry.count, entry.part, several)
    about = [text for text in (entry.number, entry.maker, entry.batch) if text]
    return f"used {thing}" + (f" ({', '.join(about)})" if about else "")


def _deferred(entry: kinds.Deferred, _job: Job) -> str:
    holds = f", holds {entry.holds}" if entry.holds else ""
    why = f", because {entry.why}" if entry.why else ""
    return f'put off: "{entry.note or ""}" until {until_words(entry.until)}{holds}{why}'


def _settled(entry: kinds.Settled, _job: Job) -> str:
    return f"settles {entry.entry}" + (f": {entry.how}" if entry.how else "")


def _concession(entry: kinds.Concession, _job: Job) -> str:
    return f"{entry.what} accepted by {entry.accepted_by}: {entry.why}"


def _attachment(entry: kinds.Attachment, _job: Job) -> str:
    place = f" on {entry.place}" if entry.place else ""
    return f"attached {entry.name}{place}"


STRUCK_WORDS = 48
"""Letters of what is said of a struck entry; of one that takes more its kind is said."""


def _strike(entry: kinds.Strike, job: Job) -> str:
    struck = job.entries[entry.entry - 1] if 1 <= entry.entry <= len(job.entries) else None
    what = ""
    if isinstance(struck, kinds.Reading):
        what = f" ({struck.value or 'left out'})"
    elif struck is not None:
        told = "" if isinstance(struck, kinds.Strike) else _WORDS[struck.kind](struck, job)
        what = f" ({told if 0 < len(told) <= STRUCK_WORDS else struck.kind})"
    return f"strikes {entry.entry}{what}: {entry.why}"


def _set_aside(entry: kinds.SetAside, _job: Job) -> str:
    return f"{entry.bytes} bytes of a write that was cut short were set aside"


def _signed(entry: kinds.Signed, _job: Job) -> str:
    told = dict(line.partition(": ")[::2] for line in entry.sealed.splitlines() if ": " in line)
    role = f", {told['role']}" if told.get("role") else ""
    return f"signed for {told.get('moment', '?')} by {told.get('name', '?')}{role}"


def _reopened(entry: kinds.Reopened, _job: Job) -> str:
    return f"reopened: {entry.why}"


_WORDS: dict[str, Callable[[Any, Job], str]] = {
    "opened": _opened,
    "sheet-revised": _revised,
    "gauge": _gauge,
    "setting": _setting,
    "reading": _reading,
    "finding": _finding,
    "disposition": _disposition,
    "changed": _changed,
    "fasteners": _fasteners,
    "proof": _proof,
    "step": _step,
    "part-used": _used,
    "deferred": _deferred,
    "settled": _settled,
    "concession": _concession,
    "attachment": _attachment,
    "strike": _strike,
    "set-aside": _set_aside,
    "signed": _signed,
    "reopened": _reopened,
}


def when(entry: Entry) -> str:
    """Return when something was done: as told, else when it was written."""
    return figures.date_shown(getattr(entry, "done_at", None) or entry.at)
