"""What stands in the two files is taken whole or not at all, and told in our words."""

from __future__ import annotations

from pathlib import Path

import pytest

from bedplate.cabinet import Cabinet
from bedplate.errors import NotUnderstoodError, StorageError

NO_LINE = '  A line reads like  key = "text"'
HEAD = 'format = "bedplate-gauges/1"\n'


def settings_refused(tmp_path: Path, content: str | bytes) -> list[str]:
    """Write the settings and return what is said of them, without the line naming the file."""
    cabinet = Cabinet(tmp_path)
    raw = content.encode() if isinstance(content, str) else content
    cabinet.settings_file.write_bytes(raw)
    with pytest.raises(NotUnderstoodError) as error:
        cabinet.settings({})
    *lines, last = error.value.as_lines()
    assert last == f"  The file:  {cabinet.settings_file}"
    return lines


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (
            'show = "mm"\njust some words\n',
            ['Not read. config.toml: line 2: "just some words"', NO_LINE],
        ),
        (
            "show = thou\n",
            [
                'Not read. config.toml: line 1: "show = thou"',
                '  A text needs straight quotes:  show = "thou"',
            ],
        ),
        (
            'colours = "never"\n',
            ['Not read. config.toml: "colours" is no setting.', "  Nearest: colour"],
        ),
        (
            'colour = "red"\n',
            [
                'Not read. config.toml: colour cannot be "red".',
                "  It is one of: auto, never",
            ],
        ),
        (
            'bell = "true"\n',
            [
                'Not read. config.toml: bell cannot be "true".',
                "  It is one of: true, false, without quotes",
            ],
        ),
        (
            "name = true\n",
            ['Not read. config.toml: name cannot be "true".', "  It reads like:  Ann Fitter"],
        ),
        (
            'zero_check_after = "4"\n',
            [
                'Not read. config.toml: zero_check_after cannot be "4".',
                "  It reads like:  4 h   30 min   50 readings   4 h or 50 readings",
            ],
        ),
        (
            'name = "C:\\new"\n',
            [
                'Not read. config.toml: name has a character that cannot be seen: "C:\\x0aew".',
                '  Between quotes "\\" begins such a character; for a folder type  /',
            ],
        ),
        (
            'usual_gauge = "mic1"\n',
            [
                "Not read. config.toml: usual_gauge is a table.",
                '  [usual_gauge]  then lines like  "in 0..1" = "mic1"',
            ],
        ),
        (
            '[usual_gauge]\n"0..1" = "mic1"\n',
            [
                'Not read. config.toml: usual_gauge cannot have "0..1".',
                "  It reads like:  in 0..1",
            ],
        ),
        (
            '[usual_gauge]\n"in 0..1" = 7.5\n',
            [
                'Not read. config.toml: usual_gauge cannot have "7.5".',
                "  It reads like:  mic1",
            ],
        ),
        (
            'show = "mm"\n'.encode("utf-16"),
            ["Not read. config.toml: it is saved as UTF-16.", "  Save it as UTF-8."],
        ),
        (
            b'# a\nname = "J\xf6rg"\n',
            ["Not read. config.toml: line 2 is not in UTF-8.", "  Save it as UTF-8."],
        ),
    ],
)
def test_settings_that_are_not_understood_are_told(
    tmp_path: Path, content: str | bytes, said: list[str]
) -> None:
    assert settings_refused(tmp_path, content) == said


def test_a_byte_order_mark_and_windows_line_ends_are_taken(tmp_path: Path) -> None:
    cabinet = Cabinet(tmp_path)
    cabinet.settings_file.write_bytes(b'\xef\xbb\xbfshow = "mm"\r\nbell = true\r\n')
    found = cabinet.settings({})
    assert (found.show, found.bell) == ("mm", True)


@pytest.mark.parametrize("content", ["", "\n", "# nothing yet\n"])
def test_an_empty_file_sets_nothing(tmp_path: Path, content: str) -> None:
    cabinet = Cabinet(tmp_path)
    cabinet.settings_file.write_text(content, "utf-8")
    assert cabinet.settings({}).sources == {}


def test_a_folder_in_place_of_the_file_cannot_be_read(tmp_path: Path) -> None:
    cabinet = Cabinet(tmp_path)
    cabinet.settings_file.mkdir()
    with pytest.raises(StorageError) as error:
        cabinet.settings({})
    assert error.value.as_lines()[0].startswith("Not read. ")


def test_a_broken_file_is_not_written_over(tmp_path: Path) -> None:
    cabinet = Cabinet(tmp_path)
    cabinet.settings_file.write_text("nonsense\n", "utf-8")
    with pytest.raises(NotUnderstoodError):
        cabinet.keep_setting("show", "mm")
    assert cabinet.settings_file.read_text("utf-8") == "nonsense\n"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (
            '[mic1]\nresolution = "1 tenth"\n',
            [
                "Not read. gauges.toml: its format is not said.",
                '  Put this line first:  format = "bedplate-gauges/1"',
            ],
        ),
        (
            'format = "bedplate-gauges/2"\n',
            [
                'Not read. gauges.toml: it is of format "bedplate-gauges/2"; this bedplate reads '
                "bedplate-gauges/1."
            ],
        ),
        (
            f'{HEAD}mic1 = "x"\n',
            ['Not read. gauges.toml: "mic1" is no gauge.', "  A gauge begins with a line  [mic1]"],
        ),
        (
            f'{HEAD}[mic1]\nresolutoin = "1 tenth"\n',
            ['Not read. gauges.toml: mic1 has no "resolutoin".', "  Nearest: resolution"],
        ),
        (
            f'{HEAD}[mic1]\nname = "a"\ntitle = "b"\n',
            ["Not read. gauges.toml: mic1 has both name and title; they are the same."],
        ),
        (
            f"{HEAD}[mic1]\nkind = []\n",
            ["Not read. gauges.toml: mic1: kind is not one value."],
        ),
        (
            f"{HEAD}[mic1]\n[MIC1]\n",
            ['Not read. gauges.toml: "mic1" and "MIC1" differ only by case.'],
        ),
    ],
)
def test_gauges_that_are_not_understood_are_told(
    tmp_path: Path, content: str, said: list[str]
) -> None:
    cabinet = Cabinet(tmp_path)
    cabinet.gauges_file.write_text(content, "utf-8")
    with pytest.raises(NotUnderstoodError) as error:
        cabinet.gauges()
    assert error.value.as_lines()[:-1] == said
