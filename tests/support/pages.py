"""A page read back as a reader gets it: the words of an HTML file, its shape, a PDF's words."""

from __future__ import annotations

import re
import shutil
import struct
import subprocess
import zlib
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

VOID = frozenset({"meta", "img", "br", "hr", "link", "input"})


@dataclass
class Element:
    """One element: its name, its attributes, and the names of those around it."""

    name: str
    attributes: dict[str, str]
    around: tuple[str, ...]
    text: str = ""


@dataclass
class Page(HTMLParser):
    """An HTML page taken apart; drawings, styles and the head are no words."""

    elements: list[Element] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    open: list[Element] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        around = tuple(element.name for element in self.open)
        element = Element(tag, {name: value or "" for name, value in attrs}, around)
        self.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop().name == tag, f"</{tag}> closes nothing"

    def handle_data(self, data: str) -> None:
        for element in self.open:
            element.text += data
        if not {"style", "title", "svg"} & {element.name for element in self.open}:
            self.words.append(data)

    @property
    def text(self) -> str:
        """Every word on the page."""
        return " ".join(" ".join(self.words).split())

    def all(self, *names: str) -> list[Element]:
        """Return the elements of these names, in order."""
        return [element for element in self.elements if element.name in names]


def read_page(text: str) -> Page:
    """Return an HTML page taken apart; an element that is not closed is an error."""
    page = Page()
    page.feed(text)
    page.close()
    assert not page.open, [element.name for element in page.open]
    return page


def can_read_pdf() -> bool:
    """Tell whether poppler's pdftotext is here."""
    return shutil.which("pdftotext") is not None


def pdf_pages(data: bytes, folder: Path) -> list[str]:
    """Return the words of every page of a PDF, by poppler."""
    file = folder / "read.pdf"
    file.write_bytes(data)
    done = subprocess.run(
        ["pdftotext", "-raw", str(file), "-"], capture_output=True, check=True, encoding="utf-8"
    )
    pages = done.stdout.replace("\u200b", "").split("\f")
    return [" ".join(page.split()) for page in pages[:-1]]


def numbers(text: str) -> set[str]:
    """Return every number in a text, minus signs in ASCII; hex digits of heads are none."""
    text = re.sub(r"\b[0-9a-f]{16,}\b", " ", text.replace("−", "-").replace("..", " "))
    return set(re.findall(r"(?<![\w.])-?[0-9]+(?:\.[0-9]+)?", text))


def png() -> bytes:
    """Return the smallest picture there is: one grey pixel."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        whole = kind + data
        return struct.pack(">I", len(data)) + whole + struct.pack(">I", zlib.crc32(whole))

    header = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    pixels = zlib.compress(b"\x00\x80")
    chunks = (chunk(b"IHDR", header), chunk(b"IDAT", pixels), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)
