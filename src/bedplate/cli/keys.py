"""``bedplate key``: your own key, and the keys known here."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from bedplate.cli import context
from bedplate.cli.store import clock
from bedplate.record.stamping import moment_text
from bedplate.text import visible


def keys_home() -> Path:
    """Return the folder of keys of whoever is at the keyboard; it need not exist."""
    from bedplate.seal.own import keys_folder  # noqa: PLC0415 - signing only

    return keys_folder(context.cabinet().home)


def key_show() -> None:
    """Show your own key and the keys known here.

    Examples:
      bedplate key show
    """
    from bedplate.seal.known import read_known  # noqa: PLC0415 - rare
    from bedplate.seal.own import own_public  # noqa: PLC0415

    folder = keys_home()
    name = context.settings().name
    own = own_public(folder, name) if name else None
    known = read_known(folder)
    screen = context.screen()
    if screen.as_json:
        screen.json({
            **context.document("key show"),
            "own": None if own is None or name is None
            else {"name": name, "key": own.fingerprint, "line": own.line(name)},
            "known": [
                {"name": k.name, "key": k.key.fingerprint, "retired": k.retired} for k in known
            ],
        })  # fmt: skip
        return
    if own is not None and name is not None:
        screen.out(f"Yours, to give to others:  {visible(own.line(name))}")
    else:
        screen.out("No key of your own yet; one is made at your first signature.")
    for each in known:
        retired = f"   retired {each.retired}" if each.retired else ""
        screen.out(f"  {each.key.fingerprint}  {visible(each.name)}{retired}")


def key_trust(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Whose key it is.")],
    key: Annotated[
        list[str], typer.Argument(metavar="KEY|FILE", help="The line, or a file ending in .pub.")
    ],
) -> None:
    """Take up a person's public key.

    Compare the fingerprint with that person, by voice.

    Examples:
      bedplate key trust "Bo Smith" bo.pub
    """
    from bedplate.seal.known import trust  # noqa: PLC0415 - rare

    line = " ".join(key)
    if len(key) == 1 and Path(line).is_file():
        data = Path(line).read_bytes()[:65536]
        line = data.decode("utf-8", "replace").strip()
    kept = trust(keys_home(), name, line)
    _tell_key("trust", kept, f"{visible(kept.name)} is known by {kept.key.fingerprint}")


def key_retire(
    who: Annotated[str, typer.Argument(metavar="NAME|SHA256:...", help="Whose, or which.")],
) -> None:
    """Put a key out of use.

    What it signed before stays known.

    Examples:
      bedplate key retire "Ann Fitter"
    """
    from bedplate.seal.own import retire  # noqa: PLC0415 - rare

    gone = retire(keys_home(), who, moment_text(clock()))
    _tell_key("retire", gone, f"Retired: {gone.key.fingerprint} of {visible(gone.name)}")


def _tell_key(verb: str, key: Any, line: str) -> None:
    screen = context.screen()
    if screen.as_json:
        screen.json({
            **context.document(f"key {verb}"), "name": key.name,
            "key": key.key.fingerprint, "retired": key.retired,
        })  # fmt: skip
        return
    screen.out(line)
