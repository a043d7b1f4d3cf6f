"""Signing from the keyboard: moments, hands, keys and passphrases; what each command says."""

from __future__ import annotations

import io
import json
import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from at_the_bench import bedplate, command, done
from stranger import examine, sealed_lines

JOB = Path("pump.job.jsonl")
SHEET = """
format = "bedplate-sheet/1"
title = "Bilge pump gearbox"
unit = "in"
source = "Invented handbook"
moments = ["handover", "first run"]
[[component]]
id = "body"
[[feature]]
tag = "D"
of = "body"
[[feature]]
tag = "W"
of = "body"
unit = "psi"
[[fit]]
tag = "BORE"
stack = "D"
band = { limits = "1..2 in", source = "p. 31" }
[[fit]]
tag = "WARM"
stack = "W"
band = { limits = "28..32 psi", source = "p. 33" }
due = "first run"
"""


@pytest.fixture(autouse=True)
def _at_the_bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in a folder with a job that is ready to be signed."""
    monkeypatch.setenv("BEDPLATE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    Path("pump.toml").write_text(SHEET, "utf-8")
    done("open", "pump", "--sheet", "pump.toml")
    done("measure", "D", "1.5")
    done("decide", "body", "reuse", "--why", "sound")


@pytest.fixture
def keys(tmp_path: Path) -> Path:
    return tmp_path / "home" / "keys"


def signed(*options: str) -> list[str]:
    """Return the moments that ``verify --json`` says the job is signed for; it must say yes."""
    document = done("verify", "--json", *options).document
    assert document["ok"]
    return list(document["signed"])


def sealed(number: int) -> dict[str, str]:
    """Return the lines that the seal in an entry holds; a stranger must find it sound."""
    found = examine(JOB.read_bytes())
    assert found.wrong is None
    return sealed_lines(found.entries[number - 1]["sealed"])


# --- what is sealed, and what follows ------------------------------------------------------------


def test_a_seal_holds_who_as_what_for_what_and_what_is_declared() -> None:
    done("sign", "--role", "fitter", "--statement", "Übermaß geprüft.")
    text = sealed(4)
    assert (text["name"], text["role"], text["moment"], text["entries"], text["statement"]) == (
        "Ann Fitter", "fitter", "handover", "3", "Übermaß geprüft.",
    )  # fmt: skip
    assert list(json.loads(JOB.read_bytes().splitlines()[3])) == [
        "n", "at", "by", "kind", "sealed", "signature", "key", "prev",
    ]  # fmt: skip


def test_what_is_declared_where_nothing_is_said() -> None:
    done("sign")
    assert (sealed(4)["role"], sealed(4)["statement"]) == ("", "The work is as recorded here.")


@pytest.mark.parametrize(
    ("option", "text", "fault"),
    [
        ("--role", "fitter\n", "The role \"fitter\\x0a\" begins or ends with a space."),
        ("--role", "fit\nter", "The role \"fit\\x0ater\" holds a line end or another "
         "character that cannot be printed."),
        ("--role", "fit\x1b[2Jter", "The role \"fit\\x1b[2Jter\" holds a line end or another "
         "character that cannot be printed."),
        ("--statement", " done", "The statement \" done\" begins or ends with a space."),
    ],
)  # fmt: skip
def test_a_text_that_cannot_stand_in_one_line_is_not_signed(
    option: str, text: str, fault: str
) -> None:
    before = JOB.read_bytes()
    answer = bedplate("sign", option, text)
    said = " ".join(answer.err.split())
    assert (answer.code, answer.out) == (2, "")
    assert f"Not signed. {fault} It stands in one line of the text that is signed." in said
    assert JOB.read_bytes() == before
    assert not list(Path(os.environ["BEDPLATE_HOME"]).glob("keys/*.key")), "no key for nothing"


def test_a_statement_too_long_for_a_seal_is_not_signed() -> None:
    before = JOB.read_bytes()
    answer = bedplate("sign", "--statement", "A" * 4_000)
    assert (answer.code, answer.out, JOB.read_bytes()) == (2, "", before)
    assert "characters longer than a seal can hold." in " ".join(answer.err.split())


def test_a_later_moment_is_signed_after_the_first_and_keeps_it() -> None:
    assert bedplate("sign", "first run").code == 1
    done("sign")
    assert signed("--signed") == ["handover"]
    done("measure", "W", "30")
    assert signed("--signed") == ["handover"], "a later moment asks for it"
    done("strike", "5", "--why", "slip")
    done("measure", "W", "31")
    assert signed("--signed") == ["handover"]
    done("sign", "FIRST RUN")
    assert signed("--signed") == ["handover", "first run"]
    assert sealed(8)["moment"] == "first run"


@pytest.mark.parametrize(
    "words",
    [
        ["measure", "D", "1.6", "--again", "--yes"],
        ["note", "x"],
        ["inspect", "body", "x"],
        ["decide", "body", "replace", "--why", "x"],
        ["strike", "2", "--why", "x"],
        ["change", "body", "new"],
        ["add", "component", "more"],
    ],
)
def test_what_no_later_moment_asks_for_needs_reopening(words: list[str]) -> None:
    done("sign")
    before = JOB.read_bytes()
    answer = bedplate(*words)
    assert (answer.code, answer.out) == (1, "")
    assert answer.err.startswith("Refused. The job is signed for handover (entry 4,")
    assert answer.err.splitlines()[-1] == "  To go on with the work:  bedplate reopen --why REASON"
    assert JOB.read_bytes() == before
    done("reopen", "--why", "weeps")
    assert bedplate(*words).code == 0
    assert signed() == []
    assert "Signed up to entry 3, reopened by entry 5." in done("verify").out
    no = bedplate("verify", "--signed")
    assert (no.code, no.out.splitlines()[0]) == (
        1,
        "pump: NO. whole, but signed up to entry 3, reopened by entry 5.",
    )


@pytest.mark.parametrize("number", ["4", "5", "1"])
def test_seals_reopenings_and_openings_cannot_be_struck(number: str) -> None:
    done("sign")
    done("reopen", "--why", "weeps")
    answer = bedplate("strike", number, "--why", "x")
    assert (answer.code, answer.out) == (1, "")
    assert " cannot be struck." in answer.err


def test_a_second_hand_counter_signs_what_it_was_shown() -> None:
    done("sign", "--role", "fitter")
    done("sign", "handover", "--role", "owner", "--by", "Bert Witness")
    assert (sealed(5)["name"], sealed(5)["role"], sealed(5)["entries"]) == (
        "Bert Witness", "owner", "4",
    )  # fmt: skip
    document = done("verify", "--json").document
    assert [(seal["entry"], seal["by"], seal["role"], seal["known_as"], seal["ok"])
            for seal in document["seals"]] == [
        (4, "Ann Fitter", "fitter", "Ann Fitter", True),
        (5, "Bert Witness", "owner", "Bert Witness", True),
    ]  # fmt: skip
    assert document["signed"] == ["handover"]


def test_a_job_that_is_not_whole_is_not_signed_and_no_key_is_made(keys: Path) -> None:
    whole = JOB.read_bytes()
    for data, first in (
        (whole.replace(b"1.5 in", b"1.6 in"), "Not signed. The file is not whole."),
        (whole + b'{"n":4', "Not signed. 6 bytes behind the last entry were left by a write that"),
    ):
        JOB.write_bytes(data)
        answer = bedplate("sign")
        assert (answer.code, answer.out) == (1, "")
        assert first in answer.err
        assert not keys.exists()
        assert JOB.read_bytes() == data


# --- whose ---------------------------------------------------------------------------------------


def test_keys_are_shown_trusted_and_retired(keys: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done("settings", "name", "Ann Fitter")
    assert (
        done("key", "show").out == "No key of your own yet; one is made at your first signature.\n"
    )
    done("sign")
    shown = done("key", "show").out.splitlines()
    line = shown[0].removeprefix("Yours, to give to others:  ")
    (own,) = keys.glob("*.key")
    assert stat.S_IMODE(own.stat().st_mode) == 0o600
    assert stat.S_IMODE(keys.stat().st_mode) == 0o700

    monkeypatch.setenv("BEDPLATE_HOME", str(keys.parent.with_name("elsewhere")))
    stranger = bedplate("verify", "--json")
    assert (stranger.code, stranger.document["reason"]) == (
        1,
        "whole, but signed by a key not known here",
    )
    done("key", "trust", "Ann Filter", line)
    assert bedplate("verify", "--json").document["reason"] == (
        'whole, but signed by a key known here as "Ann Filter", not as "Ann Fitter"'
    )
    again = bedplate("key", "trust", "Ann Fitter", line)
    assert (again.code, again.out) == (1, "")

    monkeypatch.setenv("BEDPLATE_HOME", str(keys.parent.with_name("third")))
    Path("ann.pub").write_text(line + "\n", "utf-8")
    kept = done("key", "trust", "Ann Fitter", "ann.pub").out
    fingerprint = shown[1].split()[0]
    assert fingerprint in kept
    assert signed("--signed") == ["handover"]
    done("key", "retire", fingerprint)
    assert signed("--signed") == ["handover"], "what was signed before stays known"
    assert "retired" in done("key", "show").out.splitlines()[-1]


def test_a_retired_key_signs_no_more_and_a_new_one_takes_its_place(keys: Path) -> None:
    done("sign")
    done("key", "retire", "Ann Fitter")
    answer = done("sign", "handover")
    assert answer.err.startswith("A key was made for Ann Fitter:\n  SHA256:")
    assert sorted(path.suffix for path in keys.glob("ann-fitter-*"))[0] == ".key"
    first, second = examine(JOB.read_bytes()).seals
    assert first.key != second.key
    assert signed() == ["handover"]


NEEDS_KEYGEN = pytest.mark.skipif(
    shutil.which("ssh-keygen") is None, reason="OpenSSH is not installed"
)


def keygen(path: str, *options: str, kind: str = "ed25519") -> str:
    """Have OpenSSH make a key."""
    words = ["ssh-keygen", "-q", "-t", kind, "-N", "", "-f", path, *options]
    subprocess.run(words, check=True, stdin=subprocess.DEVNULL)
    return path


@NEEDS_KEYGEN
def test_a_key_that_openssh_made_signs_and_is_known_by_the_fingerprint_it_prints() -> None:
    keygen("id_ed25519")
    done("sign", "--key", "id_ed25519")
    said = subprocess.run(["ssh-keygen", "-lf", "id_ed25519"], capture_output=True, text=True,
                          check=True).stdout  # fmt: skip
    (seal,) = done("verify", "--json").document["seals"]
    assert seal["key"] == said.split()[1]
    assert (seal["known_as"], seal["ok"]) == ("Ann Fitter", True)
    public = Path("id_ed25519.pub").read_text("utf-8")
    assert done("key", "trust", "Ann Fitter", public).out.count("SHA256:") == 1


@NEEDS_KEYGEN
def test_keys_that_do_not_serve_are_refused_in_words() -> None:
    before = JOB.read_bytes()
    keygen("shared")
    Path("shared").chmod(0o644)
    keygen("rsa", "-b", "2048", kind="rsa")
    for name, words in (
        ("shared", "Not signed. Others can look into shared."),
        ("rsa", "Not signed. rsa is no Ed25519 key in OpenSSH's form."),
        ("none", "Not signed. none could not be opened (no such file or directory)."),
        (".", "Not signed. . is no file of a key."),
    ):
        answer = bedplate("sign", "--key", name)
        assert (answer.code in {1, 3}, answer.out) == (True, ""), name
        assert answer.err.splitlines()[0] == words
    for line, words in (
        (Path("rsa.pub").read_text("utf-8"), "Not trusted. It is a key of the kind ssh-rsa."),
        ("sk-ssh-ed25519@openssh.com AAAA x",
         "Not trusted. A key held in a security token signs other bytes than a seal's."),
        ("shared",
         "Not trusted. That is the secret half of a key. Never hand it on."),
    ):  # fmt: skip
        answer = bedplate("key", "trust", "Bo Smith", line)
        assert (answer.code, answer.out) == (1, "")
        assert answer.err.splitlines()[0] == words
    assert JOB.read_bytes() == before


# --- a passphrase --------------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal of another kind")
def test_a_passphrase_is_asked_for_on_a_terminal_alone_and_never_shown(keys: Path) -> None:
    import pexpect  # noqa: PLC0415 - not on every system

    program, *words = command("sign", "--role", "fitter")
    typed = pexpect.spawn(program, words, encoding="utf-8", env=dict(os.environ), timeout=30)
    typed.logfile_read = screen = io.StringIO()
    typed.expect_exact("Signing pump for handover: 3 entries, head ")
    typed.expect_exact("A passphrase for the key of Ann Fitter (Enter for none): ")
    typed.sendline("träge Kurbel")
    typed.expect_exact("The same once more: ")
    typed.sendline("träge Kurbel")
    typed.expect("entry 4 +signed for handover by Ann Fitter, fitter")
    typed.expect(pexpect.EOF)
    assert "Kurbel" not in screen.getvalue()
    typed.close()
    assert typed.exitstatus == 0
    (own,) = keys.glob("*.key")
    assert b"Kurbel" not in own.read_bytes()

    silent = bedplate("sign", "handover")
    assert (silent.code, silent.out) == (1, "")
    assert " ".join(silent.err.split()) == (
        f"Not signed. {own} has a passphrase, and none was given. "
        "It is asked for on a terminal, and nowhere else."
    )
    for passphrase, code in (("träge Kurbel", 0), ("trage Kurbel", 1), ("", 1)):
        again = pexpect.spawn(program, ["-m", "bedplate", "sign", "handover"], encoding="utf-8",
                              env=dict(os.environ), timeout=30)  # fmt: skip
        again.expect_exact(f"Passphrase of {own}: ")
        again.sendline(passphrase)
        again.expect(pexpect.EOF)
        again.close()
        assert again.exitstatus == code
    assert len(examine(JOB.read_bytes()).seals) == 2


# --- copies --------------------------------------------------------------------------------------


def test_what_a_copy_saw_is_taken_over_once_and_the_second_time_nothing() -> None:
    shutil.copy(JOB, "pump (copy).jsonl")
    done("note", "here")
    Path("side").mkdir()
    shutil.move("pump (copy).jsonl", "side/pump.job.jsonl")
    done("--job", "side", "measure", "W", "30")
    done("--job", "side", "decide", "body", "replace", "--why", "worn")
    shutil.move("side/pump.job.jsonl", "pump (copy).jsonl")
    for words in (["status", "--json"], ["verify", "--json"]):
        assert done(*words).document["copies"] == ["pump (copy).jsonl"] or words[0] == "status"
    refused = bedplate("sign")
    assert refused.code == 1
    assert "pump (copy).jsonl" in refused.err

    first = done("rejoin", "pump (copy).jsonl")
    entries = examine(JOB.read_bytes()).entries
    taken = [entry for entry in entries if "taken" in entry]
    assert [(entry["address"], entry["value"]) for entry in taken] == [("W", "30 psi")]
    assert taken[0]["taken"]["n"] == 4
    assert entries[-1]["kind"] == "attachment"
    assert "not taken" in first.out
    before = JOB.read_bytes()
    second = done("rejoin", "pump (copy).jsonl")
    assert JOB.read_bytes() == before
    assert "Nothing was left to take." in second.err
    assert done("verify", "--json").document["copies"] == []
    assert signed() == []
    assert bedplate("verify", "pump (copy).jsonl", "--json").code == 0, "under any name"


# --- start-up ------------------------------------------------------------------------------------

HEAVY = ("cryptography", "bcrypt", "rich", "jinja2", "typst")


@pytest.mark.parametrize(
    ("words", "light"),
    [
        (["--version"], (*HEAVY, "pydantic", "typer", "pint")),
        (["measure", "D", "1.5", "--again"], HEAVY),
        (["check"], HEAVY),
        (["status"], HEAVY),
        (["note", "x"], HEAVY),
        (["verify"], ("bcrypt", "rich", "jinja2")),
    ],
)
def test_commands_load_nothing_of_signing_that_they_do_not_need(
    words: list[str], light: tuple[str, ...]
) -> None:
    script = (
        "import sys, bedplate.cli.main as m\n"
        f"m.main({words!r})\n"
        f"print([name for name in {light!r} if name in sys.modules], file=sys.stderr)\n"
    )
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True,
                           check=False)  # fmt: skip
    assert ended.stdout, ended
    assert ended.stderr.splitlines()[-1] == "[]", ended
