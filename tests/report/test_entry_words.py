"""Every kind of entry reads as one line."""

from __future__ import annotations

import pytest
from summaries import mypump

from bedplate.record import entries as e
from bedplate.record.stamping import stamped
from bedplate.report.entry_words import numbered, when, words

ON = (e.On(place="body", part="body", life=1),)

TOLD = [
    (e.Opened(job="0" * 32, machine="Launch", serial="7"), "opened: Launch, 7"),
    (e.SheetRevised(what="fit EC", why="misprint", sheet={}), "sheet: fit EC (misprint)"),
    (
        e.GaugeDescribed(gauge={"name": "mic1", "max_error": "1 tenth"}),
        "gauge mic1: max error 1 tenth",
    ),
    (e.GaugeDescribed(gauge={"name": "mic1"}), "gauge mic1: nothing said of it"),
    (
        e.Setting.model_validate(
            {"gauge": "bore1", "shown": "0 in", "reference": "1 in", "in": "mic1"}
        ),
        "setting bore1: shows 0 in on 1 in, set in mic1",
    ),
    (
        e.Reading(address="D", value="3 thou", nominal="1 in", gauge="m", temp="20 degC", on=ON),
        "D  3 thou from 1 in (1.0030 in) at 20 degC   on m",
    ),
    (e.Reading(address="D", left_out="no room", on=ON), "D  left out: no room"),
    (
        e.Finding(place="body", severity="reject", note="cracked", how="dye", back="close"),
        "reject on body: cracked, by dye; to be answered at close",
    ),
    (
        e.Disposition(component="body", decision="rework", why="worn", extra=True),
        "body: rework, extra to what was asked, because worn",
    ),
    (
        e.Changed(component="gear", how="new", mark="C", number="7", shop="Mill", touching=("H",)),
        "gear new, mark C, part number 7, by Mill, touching H",
    ),
    (
        e.Fasteners(set="N", state="tight", count=3, stage=2, value="9 N", gauge="w", trial=True),
        "N tight, 3, stage 2, 9 N on w, on trial",
    ),
    (e.Proof(proof="SPIN", passed=True), "SPIN passed"),
    (e.Proof(proof="SPIN", passed=False, note="tight spot"), "SPIN FAILED   (tight spot)"),
    (e.Step(step="close", done=False, note="leaks"), "step close undone   (leaks)"),
    (e.PartUsed(part="gasket", count=2, number="G", batch="9"), "used 2 gaskets (G, 9)"),
    (
        e.Deferred(until="10 h", note="retorque", holds="N", why="settles"),
        'put off: "retorque" until 10 h, holds N, because settles',
    ),
    (
        e.Finding(place="body", severity="watch", note="worn", how="by eye"),
        "watch on body: worn, by eye",
    ),
    (e.Settled(entry=3, how="done"), "settles 3: done"),
    (
        e.Concession(what="EC.idler", accepted_by="A. Owner", why="no time"),
        "EC.idler accepted by A. Owner: no time",
    ),
    (
        e.Attachment(file="p.files/x", name="a.png", sha256="0" * 64, place="body"),
        "attached a.png on body",
    ),
    (e.Strike(entry=2, why="slip"), "strikes 2 (1.0031 in): slip"),
    (e.Strike(entry=1, why="slip"), "strikes 1 (opened: Harbour launch, transfer pump): slip"),
    (
        e.SetAside(bytes=4, sha256="0" * 64),
        "4 bytes of a write that was cut short were set aside",
    ),
    (
        e.Signed(
            sealed="bedplate-seal/1\nmoment: handover\nname: Ann\nrole: fitter\n",
            signature="0" * 128, key="0" * 64,
        ),
        "signed for handover by Ann, fitter",
    ),
    (e.Reopened(why="weeps"), "reopened: weeps"),
]  # fmt: skip


@pytest.mark.parametrize(("entry", "told"), TOLD, ids=lambda value: getattr(value, "kind", None))
def test_an_entry_reads_as_one_line(entry: e.AnyEntry, told: str) -> None:
    assert words(entry, mypump().job) == told


def test_every_kind_is_told() -> None:
    assert {entry.kind for entry, _ in TOLD} == set(e.KINDS)


def test_a_reading_is_named_by_what_it_is_of() -> None:
    job = mypump()
    job.say("D 1.0032 again")
    assert numbered(job.entries[4], job.job) == "entry 5   D  1.0032 in"


def test_an_entry_is_dated_by_when_it_was_done() -> None:
    made = stamped(
        e.Proof(proof="SPIN", passed=True, done_at="2025-11-23T09:00:00+00:00"),
        n=2, at="2025-11-24T15:40:00+00:00", by="Ann", prev="0" * 64,
    )  # fmt: skip
    assert when(made) == "23 Nov 2025 09:00"


def test_hostile_text_is_made_visible() -> None:
    entry = e.Finding(severity="note", note="a\x1b[2Jb\u202ec")
    assert words(entry, mypump().job) == r"note: a\x1b[2Jb\u202ec"


@pytest.mark.parametrize(("note", "told"), [("bent", "watch: bent"), ("b" * 60, "finding")])
def test_what_is_struck_is_said_where_it_is_short(note: str, told: str) -> None:
    job = mypump()
    job.put(e.Finding(severity="watch", note=note))
    n = len(job.entries)
    assert words(e.Strike(entry=n, why="slip"), job.job) == f"strikes {n} ({told}): slip"
