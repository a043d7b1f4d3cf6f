"""An assembly written down a second time, from the rules of the trade and not from the program.

Every nut, washer and gasket is an object of its own here, where the program counts; every rule
is asked of the whole history. It knows one small sheet (`SHEET`) and says of each entry whether
it may be made, until an entry that others stood on is struck; from then on it only watches.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

SHEET = """
unit = "mm"
source = "Invented handbook"
[axes]
place = ["1", "2"]
[[component]]
id = "body"
[[component]]
id = "cap"
positions = "place"
[[component]]
id = "gasket"
renew = true
[[feature]]
tag = "E"
of = "body"
when = ["N"]
[[feature]]
tag = "W"
of = "cap"
[[fit]]
tag = "EF"
stack = "E"
band = { limits = "1..3 mm" }
[[fasteners]]
tag = "N"
count = 4
holds = ["body", "gasket"]
stages = [{ limits = "16..18 N*m" }]
lock = "tab washer"
prove = ["SPIN"]
spends = { tight = { gasket = 1 }, locked = { washer = 4 } }
[[fasteners]]
tag = "M"
positions = "place"
count = 2
holds = ["cap"]
stages = [{ limits = "30 N*m" }, { limits = "58..62 N*m" }]
spends = { tight = { bolt = 2 } }
[[proof]]
tag = "SPIN"
text = "Spins"
when = ["N"]
[[proof]]
tag = "FLOAT"
fit = "EF"
when = ["N"]
[[proof]]
tag = "TURN"
text = "Turns"
positions = "place"
when = ["M"]
[[step]]
id = "close"
text = "Close"
leaves = { N = "locked", M = "tight" }
hold = ["FLOAT", "TURN"]
"""

BANDS: dict[tuple[str, int], tuple[int, int] | None] = {
    ("N", 1): (16, 18),
    ("M", 1): None,
    ("M", 2): (58, 62),
}
"""The torque of every stage; None for a setting to reach, which is not judged."""


def is_out(tag: str, stage: int, reached: int | None) -> bool:
    """Say whether what was reached is out of the limits of a stage."""
    band = BANDS[tag, stage]
    return band is not None and reached is not None and not band[0] <= reached <= band[1]


@dataclass
class Nut:
    """One fastener, and the one-use things it holds by itself."""

    at: str = "as found"
    stage: int = 0
    trial: bool = False
    out: bool = False
    moved: int = 0
    real: bool = False
    own: list[str] = field(default_factory=list)


@dataclass
class Ask:
    """What an entry about fasteners says."""

    where: str
    state: str
    count: int | None = None
    stage: int | None = None
    trial: bool = False
    reached: int | None = None


@dataclass
class Set:
    """A set at one position."""

    tag: str
    nuts: list[Nut]
    stages: int
    last_move: int = 0
    ever: bool = False

    def full(self, nut: Nut) -> bool:
        return nut.at == "locked" or (nut.at == "tight" and nut.stage == self.stages)

    @property
    def tight(self) -> bool:
        return not self.ever or all(self.full(nut) for nut in self.nuts)

    @property
    def clamps(self) -> bool:
        return any(nut.at in ("tight", "locked") for nut in self.nuts)

    @property
    def out(self) -> bool:
        return any(nut.out and nut.at == "tight" for nut in self.nuts)

    @property
    def final(self) -> bool:
        if self.tag == "N":
            return all(nut.at == "locked" for nut in self.nuts)
        return all(self.full(nut) and not nut.trial for nut in self.nuts)


_LOOSEST_FIRST = ("fitted", "removed", "as found", "tight", "locked")


class Bench:
    """The whole assembly."""

    def __init__(self) -> None:
        self.sets = {
            "N": Set("N", [Nut() for _ in range(4)], 1),
            "M.1": Set("M", [Nut() for _ in range(2)], 2),
            "M.2": Set("M", [Nut() for _ in range(2)], 2),
        }
        self.unused = {"gasket": 0, "washer": 0, "bolt": 0}
        self.drawn = dict(self.unused)
        self.spent = dict(self.unused)
        self.gasket_in = False
        self.proofs: dict[str, list[tuple[int, bool]]] = {
            name: [] for name in ("SPIN", "FLOAT", "TURN.1", "TURN.2")
        }
        self.changed = {"body": 0, "cap.1": 0, "cap.2": 0}
        self.decided: dict[str, tuple[str, int]] = {}
        self.body_life = 1
        self.readings: list[tuple[int, int, Fraction]] = []
        """Of E: entry, life of the body, value."""
        self.parts = {"cap.1": "cap.1", "cap.2": "cap.2"}
        self.loose: list[str] = []
        self.lives = {"cap.1": 1, "cap.2": 1}
        self.widths: dict[int, tuple[str, int]] = {}
        """Of W: which cap, in which life, each reading was taken on."""
        self.done = False
        self.signed = False

    def named(self, where: str) -> list[Set]:
        return [
            s for name, s in self.sets.items() if name == where or name.startswith(f"{where}.")
        ]

    # ---- fasteners

    def may_fasten(self, ask: Ask) -> bool:
        """Say whether an entry about fasteners may be made."""
        sets = self.named(ask.where)
        stages = sets[0].stages
        if self.signed or (ask.count is not None and len(sets) > 1):
            return False
        if ask.count is not None and not 1 <= ask.count <= len(sets[0].nuts):
            return False
        if ask.trial and ask.state != "tight":
            return False
        if ask.stage is not None and (ask.stage > stages or ask.state not in ("tight", "again")):
            return False
        if ask.reached is not None and ask.state not in ("tight", "again"):
            return False
        if ask.state == "tight" and ask.stage is None and stages > 1 and not ask.trial:
            return False
        going = [(s, self._movers(s, ask)) for s in sets]
        going = [(s, nuts) for s, nuts in going if nuts]
        return (
            bool(going)
            and all(self._may(s, nuts, ask) for s, nuts in going)
            and self._enough([(s, nuts) for s, nuts in going], ask)
        )

    def _movers(self, s: Set, ask: Ask) -> list[Nut]:
        """Return the fasteners an entry means: the loosest first, but for those further on."""
        can = [nut for nut in s.nuts if self._can(s, nut, ask)]
        if ask.state == "tight":
            can.sort(key=lambda nut: -nut.stage if nut.at == "tight" else 1)
            loose = [nut for nut in can if nut.at != "tight"]
            loose.sort(key=lambda nut: _LOOSEST_FIRST.index(nut.at))
            can = [nut for nut in can if nut.at == "tight"] + loose
        elif ask.state == "again":
            order = ("tight", "as found", "locked")
            can.sort(key=lambda nut: (order.index(nut.at), nut.moved))
        elif ask.state == "locked":
            ready = [nut for nut in can if s.full(nut) and not nut.trial]
            can = ready + [nut for nut in can if nut not in ready]
        elif ask.state == "backed-off":
            order = ("tight", "as found", "locked")
            can.sort(key=lambda nut: (order.index(nut.at), nut.stage))
        else:
            can.sort(key=lambda nut: (_LOOSEST_FIRST.index(nut.at), nut.stage))
        return can if ask.count is None else can[: ask.count]

    def _can(self, s: Set, nut: Nut, ask: Ask) -> bool:
        if ask.state == "removed":
            return nut.at != "removed"
        if ask.state == "fitted":
            return nut.at in ("as found", "removed")
        if ask.state == "locked":
            return nut.at != "locked"
        if ask.state == "tight":
            target = ask.stage or s.stages
            if nut.at == "tight":
                return nut.stage < target and nut.trial == ask.trial
            return nut.at != "locked"
        if ask.state == "again" and ask.stage is not None:
            at = nut.stage if nut.at == "tight" else s.stages
            if at != ask.stage:
                return False
        return nut.at in ("tight", "as found", "locked")

    def _may(self, s: Set, nuts: list[Nut], ask: Ask) -> bool:
        if ask.count is not None and len(nuts) < ask.count:
            return False
        if ask.state == "tight":
            return self._may_tighten(s, nuts, ask)
        if ask.state == "again":
            if s.tag == "N" and any(nut.at == "locked" for nut in nuts):
                return False
            tight = [nut for nut in nuts if nut.at == "tight"]
            return ask.reached is not None or not any(nut.out for nut in tight)
        if ask.state == "locked":
            if any(not s.full(nut) or nut.trial or nut.out for nut in nuts):
                return False
            return s.tag != "N" or self.stands("SPIN")
        return True

    def _may_tighten(self, s: Set, nuts: list[Nut], ask: Ask) -> bool:
        if any(nut.at in ("tight", "locked") and nut.trial != ask.trial for nut in s.nuts):
            return False
        if ask.trial and ask.stage is None:
            return True
        target = ask.stage or s.stages
        reached = [nut.stage if nut.at == "tight" else 0 for nut in nuts]
        return all(stage == target - 1 for stage in reached) and not any(
            nut.out and nut.at == "tight" for nut in nuts
        )

    def _enough(self, going: list[tuple[Set, list[Nut]]], ask: Ask) -> bool:
        """Say whether there are one-use things enough that are new."""
        takes = {"gasket": 0, "washer": 0, "bolt": 0}
        for s, nuts in going:
            if ask.state == "tight" and not ask.trial:
                fresh = [nut for nut in nuts if not nut.real]
                if s.tag == "N" and fresh and not self.gasket_in:
                    takes["gasket"] += 1
                if s.tag == "M":
                    takes["bolt"] += len(fresh)
            if ask.state == "locked" and s.tag == "N":
                takes["washer"] += len(nuts)
        return all(takes[thing] <= self.unused[thing] for thing in takes)

    def fasten(self, ask: Ask, n: int) -> None:
        """Do what an entry about fasteners says."""
        for s in self.named(ask.where):
            nuts = self._movers(s, ask)
            for nut in nuts:
                self._move(s, nut, ask, n)
            if nuts:
                s.ever = True
                s.last_move = s.last_move if ask.state == "locked" else n
        on = any(nut.real for nut in self.sets["N"].nuts)
        if self.gasket_in and not on:
            self.spent["gasket"] += 1
        elif on and not self.gasket_in:
            self.unused["gasket"] -= 1
        self.gasket_in = on

    def _move(self, s: Set, nut: Nut, ask: Ask, n: int) -> None:
        nut.moved = n
        if ask.state == "locked":
            nut.at = "locked"
            if s.tag == "N":
                self._take(nut, "washer")
        elif ask.state == "again":
            nut.stage = s.stages if nut.at == "as found" else nut.stage
            nut.at = "tight"
            nut.out = is_out(s.tag, nut.stage, ask.reached)
        elif ask.state == "tight":
            nut.at, nut.stage, nut.trial = "tight", ask.stage or s.stages, ask.trial
            nut.out = is_out(s.tag, nut.stage, ask.reached)
            if not ask.trial and not nut.real:
                nut.real = True
                if s.tag == "M":
                    self._take(nut, "bolt")
        else:
            for thing in nut.own:
                self.spent[thing] += 1
            nut.own.clear()
            nut.at = "removed" if ask.state == "removed" else "fitted"
            nut.stage, nut.trial, nut.out, nut.real = 0, False, False, False

    def _take(self, nut: Nut, thing: str) -> None:
        self.unused[thing] -= 1
        nut.own.append(thing)

    def draw(self, thing: str, count: int) -> None:
        """Draw new things."""
        self.unused[thing] += count
        self.drawn[thing] += count

    # ---- proofs and readings

    def _proof_set(self, proof: str) -> Set:
        return self.sets["N" if proof in ("SPIN", "FLOAT") else f"M.{proof[-1]}"]

    def upset(self, proof: str) -> int:
        """Return the last move or change that a proof does not outlive."""
        held = "body" if proof in ("SPIN", "FLOAT") else f"cap.{proof[-1]}"
        return max(self._proof_set(proof).last_move, self.changed[held])

    def stands(self, proof: str) -> bool:
        """Say whether a proof has passed since it was upset."""
        since = [(n, passed) for n, passed in self.proofs[proof] if n > self.upset(proof)]
        if proof != "FLOAT":
            return bool(since) and since[-1][1]
        failed = since[-1][0] if since and not since[-1][1] else 0
        return self._fit_passes(max(self.upset(proof), failed))

    def _fit_passes(self, since: int) -> bool:
        here = [(n, value) for n, life, value in self.readings if life == self.body_life]
        values = [value for n, value in here if n > since]
        if not values:
            return False
        return 1 <= sum(values, Fraction(0)) / len(values) <= 3

    def may_prove(self, proof: str, passed: bool) -> bool:
        """Say whether a proof may be recorded."""
        if self.signed or not self._proof_set(proof).tight:
            return False
        return not passed or proof != "FLOAT" or self._fit_passes(self.upset(proof))

    def may_read(self, tag: str) -> bool:
        """Say whether a feature may be read."""
        return not self.signed and (tag == "W" or self.sets["N"].tight)

    # ---- parts

    def may_change(self, place: str, how: str, origin: str | None) -> bool:
        """Say whether a part may be changed."""
        clamped = {"body": "N", "cap.1": "M.1", "cap.2": "M.2"}
        touched = [place]
        if how == "moved":
            there = self.parts.get(str(origin))
            if origin in self.loose:
                pass
            elif origin == place or there in (None, ""):
                return False
            else:
                touched.append(str(origin))
        if how == "reworked" and place != "body" and self.parts[place] == "":
            return False
        if how == "new" and self.parts.get(place) == "":
            # The part that was moved away bears the name of this place as its mark.
            marks = [*self.parts.values(), *self.loose]
            if place in marks:
                return False
        return not self.signed and not any(self.sets[clamped[p]].clamps for p in touched)

    def change(self, place: str, how: str, origin: str | None, n: int) -> None:
        """Do what an entry about a part says."""
        self.changed[place] = n
        if how == "moved":
            self._move_part(place, str(origin), n)
        elif place == "body":
            self.body_life = n
        elif how == "new":
            mark = self.parts[place] or place
            self.parts[place] = mark
            self.lives[mark] = n
        else:
            self.lives[self.parts[place]] = n

    def _move_part(self, place: str, origin: str, n: int) -> None:
        if origin in self.loose:
            mark = origin
            self.loose.remove(origin)
        else:
            mark, self.parts[origin] = self.parts[origin], ""
            self.changed[origin] = n
        if self.parts[place]:
            self.loose.append(self.parts[place])
        self.parts[place] = mark

    # ---- steps and seals

    def may_close(self) -> bool:
        """Say whether the step may be recorded as done."""
        sets = self.sets.values()
        left = all(s.final for s in sets) and not any(s.out for s in sets)
        return (
            not self.signed
            and not self.done
            and left
            and all(self.stands(proof) for proof in ("FLOAT", "TURN.1", "TURN.2"))
        )

    def blocked(self) -> set[str]:
        """Return what is in the way of the signature."""
        found = {name for name, s in self.sets.items() if not s.final or s.out}
        found |= {proof for proof in self.proofs if not self.stands(proof)}
        if not self._fit_passes(0):
            found.add("EF")
        for place in ("body", "cap.1", "cap.2"):
            decision, n = self.decided.get(place, ("", 0))
            asks = decision in ("replace", "rework") and self.changed[place] <= n
            empty = self.parts.get(place) == ""
            if asks or empty or (not decision and not self.changed[place]):
                found.add(place)
        if self.drawn["gasket"] - self.spent["gasket"] < 1:
            found.add("gasket")
        if not self.done:
            found.add("close")
        return found
