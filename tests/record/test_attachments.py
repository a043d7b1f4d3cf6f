from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path

import pytest

from bedplate.errors import StorageError
from bedplate.record.attachments import (
    AttachmentFact,
    check_attachments,
    folder_of,
    kept_at,
    store,
    store_again,
    store_bytes,
)
from bedplate.record.entries import Attachment

PHOTO = b"\xff\xd8 a photo of the bore"
DIGEST = sha256(PHOTO).hexdigest()


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return tmp_path / "shed" / "pump.job.jsonl"


@pytest.fixture
def photo(tmp_path: Path, job: Path) -> Path:
    job.parent.mkdir()
    path = tmp_path / "IMG 0007.JPG"
    path.write_bytes(PHOTO)
    return path


def numbered(entry: Attachment, n: int = 7) -> Attachment:
    return entry.model_copy(update={"n": n})


def state(job: Path, entry: Attachment) -> str:
    (fact,) = check_attachments(job, [numbered(entry)])
    return fact.state


def refusal(job: Path, source: Path) -> list[str]:
    with pytest.raises(StorageError) as caught:
        store(job, source)
    return caught.value.as_lines()


def test_a_file_is_kept_under_its_hash_and_its_own_name_is_text(job: Path, photo: Path) -> None:
    entry = store(job, photo, "gear.idler")
    assert entry == Attachment(
        file=f"pump.files/{DIGEST[:16]}.jpg",
        name="IMG 0007.JPG",
        sha256=DIGEST,
        place="gear.idler",
    )
    assert [path.name for path in folder_of(job).iterdir()] == [f"{DIGEST[:16]}.jpg"]
    assert (job.parent / entry.file).read_bytes() == PHOTO
    assert photo.read_bytes() == PHOTO


def test_the_same_bytes_are_kept_once(job: Path, photo: Path) -> None:
    first = store(job, photo)
    inode = (job.parent / first.file).stat().st_ino
    other = photo.with_name("again.jpg")
    other.write_bytes(PHOTO)
    second = store(job, other)
    assert (second.file, second.name) == (first.file, "again.jpg")
    assert (job.parent / first.file).stat().st_ino == inode


@pytest.mark.parametrize(
    ("name", "ending"),
    [
        ("a.tar.gz", ".gz"),
        ("a", ""),
        (".hidden", ""),
        ("a.", ""),
        ("a.jpg ", ""),
        ("a.j\u00fcg", ""),
        ("a.verylongending", ""),
        ("a.PDF", ".pdf"),
    ],
)
def test_only_a_plain_ending_is_kept(job: Path, photo: Path, name: str, ending: str) -> None:
    source = photo.with_name(name)
    source.write_bytes(PHOTO)
    entry = store(job, source)
    assert (entry.file, entry.name) == (f"pump.files/{DIGEST[:16]}{ending}", name)
    assert state(job, entry) == "whole"


def test_a_name_that_is_no_utf_8_is_kept_as_text_all_the_same(job: Path, photo: Path) -> None:
    source = os.fsencode(photo.parent) + b"/b\xf8re.jpg"
    Path(os.fsdecode(source)).write_bytes(PHOTO)
    entry = store(job, Path(os.fsdecode(source)))
    assert entry.name == "b\ufffdre.jpg"
    assert state(job, entry) == "whole"


def test_a_job_whose_name_is_no_utf_8_takes_no_attachment(job: Path, photo: Path) -> None:
    odd = job.with_name(os.fsdecode(b"p\xf8mp.job.jsonl"))
    assert refusal(odd, photo)[0].endswith(".files is no name in UTF-8, so no entry can give it.")


def test_what_cannot_be_read_is_not_kept(job: Path, photo: Path) -> None:
    pipe = photo.with_name("pipe.jpg")
    os.mkfifo(pipe)
    assert refusal(job, pipe) == [
        f"Not recorded. {pipe} is no plain file.",
        "  A folder can be attached once it is zipped.",
    ]
    assert refusal(job, photo.parent)[0] == f"Not recorded. {photo.parent} is no plain file."
    none = photo.with_name("none.jpg")
    assert refusal(job, none) == [
        "Not recorded. none.jpg could not be kept (no such file or directory)."
    ]
    assert list(folder_of(job).iterdir()) == []


def test_a_copy_that_fails_half_way_leaves_nothing(
    job: Path, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_descriptor: int, _data: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    assert refusal(job, photo) == [
        "Not recorded. IMG 0007.JPG could not be kept (no space left on device)."
    ]
    assert list(folder_of(job).iterdir()) == []


def test_another_file_in_its_place_is_not_written_over(job: Path, photo: Path) -> None:
    entry = store(job, photo)
    kept = job.parent / entry.file
    kept.write_bytes(b"something else")
    assert refusal(job, photo) == [
        f"Not recorded. Its place is taken by something else:  {kept}",
        "  An attachment was altered. Type:  bedplate verify",
    ]
    assert kept.read_bytes() == b"something else"
    assert len(list(kept.parent.iterdir())) == 1


# --- checking ------------------------------------------------------------------------------------


def test_the_state_of_every_attachment_is_told(job: Path, photo: Path) -> None:
    whole = numbered(store(job, photo), 7)
    gone = numbered(store_bytes(job, b"one", "one.txt"), 9)
    changed = numbered(store_bytes(job, b"two", "two.txt"), 11)
    (job.parent / gone.file).unlink()
    (job.parent / changed.file).write_bytes(b"too")
    assert check_attachments(job, [whole, gone, changed]) == (
        AttachmentFact(7, whole.file, "IMG 0007.JPG", "whole"),
        AttachmentFact(9, gone.file, "one.txt", "missing"),
        AttachmentFact(11, changed.file, "two.txt", "altered"),
    )


def test_attachments_of_a_folder_that_is_gone_are_missing(job: Path, photo: Path) -> None:
    entry = store(job, photo)
    folder_of(job).rename(job.parent / "elsewhere")
    assert state(job, entry) == "missing"
    folder_of(job).write_bytes(b"a file in its place")
    assert state(job, entry) == "missing"


def test_a_job_under_another_name_finds_its_attachments(job: Path, photo: Path) -> None:
    entry = store(job, photo)
    assert state(job.with_name("renamed.job.jsonl"), entry) == "whole"


def test_a_link_a_pipe_or_a_folder_in_its_place_is_altered(job: Path, photo: Path) -> None:
    entry = store(job, photo)
    kept = job.parent / entry.file
    kept.unlink()
    kept.symlink_to(photo)
    assert state(job, entry) == "altered"
    kept.unlink()
    os.mkfifo(kept)
    assert state(job, entry) == "altered"
    kept.unlink()
    kept.mkdir()
    assert state(job, entry) == "altered"


@pytest.mark.parametrize(
    "file",
    [
        "/etc/passwd",
        "../pump.files/{hash}.jpg",
        "a/pump.files/{hash}.jpg",
        "pump.files/../{hash}.jpg",
        "pump.files/{hash}.jpg/",
        "pump.files//{hash}.jpg",
        "pump.files/{hash}.jpg.exe",
        "pump.files/{hash}.JPG",
        "pump/{hash}.jpg",
        ".files/{hash}.jpg\n",
        "{hash}.jpg",
        "pump.files/0000000000000000.jpg",
        "pump.files/\x00{hash}",
    ],
)
def test_no_entry_leads_out_of_the_folder_of_attachments(
    job: Path, photo: Path, file: str
) -> None:
    store(job, photo)
    entry = Attachment(file=file.format(hash=DIGEST[:16]), name="x.jpg", sha256=DIGEST)
    assert kept_at(job, entry) is None
    assert state(job, entry) == "altered"


# --- from another copy ---------------------------------------------------------------------------


def test_what_another_copy_attached_is_kept_here_too(job: Path, photo: Path) -> None:
    other = job.parent.parent / "boat" / "pump.job.jsonl"
    other.parent.mkdir()
    theirs = numbered(store(other, photo, "gear.idler"))
    ours = store_again(job, other, theirs)
    assert (ours.file, ours.name, ours.sha256, ours.place) == (
        theirs.file,
        "IMG 0007.JPG",
        DIGEST,
        "gear.idler",
    )
    assert state(job, ours) == "whole"


def test_what_another_copy_lost_is_not_taken(job: Path, photo: Path) -> None:
    other = job.parent.parent / "boat" / "pump.job.jsonl"
    other.parent.mkdir()
    theirs = numbered(store(other, photo))
    (other.parent / theirs.file).unlink()
    with pytest.raises(StorageError) as caught:
        store_again(job, other, theirs)
    assert caught.value.message == (
        'Not recorded. The attachment "IMG 0007.JPG" (entry 7 of the other copy) is not there as '
        "it was attached."
    )
    assert not folder_of(job).exists()
