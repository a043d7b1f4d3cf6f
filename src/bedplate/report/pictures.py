"""Pictures among the attachments, as evidence on the page."""

from __future__ import annotations

from base64 import b64encode

from bedplate.record.entries import Attachment
from bedplate.record.job import Job
from bedplate.report.document import Photo, Photos
from bedplate.report.evidence import Evidence
from bedplate.report.parts_told import place_named
from bedplate.text import shown_text

LARGEST = 8 << 20
"""Bytes above which a picture is named, not shown."""

_BEGINNINGS = ((b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG\r\n\x1a\n", "image/png"))
"""How the two kinds of picture begin that are shown: neither can carry a script."""


def media_of(data: bytes) -> str | None:
    r"""Return what kind of picture some bytes are, None where they are none that is shown.

    >>> media_of(b"\xff\xd8\xff\xe0"), media_of(b"<svg onload='x'/>")
    ('image/jpeg', None)
    """
    found = (media for beginning, media in _BEGINNINGS if data.startswith(beginning))
    return next(found, None)


def photos(evidence: Evidence) -> Photos:
    """Return the pictures of a job, in order."""
    shown = []
    for entry in evidence.job.live(Attachment):
        data = evidence.pictures.get(entry.n, b"")
        media = media_of(data)
        if media is not None and len(data) <= LARGEST:
            text = b64encode(data).decode("ascii")
            shown.append(Photo(entry.n, caption_of(evidence.job, entry), media, text))
    return Photos(tuple(shown))


def caption_of(job: Job, entry: Attachment) -> str:
    """Return what a picture shows: its place and its note, else the name it had."""
    texts = [place_named(job, entry.place), shown_text(entry.note or "")]
    return ": ".join(filter(None, texts)) or shown_text(entry.name)
