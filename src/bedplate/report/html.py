"""The summary as one HTML file: no script, no outside reference, good on paper and on a phone."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from bedplate.report.document import Document
from bedplate.report.pages import page_data, title_of

if TYPE_CHECKING:
    from jinja2 import Environment

LONGEST_WORD = 24
"""Letters above which a word in a table may be broken anywhere."""


def html(documents: Sequence[Document]) -> str:
    """Return the page of one document, or of several."""
    template = environment().get_template("summary.html.j2")
    return template.render(title=title_of(documents), documents=page_data(documents))


@cache
def environment() -> Environment:
    """Return the templates of this package; everything put into them is escaped."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined  # noqa: PLC0415 - paid if used
    from markupsafe import Markup  # noqa: PLC0415

    made = Environment(
        loader=FunctionLoader(_source),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    # Drawings are made by `drawing` and `qr` alone, which escape what they are given.
    made.filters["drawn"] = Markup
    made.filters["is_long"] = _is_long
    made.filters["css"] = css_text
    return made


def css_text(text: str) -> str:
    r"""Return a text as it may stand in a CSS string: all but letters and figures as escapes.

    >>> css_text('a"; } </style>')
    'a\\000022\\00003b\\000020\\00007d\\000020\\00003c\\00002fstyle\\00003e'
    """
    return "".join(
        char if char.isascii() and char.isalnum() else f"\\{ord(char):06x}" for char in text
    )


def _is_long(text: str) -> bool:
    """Tell whether a text has a word that would push a table off the page."""
    return max(map(len, text.split()), default=0) > LONGEST_WORD


def _source(name: str) -> str | None:
    found = files("bedplate.report") / "templates" / name
    return found.read_text("utf-8") if found.is_file() else None
