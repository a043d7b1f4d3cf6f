"""``status``: what is next, what is in the way of the signature, what was put off."""

from __future__ import annotations

import re
import shutil

import pytest
from typist import Typist

GEARS = ["measure H.driver 1.0000 1.0000 1.0000", "measure H.idler 0.9979 0.9978 0.9979"]


def test_what_is_next_and_in_the_way_with_what_is_typed_for_it(typist: Typist) -> None:
    typist.open().done(
        "measure D 1.0030", *GEARS, "measure BL 5thou", "decide gear reuse --why ok"
    )
    typist.done('defer "retorque cover" --until "first run" --why "gasket settles"')
    assert typist.done("status") == [
        "pump    Fuel transfer gear pump    12 entries    not signed",
        "",
        "Next",
        "  EC idler is out of band, loose  bedplate remedy EC",
        "  body has no decision            bedplate decide body reuse --why REASON",
        "  valve has no decision           bedplate decide valve reuse --why REASON",
        "",
        "In the way of the signature for handover",
        "  EC idler is out of band, loose  bedplate remedy EC",
        "  body has no decision            bedplate decide body reuse --why REASON",
        "  valve has no decision           bedplate decide valve reuse --why REASON",
        "",
        "Put off",
        '  12 "retorque cover"  until first run',
    ]


def test_plain_is_one_fact_a_line(typist: Typist) -> None:
    typist.open().done(
        "measure D 1.0030", *GEARS, "measure BL 5thou", "decide gear reuse --why ok"
    )
    typist.done("decide body reuse --why ok", "decide valve reuse --why ok")
    typist.done('defer "retorque cover" --until "first run" --why "gasket settles"')
    assert typist.done("status --plain") == [
        "pump, Fuel transfer gear pump, 14 entries, not signed.",
        "",
        "Next:",
        "EC idler is out of band, loose.",
        "Type: bedplate remedy EC",
        "",
        "In the way of the signature for handover:",
        "EC idler is out of band, loose.",
        "Type: bedplate remedy EC",
        "",
        "Put off:",
        '14 "retorque cover", until first run.',
    ]


def test_parts_are_taken_together_only_where_none_has_a_decision(typist: Typist) -> None:
    typist.open().done("measure D 1.0030")
    decide = "bedplate decide gear reuse --why REASON"
    said = [re.split("  +", line.strip()) for line in typist.done("status")]
    assert ["gear: 2 have no decision", decide] in said
    typist.done("decide gear.driver replace --why worn")
    shown = "\n".join(typist.done("status"))
    assert "  gear.idler has no decision  " in shown
    assert decide not in shown


def test_the_document_of_a_status(typist: Typist) -> None:
    typist.open().done("measure D 1.0030", *GEARS, "measure BL 5thou")
    for part in ("body", "gear", "valve"):
        typist.done(f"decide {part} reuse --why ok")
    typist.done('defer "retorque" --until "first run" --holds RP --why "gasket settles"')
    found = typist.document("status")
    assert list(found) == [
        "format", "job", "entries", "ok", "moment", "next", "blockers", "deferred", "signed",
        "copies",
    ]  # fmt: skip
    out = {
        "kind": "out", "what": "EC.idler", "text": "EC idler is out of band, loose",
        "type": "bedplate remedy EC",
    }  # fmt: skip
    assert found == {
        "format": "bedplate-status/1", "job": "pump", "entries": 14, "ok": False,
        "moment": "handover", "next": [{**out, "kind": "remedy"}], "blockers": [out],
        "deferred": [{"entry": 14, "text": "retorque", "until": "first run", "holds": "RP"}],
        "signed": [], "copies": [],
    }  # fmt: skip


def test_nothing_in_the_way_is_said_and_signed_moments_are_named(typist: Typist) -> None:
    typist.open().done("measure D 1.0030", "measure H.driver 1 1 1", "measure H.idler 1 1 1")
    typist.done("measure BL 5thou")
    for part in ("body", "gear", "valve"):
        typist.done(f"decide {part} reuse --why ok")
    assert typist.document("status")["ok"] is True
    assert typist.done("status")[-2:] == [
        "In the way of the signature for handover",
        "  nothing  bedplate sign handover",
    ]
    typist.done("sign")
    found = typist.document("status")
    assert (found["signed"], found["moment"], found["ok"]) == (["handover"], "first run", False)
    assert typist.done("status")[0].endswith("signed for handover")


def test_a_copy_that_is_further_on_is_named(typist: Typist) -> None:
    typist.open()
    shutil.copy("pump.job.jsonl", "pump (copy).jsonl")
    typist.done("measure D 1.0030")
    shutil.move("pump.job.jsonl", "kept")
    shutil.move("pump (copy).jsonl", "pump.job.jsonl")
    shutil.move("kept", "pump (copy).jsonl")
    said = typist.type("status")
    assert typist.document("status")["copies"] == ["pump (copy).jsonl"]
    assert said.err == [
        "pump (copy).jsonl is a copy of this job with lines that this one lacks.",
        'See what can be taken over:  bedplate rejoin "pump (copy).jsonl"',
    ]


@pytest.mark.parametrize("line", ["status", "log", "check", "summary"])
def test_nothing_is_shown_where_there_is_no_job(typist: Typist, line: str) -> None:
    assert typist.refused(line) == [
        "Which job? There is none here.",
        "  Start one:  bedplate open NAME",
        "  Or name it:  bedplate --job FOLDER/NAME.job.jsonl status",
    ]


def test_beside_another_job_every_command_to_type_names_the_one_that_was_named(
    typist: Typist,
) -> None:
    """Copied without it, a command would be refused, or be about another job."""
    typist.open().done("measure D 1.0031")
    typist.type("open head --sheet pump.toml")
    assert typist.type("--job pump measure D 1.0031").err[-1] == (
        "  Type:  bedplate --job pump measure D 1.0031 --again     or   --instead"
    )
    assert typist.type("measure H.driver@a 1.0001 --job pump").err == [
        "next: measure H.driver (gear height): 2 readings",
        "  bedplate --job pump bench H.driver",
    ]
    commands = [line.partition("bedplate ")[2] for line in typist.type("--job pump status").out]
    assert {command[:10] for command in commands if command} == {"--job pump"}


def test_a_job_that_is_the_only_one_here_need_not_be_named(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    assert typist.type("--job pump.job.jsonl measure D 1.0031").err[-1] == (
        "  Type:  bedplate measure D 1.0031 --again     or   --instead"
    )


def test_bedplate_alone_with_a_job_named_says_where_that_one_stands(typist: Typist) -> None:
    typist.open()
    typist.type("open head --sheet pump.toml")
    assert typist.type("--job head").out[0].startswith("head    ")


def test_what_is_to_be_typed_again_is_by_the_same_hand(typist: Typist) -> None:
    typist.open().done("measure D 1.0031")
    assert typist.type('--by "Ben Mate" measure D 1.0031').err[-1] == (
        '  Type:  bedplate --by "Ben Mate" measure D 1.0031 --again     or   --instead'
    )
    typist.type("open head --sheet pump.toml")
    assert typist.type("--by Ben --job pump measure D 1.0031").err[-1] == (
        "    bedplate --job pump --by Ben measure D 1.0031 --again     or   --instead"
    )


def test_bedplate_alone_fits_a_narrow_screen(
    typist: Typist, monkeypatch: pytest.MonkeyPatch
) -> None:
    typist.open()
    monkeypatch.setenv("COLUMNS", "40")
    assert typist.type("").out[2:] == [
        "Next   measure D (bore depth)",
        "   bedplate measure D VALUE",
        "In the way of the signature for",
        "  handover: 7",
        "   bedplate status",
    ]


def test_bedplate_alone_is_said_in_sentences(typist: Typist) -> None:
    typist.open()
    assert typist.type("--plain").out[2:] == [
        "Next: measure D (bore depth).",
        "Type: bedplate measure D VALUE",
        "In the way of the signature for handover: 7.",
        "Type: bedplate status",
    ]
