"""The cabinet: settings and gauges kept, read back, and refused whole where one word is wrong."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bedplate.cabinet import Cabinet, home_folder
from bedplate.cabinet.gauges import KEYS
from bedplate.errors import BedplateError, NotUnderstoodError, StorageError


@pytest.fixture
def cabinet(tmp_path: Path) -> Cabinet:
    """Return a cabinet that does not exist yet."""
    return Cabinet(tmp_path / "home")


def said(error: pytest.ExceptionInfo[BedplateError]) -> list[str]:
    """Return what a failure prints."""
    return error.value.as_lines()


def test_the_home_is_the_one_named_or_that_of_the_system(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert home_folder({"BEDPLATE_HOME": "share/bench"}) == Path("share/bench")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert home_folder({}).name == "bedplate"
    assert not home_folder({}).exists()


# --- settings ---------------------------------------------------------------------------------


def test_without_a_file_everything_is_built_in(cabinet: Cabinet) -> None:
    found = cabinet.settings({})
    assert (found.name, found.show, found.zero_check_after) == (None, "as entered", "4 h")
    assert found.source("show") == "built in"
    assert not cabinet.home.exists()


def test_the_environment_goes_before_the_file(cabinet: Cabinet) -> None:
    cabinet.keep_setting("name", "Ann Fitter")
    assert cabinet.settings({}).source("name") == "config.toml"
    found = cabinet.settings({"BEDPLATE_BY": "Bo Turner"})
    assert (found.name, found.source("name")) == ("Bo Turner", "$BEDPLATE_BY")
    assert cabinet.settings({"BEDPLATE_BY": ""}).name == "Ann Fitter"


def test_one_setting_is_changed_and_everything_else_stays(cabinet: Cabinet) -> None:
    cabinet.home.mkdir()
    cabinet.settings_file.write_text(
        '# mine\nshow = "thou"  # at the bench\n\n[usual_gauge]  # by range\n"in 0..1" = "mic1"\n',
        "utf-8",
    )
    cabinet.keep_setting("show", "mm")
    cabinet.keep_setting("bell", "yes")
    cabinet.keep_setting("usual_gauge.in 1..2", "mic2")
    assert cabinet.settings_file.read_text("utf-8") == (
        '# mine\nshow = "mm"  # at the bench\nbell = true\n\n[usual_gauge]  # by range\n'
        '"in 0..1" = "mic1"\n"in 1..2" = "mic2"\n'
    )
    found = cabinet.settings({})
    assert (found.show, found.bell) == ("mm", True)
    assert found.usual_gauge == {"in 0..1": "mic1", "in 1..2": "mic2"}


def test_a_setting_taken_out_is_built_in_again(cabinet: Cabinet) -> None:
    cabinet.keep_setting("show", "mm")
    cabinet.keep_setting("usual_gauge.in 0..1", "mic1")
    assert cabinet.drop_setting("show")
    assert cabinet.drop_setting("usual_gauge.in 0..1")
    assert not cabinet.drop_setting("show")
    assert not cabinet.drop_setting("usual_gauge.in 0..1")
    assert cabinet.settings({}).source("show") == "built in"


def test_a_wrong_setting_can_be_put_right(cabinet: Cabinet) -> None:
    cabinet.home.mkdir()
    cabinet.settings_file.write_text('colour = "red"\n', "utf-8")
    cabinet.keep_setting("colour", "never")
    assert cabinet.settings({}).colour == "never"


def test_usual_gauges_that_are_no_table_are_not_written_over(cabinet: Cabinet) -> None:
    cabinet.home.mkdir()
    cabinet.settings_file.write_text('usual_gauge = "mic1"\n', "utf-8")
    with pytest.raises(NotUnderstoodError) as error:
        cabinet.keep_setting("usual_gauge.in 0..1", "mic1")
    assert said(error) == ["Nothing changed. usual_gauge in config.toml is not a table."]


# --- gauges -----------------------------------------------------------------------------------


def test_a_gauge_is_kept_and_read_back(cabinet: Cabinet) -> None:
    described = {
        "title": "0 to 1 in micrometer",
        "kind": "micrometer",
        "range": "0..1 in",
        "resolution": "1 tenth",
        "max_error": "1 tenth",
        "due": "2026-03-01",
    }
    cabinet.keep_gauge("mic1", described)
    assert cabinet.gauges_file.read_text("utf-8") == (
        'format = "bedplate-gauges/1"\n\n[mic1]\nname = "0 to 1 in micrometer"\n'
        'kind = "micrometer"\nrange = "0..1 in"\nresolution = "1 tenth"\n'
        'max_error = "1 tenth"\ndue = "2026-03-01"\n'
    )
    assert cabinet.gauges() == {"mic1": described}
    assert cabinet.gauge_described("MIC1") == {"name": "mic1", **described}


def test_a_gauge_described_anew_says_that_and_nothing_else(cabinet: Cabinet) -> None:
    cabinet.home.mkdir()
    cabinet.gauges_file.write_text(
        'format = "bedplate-gauges/1"\n# the good ones\n[mic1]\ntitle = "old"  # from Ann\n'
        'serial = "7"\nresolution = 0.0001\n\n[mic2]\nresolution = "1 tenth"\n',
        "utf-8",
    )
    cabinet.keep_gauge("Mic1", {"title": "new", "resolution": "1 tenth"})
    assert cabinet.gauges_file.read_text("utf-8") == (
        'format = "bedplate-gauges/1"\n# the good ones\n[mic1]\ntitle = "new"  # from Ann\n'
        'resolution = "1 tenth"\n\n[mic2]\nresolution = "1 tenth"\n'
    )


def test_figures_and_days_without_quotes_keep_their_digits(cabinet: Cabinet) -> None:
    cabinet.home.mkdir()
    cabinet.gauges_file.write_text(
        'format = "bedplate-gauges/1"\n[mic1]\nresolution = 0.00010\nserial = 12\n'
        "expansion = 11.50e-6\ndue = 2026-03-01\n",
        "utf-8",
    )
    assert cabinet.gauges()["mic1"] == {
        "resolution": "0.00010",
        "expansion": "11.50e-6",
        "serial": "12",
        "due": "2026-03-01",
    }


def test_an_unknown_gauge_is_answered_with_near_names(cabinet: Cabinet) -> None:
    cabinet.keep_gauge("mic1", {"resolution": "1 tenth"})
    with pytest.raises(NotUnderstoodError) as error:
        cabinet.gauge_described("mik1")
    assert said(error) == [
        'Not recorded. There is no gauge "mik1" in your cabinet yet.',
        "  Nearest: mic1",
        '  Describe it once:  bedplate gauge add mik1 --resolution "1 tenth"',
        "  Or leave --gauge out: then only the last digit typed counts as doubt.",
    ]


def test_an_unknown_gauge_with_an_odd_name_is_not_put_into_a_command(cabinet: Cabinet) -> None:
    with pytest.raises(NotUnderstoodError) as error:
        cabinet.gauge_described("mic\x1b;rm")
    assert said(error)[:2] == [
        'Not recorded. There is no gauge "mic\\x1b;rm" in your cabinet yet.',
        '  Describe it once:  bedplate gauge add NAME --resolution "1 tenth"',
    ]


@pytest.mark.parametrize(
    ("name", "described", "line"),
    [
        ("a b", {}, 'Not added. "a b" is no name for a gauge.'),
        ("format", {}, 'Not added. "format" is no name for a gauge.'),
        ("TG/MIC", {}, 'Not added. "TG/MIC" is no name for a gauge.'),
        ("-x", {}, 'Not added. "-x" is no name for a gauge.'),
        ("mic1", {"colour": "red"}, 'Not added. mic1 has no "colour".'),
        ("mic1", {"kind": " "}, "Not added. mic1: kind says nothing."),
        ("mic1", {"due": "1/3/26"}, 'Not added. mic1: due is "1/3/26", no day.'),
        ("mic1", {"due": "20260301"}, 'Not added. mic1: due is "20260301", no day.'),
        (
            "mic1",
            {"title": "a\x07"},
            'Not added. mic1: title has a character that cannot be seen: "a\\x07".',
        ),
        ("mic1", {"title": "x" * 4001}, "Not added. mic1: title is longer than 4000 characters."),
    ],
)
def test_a_gauge_that_cannot_be_is_not_added(
    cabinet: Cabinet, name: str, described: dict[str, str], line: str
) -> None:
    with pytest.raises(NotUnderstoodError) as error:
        cabinet.keep_gauge(name, described)
    assert said(error)[0] == line
    assert not cabinet.home.exists()


texts = st.text(
    alphabet=st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp")), min_size=1
).filter(lambda text: text == text.strip())


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
@given(st.dictionaries(st.sampled_from([key for key in KEYS if key != "due"]), texts))
def test_whatever_is_said_of_a_gauge_comes_back(
    cabinet: Cabinet, described: dict[str, str]
) -> None:
    cabinet.keep_gauge("mic1", described)
    assert cabinet.gauges() == {"mic1": described}


# --- writing ----------------------------------------------------------------------------------


@pytest.mark.skipif(os.name == "nt", reason="links and modes of a POSIX system")
def test_a_link_stays_a_link_and_a_mode_stays_a_mode(cabinet: Cabinet, tmp_path: Path) -> None:
    kept = tmp_path / "dotfiles.toml"
    kept.write_text("# kept elsewhere\n", "utf-8")
    kept.chmod(0o640)
    cabinet.home.mkdir()
    cabinet.settings_file.symlink_to(kept)
    cabinet.keep_setting("show", "mm")
    assert cabinet.settings_file.is_symlink()
    assert kept.read_text("utf-8") == '# kept elsewhere\nshow = "mm"\n'
    assert stat.S_IMODE(kept.stat().st_mode) == 0o640


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside(
    cabinet: Cabinet, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    cabinet.keep_setting("show", "mm")

    def failing(*_: object) -> None:
        raise OSError(28, "No space left on device")

    if step == "fsync":
        monkeypatch.setattr(os, "fsync", failing)
    else:
        monkeypatch.setattr(Path, "replace", failing)
    with pytest.raises(StorageError) as error:
        cabinet.keep_setting("show", "in")
    assert said(error) == [
        f'Not kept. "{cabinet.settings_file}" cannot be written: No space left on device.'
        if len(str(cabinet.settings_file)) <= 60
        else said(error)[0],
        "  It is as it was.",
    ]
    assert cabinet.settings_file.read_text("utf-8") == 'show = "mm"\n'
    assert list(cabinet.home.iterdir()) == [cabinet.settings_file]


def test_a_home_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StorageError):
        Cabinet(tmp_path / "file" / "home").keep_setting("show", "mm")
