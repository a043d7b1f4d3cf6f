"""The rules held against an independent model, over random sequences of commands.

2,000 sequences of 50 by a plain seeded driver, and fewer by hypothesis, which shrinks what it
finds. The long run (``-m slow``) is 100,000, in blocks of 1,000.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from bench_work import (
    BY,
    COMMANDS,
    OPENED,
    Command,
    Drawn,
    Work,
    sequence,
    shortened,
    work_through,
)
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule
from shop import START

from bedplate.errors import BedplateError
from bedplate.record import entries as e
from bedplate.record.appending import OpenJob
from bedplate.record.jobfile import read_job_file
from bedplate.record.spelling import spell

STEPS = 50
BLOCK, BLOCKS = 250, 8
LONG_BLOCK, LONG_BLOCKS = 1_000, 100
FIRST_OF_LONG = 1_000_000
"""The seeds of the long run are none of the short one's."""


def _hold(seeds: range) -> tuple[int, int]:
    """Work through the sequences of some seeds; return the number of entries and refusals."""
    made = refused = 0
    for seed in seeds:
        work, commands = Work(), sequence(seed, STEPS)
        try:
            work_through(work, commands)
        except (AssertionError, BedplateError) as fault:
            fewest = shortened(commands, _fails)
            pytest.fail(f"seed {seed}: {fault!r}\nthe fewest that fail: {fewest}")
        made, refused = made + len(work.entries), refused + work.refused
    return made, refused


def _fails(commands: Drawn) -> bool:
    try:
        work_through(Work(), commands)
    except (AssertionError, BedplateError):
        return True
    return False


@pytest.mark.parametrize("block", range(BLOCKS))
def test_the_rules_agree_with_the_model_in_2000_sequences(block: int) -> None:
    made, refused = _hold(range(block * BLOCK, (block + 1) * BLOCK))
    # Neither is worth much without the other: work that goes on, and work that is refused.
    assert made > 20 * BLOCK
    assert refused > 10 * BLOCK


@pytest.mark.slow
@pytest.mark.parametrize("block", range(LONG_BLOCKS))
def test_the_rules_agree_with_the_model_in_100000_sequences(block: int) -> None:
    first = FIRST_OF_LONG + block * LONG_BLOCK
    _hold(range(first, first + LONG_BLOCK))


class OnDisk(Work):
    """The same work, recorded in a file under its lock."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        path.write_bytes(spell(OPENED))
        self.path = path
        self.file = OpenJob(path)

    def put(self, entry: e.AnyEntry) -> None:
        before = self.path.read_bytes()

        def permitted(_entries: object) -> list[e.AnyEntry]:
            super(OnDisk, self).put(entry)
            return [entry]

        try:
            self.file.append(permitted, by=BY, now=lambda: START)
        except BedplateError:
            assert self.path.read_bytes() == before
            raise
        after = self.path.read_bytes()
        assert after.startswith(before)
        assert after.count(b"\n") == len(self.entries)


@pytest.mark.parametrize("seed", range(20))
def test_a_refused_command_leaves_the_file_byte_for_byte(seed: int, tmp_path: Path) -> None:
    work = OnDisk(tmp_path / "bench.job.jsonl")
    with work.file:
        work_through(work, sequence(seed, STEPS))
    assert work.refused
    assert [(x.n, x.kind) for x in read_job_file(work.path).entries] == [
        (x.n, x.kind) for x in work.entries
    ]


class AtTheBench(RuleBasedStateMachine):
    """The same commands, drawn by hypothesis."""

    def __init__(self) -> None:
        super().__init__()
        self.work = Work()

    def teardown(self) -> None:
        self.work.end()


def _rule(command: Command) -> Any:
    def does(self: AtTheBench, **words: Any) -> None:
        before = len(self.work.entries)
        command.does(self.work, **words)
        self.work.step(before)

    does.__name__ = command.does.__name__
    drawn: dict[str, Any] = {word: st.sampled_from(of) for word, of in command.words.items()}
    ruled: Any = rule(**drawn)
    return ruled(does)


for _name, _command in COMMANDS.items():
    setattr(AtTheBench, _name, _rule(_command))

TestAtTheBench = AtTheBench.TestCase
TestAtTheBench.settings = settings(
    max_examples=60,
    stateful_step_count=STEPS,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
