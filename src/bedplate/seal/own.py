"""Keys of one's own: OpenSSH Ed25519 files, one a person, that nobody else can read."""

from __future__ import annotations

import contextlib
import os
import re
import stat
import unicodedata
from hashlib import sha256
from pathlib import Path

from bedplate.errors import RefusedError, StorageError
from bedplate.record.disk import in_words, sync, sync_folder
from bedplate.seal.keys import PublicKey, person, public_key
from bedplate.seal.known import KnownKey, read_known, write_known
from bedplate.seal.known import retire as retire_known
from bedplate.seal.openssh import Ask, Signer, open_key, public_half, refuse_shared, spelled
from bedplate.text import quoted, visible

_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


def keys_folder(home: Path) -> Path:
    """Return the folder of keys within the folder of settings; it need not exist."""
    return home / "keys"


def key_path(folder: Path, name: str) -> Path:
    """Return where a person's own key is kept; no name leads out of the folder.

    The file's name is what is plain letters and digits in the person's, and a part of its hash:
    names that differ only by case, or in how an accent is composed, share a file.

    >>> key_path(Path("keys"), "Ann Fitter").name
    'ann-fitter-71eccf3a.key'
    """
    folded = person(name).casefold()
    letters = unicodedata.normalize("NFKD", folded).encode("ascii", "ignore").decode()
    plain = "-".join(re.findall(r"[a-z0-9]+", letters))[:40].strip("-") or "key"
    return folder / f"{plain}-{sha256(folded.encode()).hexdigest()[:8]}.key"


def make(folder: Path, name: str, ask: Ask) -> Signer:
    """Make a person's own key, and take it up among those known here.

    Args:
        folder: the folder of keys; made if missing.
        name: the person.
        ask: asks for the passphrase, twice unless none is given.

    Returns:
        the key; show its fingerprint.

    Raises:
        RefusedError: there is a key of that name, others can look into the folder, or the two
            passphrases differ.
        NotUnderstoodError: the name cannot stand beside a key.
        StorageError: it could not be written; no key was made.

    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PrivateKey,
    )

    name = person(name)
    path = key_path(folder, name)
    _make_folder(folder)
    known = read_known(folder)
    if path.exists():
        raise RefusedError(
            f"No key was made. There is one of {quoted(name)}:  {visible(str(path))}",
            f'To put it out of use first:  bedplate key retire "{visible(name)}"',
        )
    passphrase = _new_passphrase(ask, name)
    private = Ed25519PrivateKey.generate()
    public = public_key(private.public_key().public_bytes_raw())
    _write(path, spelled(private, passphrase))
    try:
        write_known(folder, [*known, KnownKey(public, name)])
    except StorageError:
        path.unlink(missing_ok=True)
        raise
    return Signer(public, path, private)


def _new_passphrase(ask: Ask, name: str) -> str:
    passphrase = ask(f"A passphrase for the key of {visible(name)} (Enter for none): ")
    if passphrase and ask("The same once more: ") != passphrase:
        raise RefusedError(
            "No key was made. The two passphrases differ.", "Give the same command again."
        )
    return passphrase


def _make_folder(folder: Path, fate: str = "No key was made.") -> None:
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(FileExistsError):
            folder.mkdir(mode=0o700)
        found = folder.stat()
    except OSError as err:
        msg = f"{fate} {visible(str(folder))} could not be made ({in_words(err)})."
        raise StorageError(msg) from err
    if not stat.S_ISDIR(found.st_mode):
        raise StorageError(f"{fate} {visible(str(folder))} is no folder.")
    refuse_shared(found, folder, fate, "700")


def _write(path: Path, data: bytes) -> None:
    """Write a secret that must not be there yet, readable for its owner alone."""
    try:
        descriptor = os.open(path, _NEW, 0o600)
        try:
            os.write(descriptor, data)
            sync(descriptor)
        except OSError:
            path.unlink(missing_ok=True)
            raise
        finally:
            os.close(descriptor)
        sync_folder(path.parent)
    except OSError as err:
        msg = f"No key was made. {visible(str(path))} could not be written ({in_words(err)})."
        raise StorageError(msg) from err


def own_key(folder: Path, name: str, ask: Ask) -> Signer:
    """Return a person's own key, open for signing.

    Raises:
        RefusedError: there is none in use, others can read it, or the passphrase does not open
            it.
        StorageError: it cannot be read.

    """
    path = key_path(folder, name)
    if not path.exists():
        raise RefusedError(f"Not signed. {quoted(name)} has no key here.")
    refuse_shared(folder.stat(), folder, "Not signed.", "700")
    signer = open_key(path, ask)
    _keep_known(folder, KnownKey(signer.public, person(name)))
    return signer


def key_from(folder: Path, name: str, path: Path, ask: Ask) -> Signer:
    """Return a key that a person has elsewhere (in ``~/.ssh``), open; it is known here then.

    Args:
        folder: the folder of keys; made if missing.
        name: the person.
        path: the key's own file.
        ask: asks for its passphrase, if it has one.

    Raises:
        RefusedError: it is no OpenSSH Ed25519 key, others can read it, the passphrase does not
            open it, or it is retired or known here as somebody else's.
        NotUnderstoodError: the name cannot stand beside a key.
        StorageError: something could not be read or written.

    """
    name = person(name)
    _make_folder(folder, "Not signed.")
    signer = open_key(path, ask)
    _keep_known(folder, KnownKey(signer.public, name))
    return signer


def _keep_known(folder: Path, own: KnownKey) -> None:
    """See that one's own key is among those known here, also if it was made by halves."""
    known = read_known(folder)
    listed = next((each for each in known if each.key == own.key), None)
    if listed is None:
        write_known(folder, [*known, own])
    elif listed.name != own.name:
        whose = f"It is known here as the key of {quoted(listed.name)}"
        raise RefusedError(
            f"Not signed. {whose}, not of {quoted(own.name)}.",
            f'Whose it is signs with it:  --by "{visible(listed.name)}"',
        )
    elif listed.retired:
        raise RefusedError(
            f"Not signed. The key of {quoted(own.name)} is retired.",
            "Sign with another:  --key FILE   or without  --key",
        )


def own_public(folder: Path, name: str) -> PublicKey | None:
    """Return the public half of a person's own key; None where there is none here.

    Raises:
        RefusedError: what is there is no key, or others can read it.
        StorageError: it cannot be read.

    """
    path = key_path(folder, name)
    return public_half(path) if path.exists() else None


def retire(folder: Path, what: str, at: str) -> KnownKey:
    """Put a key out of use: it signs no more, what it signed before stays known.

    An own key's file is not lost; it is named anew, with the key's fingerprint in its name.

    Args:
        folder: the folder of keys.
        what: the person, or the key's fingerprint.
        at: since when, RFC 3339 with offset.

    Raises:
        NotUnderstoodError: there is no such key, or the person has several.
        StorageError: something could not be read or written.

    """
    gone = retire_known(folder, what, at)
    path = key_path(folder, gone.name)
    try:
        if path.exists() and public_half(path) == gone.key:
            path.rename(path.with_suffix(f".retired-{gone.key.hex[:16]}"))
    except OSError as err:
        msg = f"Retired, but {visible(str(path))} could not be named anew ({in_words(err)})."
        raise StorageError(msg) from err
    return gone
