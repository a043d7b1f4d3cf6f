"""The drawings: well-formed, told in words, told apart without colour."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from summaries import evidence, plane, pump

from bedplate.report.document import Bar, Document, Fits, FitView, Mark, Outcome, Plot
from bedplate.report.drawing import band, described, plot
from bedplate.report.workshop import workshop

SVG = "{http://www.w3.org/2000/svg}"
MARK = Mark("X", 1.3, 1.3, 1.3, 1.2, 1.34)
FOUND = Mark("f", 0.5, 0.4, 0.6, 0.3, 0.7)
OUT = Outcome("5.2", "0.09", "out", "OUT, loose by 1.2", "[   ]X")


def view(bar: Bar | None, name: str = "end clearance") -> FitView:
    return FitView("EC", "idler", name, "thou", OUT, None, "2 to 4 thou", "p. 31", bar)


def letters(drawing: str) -> list[str]:
    return [text.text or "" for text in ET.fromstring(drawing).iter(f"{SVG}text")]


def test_a_band_shows_its_limits_and_a_letter_for_each_value() -> None:
    drawing = band(view(Bar("2", "4", None, None, MARK, FOUND)))
    assert letters(drawing) == ["2", "4", "f", "X"]


def test_an_open_side_has_no_limit_and_no_hatching() -> None:
    both = ET.fromstring(band(view(Bar("2", "4", None, None, MARK, None))))
    one = ET.fromstring(band(view(Bar(None, "4", None, None, MARK, None))))
    assert len(list(both.iter(f"{SVG}path"))) == 2
    assert len(list(one.iter(f"{SVG}path"))) == 1
    assert letters(band(view(Bar(None, "4", None, None, MARK, None)))) == ["4", "X"]


def test_a_wear_limit_is_drawn_beyond_its_limit() -> None:
    assert letters(band(view(Bar("2", "4", None, "6", None, None)))) == ["2", "4", "6"]


def test_a_band_is_told_in_words() -> None:
    root = ET.fromstring(band(view(Bar("2", "4", None, None, MARK, None))))
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-label"] == (
        "end clearance idler; limits 2 to 4 thou; as found 5.2, OUT, loose by 1.2"
    )


def test_hostile_names_stay_inside_their_attribute() -> None:
    name = '"><script>alert(1)</script>&'
    root = ET.fromstring(band(view(Bar("2", "4", None, None, None, None), name)))
    assert root.attrib["aria-label"].startswith(f"{name} idler; ")
    assert list(root.iter(f"{SVG}script")) == []


def test_without_a_band_there_is_no_drawing() -> None:
    assert band(view(None)) == ""
    assert described(view(None)).startswith("end clearance idler; ")


def blocks(document: Document) -> list[Plot]:
    found = [b for section in document.sections for b in section.blocks if isinstance(b, Plot)]
    assert found
    return found


def test_a_run_is_drawn_as_found_and_as_left() -> None:
    idler = blocks(workshop(evidence(pump())))[1]
    assert [trace.label for trace in idler.traces] == ["reading, as found", "reading"]
    root = ET.fromstring(plot(idler))
    assert len(list(root.iter(f"{SVG}polyline"))) == 2
    assert len(list(root.iter(f"{SVG}circle"))) == 4
    assert letters(plot(idler)) == ["a", "b", "reading, as found", "reading"]


def test_labels_of_lines_never_cover_one_another() -> None:
    root = ET.fromstring(plot(blocks(workshop(evidence(pump())))[1]))
    heights = [
        float(t.attrib["y"]) for t in root.iter(f"{SVG}text") if "start" in t.attrib.values()
    ]
    assert abs(heights[0] - heights[1]) >= 12


def test_a_plane_is_a_map_with_every_value_in_its_cell() -> None:
    (face,) = blocks(workshop(evidence(plane())))
    assert letters(plot(face)) == ["1", "2", "a", "0.000", "0.012", "b", "−0.008", "0.020"]
    fills = [r.attrib["fill"] for r in ET.fromstring(plot(face)).iter(f"{SVG}rect")]
    assert len(set(fills)) == 4
    assert fills[3] < fills[1] < fills[0] < fills[2]


def test_every_fit_of_a_page_has_a_drawing_that_can_be_read_as_xml() -> None:
    for section in workshop(evidence(pump())).sections:
        for block in section.blocks:
            if isinstance(block, Fits):
                assert [ET.fromstring(band(fit)).tag for fit in block.fits] == [f"{SVG}svg"] * 5
