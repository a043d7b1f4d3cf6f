"""Settings and gauges that outlive a job: two small TOML files in one folder.

The folder is ``$BEDPLATE_HOME``, else the one the system keeps for programs' settings
(`platformdirs`). ``config.toml`` holds settings, ``gauges.toml`` the gauges as described. Both
are read strictly, since what a gauge is said to be enters every verdict: a key not known, a
character that cannot be seen or a value of the wrong form is named, and nothing is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from bedplate.cabinet import files
from bedplate.cabinet import gauges as gauge_rules
from bedplate.cabinet import settings as setting_rules
from bedplate.cabinet.settings import RULES, USUAL, YES_NO, Settings
from bedplate.errors import NotUnderstoodError
from bedplate.text import near_or_list, quoted

__all__ = ["Cabinet", "Settings", "home_folder"]


def home_folder(environment: Mapping[str, str]) -> Path:
    """Return the folder of settings and gauges; it need not exist."""
    if chosen := environment.get("BEDPLATE_HOME"):
        return Path(chosen)
    import platformdirs  # noqa: PLC0415 - not needed where the folder is named

    return platformdirs.user_config_path("bedplate", appauthor=False)


class Cabinet(NamedTuple):
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
        path = self.settings_file
        found = setting_rules.of_table(files.read(path), path.name, files.refusal(path))
        if by := environment.get("BEDPLATE_BY"):
            found = found.but("name", by, "$BEDPLATE_BY")
        return found

    def keep_setting(self, key: str, typed: str) -> None:
        """Write one setting to the file; what else stands there is not looked at.

        Args:
            key: a key of `RULES`, or ``usual_gauge.RANGE`` (``usual_gauge.in 0..1``).
            typed: its value; ``yes`` and ``no`` stand for true and false.

        Raises:
            NotUnderstoodError: the key or the value is not known; nothing is changed.
            StorageError: the file cannot be written; it is as it was.
        """
        table, _, wanted = key.partition(".")
        typed = typed.strip()
        document: Any = files.opened(self.settings_file)
        if table == USUAL and wanted:
            setting_rules.check_usual(wanted, typed, _unchanged)
            if not isinstance(document.setdefault(USUAL, {}), dict):
                raise _unchanged(f"{USUAL} in {self.settings_file.name} is not a table.")
            document[USUAL][wanted] = typed
        else:
            kept = setting_rules.checked(key, typed, _unchanged)
            document[key] = kept == "true" if RULES[key] is YES_NO else kept
        files.write(self.settings_file, document)

    def drop_setting(self, key: str) -> bool:
        """Take one setting out of the file, so that the one built in holds again.

        Returns:
            Whether it stood there.
        """
        document: Any = files.opened(self.settings_file)
        table, _, wanted = key.partition(".")
        inside = table == USUAL and wanted
        holder: Any = document.get(USUAL, {}) if inside else document
        name = wanted if inside else key
        if not isinstance(holder, dict) or name not in holder:
            return False
        del holder[name]
        files.write(self.settings_file, document)
        return True

    def gauges(self) -> dict[str, dict[str, str]]:
        """Return every gauge described: its name to what is said of it, in the file's order.

        A figure is the text as it stands in the file; a day reads ``2026-03-01``.

        Raises:
            NotUnderstoodError: the file has a key or a value that is not known.
            StorageError: the file cannot be read.
        """
        path = self.gauges_file
        return gauge_rules.of_table(files.read(path), files.refusal(path))

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
        offered = name if setting_rules.GAUGE_NAME.allows(name) else "NAME"
        raise NotUnderstoodError(
            f"Not recorded. There is no gauge {quoted(name)} in your cabinet yet.",
            *([near_or_list(name, list(gauges), "Gauges")] if gauges else []),
            f'Describe it once:  bedplate gauge add {offered} --resolution "1 tenth"',
            "Or leave --gauge out: then only the last digit typed counts as doubt.",
        )

    def keep_gauge(self, name: str, described: Mapping[str, str]) -> None:
        """Write what is said of one gauge, in place of what was said before.

        Args:
            name: letters, digits, ``-`` and ``_``; in another case it is the same gauge.
            described: of `gauges.KEYS`; only those with something said.

        Raises:
            NotUnderstoodError: a name, key or value of the wrong form; nothing is changed.
            StorageError: the file cannot be written; it is as it was.
        """
        path = self.gauges_file
        known = {other.casefold(): other for other in self.gauges()}
        name = known.get(name.casefold(), name)
        said = gauge_rules.described(name, described, _not_added)
        document: Any = files.opened(path)
        document.setdefault("format", gauge_rules.FORMAT)
        gauge_rules.fill(document.setdefault(name, {}), said)
        files.write(path, document)


def _unchanged(what: str, *hint: str) -> NotUnderstoodError:
    return NotUnderstoodError(f"Nothing changed. {what}", *hint)


def _not_added(what: str, *hint: str) -> NotUnderstoodError:
    return NotUnderstoodError(f"Not added. {what}", *hint)
