"""Values on a pipe: the same session, with nobody to ask."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from bench_session import SMALL, on_sheet, read_at

from bedplate.cli.main import main
from bedplate.errors import StorageError
from bedplate.record import appending

ALL = "1.0030\n1.0001\n1.0000\n0.9999\n1.0000\n6 thou\n"
STOPPED = "Stopped. {} kept, nothing half written. Go on with: bedplate bench"


@pytest.fixture
def small() -> Path:
    return on_sheet(SMALL)


def piped(text: str) -> tuple[int, str, str]:
    """Run ``bedplate bench`` with a text on its stdin; return exit code, stdout and stderr."""
    out, err = io.StringIO(), io.StringIO()
    with (
        pytest.MonkeyPatch.context() as patched,
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        patched.setattr(sys, "stdin", io.StringIO(text))
        code = main(["bench"])
    return code, out.getvalue(), err.getvalue()


def piped_apart(text: str, encoding: str) -> tuple[int, str, str]:
    """Do the same in a process of its own, whose streams have another encoding."""
    ran = subprocess.run(
        [sys.executable, "-m", "bedplate", "bench"],
        input=text.encode(),
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True, check=False, timeout=60,
    )  # fmt: skip
    out, err = (each.decode(encoding) for each in (ran.stdout, ran.stderr))
    return ran.returncode, out.replace("\r\n", "\n"), err.replace("\r\n", "\n")


@pytest.mark.parametrize("encoding", ["utf-8", "cp437", "cp1252"])
def test_values_are_recorded_in_turn_whatever_the_stream_can_show(
    small: Path, encoding: str
) -> None:
    code, out, err = piped_apart(ALL, encoding)
    assert code == 0
    assert out.splitlines()[:3] == [
        "entry 2   D  1.0030 in   bore depth",
        "entry 3   H.driver@a  1.0001 in   gear height",
        "entry 4   H.driver@b  1.0000 in   gear height",
    ]
    drawn = encoding in ("utf-8", "cp437")
    line = "2 ├────────═o═─────────┤ 4" if drawn else "2 |--------=o=---------| 4"
    plus_minus = "±" if drawn else "+-"
    assert out.splitlines()[3] == (
        f"       EC driver  2.9 to 3.0 {plus_minus}0.09 thou  in band  {line}"
    )
    assert "  @a   > 1.0001\n" in err
    assert len(read_at(small)) == 6


def test_lines_may_end_in_cr_lf_and_be_empty(small: Path) -> None:
    code, _, _ = piped(ALL.replace("\n", "\r\n\r\n"))
    assert code == 0
    assert len(read_at(small)) == 6


def test_a_value_that_cannot_be_right_ends_it_and_is_not_recorded(small: Path) -> None:
    code, out, err = piped("1.0030\n0.9799\n1.0000\n")
    assert code == 2
    assert out.splitlines() == ["entry 2   D  1.0030 in   bore depth"]
    assert err.splitlines()[-5:] == [
        STOPPED.format("2 entries"),
        "Not recorded. 0.9799 is 20.1 thou under nominal: Two figures changed places?",
        "  0.9979 would be 2.1 thou under. There is no terminal to ask on.",
        "  If 0.9799 is right:  bedplate measure H.driver@a 0.9799 --yes",
        "  It was line 2 of what was piped in.",
    ]
    assert read_at(small) == {"D": ["1.0030 in"]}


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("1.0030\nhello\n", 2, 'Not recorded. "hello" is neither a value, a key nor an address.'),
        ("1.0030\nD 1.0031\n", 2, "Not recorded. D was read before: 1.0030 in (entry 2)."),
        ("0.75 psi\n", 2, 'Not recorded. "0.75 psi" is a pressure; D (bore depth) is a length.'),
        ("1.0030\nk\n", 2, "Nothing is questioned, so there is nothing to keep."),
    ],
)
def test_what_is_not_understood_ends_it(small: Path, text: str, code: int, said: str) -> None:
    ended, _, err = piped(text)
    assert ended == code
    assert said in " ".join(err.split())


def test_the_end_of_the_lines_is_a_quiet_end(small: Path) -> None:
    code, _, err = piped("1.0030\n")
    assert code == 0
    assert err.splitlines()[-1] == STOPPED.format("2 entries")


def test_keys_work_on_a_pipe_too(small: Path) -> None:
    code, out, _ = piped("1.0030\nb\n1.0031\ns not there\nn oily\nq\n")
    assert code == 0
    assert out.splitlines()[1] == "       struck entry 2 (D 1.0030, slip at the bench)"
    assert read_at(small) == {"D": ["1.0031 in"], "H.driver@a": ["-"]}


def test_stdout_has_the_entries_and_verdicts_alone(small: Path) -> None:
    _, out, _ = piped(ALL)
    assert [line.split()[0] for line in out.splitlines()] == [
        "entry", "entry", "entry", "EC", "entry", "entry", "EC", "entry", "LASH",
    ]  # fmt: skip


def test_without_a_name_nothing_is_asked_on_a_pipe(small: Path, home: Path) -> None:
    (home / "config.toml").unlink()
    code, out, err = piped(ALL)
    assert (code, out) == (2, "")
    assert err.startswith("Not recorded. Who is recording? There is no terminal to ask on.")


def test_a_job_that_cannot_be_written_ends_with_three_and_what_was_typed(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:

    def full(*_given: object) -> None:
        raise StorageError("Not recorded. The disk is full: job.job.jsonl is as it was.")

    monkeypatch.setattr(appending, "commit", full)
    code, _, err = piped("1.0030\n")
    assert code == 3
    assert err.splitlines()[-2:] == [
        "Not recorded. The disk is full: job.job.jsonl is as it was.",
        "  What you typed:  1.0030",
    ]
    assert read_at(small) == {}
