"""Checks every seal of a bedplate job file with stock ``cryptography``: python check_seal.py FILE.

Whether a key is that person's is for whoever runs it to know: compare it with the fingerprint
that the signer gave you.
"""

# ruff: noqa: T201 - it is there to print
import hashlib
import json
import sys

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey


def main(path: str) -> None:
    before = b""
    with open(path, "rb") as file:
        for line in file:
            entry = json.loads(line)
            if entry["kind"] == "signed":
                said = dict(row.split(": ", 1) for row in entry["sealed"].split("\n")[1:-1])
                key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(said["key"]))
                key.verify(bytes.fromhex(entry["signature"]), entry["sealed"].encode())
                if said["sha256"] != hashlib.sha256(before).hexdigest():
                    sys.exit(f"entry {entry['n']}: what stands before it is not what was sealed")
                print(f"entry {entry['n']}: {said['name']} sealed {said['entries']} entries")
            before += line


if __name__ == "__main__":
    main(sys.argv[1])
