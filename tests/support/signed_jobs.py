"""A small job, made line by line with a fixed clock and fixed keys."""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from bedplate.record import entries as e
from bedplate.record.batch import Batch
from bedplate.record.chain import check
from bedplate.seal.keys import public_key
from bedplate.seal.known import KnownKey
from bedplate.seal.openssh import Signer
from bedplate.seal.sign import Draft, fit_to_sign, make_seal, ready_to_sign

AT = "2025-11-24T15:40:00+01:00"
JOB = "5f" * 16
SHEET = {
    "format": "bedplate-sheet/1",
    "title": "Bilge fan gearbox",
    "unit": "in",
    "axes": {"gear": ["driver", "idler"]},
    "component": [
        {"id": "gear", "name": "Gear", "positions": "gear"},
        {"id": "body", "name": "Body"},
    ],
    "feature": [
        {"tag": "H", "of": "gear", "name": "Gear height", "stations": {"at": ["a", "b"]}},
        {"tag": "D", "of": "body", "name": "Body depth"},
        {"tag": "W", "of": "body", "name": "Body warm"},
    ],
    "moments": ["handover", "first run"],
    "fit": [{"tag": "BW", "stack": "W", "due": "first run"}],
}


def signer(seed: int) -> Signer:
    """Return one of a few fixed keys."""
    private = Ed25519PrivateKey.from_private_bytes(bytes([seed] * 32))
    public = public_key(private.public_key().public_bytes_raw())
    return Signer(public, Path(f"seed-{seed}"), private)


ANN = signer(1)
BERT = signer(2)
NAMES = {ANN.public.raw: "Ann Fitter", BERT.public.raw: "Bert Witness"}


@dataclass
class Pen:
    """Writes a job, line by line, as a command would."""

    data: bytes = b""
    by: str = "Ann Fitter"
    at: str = AT
    batch: Batch = field(init=False)

    def __post_init__(self) -> None:
        lines = self.data.splitlines(keepends=True)
        link = sha256(lines[-1]).hexdigest() if lines else e.NO_LINE
        self.batch = Batch(len(lines), link, self.by, self.at)

    def write(self, *entries: e.AnyEntry, by: str | None = None, at: str | None = None) -> Pen:
        """Write entries as of one moment and hand."""
        self.batch.by, self.batch.at = by or self.by, at or self.at
        for entry in entries:
            self.batch.add(entry)
            self.data += self.batch.lines[-1]
        return self

    @property
    def head(self) -> str:
        """The head as it is shown."""
        return f"{self.batch.count}:{self.batch.link}"

    def open(self, job: str = JOB, **more: str) -> Pen:
        """Write the first entry."""
        opened = e.Opened.model_validate({"job": job, "sheet": SHEET, **more})
        return self.write(opened)

    def sign(
        self,
        key: Signer = ANN,
        name: str | None = None,
        moment: str = "handover",
        at: str | None = None,
    ) -> Pen:
        """Write a seal."""
        name = name or NAMES[key.public.raw]
        draft = Draft(moment, name, "rebuild mechanic", at or self.at, "Done as recorded.")
        seal = seal_over(self.data, self.head, draft, key)
        return self.write(seal, by=name, at=draft.at)


def seal_over(data: bytes, shown: str, draft: Draft, key: Signer) -> e.Signed:
    """Return the seal over the bytes of a job, whose head is as it was shown."""
    report = check(data)
    job = fit_to_sign(report, shown)
    return make_seal(ready_to_sign(job, len(report.lines), data, draft), key)


def reading(address: str = "D", value: str = "1.0000 in", **more: object) -> e.Reading:
    """Return a reading."""
    return e.Reading.model_validate({"address": address, "value": value, **more})


def signed_job() -> bytes:
    """Return a small job whose last entry is a seal."""
    pen = Pen().open(customer="J. Skipper").write(reading(note="Übermaß geprüft"))
    return (
        pen.write(e.Finding(severity="note", note="clean"), reading(value="1.0001 in")).sign().data
    )


KNOWN = tuple(KnownKey(key.public, NAMES[key.public.raw]) for key in (ANN, BERT))
"""Both keys, as they are known."""
