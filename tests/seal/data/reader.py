"""Reads a bedplate job file with nothing but Python's own library: python reader.py FILE.

Prints each entry that has not been struck, and whether every line is the one that the next was
written on. The format: one JSON object a line, LF alone at its end; ``prev`` is the SHA-256 of the
line before, LF included, and 64 zeros in the first.
"""

# ruff: noqa: T201 - it is there to print
import hashlib
import json
import sys


def main(path: str) -> int:
    with open(path, "rb") as file:
        data = file.read()
    lines = data.split(b"\n")
    torn = lines.pop()  # what stands behind the last line end was never recorded
    entries, link = [], "0" * 64
    for number, line in enumerate(lines, 1):
        entry = json.loads(line)
        if entry["n"] != number or entry["prev"] != link:
            print(f"line {number} does not follow on the line before it")
            return 1
        link = hashlib.sha256(line + b"\n").hexdigest()
        entries.append(entry)
    struck = {entry["entry"] for entry in entries if entry["kind"] == "strike"}
    for entry in entries:
        if entry["n"] not in struck:
            added = ("n", "at", "by", "kind", "prev", "sheet", "sealed", "signature", "key")
            own = ", ".join(f"{key} {value}" for key, value in entry.items() if key not in added)
            print(f"{entry['n']:>4}  {entry['at']}  {entry['by']}  {entry['kind']}  {own}")
    print(f"{len(entries)} entries, head {link}")
    if torn:
        print(f"{len(torn)} bytes behind them were never recorded")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
