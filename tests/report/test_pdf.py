"""The summary as a PDF, where typst is installed, and what is said where it is not."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from pages import can_read_pdf, pdf_pages, png
from summaries import evidence, mypump, opened, plane, pump, seal

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.record import entries as e
from bedplate.report.customer import customer
from bedplate.report.form import form_pdf
from bedplate.report.pdf import pdf
from bedplate.report.workshop import workshop
from bedplate.text import visible

needs_typst = pytest.mark.skipif(
    pytest.importorskip("importlib.util").find_spec("typst") is None, reason="no typst here"
)
needs_reader = pytest.mark.skipif(not can_read_pdf(), reason="no pdftotext here")

PIXEL = png()


def test_without_typst_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(NotUnderstoodError) as raised:
        pdf([workshop(evidence(mypump()))])
    assert raised.value.as_lines() == [
        "Nothing written. A PDF needs an extra of bedplate that is not installed here.",
        '  Install bedplate[pdf], in the folder of bedplate:  pip install ".[pdf]"',
        "  Or write HTML and print that:  --format html",
    ]


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(NotUnderstoodError) as raised:
        pdf([workshop(evidence(mypump()))], "foolscap")
    assert raised.value.as_lines() == [
        'Nothing written. There is no paper "foolscap".',
        "  Papers: a4, letter",
    ]


@needs_typst
@needs_reader
def test_every_page_says_what_it_is_its_state_and_its_number(tmp_path: Path) -> None:
    pages = pdf_pages(pdf([workshop(evidence(pump()))]), tmp_path)
    footer = "Workshop copy · pump · NOT SIGNED · 28 entries, head 3f9ad1c277b0e52a"
    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        assert f"{footer} {number} of {len(pages)}" in page


@needs_typst
@needs_reader
def test_a_customer_has_two_pages_to_read(tmp_path: Path) -> None:
    job = pump()
    found = evidence(job, seals=(seal(29),), signed=("handover",))
    assert len(pdf_pages(pdf([customer(found)]), tmp_path)) == 2


@needs_typst
def test_the_same_document_makes_the_same_bytes() -> None:
    document = customer(evidence(mypump()))
    assert pdf([document]) == pdf([document])


@needs_typst
def test_paper_is_a4_or_letter() -> None:
    document = customer(evidence(mypump()))
    assert b"595.2" in pdf([document])
    assert b"612 792" in pdf([document], "letter")


HOSTILE = [
    '#panic("owned")',
    "#image(\"/etc/passwd\") ] ) } $x^2$ *bold* _em_ `raw` <label> @ref \\ // /* */",
    "\x1b[31mred \u202e gnp",
    "Å Ñ é ø ß µ ± ° Ω Ж",
    "a" * 300,
]  # fmt: skip


@needs_typst
@needs_reader
@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_comes_out_as_visible_text(text: str, tmp_path: Path) -> None:
    job = opened(
        'unit = "mm"\n[[component]]\nid = "body"', customer=text, machine=text, asked=text
    )
    job.put(
        e.Finding(severity="watch", note=text, place=text),
        e.PartUsed(part=text, maker=text),
        e.Disposition(component="body", decision="reuse", why=text),
    )
    for build in (customer, workshop):
        words = "".join(pdf_pages(pdf([build(evidence(job, name=text))]), tmp_path))
        assert "".join(visible(text).split()) in words.replace(" ", "")


@needs_typst
@needs_reader
def test_a_plane_is_told_as_a_table_beside_its_map(tmp_path: Path) -> None:
    (text, *_) = pdf_pages(pdf([workshop(evidence(plane()))]), tmp_path)
    assert "row 1 2 a 0.000 0.012 b −0.008 0.020" in text


@needs_typst
def test_a_picture_is_set_and_a_broken_one_is_said() -> None:
    job = pump()
    job.put(e.Attachment(file="p.files/x.png", name="idler.png", sha256="0" * 64))
    n = len(job.entries)
    whole = pdf([customer(evidence(job, pictures={n: PIXEL}))])
    assert len(whole) > len(pdf([customer(evidence(job))]))
    with pytest.raises(StorageError) as raised:
        pdf([customer(evidence(job, pictures={n: PIXEL[:30]}))])
    assert raised.value.message.startswith("Nothing written. The PDF could not be set: ")
    assert raised.value.hint == (
        "One of the pictures may be broken.", "The same as HTML:  --format html",
    )  # fmt: skip


@needs_typst
@needs_reader
def test_several_jobs_each_begin_on_a_page_of_their_own(tmp_path: Path) -> None:
    one, two = customer(evidence(mypump(), "mypump")), customer(evidence(plane(), "deck"))
    pages = pdf_pages(pdf([one, two]), tmp_path)
    begin = [page for page in pages if page.startswith(("Harbour launch, transfer", "deck For"))]
    assert len(begin) == 2


@needs_typst
@needs_reader
def test_the_form_has_a_place_for_every_reading(tmp_path: Path) -> None:
    text = " ".join(pdf_pages(form_pdf(pump().job.sheet), tmp_path))
    for address in ("D", "H.driver", "H.idler", "RP"):
        assert f"{address} as found" in text
        assert f"{address} as left" in text
    assert "2 to 4 thou, worn ..6 thou, aim 3 thou (Handbook p. 31)" in text
