"""``bedplate summary``: what is written, for whom, in which form, and what it never touches."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from pages import can_read_pdf, pdf_pages, png, read_page
from typist import PUMP, Typist

from bedplate.record.jobfile import read_job_file


@pytest.fixture
def at(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Typist:
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    typist = Typist(capsys).open()
    typist.done("measure D 1.0031", "measure H.driver 1.0001 1.0001 1.0000")
    return typist


def test_it_shows_the_page_for_the_workshop(at: Typist) -> None:
    lines = at.done("summary")
    assert lines[0].split() == ["pump", "NOT", "SIGNED", "5", "entries"]
    assert lines[1].startswith("Fuel transfer gear pump ")
    assert "EC      driver  3.0 to 3.1" in lines[4]
    assert lines[-1].endswith(f"5 entries, head {read_job_file(at.path).head.sha256[:16]}")


def test_the_head_in_full_is_the_one_that_verify_shows(at: Typist) -> None:
    head = at.document("verify")["head"]
    assert head in at.done("summary")


def test_the_ending_of_the_file_decides_the_form(at: Typist) -> None:
    said = at.done("summary -o pump.html")
    assert said == ["pump.html written, for the workshop. For the customer: add  --for customer"]
    page = read_page(Path("pump.html").read_text("utf-8"))
    assert page.all("h1")[0].text == "Fuel transfer gear pump"
    at.done("summary -o pump.txt")
    assert Path("pump.txt").read_text("utf-8").splitlines() == at.done("summary")


@pytest.mark.skipif(not can_read_pdf(), reason="no pdftotext here")
def test_a_pdf_is_written_where_typst_is(at: Typist, tmp_path: Path) -> None:
    pytest.importorskip("typst")
    assert at.done("summary -o pump.pdf --for customer --paper letter") == [
        "pump.pdf written, for the customer."
    ]
    (first, *_) = pdf_pages(Path("pump.pdf").read_bytes(), tmp_path)
    assert first.startswith("Fuel transfer gear pump For the customer")


def test_a_pdf_without_typst_is_refused_and_nothing_is_written(
    at: Typist, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    assert at.refused("summary -o pump.pdf")[0] == (
        "Nothing written. A PDF needs an extra of bedplate that is not installed here."
    )
    assert not Path("pump.pdf").exists()


def test_a_file_is_never_written_over_without_force(at: Typist) -> None:
    Path("pump.html").write_text("mine")
    assert at.refused("summary -o pump.html") == [
        "Nothing written. pump.html is there already.",
        "  To write over it:  --force",
    ]
    assert Path("pump.html").read_text() == "mine"
    at.done("summary -o pump.html --force")
    assert Path("pump.html").read_text("utf-8").startswith("<!DOCTYPE html>")


@pytest.mark.parametrize("name", ["pump.job.jsonl", "other.job.jsonl", "./pump.job.jsonl"])
def test_a_record_is_never_written_over_even_with_force(at: Typist, name: str) -> None:
    shown = str(Path(name))
    assert at.refused(f"summary --format html --force -o {name}") == [
        f"Nothing written. {shown} is the name of a record.",
        "  A summary is a file of its own:  -o summary.html",
    ]


def test_a_link_to_the_record_is_not_written_over(at: Typist) -> None:
    Path("page.html").symlink_to(at.path)
    assert at.refused("summary --force -o page.html")[0] == (
        "Nothing written. page.html is the name of a record."
    )


def test_a_dash_gives_the_page_on_stdout(at: Typist) -> None:
    assert at.done("summary --format html -o -")[0] == "<!DOCTYPE html>"
    assert at.done("summary --format html")[0] == "<!DOCTYPE html>"
    assert at.done("summary -o -") == at.done("summary")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "summary --for custmer",
            [
                'Nothing written. There is no summary for "custmer".',
                "  Nearest: customer",
            ],
        ),
        (
            "summary --format docx",
            [
                'Nothing written. There is no format "docx".',
                "  Formats: text, html, pdf",
            ],
        ),
        (
            "summary -o pump.doc",
            [
                'Nothing written. "pump.doc" does not end in .html, .pdf or .txt.',
                "  Or say which it is to be:  --format html",
            ],
        ),
    ],
)
def test_what_is_not_understood_is_refused(at: Typist, line: str, said: list[str]) -> None:
    assert at.refused(line) == said


def test_a_public_copy_names_nobody(at: Typist) -> None:
    text = "\n".join(at.done("summary --for public"))
    assert "Ann Fitter" not in text
    assert "Fuel transfer" not in text
    assert "It cannot be verified" in " ".join(text.split())
    document = at.document("summary --for public")
    assert (document["job"], document["entries"], document["for"]) == (None, None, "public")


def test_json_gives_the_document_and_still_writes_the_file(at: Typist) -> None:
    document = at.document("summary --for customer -o page.html")
    assert list(document) == ["format", "job", "entries", "for", "file", "documents"]
    assert document["format"] == "bedplate-out-summary/1"
    assert (document["job"], document["entries"]) == ("pump", 5)
    assert (document["for"], document["file"]) == ("customer", "page.html")
    assert document["documents"][0]["title"] == "Fuel transfer gear pump"
    assert Path("page.html").exists()


def test_several_jobs_make_one_page(at: Typist) -> None:
    Path("head.toml").write_text(PUMP.replace("Fuel transfer gear pump", "Cylinder head"), "utf-8")
    at.done("open head --sheet head.toml")
    at.done("summary pump head -o both.html")
    page = read_page(Path("both.html").read_text("utf-8"))
    assert [heading.text for heading in page.all("h1")] == ["Summary of 2 jobs"]
    assert [heading.text for heading in page.all("h2")] == [
        "Fuel transfer gear pump",
        "Cylinder head",
    ]


def test_a_picture_is_shown_as_long_as_it_is_as_it_was_attached(at: Typist) -> None:
    Path("flank.png").write_bytes(png())
    at.done("attach flank.png --on gear.idler")
    at.done("summary -o one.html")
    (image,) = read_page(Path("one.html").read_text("utf-8")).all("img")
    assert image.attributes["alt"] == "gear, idler"
    (kept,) = Path("pump.files").iterdir()
    kept.write_bytes(png() + b"altered")
    at.done("summary -o two.html")
    page = read_page(Path("two.html").read_text("utf-8"))
    assert page.all("img") == []
    assert "the attachment" in page.text


def test_an_altered_record_is_shown_as_far_as_it_is_sound(at: Typist) -> None:
    altered = at.data.replace(b"1.0031", b"1.0032")
    at.path.write_bytes(altered)
    said = at.type("summary")
    assert said.code == 0
    assert said.out[0].startswith("pump ")
    assert "ALTERED at entry 2" in said.out[0]
    assert said.err[0].startswith("pump.job.jsonl has been altered: line 2 was altered")


def test_a_signed_record_says_for_what(at: Typist) -> None:
    at.done("open small", "--job small add component body")
    at.done("--job small decide body reuse --why sound", "--job small sign")
    lines = at.done("summary small")
    assert "Signed for handover" in lines[0]
    assert [line for line in lines if "holds, by the key of Ann Fitter" in line]
    at.done('--job small reopen --why "weeps"')
    assert "REOPENED" in at.done("summary small")[0]
