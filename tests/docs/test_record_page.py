"""``docs/record.md`` tells the format as it is, and names tests that there are."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from bedplate.record.entries import KINDS
from bedplate.seal.sealed import Sealed, sealed_text

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "record.md").read_text("utf-8")
COMMON = {"n", "at", "by", "kind", "note", "done_at", "from_file", "taken", "prev"}


def section(heading: str) -> str:
    """Return what stands under a heading of the page."""
    found = re.search(rf"^## {heading}\n(.*?)(?=^## |\Z)", PAGE, re.M | re.S)
    assert found is not None, heading
    return found[1]


def script(name: str) -> str:
    """Return a script that the page gives in full."""
    found = re.search(rf"^```python {re.escape(name)}\n(.*?)^```$", PAGE, re.M | re.S)
    assert found is not None, name
    return found[1]


# --- the format --------------------------------------------------------------------------------


def told() -> dict[str, list[str]]:
    """Return the kinds of entry the page tells of, with their fields in its order."""
    items = re.findall(
        r"^- `([a-z-]+)`:(.*?)(?=^- |^$|\Z)", section("What a line holds"), re.M | re.S
    )
    return {kind: re.findall(r"`([a-z_0-9]+)`", says) for kind, says in items}


def test_the_page_tells_of_every_kind_of_entry() -> None:
    assert list(told()) == list(KINDS)
    assert f"There are {len(KINDS)} kinds." in PAGE


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_tells_of_every_field_in_its_order(kind: str) -> None:
    fields = [info.alias or name for name, info in KINDS[kind].model_fields.items()]
    assert told()[kind] == [field for field in fields if field not in COMMON]


def test_the_page_names_what_every_entry_has() -> None:
    text = section("What a line holds")
    assert {field for field in COMMON if f"`{field}`" not in text} == set()


def test_the_sealed_text_of_the_page_is_spelled_as_bedplate_spells_it() -> None:
    found = re.search(r"^```text\n(bedplate-seal/1\n.*?)^```$", PAGE, re.M | re.S)
    assert found is not None
    said = dict(line.split(": ", 1) for line in found[1].splitlines()[1:])
    entries = int(said.pop("entries"))
    assert sealed_text(Sealed(entries=entries, **said)) == found[1]


# --- the scripts -------------------------------------------------------------------------------


def test_the_reader_of_the_page_is_the_one_that_is_tried_on_the_kept_files() -> None:
    tried = (ROOT / "tests" / "seal" / "data" / "reader.py").read_text("utf-8")
    lines = [line for line in tried.splitlines() if not line.startswith("# ruff: ")]
    assert re.sub(r"\n{3}(?=import)", "\n\n", "\n".join(lines) + "\n") == script("reader.py")
    assert len(lines) <= 40
    assert imported(script("reader.py")) == {"hashlib", "json", "sys"}


def test_ten_lines_check_a_seal() -> None:
    text = script("check_seal.py")
    lines = [line for line in text.splitlines() if line and "import" not in line]
    assert len(lines) <= 10
    assert imported(text) == {"hashlib", "json", "sys", "cryptography"}


def imported(text: str) -> set[str]:
    """Return the packages that a script imports."""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add((node.module or "").partition(".")[0])
    return found


# --- the promises ------------------------------------------------------------------------------


def promises() -> Iterator[tuple[str, str, bool]]:
    """Yield file and name of every test that the page names, and whether it calls it slow."""
    items = re.findall(
        r"^- .*?$(.*?)(?=^- |^\*\*|^\*Not|\Z)",
        section("What is promised, and what holds it"),
        re.M | re.S,
    )
    for item in items:
        assert " Test: " in item, item
        assert re.search(r"^  Seen: \S", item, re.M), item
        file = ""
        for word in re.findall(r"`([\w/.]+)`", item):
            if word.startswith("tests/"):
                file = word
            elif word.startswith("test_"):
                yield file, word, "(slow)" in item


def test_the_page_has_its_promises() -> None:
    assert len(list(promises())) > 25


@pytest.mark.parametrize(("file", "name", "slow"), list(promises()))
def test_a_promise_names_a_test_that_there_is(file: str, name: str, *, slow: bool) -> None:
    tree = ast.parse((ROOT / file).read_text("utf-8"))
    found = [node for node in tree.body if isinstance(node, ast.FunctionDef) and node.name == name]
    assert len(found) == 1, f"{file} has no {name}"
    marks = [ast.unparse(mark) for mark in found[0].decorator_list]
    assert ("pytest.mark.slow" in marks) is slow


def test_the_bits_of_the_page_are_those_that_are_turned(signed_job: bytes) -> None:
    text = section("What is promised, and what holds it")
    assert f"{8 * len(signed_job):,} bits turned, {8 * len(signed_job):,} found" in text
    assert f"{len(signed_job):,} lengths" in text
    assert f"each of {len(signed_job):,} places" in text


@pytest.fixture
def signed_job() -> bytes:
    from signed_jobs import signed_job as made  # noqa: PLC0415 - keys are made at its import

    return made()
