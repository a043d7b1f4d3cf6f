"""Public keys: OpenSSH's form of an Ed25519 key, its fingerprint, and which keys are none.

Nothing here needs the library that signs; reading a list of keys costs no start-up time.
"""

from __future__ import annotations

import base64
import binascii
import unicodedata
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from bedplate.errors import NotUnderstoodError, RefusedError
from bedplate.text import quoted, visible

KIND: Final = "ssh-ed25519"
NAME_LIMIT: Final = 200
"""The longest name of a person, in characters."""

_PREFIX: Final = b"\0\0\0\x0bssh-ed25519\0\0\0\x20"
"""What the 51 bytes of an Ed25519 key begin with in OpenSSH's form (RFC 8709 section 4)."""

_P: Final = 2**255 - 19
_D: Final = -121665 * pow(121666, -1, _P) % _P
"""The field and the constant of the curve (RFC 8032 section 5.1)."""

_Y_OF_ORDER_8: Final = int.from_bytes(
    bytes.fromhex("26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05"), "little"
)
_SMALL_ORDER: Final = frozenset({0, 1, _P - 1, _Y_OF_ORDER_8, _P - _Y_OF_ORDER_8})
"""The second coordinates of the eight points whose order divides 8: a signature under such a key
says nothing, since one and the same can hold for many messages."""


@dataclass(frozen=True, slots=True)
class PublicKey:
    """An Ed25519 public key that a signature can be held against; made by `public_key`."""

    raw: bytes

    @property
    def hex(self) -> str:
        """Its 32 bytes as a seal has them."""
        return self.raw.hex()

    @property
    def fingerprint(self) -> str:
        """As ``ssh-keygen -l`` prints it: ``SHA256:`` and 43 characters."""
        return fingerprint(self.raw)

    def line(self, name: str) -> str:
        """Return its line in OpenSSH's form, with a name behind it."""
        return f"{KIND} {base64.b64encode(_PREFIX + self.raw).decode()} {name}"


def fingerprint(raw: bytes) -> str:
    """Return the fingerprint of 32 bytes, whether or not they are a key that holds.

    >>> fingerprint(bytes(32))
    'SHA256:kmYcvdi2GkPeWxB6XLjrZB8JHsy2Hm8luHMFp9GMvqk'
    """
    digest = sha256(_PREFIX + raw).digest()
    return "SHA256:" + base64.b64encode(digest).decode().rstrip("=")


def public_key(raw: bytes) -> PublicKey:
    """Return the key of 32 bytes.

    Raises:
        RefusedError: they are no point of the curve, not written in the one way, or of small
            order (RFC 8032 sections 5.1.3 and 8.4); the message is a sentence on the key.

    """
    if len(raw) != 32:
        raise RefusedError("It is no Ed25519 key: such a key has 32 bytes.")
    number = int.from_bytes(raw, "little")
    y = number & (2**255 - 1)
    if y >= _P:
        raise RefusedError("It is no Ed25519 key: its number is not written in the one way.")
    if y in _SMALL_ORDER:
        raise RefusedError("It is a key of small order: anybody can sign under it.")
    if not _on_curve(y):
        raise RefusedError("It is no Ed25519 key: there is no such point.")
    return PublicKey(raw)


def _on_curve(y: int) -> bool:
    """Tell whether x² = (y² - 1) / (d y² + 1) has a solution (Euler's criterion)."""
    square = (y * y - 1) * pow(_D * y * y + 1, -1, _P)
    return pow(square, (_P - 1) // 2, _P) == 1


def read_public(text: str) -> tuple[PublicKey, str]:
    """Return the key in one line of OpenSSH's form, and what stands behind it.

    Raises:
        RefusedError: it is another kind of key, or one that `public_key` refuses.
        NotUnderstoodError: it is no such line.

    """
    kind, _, rest = text.strip().partition(" ")
    _refuse_others(kind)
    code, _, comment = rest.strip().partition(" ")
    try:
        blob = base64.b64decode(code, validate=True)
    except (binascii.Error, ValueError):
        blob = b""
    if not blob.startswith(_PREFIX) or base64.b64encode(blob).decode() != code:
        raise NotUnderstoodError("It is no public key as OpenSSH writes it.", _LIKE)
    return public_key(blob.removeprefix(_PREFIX)), comment.strip()


_LIKE: Final = f"Such a line reads  {KIND} AAAA... name"


def _refuse_others(kind: str) -> None:
    """Refuse what is no Ed25519 key by its first word."""
    if kind == KIND:
        return
    if kind.startswith("-----BEGIN"):
        raise RefusedError(
            "That is the secret half of a key. Never hand it on.",
            "Its public half stands in the file of the same name that ends in .pub.",
        )
    if kind.startswith("sk-"):
        raise RefusedError(
            "A key held in a security token signs other bytes than a seal's.",
            "Only plain Ed25519 keys are taken:  ssh-keygen -t ed25519",
        )
    if kind.startswith(("ssh-", "ecdsa-")):
        raise RefusedError(
            f"It is a key of the kind {visible(kind)}.",
            "Only Ed25519 keys are taken:  ssh-keygen -t ed25519",
        )
    raise NotUnderstoodError("It is no public key as OpenSSH writes it.", _LIKE)


def person(name: str) -> str:
    """Return the name of a person as it stands beside a key: composed (NFC), else as typed.

    Raises:
        NotUnderstoodError: it is empty, too long, has outer spaces or what cannot be seen.

    """
    if not name or name != name.strip() or len(name) > NAME_LIMIT or visible(name) != name:
        raise NotUnderstoodError(
            f"Nothing changed. {quoted(name)} cannot stand as a name beside a key.",
            f"A name has 1 to {NAME_LIMIT} characters, all to be seen, no space at its ends.",
        )
    return unicodedata.normalize("NFC", name)


def signature_holds(key: PublicKey, signature: bytes, message: bytes) -> bool:
    """Tell whether an Ed25519 signature (RFC 8032 section 5.1.7) over a message is by a key."""
    from cryptography.exceptions import InvalidSignature  # noqa: PLC0415 - start-up time
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PublicKey,
    )

    try:
        Ed25519PublicKey.from_public_bytes(key.raw).verify(signature, message)
    except InvalidSignature:
        return False
    return True
