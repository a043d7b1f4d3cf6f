"""Jobs to be summed up: a small pump from the strip to its locked nuts, and a few smaller ones."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from tiny import START, Tiny, sheet_of

from bedplate.assembly.blockers import blockers
from bedplate.record import entries as e
from bedplate.record.chain import Head
from bedplate.report.document import (
    Block,
    Document,
    Fingerprint,
    Fits,
    FitView,
    Items,
    Photos,
    Plot,
    Table,
    Words,
)
from bedplate.report.evidence import Evidence
from bedplate.seal.facts import SealFact, Verification

NOW = START + dt.timedelta(days=1)
DIGITS = "3f9ad1c277b0e52a" + "0123456789abcdef" * 3

PUMP = """
title = "Small gear pump"
revision = "A"
unit = "in"
source = "Invented handbook"
moments = ["handover", "first run"]
[axes]
gear = ["driver", "idler"]
tooth = ["a", "b"]
[[component]]
id = "body"
name = "pump body"
[[component]]
id = "gear"
name = "pump gear"
positions = "gear"
[[component]]
id = "gasket"
renew = true
[[feature]]
tag = "D"
of = "body"
name = "pocket depth"
nominal = "1.0030"
[[feature]]
tag = "H"
of = "gear"
name = "gear height"
stations = "tooth"
nominal = "1.0000"
[[feature]]
tag = "RP"
of = "body"
unit = "psi"
[[fit]]
tag = "EC"
name = "end clearance"
stack = "D - H"
band = { limits = "2..4 thou", source = "Handbook p. 31", wear = "..6 thou", aim = "3 thou" }
[[fit]]
tag = "RUN"
name = "gear height along the teeth"
spread = "H"
along = "tooth"
band = { limits = "..0.0004 in", source = "Handbook p. 32" }
[[fit]]
tag = "RELIEF"
name = "relief setting"
stack = "RP"
band = { limits = "28..32 psi", source = "Handbook p. 33" }
due = "first run"
[[fasteners]]
tag = "N"
name = "cover nuts"
count = 4
holds = ["body", "gear", "gasket"]
stages = [{ limits = "16..18 lbf*ft", source = "Handbook p. 34" }]
lock = "tab washer"
prove = ["SPIN"]
spends = { tight = { gasket = 1 }, locked = { "tab washer" = 4 } }
caution = "The cover is spring loaded."
[[proof]]
tag = "SPIN"
text = "Turns freely by hand"
when = ["N"]
[[step]]
id = "warm"
text = "Set the relief warm"
due = "first run"
caution = "Hot oil under pressure."
"""

PLANE = """
unit = "mm"
source = "Invented handbook"
[axes]
row = { a = "0", b = "90" }
line = { "1" = "0", "2" = "70" }
[[component]]
id = "head"
[[feature]]
tag = "DK"
of = "head"
stations = "row/line"
signed = true
[[fit]]
tag = "FACE"
flatness = "DK"
band = { limits = "..0.05 mm", source = "p. 21" }
"""


def opened(toml: str, **about: object) -> Tiny:
    """Return a job that has just been opened, with what is known of it."""
    job = Tiny(toml)
    job.entries.clear()
    told = {"job": "5eed" * 8, "sheet": sheet_of(toml).as_json(), **about}
    job.put(e.Opened.model_validate(told))
    return job


def mypump() -> Tiny:
    """Return the job of the newcomer's tenth minute: two clearances read, one of them out."""
    sheet = """
    unit = "in"
    [axes]
    gear = ["driver", "idler"]
    [[component]]
    id = "body"
    [[component]]
    id = "gear"
    positions = "gear"
    [[feature]]
    tag = "D"
    of = "body"
    [[feature]]
    tag = "H"
    of = "gear"
    [[fit]]
    tag = "EC"
    stack = "D - H"
    band = { limits = "2..4 thou", source = "Handbook p. 31" }
    """
    job = opened(sheet, machine="Harbour launch, transfer pump")
    return job.say("D 1.0031", "H.driver 1.0001", "H.idler 0.9979")


DRIVER = (("a", "1.0002 in"), ("b", "1.0001 in"))
"""What mic1 showed on the driver, a tenth more than there is."""


def gauged(job: Tiny, address: str, value: str) -> e.Reading:
    """Return a reading taken with mic1 on a part at 20 degrees."""
    (spot,) = job.job.select(address).spots
    on = tuple(job.job.resting_on(spot.tag, spot.position))
    return e.Reading(address=address, value=value, gauge="mic1", temp="20 degC", on=on)


def pump() -> Tiny:
    """Return a pump that was found loose at the idler, mended, and closed with locked nuts."""
    job = opened(
        PUMP, customer="A. Owner", machine="Harbour launch", serial="FT-0042", asked="Loses prime"
    )
    job.describe(name="mic1", kind="micrometer", resolution="1 tenth", max_error="1 tenth")
    job.say("set mic1 shown 1.0001in on 1in", "D 1.0036")
    job.put(*(gauged(job, f"H.driver@{tooth}", value) for tooth, value in DRIVER))
    job.say("H.idler@a 0.9979", "H.idler@b 0.9799")
    job.say(f"strike {len(job.entries)}", "H.idler@b 0.9978")
    job.put(
        e.Finding(place="gear.idler", severity="reject", note="pitted flank"),
        e.Finding(place="body", severity="watch", note="light scoring"),
        e.Settled(entry=len(job.entries) + 1, how="new gear"),
        e.Disposition(component="gear.idler", decision="replace", why="worn"),
        e.Disposition(component="gear.driver", decision="reuse", why="sound"),
        e.Disposition(component="body", decision="rework", why="joint lapped", extra=True),
        e.Changed(component="gear.idler", how="new", number="FT-2207"),
        e.Changed(component="body", how="reworked", touching=("D",), shop="Harbour Grinding"),
    )
    job.say("D 1.0030", "H.idler@a 1.0000", "H.idler@b 1.0001")
    job.put(
        e.PartUsed(part="gasket", number="G-114"),
        e.Fasteners(set="N", state="tight", value="17 lbf*ft", gauge="wr1"),
        e.Proof(proof="SPIN", passed=True),
        e.PartUsed(part="tab washer", count=4, maker="Ebbmouth"),
        e.Fasteners(set="N", state="locked"),
        e.Deferred(until="first run", note="nip up the nuts", why="the gasket settles"),
        e.Concession(what="EC.driver", accepted_by="A. Owner", why="no time"),
    )
    return job


def plane() -> Tiny:
    """Return a face read at four places, one of them below nought."""
    job = opened(PLANE)
    return job.say("DK@a/1 0.000", "DK@a/2 0.012", "DK@b/1 -0.008", "DK@b/2 0.020")


def verified(job: Tiny, **more: object) -> Verification:
    """Return what verifying a whole file without seals shows, but for what is told."""
    shown: dict[str, object] = {
        "ok": True,
        "first_bad_entry": None,
        "reason": None,
        "head": Head(len(job.entries), DIGITS),
        "signed": (),
        "torn_bytes": 0,
        "copies": (),
        "attachments": (),
        "seals": (),
        "said": ("It is not signed.",),
        "sound": b"",
    }
    return Verification(**(shown | more))  # type: ignore[arg-type]


def seal(entry: int, **more: object) -> SealFact:
    """Return a good seal by Ann Fitter, but for what is told."""
    facts: dict[str, object] = {
        "entry": entry,
        "covers": entry - 1,
        "by": "Ann Fitter",
        "role": "fitter",
        "moment": "handover",
        "key": "SHA256:abcDEF123",
        "known_as": "Ann Fitter",
        "ok": True,
        "at": "2025-11-25T10:00:00+00:00",
        "statement": "The work is as recorded here.",
    }
    return SealFact(**(facts | more))  # type: ignore[arg-type]


def evidence(
    job: Tiny,
    name: str = "pump",
    pictures: Mapping[int, bytes] | None = None,
    **more: object,
) -> Evidence:
    """Return a job with all that is known of it; ``more`` is what verifying it shows."""
    shown, pictures = verified(job, **more), pictures or {}
    found = Evidence(name, job.job, shown, NOW, pictures=pictures)
    if not found.open_moments or found.is_altered:
        return found
    in_the_way = blockers(found.job, found.assembly.fits, found.open_moments[0], NOW)
    return Evidence(name, job.job, shown, NOW, in_the_way, pictures)


def texts(document: Document) -> list[str]:
    """Return every text of a document that stands on the page, titles of columns aside."""
    found = [fact.text for fact in document.facts] + [document.title, document.name]
    for section in document.sections:
        found.append("" if section.title == "Fits" else section.title)
        for block in section.blocks:
            found += _texts_of(block)
    return [*found, document.closing, document.foot]


def _texts_of(block: Block) -> list[str]:
    match block:
        case Words():
            return [block.text]
        case Items():
            return [text for item in block.items for text in (item.text, item.more, item.command)]
        case Table():
            return [text for row in block.rows for text in (*row.cells, row.struck)]
        case Fits():
            names = [fit.name if block.by_name else fit.tag for fit in block.fits]
            return [*names, *(text for fit in block.fits for text in _texts_of_fit(fit))]
        case Plot():
            return [block.caption, *(t for trace in block.traces for t in trace.values)]
        case Photos():
            return [photo.caption for photo in block.photos]
        case Fingerprint():
            return [block.text]


def _texts_of_fit(fit: FitView) -> list[str]:
    stages = [outcome.value for outcome in (fit.found, fit.left) if outcome is not None]
    return [fit.place, fit.limits, *stages, fit.now.said]
