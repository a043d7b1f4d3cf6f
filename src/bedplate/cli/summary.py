"""``bedplate summary``: the page for whoever reads it next."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from bedplate.cli import context
from bedplate.cli.status import copies_ahead
from bedplate.cli.store import AtHand, at_hand, clock
from bedplate.cli.writing import write_new
from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.record.entries import Attachment
from bedplate.record.jobfile import ENDING
from bedplate.text import near_or_list, quoted, visible

if TYPE_CHECKING:
    from bedplate.report.document import Document, Reader
    from bedplate.report.evidence import Evidence
    from bedplate.report.preferred import Preference
    from bedplate.seal.facts import Verification

FORMATS = ("text", "html", "pdf")
ENDINGS = {".html": "html", ".htm": "html", ".pdf": "pdf", ".txt": "text", ".text": "text"}
"""The format that the ending of a file's name decides."""

FOR_WHOM = {
    "workshop": "for the workshop. For the customer: add  --for customer",
    "customer": "for the customer.",
    "public": "a copy for the public; it names nobody and cannot be verified.",
}
"""What is said of a file, behind its name."""


def summary(
    jobs: Annotated[
        list[str] | None, typer.Argument(metavar="JOB...", help="The job at hand, without.")
    ] = None,
    *,
    reader: Annotated[
        str, typer.Option("--for", metavar="workshop|customer|public", help="Who reads it.")
    ] = "workshop",
    form: Annotated[
        str | None,
        typer.Option("--format", metavar="text|html|pdf", help="Else the ending of FILE decides."),
    ] = None,
    out: Annotated[
        str | None, typer.Option("-o", "--output", metavar="FILE|-", help="Else to the screen.")
    ] = None,
    paper: Annotated[str, typer.Option("--paper", metavar="a4|letter", help="Of a PDF.")] = "a4",
    force: Annotated[bool, typer.Option("--force", help="Write over FILE.")] = False,
) -> None:
    """Write the page for whoever reads it next.

    Several jobs stand on one page. A PDF needs the extra bedplate[pdf]; HTML prints as well.

    Examples:
      bedplate summary
      bedplate summary -o pump.html --for customer
      bedplate summary pump head -o launch.pdf
    """
    wanted, form = _reader(reader), _format(form, out)
    found = [at_hand(job) for job in jobs] if jobs else [at_hand()]
    if out is not None:
        _refuse_over_record(Path(out), found)
    evidence = [_evidence(each, pictures=form != "text" and wanted != "public") for each in found]
    documents = [_document(each, wanted) for each in evidence]
    screen = context.screen()
    data = None if out is None and form == "text" else _rendered(documents, form, paper)
    if out is not None and out != "-" and data is not None:
        write_new(Path(out), data, force=force)
    if screen.as_json:
        _tell_json(found, wanted, out, [_document(_as_entered(each), wanted) for each in evidence])
    elif data is None:
        _show(documents)
    elif out is None or out == "-":
        _refuse_pdf_on_screen(form)
        screen.raw(data)
    else:
        screen.out(f"{visible(out)} written, {FOR_WHOM[wanted]}")


def _reader(typed: str) -> Reader:
    from bedplate.report.document import READERS  # noqa: PLC0415 - the report is heavy

    for reader in READERS:
        if reader == typed.casefold():
            return reader
    raise NotUnderstoodError(
        f"Nothing written. There is no summary for {quoted(typed)}.",
        near_or_list(typed, READERS, "Readers"),
    )


def _format(form: str | None, out: str | None) -> str:
    """Return the format asked for: as named, else by the ending of the file, else text."""
    if form is not None:
        if form.casefold() in FORMATS:
            return form.casefold()
        raise NotUnderstoodError(
            f"Nothing written. There is no format {quoted(form)}.",
            near_or_list(form, FORMATS, "Formats"),
        )
    if out is None or out == "-":
        return "text"
    ending = Path(out).suffix.casefold()
    if ending not in ENDINGS:
        raise NotUnderstoodError(
            f"Nothing written. {quoted(out)} does not end in .html, .pdf or .txt.",
            "Or say which it is to be:  --format html",
        )
    return ENDINGS[ending]


def _refuse_over_record(path: Path, found: Sequence[AtHand]) -> None:
    """Refuse to write over a record, whatever ``--force`` says."""
    same = any(path.exists() and os.path.samefile(path, each.path) for each in found)
    if same or path.name.casefold().endswith(ENDING):
        raise NotUnderstoodError(
            f"Nothing written. {visible(str(path))} is the name of a record.",
            "A summary is a file of its own:  -o summary.html",
        )


def _refuse_pdf_on_screen(form: str) -> None:
    if form == "pdf" and context.screen().terminal:
        raise NotUnderstoodError(
            "Nothing written. A PDF is no text for a terminal.", "Name its file:  -o summary.pdf"
        )


# ---- what the page is made from


def _document(evidence: Evidence, reader: Reader) -> Document:
    from bedplate.report.customer import customer  # noqa: PLC0415 - the report is heavy
    from bedplate.report.public import public  # noqa: PLC0415
    from bedplate.report.workshop import workshop  # noqa: PLC0415

    match reader:
        case "customer":
            return customer(evidence)
        case "public":
            return public(evidence)
        case "workshop":
            return workshop(evidence)


def _as_entered(evidence: Evidence) -> Evidence:
    """Return the same for a program, which is shown what anybody else's would be."""
    from bedplate.report.preferred import AS_ENTERED  # noqa: PLC0415 - the report is heavy

    return replace(evidence, preference=AS_ENTERED)


def _evidence(found: AtHand, *, pictures: bool) -> Evidence:
    """Return all that is known of a job: its fits, its seals, what is in its way."""
    from bedplate.assembly.blockers import blockers  # noqa: PLC0415 - the report is heavy
    from bedplate.assess.gauges import overdue  # noqa: PLC0415
    from bedplate.report.evidence import Evidence  # noqa: PLC0415

    now, job = clock(), found.job
    verification = _verified(found)
    shown = _pictures(found, verification) if pictures else {}
    mine = _preference()
    evidence = Evidence(found.name, job, verification, now, pictures=shown, preference=mine)
    moments = evidence.open_moments
    if not moments or evidence.is_altered:
        return evidence
    in_the_way = blockers(
        job,
        evidence.assembly.fits,
        moments[0],
        now,
        gauges_overdue=overdue(job, now.date()),
        copies=copies_ahead(found),
    )
    return Evidence(found.name, job, verification, now, in_the_way, shown, mine)


def _preference() -> Preference:
    """Return how whoever writes the page prefers to see fits."""
    from bedplate.report.preferred import Preference  # noqa: PLC0415 - the report is heavy

    mine = context.settings()
    return Preference(mine.show, mine.both_units)


def _verified(found: AtHand) -> Verification:
    from bedplate.seal.audit import audit  # noqa: PLC0415 - loads cryptography
    from bedplate.seal.own import keys_folder  # noqa: PLC0415

    return audit(found.path, keys_folder(context.cabinet().home))


def _pictures(found: AtHand, verification: Verification) -> Mapping[int, bytes]:
    """Return the bytes of the attachments that are as they were when they were attached."""
    from bedplate.record.attachments import kept_at  # noqa: PLC0415 - rarely there are any
    from bedplate.report.pictures import LARGEST  # noqa: PLC0415

    shown: dict[int, bytes] = {}
    whole = {fact.entry for fact in verification.attachments if fact.state == "whole"}
    for entry in found.job.live(Attachment):
        path = kept_at(found.path, entry) if entry.n in whole else None
        try:
            if path is not None and path.stat().st_size <= LARGEST:
                shown[entry.n] = path.read_bytes()
        except OSError as error:
            raise StorageError(f"Not read. {visible(str(path))}: {error.strerror}.") from error
    return shown


# ---- how it is handed out


def _rendered(documents: Sequence[Document], form: str, paper: str) -> bytes:
    if form == "pdf":
        from bedplate.report.pdf import pdf  # noqa: PLC0415 - an extra, and slow

        return pdf(documents, paper)
    if form == "html":
        from bedplate.report.html import html  # noqa: PLC0415 - loads jinja2

        return html(documents).encode("utf-8")
    from bedplate.report.terminal import Form, terminal  # noqa: PLC0415 - loads rich

    return ("\n".join(terminal(documents, Form())) + "\n").encode("utf-8")


def _show(documents: Sequence[Document]) -> None:
    from bedplate.report.terminal import Form, terminal  # noqa: PLC0415 - loads rich

    screen = context.screen()
    form = Form(screen.width, screen.can_draw, screen.can_colour, screen.plain)
    for line in terminal(documents, form):
        screen.out(line)


def _tell_json(
    found: Sequence[AtHand], reader: Reader, out: str | None, documents: Sequence[Document]
) -> None:
    """Give the documents as data; a public one names no job and counts no entries."""
    one = found[0] if len(found) == 1 and reader != "public" else None
    name, entries = (one.name, one.job.last) if one is not None else (None, None)
    context.screen().json(
        {
            **context.document("summary", name, entries),
            "for": reader,
            "file": None if out is None or out == "-" else out,
            "documents": [document.as_json(pictures=False) for document in documents],
        }
    )
