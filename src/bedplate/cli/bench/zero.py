"""Asking for the zero of a gauge before it is read, and again after a while."""

from __future__ import annotations

from bedplate.assess.gauges import described
from bedplate.assess.limits import feature_unit, nominal_text
from bedplate.assess.setting import setting_to_record
from bedplate.cli.bench import heads
from bedplate.cli.bench.checks import Standard, ago, far_off, offset_of, read_shown
from bedplate.cli.bench.choice import covering
from bedplate.cli.bench.state import Act, Bench
from bedplate.cli.bench.task import Question, Task
from bedplate.cli.store import clock
from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Spot
from bedplate.record.entries import AnyEntry, Setting
from bedplate.record.job import Job
from bedplate.text import visible
from bedplate.units import system

ON_WHAT = "What it stands on goes behind it:  1.0001 on 1in   or   0 on H.driver@a in mic1"


class ZeroTask(Task):
    """The zero of one gauge, before it is read.

    Args:
        bench: the session.
        gauge: the gauge that is read; of a pair the second.
        standard: what it is checked on.
        at: what is read with it next.
        left: what is noted where the check is left.
    """

    def __init__(self, bench: Bench, gauge: str, standard: Standard, at: Spot, left: str) -> None:
        super().__init__(bench, f"zero {gauge} {at.tag} {bench.job.last}")
        self.gauge = gauge
        self.standard = standard
        self.at = at
        self.left = left

    @property
    def spot(self) -> Spot:
        """What is read with it next."""
        return self.at

    def lead(self, *, first: bool) -> list[str]:
        """Return what is asked for, where it does not go into the prompt."""
        del first
        return self._parts[0]

    def prompt(self) -> str:
        """Return the prompt."""
        return self._parts[1]

    @property
    def _parts(self) -> tuple[list[str], str]:
        screen = self.bench.screen
        last = self.standard.last
        now = clock()
        on = self.standard.on
        since = "not set yet"
        if last is not None:
            stood = f" on {visible(last.reference)}" if last.reference else ""
            since = f"last set{stood} {ago(last.done_at or last.at, now)} ago"
        if last is not None and on is not None:
            since = f"last zero check {ago(last.done_at or last.at, now)} ago"
        if self.standard.differences or on is None:
            return self._free(since)
        if screen.plain:
            told = f"Gauge {self.gauge}: zero check on its standard of {on}; {since}."
            return [told], f"{self.gauge} reads, or s to skip: "
        if heads.is_narrow(screen):
            told = f"{self.gauge}: zero check on {on}"
            return [*heads.running(told, screen), f"  {since}"], "reads > "
        if last is None:
            on_it = f"zero check, reads on its standard of {on} [not yet today]"
            return [], f"{self.gauge}: {on_it} > "
        again = f"{since}. Again? reading on {on}, or s to skip"
        return [], f"{self.gauge}: {again} > "

    def _free(self, since: str) -> tuple[list[str], str]:
        """Return the question about a gauge whose standard nothing says."""
        screen = self.bench.screen
        what, forms = self._what
        if screen.plain:
            told = f"Gauge {self.gauge}: {what}; {since}. It reads like {', or '.join(forms)}."
            return [told], f"{self.gauge}, or s to skip: "
        if heads.is_narrow(screen):
            lines = heads.running(f"{self.gauge}: {what}, as  {forms[0]}", screen, "", "  ")
            return [*lines, *heads.running(since, screen, "  ")], f"{self.gauge} > "
        lines = heads.running(f"{self.gauge}: {what} ({since})", screen, "", "  ")
        lines += heads.running(f"it reads like  {'   or   '.join(forms)}", screen, "  ")
        return lines, f"  {self.gauge} > "

    @property
    def _what(self) -> tuple[str, tuple[str, ...]]:
        """Return what is asked for, and how it is typed."""
        if not self.standard.differences:
            metric = system(feature_unit(self.bench.job, self.at.tag)) != "inch"
            size = "25.001 on 25mm" if metric else "1.0001 on 1in"
            return "zero check: what it shows, and on what", ("0 on 0", size)
        text = nominal_text(self.bench.job, self.at)
        size = f"0 on {'1in' if text is None else text.replace(' ', '')}"
        within = covering(self.bench.job, self.at, self.bench.gauges.cabinet)
        what = f"set it for {self.at.tag}: what it shows, and on what"
        return what, (size, *([f"{size} in {within}"] if within else []))

    def take(self, text: str) -> Task | None:
        """Record what the gauge showed."""
        try:
            return self._shown(text)
        except NotUnderstoodError as fault:
            leave = "s  leaves the check for now."
            raise NotUnderstoodError(fault.message, *fault.hint, leave) from fault

    def _shown(self, text: str) -> Task | None:
        told = read_shown(text)
        if self.standard.differences and told.on is None and self.standard.on is None:
            raise NotUnderstoodError(
                f"Not recorded. On what does {self.gauge} stand, to show {told.shown}?", ON_WHAT
            )
        far = far_off(self.bench.job, self.gauge, told, self.standard, self.bench.gauges.cabinet)
        if far is not None:
            return FarOff(self.bench, self, text, far)
        set_gauge(self.bench, self.gauge, text, self.standard.on)
        return None

    def skip(self, why: str) -> Task | None:
        """Leave the zero as it is, for as long as the settings say."""
        if why:
            raise NotUnderstoodError(
                "Not recorded. A zero check is made or left; it has no reason.",
                "s  alone leaves it.",
            )
        for name in (self.gauge, self.left):
            self.bench.checks.made(name, clock())
        return None


class FarOff(Question):
    """A zero that is so far off that it is probably a reading, or another standard.

    Args:
        bench: the session.
        task: the zero check.
        text: what was typed.
        far: how far it is off, in words.
    """

    def __init__(self, bench: Bench, task: ZeroTask, text: str, far: str) -> None:
        super().__init__(bench, f"far {text} {bench.job.last}")
        self.task = task
        self.text = text
        self.far = far

    def lead(self, *, first: bool) -> list[str]:
        """Return how far it is off."""
        del first
        said = f"{self.task.gauge} would be {self.far} on its standard: is that a reading?"
        return heads.below(said, self.bench.screen)

    def prompt(self) -> str:
        """Return the prompt."""
        question = "what it shows on its standard, or k to keep"
        return heads.prompt_after("", question, self.bench.screen)[1]

    def take(self, text: str) -> Task | None:
        """Take another figure."""
        return self.task.take(text)

    def keep(self) -> Task | None:
        """Record it as it is."""
        set_gauge(self.bench, self.task.gauge, self.text, self.task.standard.on)
        return None

    def skip(self, why: str) -> Task | None:
        """Leave the zero as it is."""
        return self.task.skip(why)


def set_gauge(bench: Bench, gauge: str, text: str, standard: str | None) -> None:
    """Record a setting as it was typed at the bench.

    Args:
        bench: the session.
        gauge: what was set.
        text: ``1.0001``, ``1.0001 on 1in``, ``0 on H.driver@a in mic1``.
        standard: what it stood on where nothing is typed, None where nothing says it.

    Raises:
        NotUnderstoodError: it is not understood, or the gauge is far off.
    """
    told = read_shown(text)
    act = Act((), f"{gauge} {told.shown}", gauge=gauge)

    def proposed(job: Job) -> list[AnyEntry]:
        try:
            return setting_to_record(
                job, gauge, told.shown, on=told.on or standard, within=told.within,
                cabinet=bench.gauges.cabinet,
            )  # fmt: skip
        except NotUnderstoodError as fault:
            raise NotUnderstoodError(fault.message, ON_WHAT) from None

    recorded = bench.record(proposed, act)
    bench.checks.made(gauge, clock())
    for entry in recorded.entries:
        if isinstance(entry, Setting):
            bench.out(_told(entry, bench))


def _told(entry: Setting, bench: Bench) -> list[str]:
    screen = bench.screen
    offset = offset_of(entry, described(bench.job).get(entry.gauge, {}))
    name = visible(entry.gauge)
    within = f", set in {visible(entry.in_)}" if entry.in_ else ""
    if offset is None:
        said = f"{name} shows {entry.shown} on {visible(entry.reference or '0')}{within}"
    elif offset.strip("0.-") == "":
        said = f"zero check {name}: {offset.lstrip('-')}"
    else:
        # A setting in a micrometer, or on a size far away, is no zero that is off.
        said = f"zero check {name}: {offset}, taken off every reading from here on"
        if entry.reference and entry.reference[0] != "0" and entry.shown[0] == "0":
            said = f"{name} shows {entry.shown} on {visible(entry.reference)}{within}"
    if screen.plain:
        told = f"Z{said[1:]}" if said.startswith("zero check") else f"Gauge {said}"
        return [f"Recorded, entry {entry.n}. {told}."]
    lines = [f"entry {entry.n:<3} {said}"]
    return [part for line in lines for part in heads.set_in(line, screen)]
