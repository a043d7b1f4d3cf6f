"""``settings``: what holds and where it came from; one changed, the rest as it was."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bedplate.cli.main import main

Shown = pytest.CaptureFixture[str]


def test_all_settings_are_shown_with_where_they_came_from(
    capsys: Shown, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.mkdir()
    (home / "config.toml").write_text(
        'temperature = "C"\n[usual_gauge]\n"in 0..1" = "mic1"\n', "utf-8"
    )
    monkeypatch.setenv("BEDPLATE_BY", "Ann Fitter")
    assert main(["settings"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"Settings and gauges are kept in {home}",
        "setting           value          from",
        "name              Ann Fitter     $BEDPLATE_BY",
        "show              as entered     built in",
        "both_units        false          built in",
        "temperature       C              config.toml",
        "zero_check_after  4 h            built in",
        "screen            full           built in",
        "colour            auto           built in",
        "bell              false          built in",
        "usual_gauge       in 0..1: mic1  config.toml",
    ]


def test_a_setting_is_changed_and_shown(capsys: Shown, home: Path) -> None:
    assert main(["settings", "both_units", "yes"]) == 0
    assert capsys.readouterr().out == ("setting     value  from\nboth_units  true   config.toml\n")
    assert (home / "config.toml").read_text("utf-8") == "both_units = true\n"


def test_a_setting_is_taken_out_again(capsys: Shown) -> None:
    assert main(["settings", "screen", "ascii"]) == 0
    assert main(["settings", "screen", "--unset"]) == 0
    assert capsys.readouterr().out.endswith("screen   full   built in\n")
    assert main(["settings", "screen", "--unset"]) == 2
    assert capsys.readouterr().err == (
        'Nothing changed. "screen" is not set in config.toml.\n  All of them:  bedplate settings\n'
    )


def test_a_usual_gauge_is_set(capsys: Shown) -> None:
    assert main(["settings", "usual_gauge.in 0..1", "mic1"]) == 0
    assert capsys.readouterr().out.endswith("in 0..1: mic1  config.toml\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["colours", "never"],
            ['Nothing changed. "colours" is no setting.', "  Nearest: colour"],
        ),
        (["colours"], ['Nothing shown. "colours" is no setting.', "  Nearest: colour"]),
        (
            ["colour", "red"],
            ['Nothing changed. colour cannot be "red".', "  It is one of: auto, never"],
        ),
        (
            ["name", "a\x1b[1m"],
            [
                'Nothing changed. name has a character that cannot be seen: "a\\x1b[1m".',
                '  Between quotes "\\" begins such a character; for a folder type  /',
            ],
        ),
        (
            ["usual_gauge", "mic1"],
            [
                "Nothing changed. usual_gauge is set for one range of sizes at a time.",
                '  Type:  bedplate settings "usual_gauge.in 0..1" mic1',
            ],
        ),
        (
            ["usual_gauge.0..1", "mic1"],
            ['Nothing changed. usual_gauge cannot have "0..1".', "  It reads like:  in 0..1"],
        ),
        (
            ["show", "mm", "--unset"],
            [
                "Nothing changed. --unset takes a setting out; it has no value.",
                "  Type:  bedplate settings show --unset",
            ],
        ),
    ],
)
def test_what_is_no_setting_changes_nothing(
    capsys: Shown, home: Path, words: list[str], said: list[str]
) -> None:
    assert main(["settings", *words]) == 2
    out, err = capsys.readouterr()
    assert (out, err.splitlines()) == ("", said)
    assert not home.exists()


def test_settings_are_one_document_with_json(capsys: Shown, home: Path) -> None:
    assert main(["settings", "bell", "--json", "--by", "Bo"]) == 0
    assert json.loads(capsys.readouterr().out) == {
        "format": "bedplate-out-settings/1",
        "job": None,
        "entries": None,
        "folder": str(home),
        "settings": [{"key": "bell", "value": False, "from": "built in"}],
    }


def test_plain_tells_each_setting_a_fact_a_line(capsys: Shown) -> None:
    assert main(["settings", "colour", "--plain"]) == 0
    assert capsys.readouterr().out == "Colour.\nValue auto.\nFrom built in.\n"


@pytest.mark.parametrize(
    ("key", "told"),
    [
        ("show", "It is one of: as entered, thou, in, mm, um"),
        ("zero_check_after", "It reads like:  4 h   30 min   50 readings   4 h or 50 readings"),
    ],
)
def test_one_setting_says_what_it_may_be(
    capsys: pytest.CaptureFixture[str], key: str, told: str
) -> None:
    assert main(["settings", key]) == 0
    assert capsys.readouterr().err == f"{told}\n"
    assert main(["settings", "bell", "yes"]) == 0
    assert capsys.readouterr().err == ""
    assert main(["settings"]) == 0
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("after", ["50 readings", "4 h or 50 readings", "30min"])
def test_a_zero_check_may_be_after_a_number_of_readings(
    capsys: pytest.CaptureFixture[str], after: str
) -> None:
    assert main(["settings", "zero_check_after", after]) == 0
    assert after in capsys.readouterr().out
    assert main(["settings", "zero_check_after", "0 readings"]) == 2
    assert capsys.readouterr().err == (
        'Nothing changed. zero_check_after cannot be "0 readings".\n'
        "  It reads like:  4 h   30 min   50 readings   4 h or 50 readings\n"
    )
