"""Settings and gauges that outlive a job: two small TOML files in one folder.

The folder is ``$BEDPLATE_HOME``, else the one the system keeps for programs' settings
(`platformdirs`). ``config.toml`` holds settings, ``gauges.toml`` the gauges as described. Both
are read strictly, since what a gauge is said to be enters every verdict: a key not known, a
character that cannot be seen or a value of the wrong form is named, and nothing is taken.
Both are written whole to a new file that then takes the old one's name; comments stay.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.text import listed, near_or_list, quoted, visible

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

BUILT_IN = "built in"
"""Where a setting comes from that nobody has set."""

GAUGES_FORMAT = "bedplate-gauges/1"


@dataclass(frozen=True, slots=True)
class Settings:
    """What a person has set, once, for all jobs.

    Attributes:
        name: who records, where neither ``--by`` nor ``$BEDPLATE_BY`` says.
        show: unit of computed lengths without a band: ``thou``, ``in``, ``mm``, ``um``, or
            ``as entered``.
        both_units: show a second unit in brackets.
        temperature: ``C`` or ``F`` for a bare figure after ``--temp``; None refuses one.
        zero_check_after: a time with its unit, after which a zero check is asked for again.
        screen: ``full``, ``ascii`` (no line drawing) or ``plain`` (one fact a line).
        colour: ``auto`` or ``never``.
        bell: ring once at a question.
        usual_gauge: gauge by unit and range of nominals, ``{"in 0..1": "mic1"}``.
        sources: where each value that was set came from (a file, ``$NAME``, an option).
    """

    name: str | None = None
    show: str = "as entered"
    both_units: bool = False
    temperature: str | None = None
    zero_check_after: str = "4 h"
    screen: str = "full"
    colour: str = "auto"
    bell: bool = False
    usual_gauge: Mapping[str, str] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)

    def but(self, key: str, value: object, source: str) -> Settings:
        """Return the same settings with one value from somewhere else."""
        changed: dict[str, Any] = {key: value, "sources": {**self.sources, key: source}}
        return replace(self, **changed)

    def source(self, key: str) -> str:
        """Return where the value of a key came from."""
        return self.sources.get(key, BUILT_IN)


@dataclass(frozen=True, slots=True)
class _Rule:
    """What a setting may be: one of ``choices``, or a text of a ``shape`` that looks ``like``."""

    choices: tuple[str, ...] = ()
    shape: str = ".+"
    like: str = ""

    def allows(self, text: str) -> bool:
        if self.choices:
            return text in self.choices
        return re.fullmatch(self.shape, text) is not None

    def told(self) -> str:
        if self.choices:
            return f"It is one of: {listed(self.choices)}"
        return f'It reads like  "{self.like}"'


YES_NO = _Rule(choices=("true", "false"))
RULES: dict[str, _Rule] = {
    "name": _Rule(shape=r"\S(.{0,198}\S)?", like="Ann Fitter"),
    "show": _Rule(choices=("as entered", "thou", "in", "mm", "um")),
    "both_units": YES_NO,
    "temperature": _Rule(choices=("C", "F")),
    "zero_check_after": _Rule(shape=r"[0-9]{1,6}(\.[0-9]{1,6})? ?(min|h)", like="4 h"),
    "screen": _Rule(choices=("full", "ascii", "plain")),
    "colour": _Rule(choices=("auto", "never")),
    "bell": YES_NO,
}
"""The settings of one value, in the order they are shown."""

USUAL = "usual_gauge"
USUAL_RANGE = _Rule(shape=r"[A-Za-zµ]+ [0-9.]*\.\.[0-9.]*", like="in 0..1")
GAUGE_NAME = _Rule(shape=r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}", like="mic1")

GAUGE_KEYS = (
    "title",
    "kind",
    "range",
    "resolution",
    "max_error",
    "zero_error",
    "repeatability",
    "uncertainty",
    "expansion",
    "reads",
    "serial",
    "due",
)
"""What can be said of a gauge, in the order it is written."""

IN_FILE = {"title": "name"}
"""Keys that read differently in ``gauges.toml``, where the gauge's own name is the heading."""


def home_folder(environment: Mapping[str, str]) -> Path:
    """Return the folder of settings and gauges; it need not exist."""
    if chosen := environment.get("BEDPLATE_HOME"):
        return Path(chosen)
    import platformdirs  # noqa: PLC0415 - not needed where the folder is named

    return platformdirs.user_config_path("bedplate", appauthor=False)


@dataclass(frozen=True, slots=True)
class Cabinet:
    """One folder of settings and gauges."""

    home: Path

    @property
    def settings_file(self) -> Path:
        """Where the settings stand."""
        return self.home / "config.toml"

    @property
    def gauges_file(self) -> Path:
        """Where the gauges stand."""
        return self.home / "gauges.toml"

    def settings(self, environment: Mapping[str, str]) -> Settings:
        """Return the settings: from the environment, else the file, else built in.

        Raises:
            NotUnderstoodError: the file has a key or a value that is not known.
            StorageError: the file cannot be read.
        """
        found = Settings()
        path = self.settings_file
        for key, value in _read(path).items():
            found = found.but(key, _checked(path, key, value), path.name)
        if by := environment.get("BEDPLATE_BY"):
            found = found.but("name", by, "$BEDPLATE_BY")
        return found

    def keep_setting(self, key: str, typed: str) -> None:
        """Write one setting to the file.

        Args:
            key: a key of `RULES`, or ``usual_gauge.RANGE`` (``usual_gauge.in 0..1``).
            typed: its value; ``yes`` and ``no`` stand for true and false.

        Raises:
            NotUnderstoodError: the key or the value is not known; nothing is changed.
            StorageError: the file cannot be written; it is as it was.
        """
        table, _, inner = key.partition(".")
        typed = typed.strip()
        if table == USUAL and inner:
            _check_usual(inner, typed)
        else:
            typed = _check_typed(key, typed)
        document = _open(self.settings_file)
        if table == USUAL and inner:
            document.setdefault(USUAL, {})[inner] = typed
        else:
            document[key] = typed == "true" if RULES[key] is YES_NO else typed
        _write(self.settings_file, document)

    def drop_setting(self, key: str) -> None:
        """Take one setting out of the file, so that the one built in holds again."""
        document = _open(self.settings_file)
        table, _, inner = key.partition(".")
        holder: Any = document.get(USUAL, {}) if table == USUAL and inner else document
        if holder.pop(inner or key, None) is not None:
            _write(self.settings_file, document)

    def gauges(self) -> dict[str, dict[str, str]]:
        """Return every gauge described: its name to what is said of it, in the file's order.

        A figure is the text as it stands in the file; a date reads ``2026-03-01``.

        Raises:
            NotUnderstoodError: the file has a key or a value that is not known.
            StorageError: the file cannot be read.
        """
        path = self.gauges_file
        content = _read(path)
        if not content:
            return {}
        _check_format(path, content.pop("format", None))
        gauges = {name: _gauge(path, name, value) for name, value in content.items()}
        by_fold: dict[str, str] = {}
        for name in gauges:
            if (other := by_fold.setdefault(name.casefold(), name)) != name:
                raise _fault(path, f"{quoted(other)} and {quoted(name)} differ only by case.")
        return gauges

    def gauge_described(self, name: str) -> dict[str, str]:
        """Return what is said of one gauge, its own name first (``{"name": "mic1", …}``).

        Case does not count; the name is that of the cabinet.

        Raises:
            NotUnderstoodError: there is no gauge of that name.
        """
        gauges = self.gauges()
        for known, described in gauges.items():
            if known.casefold() == name.casefold():
                return {"name": known, **described}
        raise NotUnderstoodError(
            f"Not recorded. There is no gauge {quoted(name)} in your cabinet.",
            near_or_list(name, list(gauges), "Gauges"),
            f"Describe it once:  bedplate gauge add {shell_word(name)} --kind micrometer "
            '--resolution "1 tenth"',
        )

    def keep_gauge(self, name: str, described: Mapping[str, str]) -> None:
        """Write what is said of one gauge, in place of what was said before.

        Args:
            name: letters, digits, ``-`` and ``_``.
            described: of `GAUGE_KEYS`; only those with something said.

        Raises:
            NotUnderstoodError: a name, key or value of the wrong form; nothing is changed.
            StorageError: the file cannot be written; it is as it was.
        """
        path = self.gauges_file
        known = {other.casefold(): other for other in self.gauges()}
        name = known.get(name.casefold(), name)
        _gauge(path, name, dict(described))
        document = _open(path)
        if "format" not in document:
            document.add("format", GAUGES_FORMAT)
        table: Any = document.setdefault(name, {})
        for key in GAUGE_KEYS:
            table.pop(key, None)
            table.pop(IN_FILE.get(key, key), None)
        for key in GAUGE_KEYS:
            if key in described:
                table[IN_FILE.get(key, key)] = described[key]
        _write(path, document)


def shell_word(text: str) -> str:
    """Return a word as it can be typed in any shell: in double quotes where it needs them."""
    shown = visible(text)
    return shown if re.fullmatch(r"[\w@./+-]+", shown) else f'"{shown}"'


# --- checking ---------------------------------------------------------------------------------


def _fault(path: Path, what: str, *hint: str) -> NotUnderstoodError:
    return NotUnderstoodError(f"Not read. {visible(path.name)}: {what}", *hint, f"It is {path}")


def _checked(path: Path, key: str, value: object) -> str | bool | dict[str, str]:
    """Return one value of the settings file, or say what is wrong with it."""
    if key == USUAL and isinstance(value, dict):
        for wanted, gauge in value.items():
            if not (USUAL_RANGE.allows(wanted) and isinstance(gauge, str)):
                raise _fault(path, f"{USUAL}: {quoted(wanted)}.", USUAL_RANGE.told())
            _check_usual(wanted, gauge)
        return dict(value)
    if key not in RULES:
        raise _fault(
            path, f"there is no setting {quoted(key)}.",
            near_or_list(key, [*RULES, USUAL], "Settings"),
        )  # fmt: skip
    rule = RULES[key]
    if rule is YES_NO and isinstance(value, bool):
        return value
    if rule is YES_NO or not isinstance(value, str) or not rule.allows(value):
        raise _fault(path, f"{key} is {_as_written(value)}.", rule.told())
    _check_seen(path, key, value)
    return value


def _as_written(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return quoted(str(value))


def _check_seen(path: Path, key: str, value: str) -> None:
    if visible(value) != value:
        raise _fault(
            path, f"{visible(key)} has a character that cannot be seen: {quoted(value)}.",
            r'In "..." a backslash begins one. Use / or two backslashes.',
        )  # fmt: skip


def _check_typed(key: str, typed: str) -> str:
    """Return a setting's value as it is written, or say what it may be."""
    if key not in RULES:
        raise NotUnderstoodError(
            f"Nothing changed. There is no setting {quoted(key)}.",
            near_or_list(key, [*RULES, USUAL], "Settings"),
        )
    if RULES[key] is YES_NO:
        typed = {"yes": "true", "no": "false"}.get(typed, typed)
    if not RULES[key].allows(typed) or visible(typed) != typed:
        raise NotUnderstoodError(
            f"Nothing changed. {key} cannot be {quoted(typed)}.", RULES[key].told()
        )
    return typed


def _check_usual(wanted: str, gauge: str) -> None:
    for text, rule in ((wanted, USUAL_RANGE), (gauge, GAUGE_NAME)):
        if not rule.allows(text):
            raise NotUnderstoodError(
                f"Nothing changed. {USUAL} cannot have {quoted(text)}.", rule.told()
            )


def _check_format(path: Path, value: object) -> None:
    if value is None:
        raise _fault(
            path, "its format is not said.", f'Put this line first:  format = "{GAUGES_FORMAT}"'
        )
    if value != GAUGES_FORMAT:
        raise _fault(path, f"it is of format {quoted(str(value))}; this bedplate reads 1.")


def _gauge(path: Path, name: str, value: object) -> dict[str, str]:
    """Return what is said of one gauge, each value as text."""
    if not GAUGE_NAME.allows(name) or name == "format":
        raise _fault(path, f"a gauge cannot be called {quoted(name)}.", GAUGE_NAME.told())
    if not isinstance(value, dict):
        raise _fault(path, f"{quoted(name)} is no gauge.", f"A gauge begins with a line  [{name}]")
    told: dict[str, str] = {}
    for key, said in value.items():
        ours = "title" if key == "name" else key
        if ours not in GAUGE_KEYS:
            raise _fault(
                path, f"{name} has no {quoted(key)}.", near_or_list(key, GAUGE_KEYS, "It has")
            )
        if ours in told:
            raise _fault(path, f"{name} has both name and title; they are the same.")
        told[ours] = _said(path, f"{name}: {key}", ours, said)
    return told


def _said(path: Path, where: str, key: str, value: object) -> str:
    import datetime  # noqa: PLC0415 - only where there are gauges

    if isinstance(value, bool | dict | list):
        raise _fault(path, f"{where} is not one value.")
    text = str(value).strip()
    _check_seen(path, where, text)
    if not text:
        raise _fault(path, f"{where} says nothing.", "Leave the line out.")
    if key == "due":
        try:
            datetime.date.fromisoformat(text)
        except ValueError as error:
            raise _fault(path, f"{where} is {quoted(text)}, no date.", "2026-03-01") from error
    return text


# --- files ------------------------------------------------------------------------------------


def _text(path: Path) -> str:
    """Return what a file of ours holds; nothing where there is none."""
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        return ""
    except OSError as error:
        raise StorageError(f"Not read. {quoted(str(path))}: {error.strerror}.") from error
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _fault(path, "it is saved as UTF-16.", "Save it as UTF-8.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _fault(path, f"line {line} is not in UTF-8.", "Save it as UTF-8.") from error


def _read(path: Path) -> dict[str, Any]:
    text = _text(path)
    if not text.strip():
        return {}
    import tomllib  # noqa: PLC0415 - not needed by who has set nothing

    try:
        return tomllib.loads(text, parse_float=str)
    except tomllib.TOMLDecodeError as error:
        raise _toml_fault(path, text, str(error)) from error


def _toml_fault(path: Path, text: str, message: str) -> NotUnderstoodError:
    """Return what is wrong with a TOML file: the line itself, not the parser's words."""
    lines = text.splitlines() or [""]
    place = re.search(r"at line (\d+)", message)
    number = min(int(place[1]), len(lines)) if place else len(lines)
    return _fault(
        path,
        f"line {number} is not understood: {quoted(lines[number - 1].strip())}",
        'A line reads like  key = "text"  in straight quotes; true and false have none.',
    )


def _open(path: Path) -> TOMLDocument:
    """Return a file for changing it, comments and order kept."""
    import tomlkit  # noqa: PLC0415 - only where something is written
    import tomlkit.exceptions  # noqa: PLC0415

    text = _text(path)
    try:
        return tomlkit.parse(text)
    except tomlkit.exceptions.ParseError as error:
        raise _toml_fault(path, text, f"at line {error.line}") from error


def _write(path: Path, document: TOMLDocument) -> None:
    """Put a file in place of the old one, whole or not at all.

    A link (settings kept elsewhere) stays a link: what it points to is replaced.
    """
    import tempfile  # noqa: PLC0415 - only where something is written

    target = path.resolve()
    text = document.as_string()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", newline="", dir=target.parent, prefix=f".{path.name}.",
            delete=False,
        ) as new:  # fmt: skip
            try:
                new.write(text)
                new.flush()
                os.fsync(new.fileno())
            except OSError:
                new.close()
                Path(new.name).unlink()
                raise
        if target.exists():
            Path(new.name).chmod(target.stat().st_mode)
        Path(new.name).replace(target)
    except OSError as error:
        raise StorageError(
            f"Not kept. {quoted(str(path))} cannot be written: {error.strerror}.",
            "It is as it was.",
        ) from error
