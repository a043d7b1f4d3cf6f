"""Signing, reopening, verifying, rejoining and keys as commands: what they say, and their JSON."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from typist import RECORDED_KEYS, Typist

SHEET = """
format = "bedplate-sheet/1"
unit = "in"
source = "Invented handbook"
moments = ["handover", "first run"]
[[component]]
id = "body"
name = "pump body"
[[feature]]
tag = "D"
of = "body"
name = "bore depth"
[[fit]]
tag = "DD"
stack = "D"
band = "1.002..1.004 in"
"""
SHEET = SHEET.replace('band = "1.002..1.004 in"', 'band = { limits = "1.002..1.004 in" }')

VERIFY_KEYS = [
    "format", "job", "entries", "ok", "first_bad_entry", "reason", "head", "signed", "torn_bytes",
    "copies", "attachments", "seals",
]  # fmt: skip
SEAL_KEYS = ["entry", "covers", "by", "role", "moment", "key", "known_as", "ok"]


def shaped(lines: list[str]) -> list[str]:
    """Return lines with what differs from run to run (hashes, fingerprints) by its shape."""
    return [re.sub(r"SHA256:\S{43}", "KEY", re.sub(r"[0-9a-f]{64}", "HASH", x)) for x in lines]


@pytest.fixture
def ready(typist: Typist) -> Typist:
    """Return somebody whose job may be signed: 3 entries."""
    typist.open(SHEET).done("measure D 1.0031", 'decide body reuse --why "in band"')
    return typist


@pytest.fixture
def signed(ready: Typist) -> Typist:
    """Return somebody whose job is signed for handover: 4 entries."""
    ready.done("sign --role fitter")
    return ready


# --- sign ----------------------------------------------------------------------------------------


def test_a_first_signature_makes_a_key_and_says_where_it_lies(ready: Typist, home: Path) -> None:
    said = ready.type("sign --role fitter")
    assert said.code == 0
    assert shaped(said.out)[:3] == [
        "entry 4   signed for handover by Ann Fitter, fitter",
        "   key KEY",
        "   head HASH",
    ]
    made, key, lies, *_ = shaped(said.err)
    assert (made, key) == ("A key was made for Ann Fitter:", "  KEY")
    assert lies.startswith(f"It lies in  {home}")
    assert "Keep a copy; nobody can make it again." in said.err


def test_a_second_signature_makes_no_second_key(signed: Typist) -> None:
    said = signed.type("sign handover --role owner")
    assert said.code == 0
    assert "key was made" not in "".join(said.err)
    (first, second) = signed.document("verify")["seals"]
    assert first["key"] == second["key"]


def test_a_signature_as_a_document(ready: Typist) -> None:
    document = ready.document("sign")
    assert list(document) == RECORDED_KEYS
    assert (document["format"], document["job"]) == ("bedplate-out-sign/1", "pump")
    assert (document["entries"], document["recorded"], document["questioned"]) == (4, [4], [])
    assert list(ready.last) == ["kind", "sealed", "signature", "key"]


def test_all_that_is_in_the_way_is_named_with_its_cure(typist: Typist) -> None:
    typist.open(SHEET)
    assert typist.refused("sign", 1) == [
        "Not signed. In the way of the signature for handover: 2.",
        "  DD has no reading   bedplate measure D VALUE",
        "  body has no decision   bedplate decide body reuse --why REASON",
    ]


def test_there_are_the_moments_of_the_sheet(ready: Typist) -> None:
    assert ready.refused("sign handovr") == [
        'Not signed. There is no moment "handovr".',
        "  Nearest: handover",
    ]
    assert ready.refused("sign x") == [
        'Not signed. There is no moment "x".',
        "  Moments: handover, first run",
    ]


def test_an_altered_job_is_not_signed(ready: Typist) -> None:
    ready.path.write_bytes(ready.data.replace(b"1.0031", b"1.0032"))
    assert ready.refused("sign", 1)[-2:] == [
        "Not signed. The file is not whole.",
        "  Type:  bedplate verify",
    ]


def test_there_must_be_a_job(typist: Typist) -> None:
    for line in ("sign", "reopen --why x", "verify", "rejoin other.jsonl"):
        assert typist.refused(line) == [
            "Which job? There is none here.",
            "  Start one:  bedplate open NAME",
            "  Or name it:  bedplate --job FOLDER/NAME.job.jsonl status",
        ]


# --- reopen --------------------------------------------------------------------------------------


def test_reopening_needs_its_reason(signed: Typist) -> None:
    assert signed.refused("reopen") == [
        "Not reopened. It needs its reason.",
        '  Type:  bedplate reopen --why "..."',
    ]


def test_reopening_is_recorded_with_its_reason(signed: Typist) -> None:
    said = signed.done('reopen --why "weeps at the cover" --note "after an hour"')
    assert said[0] == "entry 5   reopened: weeps at the cover   (after an hour)"
    assert signed.last == {
        "kind": "reopened", "why": "weeps at the cover", "note": "after an hour",
    }  # fmt: skip


def test_a_reopening_as_a_document(signed: Typist) -> None:
    document = signed.document("reopen --why weeps")
    assert list(document) == RECORDED_KEYS
    assert (document["format"], document["recorded"]) == ("bedplate-out-reopen/1", [5])


def test_what_was_not_signed_is_not_reopened(ready: Typist) -> None:
    assert ready.refused("reopen --why weeps", 1) == [
        "Refused. The job is not signed, so there is nothing to reopen.",
        "  Just go on:  bedplate status",
    ]


# --- verify --------------------------------------------------------------------------------------


def test_an_unsigned_job_is_whole_and_that_is_said(ready: Typist) -> None:
    assert shaped(ready.done("verify")) == [
        "pump: whole, not signed.", "  head 3:HASH", "  It is not signed.",
    ]  # fmt: skip
    said = ready.type("verify --signed")
    assert (said.code, shaped(said.out)) == (1, [
        "pump: NO. whole, but not signed.", "  head 3:HASH", "  It is not signed.",
    ])  # fmt: skip


def test_a_signed_job_is_yes_by_a_key_that_is_known_here(signed: Typist) -> None:
    assert shaped(signed.done("verify --signed")) == [
        "pump: whole, signed for handover.",
        "  entry 4  handover, by Ann Fitter, covers 3: sound; known here as Ann Fitter",
        "    KEY",
        "  head 4:HASH",
    ]


def test_a_whole_job_by_a_stranger_is_no(signed: Typist, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BEDPLATE_HOME", str(Path("elsewhere").absolute()))
    said = signed.type("verify")
    assert said.code == 1
    assert shaped(said.out)[:2] == [
        "pump: NO. whole, but signed by a key not known here.",
        "  entry 4  handover, by Ann Fitter, covers 3: the signature holds; a key not known here",
    ]


def test_a_verdict_as_a_document(signed: Typist) -> None:
    document = signed.document("verify")
    assert list(document) == VERIFY_KEYS
    (seal,) = document.pop("seals")
    assert list(seal) == SEAL_KEYS
    key = seal.pop("key")
    assert re.fullmatch(r"SHA256:\S{43}", key)
    assert seal == {
        "entry": 4, "covers": 3, "by": "Ann Fitter", "role": "fitter", "moment": "handover",
        "known_as": "Ann Fitter", "ok": True,
    }  # fmt: skip
    head = document.pop("head")
    assert re.fullmatch(r"4:[0-9a-f]{64}", head)
    assert document == {
        "format": "bedplate-verify/1", "job": "pump", "entries": 4, "ok": True,
        "first_bad_entry": None, "reason": None, "signed": ["handover"], "torn_bytes": 0,
        "copies": [], "attachments": [],
    }  # fmt: skip


def test_a_no_as_a_document(signed: Typist) -> None:
    signed.path.write_bytes(signed.data.replace(b"1.0031", b"1.0032") + b'{"n":5')
    document = signed.document("verify", code=1)
    assert (document["ok"], document["first_bad_entry"], document["torn_bytes"]) == (False, 2, 6)
    assert document["reason"] == "line 2 was altered after line 3 was written on it"
    assert document["signed"] == []
    (seal,) = document["seals"]
    assert (seal["ok"], seal["known_as"]) == (False, "Ann Fitter")


def test_a_head_is_held_against_the_file(signed: Typist) -> None:
    head = signed.document("verify")["head"]
    for asked in (head, head[:18], head[:2] + head[2:].upper()):
        assert signed.type(["verify", "--head", asked]).code == 0, asked
    said = signed.type("verify --head 4:0123456789abcdef")
    assert (said.code, said.out[0]) == (
        1, "pump: NO at entry 4. entry 4 is not the one that the head was noted of.",
    )  # fmt: skip
    said = signed.type("verify --head 5:0123456789abcdef")
    assert (said.code, said.out[0]) == (
        1,
        "pump: NO at entry 5. the head is of 5 entries, the file has 4: lines were cut off.",
    )
    for odd in ("4", "4:0123", "x", "0:0123456789abcdef"):
        assert signed.refused(["verify", "--head", odd]) == [
            f'Not compared. "{odd}" is no head.',
            "  A head is a count, a colon and at least 16 digits, like  41:3f9ad1c277b0e52a",
        ]


def test_what_was_never_recorded_is_said_and_does_no_harm(signed: Typist) -> None:
    signed.path.write_bytes(signed.data + b'{"n":5,"at"')
    said = signed.type("verify")
    assert said.code == 0
    assert said.out[-1] == "  11 bytes behind entry 4 were never recorded and are not counted."


def test_an_attachment_that_is_missing_is_said_and_an_altered_one_is_no(ready: Typist) -> None:
    Path("photo.jpg").write_bytes(b"a photo")
    ready.done("attach photo.jpg")
    (kept,) = Path("pump.files").iterdir()
    (fact,) = ready.document("verify")["attachments"]
    assert fact == {
        "entry": 4, "file": f"pump.files/{kept.name}", "name": "photo.jpg", "state": "whole",
    }  # fmt: skip
    kept.unlink()
    said = ready.type("verify")
    assert said.code == 0
    assert "  entry 4  photo.jpg: missing" in said.out
    assert said.out[-1] == f"  The attachment pump.files/{kept.name} (entry 4) is missing."
    kept.write_bytes(b"another")
    said = ready.type("verify")
    assert (said.code, said.out[0]) == (
        1, f"pump: NO. the attachment pump.files/{kept.name} (entry 4) was altered.",
    )  # fmt: skip


def test_what_stands_before_a_bad_line_is_saved_as_a_job(signed: Typist) -> None:
    lines = signed.data.splitlines(keepends=True)
    signed.path.write_bytes(signed.data.replace(b"in band", b"no band"))
    said = signed.type("verify --save-sound sound.job.jsonl")
    assert (said.code, said.out[-1]) == (1, "sound.job.jsonl written: 2 entries.")
    assert Path("sound.job.jsonl").read_bytes() == b"".join(lines[:2])
    assert signed.type("--job sound status").code == 0
    assert signed.refused("--job pump verify --save-sound sound.job.jsonl", 3) == [
        "Not saved. sound.job.jsonl is there already.",
        "  Give it another name.",
    ]
    assert signed.refused("--job pump verify --save-sound sound.txt", 1) == [
        'Not saved. The name of a job ends in .job.jsonl, not like "sound.txt".',
    ]


def test_a_file_is_verified_under_whatever_name_it_came(signed: Typist) -> None:
    shutil.copy(signed.path, "pump (2).jsonl")
    assert signed.type(["verify", "pump (2).jsonl"]).code == 0
    assert signed.type(["verify", "pump.job.jsonl"]).code == 0
    assert signed.type(["verify", "pump"]).code == 0
    assert signed.refused("verify nothing", 3)[0] == 'Not read. There is no job "nothing".'


# --- rejoin --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("here", "there", "further", "said"),
    [
        (["note a"], [], "here",
         "Nothing to take: pump.job.jsonl is further on, and begins as other.jsonl does."),
        ([], ["note a"], "there",
         "Nothing taken: other.jsonl is further on, and begins as pump.job.jsonl does. "
         "Go on in it."),
        ([], [], "same", "Nothing to take: pump.job.jsonl and other.jsonl are the same."),
    ],
)  # fmt: skip
def test_of_two_of_which_one_is_further_on_nothing_is_taken(
    ready: Typist, here: list[str], there: list[str], further: str, said: str
) -> None:
    shutil.copy(ready.path, "side.job.jsonl")
    ready.done(*(f"--job pump {line}" for line in here)) if here else None
    ready.done(*(f"--job side {line}" for line in there)) if there else None
    Path("side.job.jsonl").rename("other.jsonl")
    before = ready.data
    assert ready.done("rejoin other.jsonl") == [said]
    document = ready.document("rejoin other.jsonl")
    assert (document["further"], document["recorded"]) == (further, [])
    assert list(document) == [*RECORDED_KEYS, "further"]
    assert ready.data == before


def forked(typist: Typist) -> None:
    """Let a copy go on by itself: a finding to take, a decision to do again."""
    shutil.copy(typist.path, "side.job.jsonl")
    typist.done("--job pump note here")
    typist.done("--job side inspect body scratched", '--job side decide body rework --why "worn"')
    Path("side.job.jsonl").rename("other.jsonl")


def test_what_can_be_taken_is_and_the_rest_is_listed(ready: Typist) -> None:
    forked(ready)
    said = ready.done("rejoin other.jsonl")
    assert said[:2] == [
        "entry 5   watch on body: scratched",
        "entry 6   attached other.jsonl",
    ]
    assert said[2:4] == [
        "To be done again (1), not taken:",
        "  5  body: rework, because worn: not an observation",
    ]
    again = ready.type("rejoin other.jsonl")
    assert (again.code, again.err[-1]) == (0, "Nothing was left to take.")
    assert len(ready.entries) == 6


def test_what_was_taken_as_a_document(ready: Typist) -> None:
    forked(ready)
    document = ready.document("rejoin other.jsonl")
    assert list(document) == RECORDED_KEYS
    assert (document["format"], document["recorded"]) == ("bedplate-out-rejoin/1", [5, 6])
    taken = ready.entries[4]["taken"]
    assert (list(taken), taken["n"], taken["by"]) == (["n", "at", "by", "head"], 4, "Ann Fitter")


def test_another_job_is_not_rejoined(ready: Typist) -> None:
    ready.done("open second")
    assert ready.refused("--job pump rejoin second.job.jsonl", 1) == [
        "Nothing was taken. The two are not of one job.",
    ]


def test_an_altered_copy_is_not_rejoined(ready: Typist) -> None:
    Path("other.jsonl").write_bytes(ready.data.replace(b"1.0031", b"1.0032"))
    assert ready.refused("rejoin other.jsonl", 1) == [
        "Nothing was taken. The other is not whole.",
        "  Type:  bedplate verify other.jsonl",
    ]


# --- keys ----------------------------------------------------------------------------------------

BEN = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIIE5dw6ofRdfVqNUZsNMfszLjYqRtO43ol32D1uPybOU"


def test_no_key_is_there_before_the_first_signature(typist: Typist) -> None:
    assert typist.done("key show") == [
        "No key of your own yet; one is made at your first signature."
    ]
    assert typist.document("key show") == {
        "format": "bedplate-out-key-show/1", "job": None, "entries": None, "own": None,
        "known": [],
    }  # fmt: skip


def test_ones_own_key_is_shown_to_be_given_to_others(signed: Typist) -> None:
    signed.done('settings name "Ann Fitter"')
    own, known = signed.done("key show")
    assert own.startswith("Yours, to give to others:  ssh-ed25519 AAAA")
    assert shaped([known]) == ["  KEY  Ann Fitter"]
    document = signed.document("key show")
    assert list(document["own"]) == ["name", "key", "line"]
    assert document["known"] == [
        {"name": "Ann Fitter", "key": document["own"]["key"], "retired": None}
    ]


def test_a_key_is_trusted_and_retired_in_words_and_as_documents(typist: Typist) -> None:
    (said,) = typist.done(f'key trust "Ben Lathe" {BEN}')
    assert shaped([said]) == ["Ben Lathe is known by KEY"]
    (said,) = typist.done('key retire "Ben Lathe"')
    assert shaped([said]) == ["Retired: KEY of Ben Lathe"]
    (known,) = typist.document("key show")["known"]
    assert (known["name"], known["key"]) == ("Ben Lathe", said.split()[1])
    assert re.fullmatch(r"20\d\d-\d\d-\d\dT\S+", known["retired"])
    assert typist.done("key show")[1].endswith(f"   retired {known['retired']}")


@pytest.mark.parametrize("verb", ["trust", "retire"])
def test_a_key_as_a_document(typist: Typist, verb: str) -> None:
    if verb == "retire":
        typist.done(f"key trust Ben {BEN}")
    document = typist.document(f"key trust Ben {BEN}" if verb == "trust" else "key retire Ben")
    assert list(document) == ["format", "job", "entries", "name", "key", "retired"]
    assert document["format"] == f"bedplate-out-key-{verb}/1"
    assert (document["name"], document["retired"] is None) == ("Ben", verb == "trust")


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("key retire Ben", 2, [
            'Nothing changed. No key of "Ben" is in use here.',
            "  There are no keys yet.",
        ]),
        ("key trust Ben nonsense", 2, [
            "Not trusted. It is no public key as OpenSSH writes it.",
            "  Such a line reads  ssh-ed25519 AAAA... name",
        ]),
        (f"key trust Ben {BEN[:-8]}", 1, [
            "Not trusted. It is no Ed25519 key: such a key has 32 bytes.",
            "  Whose it is sees the right line with:  bedplate key show",
        ]),
        ("key trust Ben ssh-rsa AAAAB3NzaC1yc2EAAAADAQABAAAAgQC7", 1, [
            "Not trusted. It is a key of the kind ssh-rsa.",
            "  Only Ed25519 keys are taken:  ssh-keygen -t ed25519",
        ]),
        (f"key trust Ben {BEN[:-1]}V", 1, [
            "Not trusted. It is no Ed25519 key: there is no such point.",
            "  Whose it is sees the right line with:  bedplate key show",
        ]),
    ],
)  # fmt: skip
def test_what_is_no_key_is_refused(
    typist: Typist, line: str, code: int, said: list[str], home: Path
) -> None:
    assert typist.refused(line, code) == said
    assert not list(home.glob("keys/known*"))


# --- what is wide, and what is refused

SHAFT = """
format = "bedplate-sheet/1"
unit = "mm"
source = "Invented handbook"
[[component]]
id = "shaft"
[[feature]]
tag = "A"
of = "shaft"
when = ["M"]
[[fit]]
tag = "PLAY"
stack = "A"
band = { limits = "0.1..0.2" }
[[fasteners]]
tag = "M"
name = "Cap nuts"
holds = ["shaft"]
[[proof]]
tag = "FLOAT"
fit = "PLAY"
when = ["M"]
"""


def shaft_ready(typist: Typist) -> None:
    Path("s.toml").write_text(SHAFT, "utf-8")
    typist.done("open s --sheet s.toml", "fasten M tight", "measure A 0.15")
    typist.done("decide shaft reuse --why sound")


def test_what_is_in_the_way_of_a_signature_is_no_wider_than_a_screen(typist: Typist) -> None:
    shaft_ready(typist)
    typist.done("fasten M again")
    said = typist.type("sign")
    assert said.code == 1
    assert said.err[0] == "Not signed. In the way of the signature for handover: 1."
    assert said.err[1].startswith("  FLOAT has not passed: PLAY was not read since")
    assert said.err[-1] == "      bedplate measure A VALUE --instead"
    assert max(map(len, said.err)) <= 78


def test_a_refused_file_is_not_kept(typist: Typist) -> None:
    shaft_ready(typist)
    typist.done("sign")
    Path("a.jpg").write_bytes(b"picture")
    assert typist.type("attach a.jpg").code == 1
    assert not Path("s.files").exists()
    typist.done("reopen --why more")
    assert typist.type("attach a.jpg --on nowhere").err[0] == (
        'Not recorded. There is no name "nowhere".'
    )
    assert not Path("s.files").exists()
    assert typist.type("attach a.jpg --on shaft").code == 0
    assert len(list(Path("s.files").iterdir())) == 1


def test_a_file_to_attach_that_is_not_there_could_not_be_read(ready: Typist) -> None:
    assert ready.refused("attach lost.jpg", 3) == ['Not recorded. "lost.jpg" is no file.']


def test_a_long_cure_stands_whole_on_a_line_of_its_own(ready: Typist) -> None:
    gauge = 'old --kind micrometer --resolution "1 tenth" --max-error "1 tenth" --due 2020-01-01'
    ready.done(f"gauge add {gauge}", "measure D 1.0031 -g old --again")
    said = ready.type("sign").err
    at = said.index("  gauge old was used past its due date")
    assert said[at + 1] == (
        '      bedplate gauge add old --kind micrometer --resolution "1 tenth" '
        '--max-error "1 tenth" --due DATE'
    )
