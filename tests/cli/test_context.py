"""The job at hand, the hand, and the settings in force."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from bedplate.cabinet import Cabinet
from bedplate.cli import context
from bedplate.cli.context import Common, lift
from bedplate.errors import BedplateError, NotUnderstoodError, StorageError

pexpect = pytest.importorskip("pexpect", reason="a pseudo-terminal is needed")


def job(name: str, folder: Path | None = None) -> Path:
    """Make an empty job file here, or in a folder."""
    path = (folder or Path()) / f"{name}.job.jsonl"
    path.touch()
    return path


def said(error: pytest.ExceptionInfo[BedplateError]) -> list[str]:
    """Return what a failure prints."""
    return error.value.as_lines()


# --- lifting ----------------------------------------------------------------------------------


def test_lifting_leaves_the_other_words_in_their_order() -> None:
    left, common = lift(["measure", "--json", "H", "--by=Ann", "1.0", "--plain", "--job", "pump"])
    assert left == ["measure", "H", "1.0"]
    assert common == Common(job="pump", by="Ann", plain=True, json=True)


def test_nothing_is_lifted_after_two_dashes() -> None:
    assert lift(["note", "--", "--json", "--job"]) == (["note", "--", "--json", "--job"], Common())


def test_the_same_job_may_be_named_twice() -> None:
    assert lift(["--job", "a", "status", "--job=a"])[1].job == "a"


def test_at_the_tab_key_an_option_may_lack_its_value() -> None:
    assert lift(["status", "--job"], strict=False) == (["status", "--job"], Common())


# --- the job at hand --------------------------------------------------------------------------


def test_the_only_job_of_the_folder_is_at_hand() -> None:
    job("pump")
    Path("notes.jsonl").touch()
    Path(".job.jsonl").touch()
    Path("._pump.job.jsonl").touch()
    Path("-x.job.jsonl").touch()
    Path("folder.job.jsonl").mkdir()
    assert context.job_at_hand() == Path("pump.job.jsonl")


def test_without_a_job_it_is_told_how_to_begin() -> None:
    with pytest.raises(NotUnderstoodError) as error:
        context.job_at_hand()
    assert said(error) == [
        "Which job? There is none here.",
        "  Start one:  bedplate open NAME",
        "  Or name it:  bedplate --job FOLDER/NAME.job.jsonl status",
    ]


def test_several_jobs_and_nobody_to_ask_is_refused_by_name() -> None:
    job("pump"), job("head")
    with pytest.raises(NotUnderstoodError) as error:
        context.job_at_hand()
    assert said(error) == [
        "Which job? There are 2 here: head, pump.",
        "  Type:  bedplate --job head status",
    ]


def test_parents_are_not_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    job("pump")
    Path("below").mkdir()
    monkeypatch.chdir("below")
    with pytest.raises(NotUnderstoodError):
        context.job_at_hand()


@pytest.mark.parametrize("typed", ["shed/pump", "shed/pump.job.jsonl", "shed", "shed/"])
def test_a_job_is_named_by_path_or_folder(typed: str) -> None:
    Path("shed").mkdir()
    path = job("pump", Path("shed"))
    with context.using(Common(job=typed)):
        assert context.job_at_hand().samefile(path)


def test_a_bare_name_is_a_job_here_even_beside_a_folder_of_that_name() -> None:
    job("pump"), job("head")
    Path("pump").mkdir()
    assert context.job_at_hand("pump") == Path("pump.job.jsonl")


def test_the_option_goes_before_the_environment_and_that_before_the_folder(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for name in ("pump", "head", "block"):
        job(name)
    monkeypatch.setenv("BEDPLATE_JOB", "head")
    assert context.job_at_hand() == Path("head.job.jsonl")
    with context.using(Common(job="block")):
        assert context.job_at_hand() == Path("block.job.jsonl")


def test_an_unknown_job_is_answered_with_near_names() -> None:
    job("pump"), job("head")
    with pytest.raises(StorageError) as error:
        context.job_at_hand("pmup")
    assert said(error) == ['Not read. There is no job "pmup".', "  Nearest: pump"]


@pytest.mark.parametrize("typed", ["", "a\0b", "\x1b[2J", "x" * 5000])
def test_a_name_no_file_can_have_is_an_unknown_job(typed: str) -> None:
    with pytest.raises(StorageError) as error:
        context.job_at_hand(typed)
    assert said(error)[0].startswith('Not read. There is no job "')
    assert "\x1b" not in said(error)[0]
    assert said(error)[1:] == ["  There is no job in this folder."]


def test_a_name_beginning_with_a_dash_is_never_a_job(monkeypatch: pytest.MonkeyPatch) -> None:
    job("-x")
    monkeypatch.setenv("BEDPLATE_JOB", "-x")
    with pytest.raises(NotUnderstoodError) as error:
        context.job_at_hand()
    assert "no name of a job begins with a dash" in said(error)[0]


def test_a_folder_of_several_names_them() -> None:
    Path("shed").mkdir()
    job("pump", Path("shed")), job("head", Path("shed"))
    with pytest.raises(NotUnderstoodError) as error:
        context.job_at_hand("shed")
    assert said(error)[0] == 'Which job? There are 2 in "shed": head, pump.'


def test_a_job_is_named_in_acknowledgments_only_beside_another() -> None:
    path = job("pump")
    assert context.spoken(path) == ""
    job("head")
    assert context.spoken(path) == "pump: "


# --- the hand ---------------------------------------------------------------------------------


def test_the_hand_is_the_option_then_the_environment_then_the_setting(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Cabinet(home).keep_setting("name", "Ann Fitter")
    assert context.hand() == "Ann Fitter"
    monkeypatch.setenv("BEDPLATE_BY", "Bo Turner")
    assert context.hand() == "Bo Turner"
    with context.using(Common(by=" Cy Miller ")):
        assert context.hand() == "Cy Miller"


def test_the_login_name_is_never_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("USER", "login")
    monkeypatch.setenv("LOGNAME", "login")
    with pytest.raises(NotUnderstoodError) as error:
        context.hand()
    assert said(error) == [
        "Not recorded. Who is recording? There is no terminal to ask on.",
        '  Type:  bedplate settings name "Ann Fitter"',
        '  Or for once:  --by "Ann Fitter"',
    ]


@pytest.mark.parametrize("name", ["Ann\nFitter", "Ann\x1b[1m", "\u202eAnn", "x" * 201])
def test_a_name_that_may_not_stand_in_a_record_is_refused(name: str) -> None:
    with context.using(Common(by=name)), pytest.raises(NotUnderstoodError) as error:
        context.hand()
    assert said(error)[0].startswith("Not recorded. A name ")


def test_on_a_terminal_the_hand_is_asked_once_and_kept(home: Path) -> None:
    script = "from bedplate.cli import context; print('got', context.hand())"
    child = pexpect.spawn(
        sys.executable, ["-c", script], encoding="utf-8", timeout=20,
        env={**os.environ, "TERM": "xterm"},
    )  # fmt: skip
    for answer in ("", "Ann Fitter"):
        child.expect_exact("Who is recording? (your name, kept for next time): ")
        child.sendline(answer)
    child.expect_exact("got Ann Fitter")
    assert Cabinet(home).settings({}).name == "Ann Fitter"


# --- settings, documents ----------------------------------------------------------------------


def test_an_option_goes_before_a_setting_and_says_so(home: Path) -> None:
    Cabinet(home).keep_setting("screen", "ascii")
    with context.using(Common(plain=True, by="Bo")):
        found = context.settings()
    assert (found.screen, found.source("screen")) == ("plain", "--plain")
    assert (found.name, found.source("name")) == ("Bo", "--by")
    assert context.settings().source("screen") == "config.toml"


def test_help_shows_whatever_stands_in_the_settings(home: Path) -> None:
    home.mkdir()
    (home / "config.toml").write_text("nonsense", "utf-8")
    assert context.bare_screen().columns == 80
    with pytest.raises(NotUnderstoodError):
        context.screen()


def test_a_document_begins_with_its_format() -> None:
    assert list(context.document("sheet show").items()) == [
        ("format", "bedplate-out-sheet-show/1"),
        ("job", None),
        ("entries", None),
    ]
    assert context.document("verify", "pump", 3) == {
        "format": "bedplate-verify/1",
        "job": "pump",
        "entries": 3,
    }
