"""The summary as a PDF, set by typst from its wheel: the extra ``bedplate[pdf]``."""

from __future__ import annotations

import json
from base64 import b64decode
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Final

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.report.document import Document
from bedplate.report.pages import page_data, title_of
from bedplate.text import quoted, visible

if TYPE_CHECKING:
    from types import ModuleType

PAPERS: Final = {"a4": "a4", "letter": "us-letter"}
"""The papers that can be asked for, and what typst calls them."""

_ENDINGS: Final = {"image/jpeg": "jpg", "image/png": "png"}


def pdf(documents: Sequence[Document], paper: str = "a4") -> bytes:
    """Return the pages of one document, or of several.

    Args:
        documents: what is to be shown.
        paper: one of `PAPERS`.

    Raises:
        NotUnderstoodError: typst is not installed, or there is no such paper.
        StorageError: typst could not set the page.
    """
    pages, pictures = _without_pictures(page_data(documents))
    data = {"title": title_of(documents), "paper": _paper(paper), "documents": pages}
    return compiled("summary.typ", data, pictures)


def _paper(name: str) -> str:
    if name not in PAPERS:
        raise NotUnderstoodError(
            f"Nothing written. There is no paper {quoted(name)}.", f"Papers: {', '.join(PAPERS)}"
        )
    return PAPERS[name]


def compiled(template: str, data: dict[str, Any], pictures: dict[str, bytes]) -> bytes:
    """Return the PDF of a template of this package with its data.

    Nothing of the data is ever part of the template: it lies beside it as JSON, in a folder of its
    own that typst cannot look out of and that is gone afterwards.

    Raises:
        NotUnderstoodError: typst is not installed.
        StorageError: typst could not set the page, or the folder could not be made.
    """
    typst = _typst()
    source = (files("bedplate.report") / "templates" / template).read_bytes()
    beside = {"main.typ": source, "data.json": json.dumps(data).encode(), **pictures}
    try:
        with TemporaryDirectory(prefix="bedplate-") as folder:
            for name, content in beside.items():
                Path(folder, name).write_bytes(content)
            return bytes(typst.compile(Path(folder, "main.typ"), root=folder))
    except OSError as error:
        raise StorageError(
            f"Nothing written. The PDF could not be set: {error.strerror}."
        ) from error
    except typst.TypstError as error:
        first = error.message.partition("\n")[0]
        broken = ("One of the pictures may be broken.",) if pictures else ()
        raise StorageError(
            f"Nothing written. The PDF could not be set: {visible(first)}.",
            *broken,
            "The same as HTML:  --format html",
        ) from error


def _typst() -> ModuleType:
    try:
        import typst  # noqa: PLC0415 - an extra of some 80 MB
    except ImportError:
        raise NotUnderstoodError(
            "Nothing written. A PDF needs an extra of bedplate that is not installed here.",
            'Install bedplate[pdf], in the folder of bedplate:  pip install ".[pdf]"',
            "Or write HTML and print that:  --format html",
        ) from None
    return typst


def _without_pictures(
    pages: list[dict[str, Any]],
) -> tuple[list[dict[str, Any]], dict[str, bytes]]:
    """Take the pictures out of the data, each into a file of its own."""
    found: dict[str, bytes] = {}
    for number, page in enumerate(pages):
        for section in page["sections"]:
            for block in section["blocks"]:
                for photo in block.get("photos", ()):
                    name = f"picture-{number}-{photo['entry']}.{_ENDINGS[photo['media']]}"
                    found[name] = b64decode(photo.pop("data"))
                    photo["file"] = name
    return pages, found
