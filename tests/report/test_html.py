"""The page as one HTML file: whole by itself, readable by every means, deaf to what is in it."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pages import Page, png, read_page
from summaries import evidence, mypump, opened, plane, pump, seal

from bedplate.record import entries as e
from bedplate.report.customer import customer
from bedplate.report.document import Document
from bedplate.report.evidence import Evidence
from bedplate.report.form import form
from bedplate.report.html import html
from bedplate.report.public import public
from bedplate.report.workshop import workshop
from bedplate.text import visible

PIXEL = png()
BUILDS = [workshop, customer, public]

Build = Callable[[Evidence], Document]


def page_of(build: Build, found: Evidence | None = None) -> Page:
    return read_page(html([build(found or evidence(pump()))]))


@pytest.mark.parametrize("build", BUILDS)
def test_a_page_says_its_language_and_its_title(build: Build) -> None:
    page = page_of(build)
    assert page.all("html")[0].attributes["lang"] == "en"
    named = "pump: Harbour launch - NOT SIGNED"
    title = "Readings and fits of one overhaul" if build is public else named
    assert page.all("title")[0].text == title


@pytest.mark.parametrize("build", BUILDS)
def test_headings_go_down_one_level_at_a_time(build: Build) -> None:
    levels = [int(heading.name[1]) for heading in page_of(build).all("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("build", BUILDS)
def test_every_table_has_its_headings_and_a_caption(build: Build) -> None:
    page = page_of(build)
    assert all(heading.attributes.get("scope") in ("row", "col") for heading in page.all("th"))
    captions = len(page.all("caption")) + len(page.all("figcaption"))
    assert len(page.all("table")) == captions


@pytest.mark.parametrize("build", BUILDS)
def test_every_drawing_is_told_in_words(build: Build) -> None:
    drawings = [svg for svg in page_of(build).all("svg") if "qr" not in svg.around]
    told = [svg.attributes for svg in drawings if svg.attributes.get("role") == "img"]
    name = "EC" if build is public else "end clearance"
    assert f"{name} idler; limits 2 to 4 thou" in told[1]["aria-label"].replace("End", "end")
    assert all(attributes["aria-label"] for attributes in told)


@pytest.mark.parametrize("build", BUILDS)
def test_there_is_no_script_and_nothing_to_fetch(build: Build) -> None:
    text = html([build(evidence(pump()))])
    page = read_page(text)
    assert page.all("script", "link", "iframe", "object", "embed", "form", "base") == []
    names = {name for element in page.elements for name in element.attributes}
    assert not [name for name in names if name.startswith("on") or name == "href"]
    assert set(re.findall(r"https?://[^\"' ]*", text)) == {"http://www.w3.org/2000/svg"}
    assert "url(" not in text
    assert "default-src 'none'" in text


def test_the_state_stands_on_top_and_on_every_printed_page() -> None:
    job = pump()
    found = evidence(job, seals=(seal(len(job.entries) + 1),), signed=("handover",))
    page = page_of(workshop, found)
    shown = [e.text for e in page.all("p", "div") if "state" in e.attributes.get("class", "")]
    assert shown == ["Signed for handover; first run still to come"]
    (style,) = page.all("style")
    foot = r"Workshop\000020copy\000020\0000b7\000020pump\000020\0000b7\000020Signed"
    assert '@page job-1 { @bottom-left { content: "' + foot in style.text


def test_a_struck_row_is_crossed_out_and_says_why() -> None:
    page = page_of(workshop)
    (row, *_) = (e for e in page.all("tr") if e.attributes.get("class") == "struck")
    assert "0.9799 in" in row.text
    assert "struck by entry 9: slip" in row.text


def test_print_minus_stands_before_figures_alone() -> None:
    text = read_page(html([workshop(evidence(plane()))])).text
    assert "−0.008" in text
    assert "-0.008 mm" not in text
    assert "a/1" in text


def test_pictures_are_part_of_the_file() -> None:
    job = pump()
    job.put(
        e.Attachment(
            file="pump.files/0123456789abcdef.png", name="idler.png", sha256="0" * 64,
            place="gear.idler", note="pitted",
        )
    )  # fmt: skip
    n = len(job.entries)
    page = page_of(customer, evidence(job, pictures={n: PIXEL}))
    (image,) = page.all("img")
    assert image.attributes["alt"] == "pump gear, idler: pitted"
    assert image.attributes["src"].startswith("data:image/png;base64,iVBORw0KGgo")
    assert page_of(customer, evidence(job, pictures={n: b"<svg onload='x'/>"})).all("img") == []


def test_several_jobs_stand_under_one_heading_with_their_states() -> None:
    one, two = customer(evidence(mypump(), "mypump")), customer(evidence(plane(), "deck"))
    page = read_page(html([one, two]))
    assert [h.text for h in page.all("h1")] == ["Summary of 2 jobs"]
    assert [h.text for h in page.all("h2")] == ["Harbour launch, transfer pump", "deck"]
    assert len(page.all("article")) == 2


HOSTILE = [
    "<script>alert(1)</script>",
    "</td></table><img src=x onerror=alert(1)>",
    '" onmouseover="alert(1)',
    "{{ 7*7 }}{% raw %}",
    "&lt;b&gt; &amp;",
    "\x1b[31mred\x1b[0m",
    "gnp.\u202eexe",
    "</style><script>1</script>",
    "]]> <!-- -->",
]


def hostile(text: str) -> Evidence:
    job = opened(
        'unit = "mm"\n[[component]]\nid = "body"\n[[feature]]\ntag = "D"\nof = "body"',
        customer=text, machine=text, serial=text, hours=text, asked=text,
    )  # fmt: skip
    job.put(
        e.Finding(severity="watch", note=text, place=text, how=text),
        e.Disposition(component="body", decision="rework", why=text, extra=True),
        e.Deferred(until=text, note=text),
        e.PartUsed(part=text, maker=text),
        e.Concession(what=text, accepted_by=text, why=text),
        e.Strike(entry=4, why=text),
    )
    return evidence(job, name=text, seals=(seal(9, by=text, role=text, statement=text),))


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("build", [workshop, customer])
def test_hostile_text_comes_out_as_visible_text(build: Build, text: str) -> None:
    page = page_of(build, hostile(text))
    names = {element.name for element in page.elements}
    assert not names & {"script", "b"}
    assert " ".join(visible(text).split()) in page.text


@settings(max_examples=25)
@given(text=st.text(st.characters(codec="utf-8"), min_size=1, max_size=60))
def test_any_text_comes_out_as_it_is_shown_elsewhere(text: str) -> None:
    page = page_of(customer, hostile(text))
    assert " ".join(visible(text, keep="\n").split()) in page.text


def test_the_form_leaves_its_cells_open() -> None:
    page = read_page(html([form(pump().job.sheet)]))
    blanks = [td for td in page.all("td") if td.attributes.get("class") == "blank"]
    assert len(blanks) > 40
    assert {blank.text.strip() for blank in blanks} == {""}
