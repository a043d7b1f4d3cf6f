"""The head as a QR code, and the page without one where segno is not installed."""

from __future__ import annotations

import sys
from xml.etree import ElementTree as ET

import pytest
from summaries import DIGITS, evidence, mypump

from bedplate.report.html import html
from bedplate.report.qr import code
from bedplate.report.workshop import workshop

HEAD = f"41:{DIGITS}"


def test_a_head_makes_a_code_that_is_an_image_by_itself() -> None:
    pytest.importorskip("segno")
    root = ET.fromstring(code(HEAD))
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert code(HEAD) != code(f"42:{DIGITS}")


def test_without_the_extra_the_page_has_the_head_as_text_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "segno", None)
    page = html([workshop(evidence(mypump()))])
    assert code(HEAD) == ""
    assert f"4:{DIGITS}" in page
    assert 'class="qr"' not in page
