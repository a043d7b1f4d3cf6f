"""The public copy lets through what it names, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pages import can_read_pdf, pdf_pages, read_page
from summaries import DIGITS, evidence, opened, pump, seal

from bedplate.record import entries as e
from bedplate.report.document import Fits, Table
from bedplate.report.evidence import Evidence
from bedplate.report.html import html
from bedplate.report.public import UNVERIFIED, public
from bedplate.report.terminal import Form, terminal
from bedplate.seal.facts import SealFact

SECRETS = [f"zq{number:02}x" for number in range(80)]
"""Texts that stand nowhere else."""


def full_of_secrets() -> Evidence:
    """Return a job in which everything that is free text, a name, or an id is a secret."""
    s = iter(SECRETS)
    sheet = f"""
    title = "{next(s)}"
    revision = "{next(s)}"
    unit = "in"
    moments = ["{next(s)}"]
    [axes]
    gear = ["driver", "idler"]
    [[component]]
    id = "body"
    name = "{next(s)}"
    material = "{next(s)}"
    part_number = "{next(s)}"
    [[component]]
    id = "gear"
    positions = "gear"
    [[feature]]
    tag = "D"
    of = "body"
    name = "{next(s)}"
    how = "{next(s)}"
    gauge = "{next(s)}"
    [[feature]]
    tag = "H"
    of = "gear"
    [[fit]]
    tag = "EC"
    name = "{next(s)}"
    stack = "D - H"
    band = {{ limits = "2..4 thou", source = "p. 31" }}
    [[fasteners]]
    tag = "N"
    name = "{next(s)}"
    count = 4
    threads = "{next(s)}"
    lock = "{next(s)}"
    caution = "{next(s)}"
    spends = {{ locked = {{ "{next(s)}" = 4 }} }}
    [[proof]]
    tag = "SPIN"
    text = "{next(s)}"
    [[step]]
    id = "close"
    text = "{next(s)}"
    caution = "{next(s)}"
    """
    about = {name: next(s) for name in ("customer", "machine", "serial", "hours", "asked", "note")}
    previous = {"file": next(s), "head": f"9:{'ab' * 32}"}
    job = opened(sheet, previous=previous, **about)
    gauge, mark = next(s), next(s)
    job.put(
        e.GaugeDescribed(gauge={"name": gauge, "title": next(s), "serial": next(s)}),
        e.Setting(gauge=gauge, shown="1 in", reference="1 in", note=next(s)),
        reading("D", "1.0031 in", "body", gauge, next(s)),
        reading("H.driver", "1.0001 in", "gear.driver", gauge, next(s)),
        e.Changed(component="gear", how="new", mark=mark, number=next(s), shop=next(s)),
        reading(f"H.{mark}", "0.9990 in", "gear", gauge, next(s), part=mark, life=6),
        e.Reading(address="H.idler", left_out=next(s), on=on("gear.idler")),
        e.Finding(place=next(s), severity="reject", how=next(s), back=next(s), note=next(s)),
        e.Disposition(component="body", decision="reuse", why=next(s), note=next(s)),
        e.Fasteners(set="N", state="tight", gauge=gauge, note=next(s)),
        e.Proof(proof="SPIN", passed=True, note=next(s)),
        e.Step(step="close", done=True, note=next(s)),
        e.PartUsed(part=next(s), number=next(s), maker=next(s), batch=next(s)),
        e.Deferred(until=next(s), note=next(s), why=next(s), holds=next(s)),
        e.Settled(entry=8, how=next(s)),
        e.Concession(what=next(s), accepted_by=next(s), why=next(s)),
        e.Attachment(file=next(s), name=next(s), sha256="cd" * 32, place=next(s)),
        e.Strike(entry=13, why=next(s)),
        e.Reopened(why=next(s)),
    )  # fmt: skip
    told = {
        "by": next(s),
        "role": next(s),
        "moment": next(s),
        "key": next(s),
        "statement": next(s),
    }
    made: SealFact = seal(len(job.entries) + 1, **told)
    return evidence(job, name=next(s), seals=(made,))


def reading(
    address: str, value: str, place: str, gauge: str, note: str, part: str = "", life: int = 1
) -> e.Reading:
    rests = on(place, part or place, life)
    return e.Reading(address=address, value=value, gauge=gauge, note=note, on=rests)


def on(place: str, part: str = "", life: int = 1) -> tuple[e.On, ...]:
    return (e.On(place=place, part=part or place, life=life),)


FORBIDDEN = [*SECRETS, "Ann Fitter", "5eed", DIGITS[:16], "cdcd", "abab", "15:4", "entry"]
"""What may not stand on a public copy: nothing free, no hand, id, head, hash, time or number."""


def leaks(text: str) -> list[str]:
    return [secret for secret in FORBIDDEN if secret.casefold() in text.casefold()]


def test_the_job_holds_its_secrets_and_the_other_copies_show_some() -> None:
    from bedplate.report.workshop import workshop  # noqa: PLC0415 - the other copy

    shown = leaks(html([workshop(full_of_secrets())]))
    assert len(shown) > 50


def test_nothing_free_reaches_the_data() -> None:
    assert leaks(json.dumps(public(full_of_secrets()).as_json())) == []


def test_nothing_free_reaches_the_html_page() -> None:
    assert leaks(html([public(full_of_secrets())])) == []


@pytest.mark.parametrize("plain", [False, True])
def test_nothing_free_reaches_the_terminal(plain: bool) -> None:
    assert leaks("\n".join(terminal([public(full_of_secrets())], Form(plain=plain)))) == []


@pytest.mark.skipif(not can_read_pdf(), reason="no pdftotext here")
def test_nothing_free_reaches_the_pdf(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    from bedplate.report.pdf import pdf  # noqa: PLC0415 - only where typst is

    data = pdf([public(full_of_secrets())])
    assert leaks(" ".join(pdf_pages(data, tmp_path))) == []
    assert leaks(data.decode("latin-1")) == []


def test_it_says_that_it_cannot_be_verified() -> None:
    document = public(evidence(pump()))
    assert document.state is None
    assert (document.name, document.by, document.foot, document.facts) == ("", "", "", ())
    assert UNVERIFIED in read_page(html([document])).text


def test_what_it_names_is_there() -> None:
    sections = {section.key: section for section in public(evidence(pump())).sections}
    assert list(sections) == ["copy", "fits", "figures", "readings", "fasteners", "proofs"]
    (fits,) = sections["fits"].blocks
    assert isinstance(fits, Fits)
    assert [(fit.title, fit.name, fit.source) for fit in fits.fits][:2] == [
        ("EC driver", "", "Handbook p. 31"),
        ("EC idler", "", "Handbook p. 31"),
    ]
    (readings,) = sections["readings"].blocks
    assert isinstance(readings, Table)
    assert [row.cells for row in readings.rows] == [
        ("D", "as found", "1.0036 in", "24 Nov 2025"),
        ("D", "as left", "1.0030 in", "24 Nov 2025"),
        ("H.driver@a", "as found", "1.0002 in", "24 Nov 2025"),
        ("H.driver@b", "as found", "1.0001 in", "24 Nov 2025"),
        ("H.idler@a", "as found", "0.9979 in", "24 Nov 2025"),
        ("H.idler@a", "as left", "1.0000 in", "24 Nov 2025"),
        ("H.idler@b", "as found", "0.9978 in", "24 Nov 2025"),
        ("H.idler@b", "as left", "1.0001 in", "24 Nov 2025"),
    ]
    (sets,), (proofs,) = sections["fasteners"].blocks, sections["proofs"].blocks
    assert isinstance(sets, Table)
    assert isinstance(proofs, Table)
    assert [row.cells for row in sets.rows] == [("N", "4 of 4 locked")]
    assert [row.cells for row in proofs.rows] == [("SPIN", "passed")]
