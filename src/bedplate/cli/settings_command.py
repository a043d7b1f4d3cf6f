"""``bedplate settings``: every setting and where its value came from; or change one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

import typer

from bedplate.cabinet.settings import RULES, USUAL, Settings
from bedplate.cli import context
from bedplate.cli.columns import Column, table
from bedplate.cli.screen import Screen
from bedplate.errors import NotUnderstoodError
from bedplate.text import near_or_list, quoted, visible


def _keys(incomplete: str) -> list[str]:
    return [key for key in RULES if key.startswith(incomplete)]


def settings(
    key: Annotated[
        str | None,
        typer.Argument(
            metavar="KEY",
            help="Which one; usual_gauge.RANGE for a gauge.",
            autocompletion=_keys,
        ),
    ] = None,
    value: Annotated[str | None, typer.Argument(metavar="VALUE", help="What it shall be.")] = None,
    *,
    unset: Annotated[
        bool, typer.Option("--unset", help="Take it out: the one built in holds again.")
    ] = False,
) -> None:
    """Show your settings, or change one.

    Examples:
      bedplate settings
      bedplate settings name "Ann Fitter"
      bedplate settings temperature C
      bedplate settings "usual_gauge.in 0..1" mic1
      bedplate settings show --unset
    """
    if unset and value is not None:
        raise NotUnderstoodError(
            "Nothing changed. --unset takes a setting out; it has no value.",
            f"Type:  bedplate settings {visible(key or 'KEY')} --unset",
        )
    if unset or value is not None:
        _change(key or "", value)
    screen = context.screen()
    _show(screen, context.settings(), key)
    if value is None and not unset and key in RULES:
        screen.err(RULES[key].told())


def _change(key: str, value: str | None) -> None:
    cabinet = context.cabinet()
    if value is not None:
        cabinet.keep_setting(key, value)
    elif not cabinet.drop_setting(key):
        raise NotUnderstoodError(
            f"Nothing changed. {quoted(key)} is not set in {cabinet.settings_file.name}.",
            "All of them:  bedplate settings",
        )


def _show(screen: Screen, found: Settings, key: str | None) -> None:
    values = shown_values(found)
    wanted = None if key is None else key.partition(".")[0]
    if wanted is not None and wanted not in values:
        raise NotUnderstoodError(
            f"Nothing shown. {quoted(wanted)} is no setting.",
            near_or_list(wanted, list(values), "Settings"),
        )
    folder = str(context.cabinet().home)
    if screen.as_json:
        screen.json(_document(found, folder, wanted))
        return
    rows = [
        (name, text, found.source(name)) for name, text in values.items() if wanted in {None, name}
    ]
    if wanted is None:
        screen.out(f"Settings and gauges are kept in {visible(folder)}")
    columns = [Column("setting", head=True), Column("value"), Column("from")]
    for line in table(columns, rows, screen.width, plain=screen.plain):
        screen.out(line)


def shown_values(found: Settings) -> dict[str, str]:
    """Return every setting as text, in the order of the rules; the usual gauges last."""
    values = {name: _text(getattr(found, name)) for name in RULES}
    return {**values, USUAL: _text(found.usual_gauge)}


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{wanted}: {gauge}" for wanted, gauge in value.items())
        return pairs or "not set"
    return "not set" if value is None else visible(str(value))


def _document(found: Settings, folder: str, wanted: str | None) -> dict[str, Any]:
    names = [*RULES, USUAL] if wanted is None else [wanted]
    return context.document("settings") | {
        "folder": folder,
        "settings": [
            {"key": name, "value": _plain(getattr(found, name)), "from": found.source(name)}
            for name in names
        ],
    }


def _plain(value: object) -> object:
    return dict(value) if isinstance(value, Mapping) else value
