"""A program that hands mutated jobs, build sheets and tables to the commands, and watches them.

Run as ``python tests/support/hostile.py SCENE COUNT SEED``; scenes are ``jobs`` (fields changed,
the chain made to agree again), ``bytes`` (job files with bytes changed), ``sheets`` and
``tables``. It prints, as JSON, how many files were tried, the longest that one command worked on
one, the memory it took at most, how the commands ended, and every fault: an end by a code that is
none, a control character on the screen, a file written over.
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import random
import shlex
import sys
import tempfile
import time
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from copy import deepcopy
from hashlib import sha256
from pathlib import Path
from typing import Any

from bedplate.cli import fault
from bedplate.cli.main import main

Json = dict[str, Any]
PER_FILE = 6
"""Commands that each file is handed to."""
PATIENCE = 2.0
"""Seconds of work that one command may take over one file."""
JOB, SHEET, TABLE = Path("pump.job.jsonl"), Path("x.toml"), Path("x.csv")

TEXTS: tuple[str, ...] = (
    " ", "D", "gear", "gear.idler", "gear.all", "H.idler@a", "@", ".", "nothing", "body.x", "H",
    "A" * 4000, "\u202e", "\x1b[2J\x1b]0;x\x07", "a\nb", "a\r\nb", "\x00", "\u2028", "\x85",
    "\u00ad", "\ufeff", "1 in", "1e9", "EC", "EC.idler", "handover", "2025-11-24T15:40:00+01:00",
    "2025-11-24", "new", "moved", "reworked", "ab" * 32, "1e999999999 in", "9" * 4000 + " in",
    "1/0 in", "0/0", "0.0 in", "-5 in", "-0 in", "1..2 in", "2..1 in", "1 psi", "NaN", "inf in",
    "\u0663 in", "1_000 in", "0x10 in", "20 degC", "-999999 degC", "N", "N.1", "SPIN", "drain",
    "lock", "=1+1", "+cmd|'/C calc'!A0", "@SUM(A1)", "<script>alert(1)</script>", "[bold]x[/bold]",
    "{{7*7}}", "{% for x in y %}", "#set page(width: 1pt)", "#read(\"/etc/passwd\")", "\\u202e",
    "tab washer", "mic1", "depth1", "first run", "10 h", "1 tenth", "1e-30 in", "1" + "0" * 300,
    "99999999999999999999 in", "..", "", "\u00e9", "\U0001f389", "1/3 in", "3/8in", "100 %",
    "12 ppm/K", "H.driver@a", "gear.driver", "opened", "(" * 500 + "D" + ")" * 500,
    "D - D - D" * 99, "D*0", "D^9^9^9", "D/0", "2*D + 3*H", "../../../etc/passwd", "CON", "$(x)",
    "`x`", "%s%n", "\ud7ff\ue000\uffff", "a\u0300" * 300, "9" * 21, "0.1" * 50,
)  # fmt: skip
PIECES = (b"", b"\n", b"\r\n", b"\0", b'"', b"[", b"{", b"=", b",", b";", b"\t", b"'''", b'"""',
          b"#", b"\xff\xfe", b"[" * 5000)  # fmt: skip
OTHERS: tuple[Any, ...] = (None, True, -1, 0, 1, 5, 10**19, "", [], {}, ["D"], [{}], {"D": "D"})
KEYS = """
note unit nominal positions stations band wear_for same_as due for from aim judge adjust rule hold
after wait leaves when spends order count keep renew signed material expansion how gauge along
leave spread flatness stack limits wear source of caution hand times fit text prove lock stages
threads holds final
"""
FIXED = {"n", "prev", "kind", "at", "format", "by", "job", "from_file"}


def commands(text: str) -> tuple[list[str], ...]:
    """Return the commands that a text has one a line."""
    return tuple(shlex.split(line) for line in text.strip("\n").split("\n"))


READS = commands("""
status
status --json
log
log --raw
log --json
log H
check --all
check --json
check --hot 80degC
summary
summary --plain
summary --for customer
summary --for public
summary --format html -o -
export readings
export readings --format json
export job
verify
verify --json
verify --save-sound sound.job.jsonl
sheet show
sheet show --format html
remedy EC
match EC
gauge list
done
use
fasten
prove
decide
change
settle
inspect
concede
""")
WRITES = commands("""
measure D.driver@12 1.0030in
measure H.idler 1.0 1.0 1.0 --again
measure --from x.csv
correct 30 1.0001
note x
inspect gear.idler x
attach x.csv
strike last --why y
fasten N tight --reached 17lbf*ft
fasten N again
use gasket
prove SPIN pass
done lock
change gear.idler new
settle 4 --how x
defer x --until handover --why z
concede EC.idler --accepted-by O --why z
gauge set mic1 0.0001 --on 1in
add component zz
amend fit EC --band 1..2thou --source q --why w
sheet save saved.toml
sign
reopen --why z
rejoin other.jsonl
""")
OF_SHEETS = commands("""
sheet check x.toml
sheet check x.toml --json
sheet show x.toml
sheet show x.toml --format html
open new --sheet x.toml
--job new check
--job new status
--job new summary
""")
OF_TABLES = commands("""
measure --from x.csv
measure --from x.csv --again --yes
measure --from x.csv --json --instead --yes
export readings
summary --for customer
log
""")


# --- mutating ------------------------------------------------------------------------------------


def mutated_fields(entry: Json, dice: random.Random) -> None:
    """Change one thing somewhere within an entry."""
    holder: Any = entry
    for _ in range(8):
        keys = [k for k in holder if k not in FIXED] if isinstance(holder, dict) else None
        places: Sequence[Any] = range(len(holder)) if keys is None else keys
        if not places:
            return
        at = dice.choice(places)
        if isinstance(holder[at], dict | list) and holder[at] and dice.random() < 0.9:
            holder = holder[at]
            continue
        luck = dice.random()
        if luck < 0.85:
            holder[at] = dice.choice(TEXTS)
        elif luck < 0.9:
            holder[at] = deepcopy(dice.choice(OTHERS))
        elif luck < 0.96:
            holder.pop(at)
        elif isinstance(holder, dict):
            holder[dice.choice(KEYS.split())] = dice.choice(TEXTS)
        else:
            holder.append(deepcopy(holder[at]))
        return


def chained(entries: Sequence[Json]) -> bytes:
    """Return entries as a file whose chain holds."""
    lines: list[bytes] = []
    link = "0" * 64
    for n, entry in enumerate(entries, 1):
        told = {**{k: v for k, v in entry.items() if k != "prev"}, "n": n, "prev": link}
        text = json.dumps(told, ensure_ascii=False, separators=(",", ":"))
        lines.append(text.encode("utf-8", "replace") + b"\n")
        link = sha256(lines[-1]).hexdigest()
    return b"".join(lines)


def mutated_job(data: bytes, dice: random.Random) -> bytes:
    """Return a job that says what no command would, in a chain that holds."""
    entries = [json.loads(line) for line in data.splitlines()]
    if dice.random() < 0.3:
        rest = entries[1:]
        dice.shuffle(rest)
        entries[1:] = rest
    for _ in range(dice.choice((1, 1, 2, 3, 6))):
        mutated_fields(entries[0 if dice.random() < 0.4 else dice.randrange(len(entries))], dice)
    if dice.random() < 0.3:
        del entries[dice.randrange(1, len(entries))]
    return chained(entries)


def mutated_bytes(data: bytes, dice: random.Random) -> bytes:
    """Return bytes with one to four things done to them."""
    for _ in range(dice.choice((1, 1, 2, 4))):
        at, out = dice.randrange(len(data) + 1), dice.choice((0, 1, 1, 40, 400))
        put = dice.choice((dice.randbytes(3), dice.choice(TEXTS).encode(), *PIECES))
        match dice.randrange(8):
            case 0:
                data = data[:at]
            case 1:
                lines = data.splitlines(keepends=True) or [b""]
                line = dice.choice(lines)
                lines.insert(dice.randrange(len(lines) + 1), line)
                data = b"".join(lines)
            case 2:
                words = data.split(b'"')
                if len(words) > 2:
                    words[dice.randrange(1, len(words))] = dice.choice(TEXTS).encode()
                data = b'"'.join(words)
            case _:
                data = data[:at] + put + data[at + out :]
    return data


def mutated_table(data: bytes, dice: random.Random) -> bytes:
    """Return a table of readings with some cells changed, or bytes."""
    if dice.random() < 0.4:
        return mutated_bytes(data, dice)
    rows = list(csv.reader(io.StringIO(data.decode())))
    for _ in range(dice.choice((1, 1, 3))):
        row = rows[dice.choice((0, dice.randrange(len(rows))))]
        row[dice.randrange(len(row))] = dice.choice(TEXTS)
    text = io.StringIO()
    csv.writer(text, delimiter=dice.choice(",,,;\t")).writerows(rows)
    return text.getvalue().encode("utf-8", "replace")


# --- watching ------------------------------------------------------------------------------------


class Watch:
    """Gives commands, and notes what must not be."""

    def __init__(self) -> None:
        self.files = 0
        self.commands = 0
        self.longest = 0.0
        self.codes: Counter[int] = Counter()
        self.faults: list[str] = []
        fault.told = self._fault

    def _fault(self, error: BaseException, words: list[str]) -> str:
        trace = error.__traceback__
        while trace is not None and trace.tb_next is not None:
            trace = trace.tb_next
        where = f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}" if trace else "?"
        self.note(f"{type(error).__name__} at {where.partition('bedplate/')[2]}", words)
        return "A fault."

    def note(self, what: str, words: Sequence[str]) -> None:
        """Note a fault, and keep the file that showed it."""
        self.faults.append(f"{what}: {' '.join(words)}")
        for path in (JOB, SHEET, TABLE):
            if path.is_file() and len(self.faults) <= 100:
                kept = Path(os.environ.get("HOSTILE_KEEP", ".")) / f"{len(self.faults)}-{path}"
                kept.write_bytes(path.read_bytes())

    def given(self, words: Sequence[str]) -> int:
        """Give one command; note a code, a time or a character that must not be."""
        out, err = io.StringIO(), io.StringIO()
        begun = time.process_time()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = main(words)
        took = time.process_time() - begun
        self.commands += 1
        self.longest = max(self.longest, took)
        self.codes[code] += 1
        if took > PATIENCE:
            self.note(f"{took:.1f} s", words)
        for said in (out.getvalue(), err.getvalue()):
            if raw := next((c for c in set(said) if is_raw(c, words)), None):
                self.note(f"U+{ord(raw):04X} on the screen", words)
        if words[:2] == ["export", "readings"] and "json" not in words:
            self._cells(out.getvalue(), words)
        if "html" in words and any(text in out.getvalue() for text in TEXTS if "<script>" in text):
            self.note("markup from a file", words)
        return code

    def _cells(self, said: str, words: Sequence[str]) -> None:
        for row in csv.reader(io.StringIO(said)):
            for cell in row:
                if cell[:1] in "=+-@" and cell and not cell[1:].replace(".", "", 1).isdigit():
                    self.note(f"a cell {cell[:20]!r}", words)


def is_raw(char: str, words: Sequence[str]) -> bool:
    """Tell whether a screen would act on a character."""
    if char == "\n" or (char in "\r\t" and ("readings" in words or "html" in words)):
        return False
    return unicodedata.category(char) in {"Cc", "Cf", "Cs", "Zl", "Zp"}


def of_jobs(
    watch: Watch,
    base: bytes,
    dice: random.Random,
    mutated: Callable[[bytes, random.Random], bytes],
) -> Iterator[None]:
    """Hand mutated jobs to commands that read, and to some that write."""
    Path("other.jsonl").write_bytes(b"".join(base.splitlines(keepends=True)[:60]))
    TABLE.write_text("address,value\nD.driver@12,1.0030\n", "utf-8")
    while True:
        data = mutated(base, dice)
        for words in [*dice.sample(READS, PER_FILE - 2), *dice.sample(WRITES, 2)]:
            JOB.write_bytes(data)
            watch.given(["--job", "pump", *words])
            if not JOB.read_bytes().startswith(data.rpartition(b"\n")[0]):
                watch.note("a file written over", words)
            for made in ("saved.toml", "sound.job.jsonl"):
                Path(made).unlink(missing_ok=True)
        yield


def of_sheets(watch: Watch, base: bytes, dice: random.Random) -> Iterator[None]:
    """Hand mutated build sheets to the commands that read them."""
    while True:
        SHEET.write_bytes(mutated_bytes(base, dice))
        Path("new.job.jsonl").unlink(missing_ok=True)
        for words in OF_SHEETS:
            watch.given(words)
        yield


def of_tables(watch: Watch, job: bytes, base: bytes, dice: random.Random) -> Iterator[None]:
    """Hand mutated tables of readings to the command that records them."""
    while True:
        JOB.write_bytes(job)
        TABLE.write_bytes(mutated_table(base, dice))
        for words in OF_TABLES:
            watch.given(["--job", "pump", *words])
        yield


def peak() -> int:
    """Return the most memory this process took, in MiB."""
    import resource  # noqa: PLC0415 - not on every system

    size = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return size // (1024 if sys.platform != "darwin" else 1 << 20)


def run(scene: str, count: int, seed: int, seconds: float = 1e9) -> Json:
    """Play a scene in a folder of its own; return what was seen."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"BEDPLATE_HOME": f"{folder}/home", "BEDPLATE_BY": "Ann Fitter"}
        os.environ["COLUMNS"] = "100"
        os.chdir(folder)
        demo = Path("demo")
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            main(["demo", "demo"])
        dice, watch = random.Random(seed), Watch()
        job = (demo / "signed" / "pump.job.jsonl").read_bytes()
        sheet = next(demo.glob("*.toml")).read_bytes()
        table = next(demo.glob("*found.csv")).read_bytes()
        opened = job.partition(b"\n")[0] + b"\n"
        playing = {
            "jobs": lambda: of_jobs(watch, job, dice, mutated_job),
            "bytes": lambda: of_jobs(watch, job, dice, mutated_bytes),
            "sheets": lambda: of_sheets(watch, sheet, dice),
            "tables": lambda: of_tables(watch, opened, table, dice),
        }[scene]()
        end = time.monotonic() + seconds
        while watch.files < count and time.monotonic() < end:
            next(playing)
            watch.files += 1
        os.chdir("/")
    return {
        "files": watch.files,
        "commands": watch.commands,
        "longest_s": round(watch.longest, 2),
        "memory_mib": peak(),
        "codes": {str(code): times for code, times in sorted(watch.codes.items())},
        "faults": watch.faults,
    }


if __name__ == "__main__":
    limit = float(sys.argv[4]) if len(sys.argv) > 4 else 1e9
    sys.stdout.write(json.dumps(run(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), limit)))
