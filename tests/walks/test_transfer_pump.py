"""Example (a) from the opening to the signature, each command in a process of its own."""

from __future__ import annotations

import json
import os
import shlex
import shutil
from pathlib import Path
from typing import Any

from warm import Warm

EXAMPLES = Path(__file__).parents[2] / "examples"


class Walk:
    """A folder with the example, and a program that is forked for every command."""

    def __init__(self, folder: Path, warm: Warm) -> None:
        self.folder = folder
        self.warm = warm
        for path in EXAMPLES.glob("transfer-pump*"):
            shutil.copyfile(path, folder / path.name)

    def go(self, line: str, code: int = 0) -> str:
        """Type a line, hold its exit code, and return what it answered."""
        own = {"BEDPLATE_HOME": str(self.folder / "home"), "BEDPLATE_BY": "Ann"}
        ended, said = self.warm.answer(shlex.split(line), self.folder, own)
        assert ended == code, f"{line}: {said}"
        return said

    def verdicts(self, line: str, code: int = 0) -> dict[tuple[str, str | None, str], str]:
        """Return the verdict of every row of a check, by tag, position and stage."""
        document: dict[str, Any] = json.loads(self.go(f"{line} --json", code))
        return {(f["tag"], f["position"], f["stage"]): f["verdict"] for f in document["fits"]}


def test_a_pump_from_its_opening_to_its_signature(tmp_path: Path) -> None:
    away = tmp_path / "away"
    away.mkdir()
    with Warm(os.environ, away) as warm:
        _walk(Walk(tmp_path, warm))


def _walk(walk: Walk) -> None:
    for gauge in ("depth1", "mic1", "mic2", "bore1", "dial1"):
        walk.go(f'gauge add {gauge} --resolution "1 tenth" --max-error "1 tenth"')
    walk.go("open pump --sheet transfer-pump.toml")
    for line in ("done drain", "fasten N removed", "done cover-off", "done marks"):
        walk.go(line)
    walk.go("measure --from transfer-pump-as-found.csv")
    assert walk.verdicts("check EC", 1) == {
        ("EC", "driver", "as found"): "in",
        ("EC", "idler", "as found"): "out",
    }
    walk.go('decide gear.idler replace --why "height under limit"')
    walk.go("change gear.idler new")
    walk.go('decide body rework --why "end clearance"')
    walk.go("change body reworked --touching D")
    walk.go("measure --from transfer-pump-as-left.csv")
    assert walk.verdicts("check EC --all") == {
        ("EC", "driver", "as found"): "in",
        ("EC", "driver", "as left"): "in",
        ("EC", "idler", "as found"): "out",
        ("EC", "idler", "as left"): "in",
    }
    for part in ("gear.driver", "cover", "valve"):
        walk.go(f"decide {part} reuse --why sound")
    for line in ("done gears-in", "done relief-in", "use gasket", 'use "tab washer" --count 4',
                 "fasten N tight --reached 17"):  # fmt: skip
        walk.go(line)
    assert "may not be locked" in walk.go("fasten N locked", 1)
    for line in ("prove SPIN pass", "fasten N locked", "done close", "done lock"):
        walk.go(line)
    assert "NOT SIGNED" in walk.go("summary")
    walk.go("sign")
    assert json.loads(walk.go("verify --json"))["signed"] == ["handover"]
    walk.go("measure RP 30")
    walk.go("done warm-setting")
    walk.go('sign "first run"')
    assert json.loads(walk.go("verify --json"))["signed"] == ["handover", "first run"]
