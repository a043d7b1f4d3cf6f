from __future__ import annotations

import os
import shutil
import stat
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from bedplate.errors import RefusedError, StorageError
from bedplate.seal import own
from bedplate.seal.keys import signature_holds
from bedplate.seal.known import KNOWN_FILE, KnownKey, read_known, trust, write_known

AT = "2025-11-24T15:40:00+01:00"
NEEDS_KEYGEN = pytest.mark.skipif(
    shutil.which("ssh-keygen") is None, reason="OpenSSH is not installed"
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return own.keys_folder(tmp_path / "bedplate")


def answers(*said: str) -> Callable[[str], str]:
    """Answer questions in turn; one too many is a fault of the test."""
    left = iter(said)
    return lambda _question: next(left)


def no_question(question: str) -> str:
    raise AssertionError(question)


def refusal(act: Callable[[], object]) -> list[str]:
    with pytest.raises(RefusedError) as caught:
        act()
    return caught.value.as_lines()


# --- making -------------------------------------------------------------------------------------


def test_a_new_key_is_for_its_owners_eyes_alone(folder: Path) -> None:
    before = os.umask(0)
    try:
        signer = own.make(folder, "Ann Fitter", answers(""))
    finally:
        os.umask(before)
    assert stat.S_IMODE(signer.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert signer.path == own.key_path(folder, "Ann Fitter")
    assert read_known(folder) == (KnownKey(signer.public, "Ann Fitter"),)
    assert signature_holds(signer.public, signer.sign(b"seen"), b"seen")


def test_a_key_opens_again_and_is_the_same(folder: Path) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    again = own.own_key(folder, "Ann Fitter", no_question)
    assert again.public == made.public == own.own_public(folder, "Ann Fitter")
    assert again.sign(b"seen") == made.sign(b"seen")


def test_a_passphrase_is_asked_for_twice_and_then_needed(folder: Path) -> None:
    pytest.importorskip("bcrypt")
    asked: list[str] = []

    def ask(question: str) -> str:
        asked.append(question)
        return "träge Kurbel"

    made = own.make(folder, "Ann Fitter", ask)
    assert asked == [
        "A passphrase for the key of Ann Fitter (Enter for none): ",
        "The same once more: ",
    ]
    assert own.own_public(folder, "Ann Fitter") == made.public
    assert own.own_key(folder, "Ann Fitter", ask).sign(b"x") == made.sign(b"x")
    assert asked[2:] == [f"Passphrase of {made.path}: "]
    for wrong in ("", "trage Kurbel"):
        said = refusal(lambda typed=wrong: own.own_key(folder, "Ann Fitter", answers(typed)))  # type: ignore[misc]
        assert said[0] == (
            f"Not signed. That passphrase does not open {made.path}."
            if wrong
            else f"Not signed. {made.path} has a passphrase, and none was given."
        )


def test_two_passphrases_that_differ_make_no_key(folder: Path) -> None:
    said = refusal(lambda: own.make(folder, "Ann Fitter", answers("one", "other")))
    assert said == [
        "No key was made. The two passphrases differ.",
        "  Give the same command again.",
    ]
    assert list(folder.iterdir()) == []


def test_there_is_one_key_a_name(folder: Path) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    before = made.path.read_bytes()
    for name in ("Ann Fitter", "ANN FITTER"):
        assert refusal(lambda name=name: own.make(folder, name, no_question)) == [  # type: ignore[misc]
            f'No key was made. There is one of "{name}":  {made.path}',
            f'  To put it out of use first:  bedplate key retire "{name}"',
        ]
    assert made.path.read_bytes() == before


def test_a_key_made_meanwhile_is_not_written_over(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    before = made.path.read_bytes()
    monkeypatch.setattr(Path, "exists", lambda _path: False)
    with pytest.raises(StorageError):
        own.make(folder, "Ann Fitter", answers(""))
    assert made.path.read_bytes() == before


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd",
        "C:\\keys",
        "CON",
        "a/b",
        "..",
        "-rf",
        "Ann Fitter.",
        "名",
        "Łukasz",
        "~",
    ],
)
def test_no_name_of_a_person_leads_out_of_the_folder(folder: Path, name: str) -> None:
    path = own.key_path(folder, name)
    assert path.parent == folder
    stem, dash, code = path.stem.rpartition("-")
    assert (path.suffix, dash, len(code)) == (".key", "-", 8)
    assert stem
    assert all(char.isascii() and (char.isalnum() or char == "-") for char in stem)
    assert not stem.startswith("-")


def test_names_share_a_file_only_if_they_differ_by_case_or_composing(folder: Path) -> None:
    paths = {own.key_path(folder, n) for n in ("Jürgen", "Ju\u0308rgen", "JÜRGEN")}
    assert len(paths) == 1
    others = ("Jurgen", "J. Urgen", "Ann-Fitter", "Ann Fitter", "Ann  Fitter")
    assert len({own.key_path(folder, n) for n in others}) == len(others)


# --- who can look --------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o660, 0o644, 0o610])
def test_a_key_that_others_can_read_is_refused(folder: Path, mode: int) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    made.path.chmod(mode)
    assert refusal(lambda: own.own_key(folder, "Ann Fitter", no_question)) == [
        f"Not signed. Others can look into {made.path}.",
        f'  Type:  chmod 600 "{made.path}"',
    ]


def test_a_folder_that_others_can_look_into_is_refused(folder: Path) -> None:
    own.make(folder, "Ann Fitter", answers(""))
    folder.chmod(0o750)
    cure = f'  Type:  chmod 700 "{folder}"'
    assert refusal(lambda: own.own_key(folder, "Ann Fitter", no_question)) == [
        f"Not signed. Others can look into {folder}.",
        cure,
    ]
    assert refusal(lambda: own.make(folder, "Bert", no_question)) == [
        f"No key was made. Others can look into {folder}.",
        cure,
    ]


def test_who_has_no_key_is_told_so(folder: Path) -> None:
    assert refusal(lambda: own.own_key(folder, "Ann", no_question)) == [
        'Not signed. "Ann" has no key here.'
    ]
    assert own.own_public(folder, "Ann") is None


@NEEDS_KEYGEN
def test_openssh_reads_our_key_with_the_same_fingerprint(folder: Path) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    said = subprocess.run(
        ["ssh-keygen", "-l", "-f", str(made.path)], capture_output=True, text=True, check=True
    )
    assert said.stdout.split()[1] == made.public.fingerprint
    half = subprocess.run(
        ["ssh-keygen", "-y", "-f", str(made.path)], capture_output=True, text=True, check=True
    )
    assert half.stdout.split()[:2] == made.public.line("").split()


# --- kept known, and put out of use --------------------------------------------------------------


def test_an_own_key_is_always_known(folder: Path) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    trust(
        folder,
        "Bert",
        "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAINdamAGCsQq31Uv+08lkBzoO4XLz2qYjJa8CGmj3B1Ea",
    )
    write_known(folder, [each for each in read_known(folder) if each.name == "Bert"])
    own.own_key(folder, "Ann Fitter", no_question)
    assert KnownKey(made.public, "Ann Fitter") in read_known(folder)


def test_a_retired_key_signs_no_more_and_is_not_lost(folder: Path) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    secret = made.path.read_bytes()
    gone = own.retire(folder, "Ann Fitter", AT)
    assert gone == KnownKey(made.public, "Ann Fitter", AT)
    kept = made.path.with_suffix(f".retired-{made.public.hex[:16]}")
    assert kept.read_bytes() == secret
    assert refusal(lambda: own.own_key(folder, "Ann Fitter", no_question)) == [
        'Not signed. "Ann Fitter" has no key here.'
    ]
    new = own.make(folder, "Ann Fitter", answers(""))
    assert new.public != made.public
    assert read_known(folder) == (gone, KnownKey(new.public, "Ann Fitter"))


def test_a_retired_key_put_back_in_place_signs_nothing(folder: Path) -> None:
    made = own.make(folder, "Ann Fitter", answers(""))
    own.retire(folder, "Ann Fitter", AT)
    made.path.with_suffix(f".retired-{made.public.hex[:16]}").rename(made.path)
    assert refusal(lambda: own.own_key(folder, "Ann Fitter", no_question)) == [
        'Not signed. The key of "Ann Fitter" is retired.',
        "  Sign with another:  --key FILE   or without  --key",
    ]


def test_a_key_that_cannot_be_made_known_is_not_made(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_given: object) -> None:
        raise StorageError("Nothing changed. No room.")

    monkeypatch.setattr(own, "write_known", fails)
    with pytest.raises(StorageError):
        own.make(folder, "Ann Fitter", answers(""))
    assert [path.name for path in folder.iterdir() if path.name != KNOWN_FILE] == []


def test_a_key_from_elsewhere_signs_and_is_known_then(folder: Path, tmp_path: Path) -> None:
    path = own.make(tmp_path / "ssh", "whoever", answers("")).path
    signer = own.key_from(folder, "Ann Fitter", path, no_question)
    assert read_known(folder) == (KnownKey(signer.public, "Ann Fitter"),)
    assert own.key_from(folder, "Ann Fitter", path, no_question).public == signer.public
    assert refusal(lambda: own.key_from(folder, "Bert", path, no_question)) == [
        'Not signed. It is known here as the key of "Ann Fitter", not of "Bert".',
        '  Whose it is signs with it:  --by "Ann Fitter"',
    ]
    own.retire(folder, "Ann Fitter", AT)
    assert refusal(lambda: own.key_from(folder, "Ann Fitter", path, no_question)) == [
        'Not signed. The key of "Ann Fitter" is retired.',
        "  Sign with another:  --key FILE   or without  --key",
    ]
    assert path.exists()


def storage(act: Callable[[], object]) -> str:
    with pytest.raises(StorageError) as caught:
        act()
    return caught.value.message


def test_where_no_folder_can_be_made_no_key_is(folder: Path) -> None:
    folder.parent.write_bytes(b"a file")
    assert storage(lambda: own.make(folder, "Ann", no_question)) == (
        f"No key was made. {folder} could not be made (file exists)."
    )
    folder.parent.unlink()
    folder.parent.mkdir()
    folder.write_bytes(b"a file")
    assert storage(lambda: own.make(folder, "Ann", no_question)) == (
        f"No key was made. {folder} is no folder."
    )


def test_a_key_that_cannot_be_written_leaves_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_descriptor: int, _data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    path = own.key_path(folder, "Ann")
    assert storage(lambda: own.make(folder, "Ann", answers(""))) == (
        f"No key was made. {path} could not be written (no space left on device)."
    )
    assert list(folder.iterdir()) == []


def test_a_retired_key_whose_file_cannot_be_renamed_is_retired_all_the_same(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = own.make(folder, "Ann", answers(""))

    def fails(_self: Path, _target: Path) -> Path:
        raise OSError(13, "Permission denied")

    monkeypatch.setattr(Path, "rename", fails)
    assert storage(lambda: own.retire(folder, "Ann", AT)) == (
        f"Retired, but {made.path} could not be named anew (permission denied)."
    )
    assert read_known(folder) == (KnownKey(made.public, "Ann", AT),)
