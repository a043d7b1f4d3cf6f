"""Every renderer shows the figures of the document, all of them and no others."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pages import can_read_pdf, numbers, pdf_pages, read_page
from summaries import evidence, mypump, plane, pump, seal, texts
from tiny import Tiny

from bedplate.report.customer import customer
from bedplate.report.document import Document, Fits, Outcome, Plot, Table
from bedplate.report.evidence import Evidence
from bedplate.report.html import html
from bedplate.report.public import public
from bedplate.report.terminal import Form, terminal
from bedplate.report.workshop import workshop

JOBS = {"mypump": mypump, "pump": pump, "plane": plane}
BUILDS = {"workshop": workshop, "customer": customer, "public": public}

every_page = [
    pytest.param(job, build, id=f"{name}-{reader}")
    for name, job in JOBS.items()
    for reader, build in BUILDS.items()
]


def document_of(job: Callable[[], Tiny], build: Callable[[Evidence], Document]) -> Document:
    made = job()
    n = len(made.entries) + 1
    return build(evidence(made, seals=(seal(n),), signed=("handover",)))


def told(document: Document) -> set[str]:
    """Return the numbers that a document holds, drawings aside."""
    words = [*texts(document), document.count, document.by]
    if document.state is not None:
        words += [document.state.text, document.state.more]
    for section in document.sections:
        for block in section.blocks:
            match block:
                case Table():
                    words += [column.title for column in block.columns]
                case Plot():
                    words += [*block.stations, *(trace.label for trace in block.traces)]
                case Fits():
                    words += [word for fit in block.fits for word in (fit.source, fit.name)]
                    words += [
                        word
                        for fit in block.fits
                        for outcome in (fit.found, fit.left)
                        if isinstance(outcome, Outcome)
                        for word in (outcome.uncertainty, outcome.said)
                    ]
    return numbers(" ".join(words))


def in_a_fit_alone(document: Document) -> set[str]:
    """Return numbers that the terminal leaves to the tables of the fits in full."""
    beside = {
        word
        for section in document.sections
        for block in section.blocks
        if isinstance(block, Fits)
        for fit in block.fits
        for outcome in (fit.found, fit.left)
        if outcome is not None
        for word in (fit.source, outcome.uncertainty, outcome.said)
    }
    return numbers(" ".join(beside))


@pytest.mark.parametrize(("job", "build"), every_page)
def test_html_carries_the_figures_of_the_document(
    job: Callable[[], Tiny], build: Callable[[Evidence], Document]
) -> None:
    document = document_of(job, build)
    assert numbers(read_page(html([document])).text) == told(document)


@pytest.mark.parametrize(("job", "build"), every_page)
def test_the_terminal_carries_the_figures_of_the_document(
    job: Callable[[], Tiny], build: Callable[[Evidence], Document]
) -> None:
    document = document_of(job, build)
    shown = numbers("\n".join(terminal([document], Form())))
    assert shown <= told(document)
    missing = told(document) - shown
    assert missing <= (in_a_fit_alone(document) if document.reader == "customer" else set())


@pytest.mark.skipif(not can_read_pdf(), reason="no pdftotext here")
@pytest.mark.parametrize(("job", "build"), every_page)
def test_a_pdf_carries_the_figures_of_the_document(
    job: Callable[[], Tiny], build: Callable[[Evidence], Document], tmp_path: Path
) -> None:
    pytest.importorskip("typst")
    from bedplate.report.pdf import pdf  # noqa: PLC0415 - only where typst is

    document = document_of(job, build)
    pages = pdf_pages(pdf([document]), tmp_path)
    footers = {str(number) for number in range(1, len(pages) + 1)}
    assert numbers(" ".join(pages)) - footers == told(document) - footers
