"""The file is for others too: it is read, and its seals are checked, without bedplate."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest
from signed_jobs import ANN, BERT, KNOWN, Pen, reading

from bedplate.record import entries as e
from bedplate.seal.verify import verify

DATA = Path(__file__).parent / "data"
GOLDEN = DATA / "format-1.job.jsonl"
EXPECTED = DATA / "format-1.verify.json"


def golden() -> bytes:
    """Return a job with every turn that a seal can see, from fixed keys and a fixed clock."""
    pen = Pen().open(customer="J. Skipper", machine="harbour launch", serial="7")
    pen.write(e.GaugeDescribed(gauge={"name": "mic1", "kind": "micrometer"}))
    pen.write(reading("D", "1.0000 in", gauge="mic1", note="schräg eingespannt"))
    pen.write(reading("D", "1.0010 in"), e.Strike(entry=4, why="one turn of the thimble"))
    pen.write(e.Finding(severity="watch", place="body", note='a "bright" line'))
    pen.sign(at="2025-11-24T16:00:00+01:00")
    pen.sign(BERT, at="2025-11-24T16:05:00+01:00")
    pen.write(reading("W", "1.0004 in"), at="2025-11-25T09:00:00+01:00")
    pen.sign(moment="first run", at="2025-11-25T09:30:00+01:00")
    return pen.data


def run(script: str, path: Path) -> subprocess.CompletedProcess[str]:
    words = [sys.executable, "-I", str(DATA / script), str(path)]
    return subprocess.run(words, capture_output=True, text=True, check=False)


def test_format_1_is_read_and_written_for_ever_as_it_was() -> None:
    assert golden() == GOLDEN.read_bytes()
    found = verify(GOLDEN.read_bytes(), KNOWN).as_json()
    assert found == json.loads(EXPECTED.read_text("utf-8"))
    assert found["ok"]
    assert found["signed"] == ["handover", "first run"]


def test_a_reader_of_forty_lines_reads_the_file() -> None:
    said = run("reader.py", GOLDEN)
    link = sha256(GOLDEN.read_bytes().splitlines(keepends=True)[-1]).hexdigest()
    lines = said.stdout.splitlines()
    assert (said.returncode, said.stderr) == (0, "")
    assert lines[2] == (
        "   3  2025-11-24T15:40:00+01:00  Ann Fitter  reading  address D, value 1.0000 in, "
        "gauge mic1, note schräg eingespannt"
    )
    assert lines[-1] == f"10 entries, head {link}"
    assert len(lines) == 10, "all but the one struck, and the head"
    source = (DATA / "reader.py").read_text("utf-8")
    assert len(source.splitlines()) <= 46
    assert "bedplate." not in source


def test_that_reader_sees_a_line_that_was_altered(tmp_path: Path) -> None:
    path = tmp_path / "altered.job.jsonl"
    path.write_bytes(GOLDEN.read_bytes().replace(b"1.0000 in", b"1.0001 in"))
    said = run("reader.py", path)
    assert said.returncode == 1
    assert said.stdout == "line 4 does not follow on the line before it\n"


def test_stock_cryptography_checks_the_seals(tmp_path: Path) -> None:
    said = run("check_seal.py", GOLDEN)
    assert (said.returncode, said.stderr) == (0, "")
    assert said.stdout.splitlines() == [
        "entry 7: Ann Fitter sealed 6 entries",
        "entry 8: Bert Witness sealed 7 entries",
        "entry 10: Ann Fitter sealed 9 entries",
    ]
    for old, new in ((b"1.0000 in", b"1.0001 in"), (b"Done as", b"Gone as")):
        path = tmp_path / "altered.job.jsonl"
        path.write_bytes(GOLDEN.read_bytes().replace(old, new))
        assert run("check_seal.py", path).returncode == 1


@pytest.mark.skipif(shutil.which("openssl") is None, reason="OpenSSL is not installed")
def test_openssl_checks_a_seal(tmp_path: Path) -> None:
    entry = json.loads(GOLDEN.read_bytes().splitlines()[6])
    der = bytes.fromhex("302a300506032b6570032100" + entry["key"])  # RFC 8410 section 10.1
    files = {
        "key.der": der,
        "sealed.txt": entry["sealed"].encode(),
        "signature.bin": bytes.fromhex(entry["signature"]),
    }
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)
    words = ["openssl", "pkeyutl", "-verify", "-rawin", "-pubin", "-keyform", "DER"]
    words += ["-inkey", "key.der", "-in", "sealed.txt", "-sigfile", "signature.bin"]
    said = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (said.returncode, said.stdout.strip()) == (0, "Signature Verified Successfully")
    (tmp_path / "sealed.txt").write_bytes(files["sealed.txt"].replace(b"Ann", b"Eve"))
    assert subprocess.run(words, cwd=tmp_path, capture_output=True, check=False).returncode == 1


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum here")
def test_head_and_sha256sum_find_what_a_seal_covers() -> None:
    lines = GOLDEN.read_bytes().splitlines(keepends=True)
    sealed = json.loads(lines[6])["sealed"]
    said = subprocess.run(
        ["sha256sum"], input=b"".join(lines[:6]), capture_output=True, check=True
    )
    assert f"sha256: {said.stdout.split()[0].decode()}\n" in sealed
    assert ANN.public.hex in sealed
