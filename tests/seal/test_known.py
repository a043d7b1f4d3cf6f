from __future__ import annotations

import shutil
import stat
import subprocess
from pathlib import Path

import pytest

from bedplate.errors import BedplateError, NotUnderstoodError, RefusedError, StorageError
from bedplate.seal.keys import PublicKey, public_key
from bedplate.seal.known import KNOWN_FILE, KnownKey, read_known, retire, trust, write_known

ONE = public_key(bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"))
TWO = public_key(bytes.fromhex("3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c"))
THREE = public_key(
    bytes.fromhex("fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025")
)
AT = "2025-11-24T15:40:00+01:00"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "bedplate" / "keys"


def refused(folder: Path, name: str, line: str) -> str:
    before = read_known(folder)
    with pytest.raises(BedplateError) as caught:
        trust(folder, name, line)
    assert read_known(folder) == before
    return "\n".join(caught.value.as_lines())


def test_nobody_is_known_where_there_is_no_file(folder: Path) -> None:
    assert read_known(folder) == ()


def test_a_trusted_key_is_known_under_the_name_given_to_it(folder: Path) -> None:
    known = trust(folder, "Ann Fitter", ONE.line("whatever@else"))
    assert known == KnownKey(ONE, "Ann Fitter")
    assert read_known(folder) == (known,)
    assert (folder / KNOWN_FILE).read_text() == (
        "# bedplate-known/1: the keys known here, each with whose it is\n"
        f"{ONE.line('Ann Fitter')}\n"
    )
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_trusting_a_key_twice_changes_nothing(folder: Path) -> None:
    trust(folder, "Ann Fitter", ONE.line(""))
    before = (folder / KNOWN_FILE).read_bytes()
    trust(folder, "Ann Fitter", ONE.line("again"))
    assert (folder / KNOWN_FILE).read_bytes() == before


def test_a_person_may_have_two_keys_but_a_key_is_one_persons(folder: Path) -> None:
    trust(folder, "Ann Fitter", ONE.line(""))
    trust(folder, "Ann Fitter", TWO.line(""))
    assert refused(folder, "Bert", TWO.line("")) == (
        'Not trusted. That key is known here as "Ann Fitter".\n  One key is one person\'s.'
    )


def test_names_that_differ_only_by_case_are_refused(folder: Path) -> None:
    trust(folder, "Ann Fitter", ONE.line(""))
    assert refused(folder, "ann fitter", TWO.line("")) == (
        'Not trusted. "ann fitter" differs only by case from "Ann Fitter", who is known here.\n'
        "  Give the name as it is known."
    )


def test_a_weak_or_foreign_key_is_not_trusted(folder: Path) -> None:
    weak = PublicKey(bytes([1, *[0] * 31])).line("")
    assert refused(folder, "Eve", weak) == (
        "Not trusted. It is a key of small order: anybody can sign under it.\n"
        "  Whose it is sees the right line with:  bedplate key show"
    )
    assert refused(folder, "Eve", "ssh-rsa AAAA").splitlines()[0] == (
        "Not trusted. It is a key of the kind ssh-rsa."
    )
    assert refused(folder, "Eve", "sk-ssh-ed25519@openssh.com AAAA").splitlines()[0] == (
        "Not trusted. A key held in a security token signs other bytes than a seal's."
    )
    assert refused(folder, "E\x1bve", ONE.line("")).splitlines()[0] == (
        'Nothing changed. "E\\x1bve" cannot stand as a name beside a key.'
    )


def test_a_retired_key_stays_known_with_its_day(folder: Path) -> None:
    trust(folder, "Ann Fitter", ONE.line(""))
    trust(folder, "Bert", TWO.line(""))
    assert retire(folder, "Ann Fitter", AT) == KnownKey(ONE, "Ann Fitter", AT)
    assert read_known(folder) == (KnownKey(ONE, "Ann Fitter", AT), KnownKey(TWO, "Bert"))
    assert refused(folder, "Ann Fitter", ONE.line("")) == (
        f"Not trusted. That key was retired on {AT}."
    )


def test_of_several_keys_the_one_to_retire_is_named_by_its_fingerprint(folder: Path) -> None:
    trust(folder, "Ann Fitter", ONE.line(""))
    trust(folder, "Ann Fitter", TWO.line(""))
    with pytest.raises(NotUnderstoodError) as caught:
        retire(folder, "Ann Fitter", AT)
    assert caught.value.as_lines() == [
        'Nothing changed. "Ann Fitter" has 2 keys here.',
        "  Name the one:",
        f"  bedplate key retire {ONE.fingerprint}",
        f"  bedplate key retire {TWO.fingerprint}",
    ]
    assert retire(folder, TWO.fingerprint, AT).key == TWO
    assert retire(folder, "Ann Fitter", AT).key == ONE


def test_retiring_a_stranger_names_who_is_known(folder: Path) -> None:
    trust(folder, "Ann Fitter", ONE.line(""))
    with pytest.raises(NotUnderstoodError) as caught:
        retire(folder, "Ann Fiter", AT)
    assert caught.value.as_lines() == [
        'Nothing changed. No key of "Ann Fiter" is in use here.',
        "  Nearest: Ann Fitter",
    ]


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("ssh-rsa AAAA Eve", "Line 2 of the keys known here: It is a key of the kind ssh-rsa."),
        ("hello", "Line 2 of the keys known here: It is no public key as OpenSSH writes it."),
        (
            ONE.line("").strip(),
            'Line 2 of the keys known here: "" cannot stand as a name beside a key.',
        ),
        (
            f'retired="2025-13-24T15:40:00+01:00" {ONE.line("Ann")}',
            'Line 2 of the keys known here: "2025-13-24T15:40:00+01:00" is no time with its '
            "offset from UTC.",
        ),
        (
            f"{ONE.line('Ann')}\n{ONE.line('Bert')}",
            "Line 3 of the keys known here is a key that stands there before.",
        ),
    ],
)
def test_a_line_that_is_none_is_named(folder: Path, line: str, message: str) -> None:
    folder.mkdir(parents=True)
    (folder / KNOWN_FILE).write_text(f"# mine\n{line}\n")
    with pytest.raises(NotUnderstoodError) as caught:
        read_known(folder)
    assert caught.value.message == f"Not read. {message}"
    assert caught.value.hint[-1] == f"The file:  {folder / KNOWN_FILE}"


def test_blank_lines_and_remarks_are_passed_over(folder: Path) -> None:
    folder.mkdir(parents=True)
    (folder / KNOWN_FILE).write_text(f"# a\n\n{ONE.line('Ann')}\r\n  \n#b\n{TWO.line('Bert')}")
    assert read_known(folder) == (KnownKey(ONE, "Ann"), KnownKey(TWO, "Bert"))


def test_a_file_that_cannot_be_written_stays_as_it_was(folder: Path) -> None:
    folder.mkdir(parents=True)
    (folder / KNOWN_FILE).mkdir()
    with pytest.raises(StorageError) as caught:
        write_known(folder, [KnownKey(THREE, "Ann")])
    assert caught.value.message.startswith("Nothing changed. ")
    assert [path.name for path in folder.iterdir()] == [KNOWN_FILE]


@pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="OpenSSH is not installed")
def test_ssh_keygen_reads_the_file_too(folder: Path) -> None:
    trust(folder, "Ann Fitter", ONE.line(""))
    trust(folder, "Bert", TWO.line(""))
    retire(folder, "Ann Fitter", AT)
    said = subprocess.run(
        ["ssh-keygen", "-lf", str(folder / KNOWN_FILE)], capture_output=True, text=True, check=True
    )
    prints = [line.split()[1] for line in said.stdout.splitlines()]
    assert prints == [ONE.fingerprint, TWO.fingerprint]


def test_two_who_are_refused_are_refused_with_the_exit_code_of_a_no(folder: Path) -> None:
    with pytest.raises(RefusedError) as caught:
        trust(folder, "Eve", "ssh-rsa AAAA")
    assert caught.value.exit_code == 1


def test_a_list_that_cannot_be_read_or_is_no_list_is_said(folder: Path) -> None:
    path = folder / KNOWN_FILE
    path.mkdir(parents=True)
    with pytest.raises(StorageError) as caught:
        read_known(folder)
    assert caught.value.message == f"Not read. {path} could not be read (is a directory)."
    path.rmdir()
    path.write_bytes(b"#" * ((1 << 20) + 1))
    with pytest.raises(StorageError) as caught:
        read_known(folder)
    assert caught.value.message == f"Not read. {path} is larger than 1 MiB."
