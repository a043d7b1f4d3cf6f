"""Another reading of a whole job, from the design pages alone: entries in, figures out.

Nothing of bedplate is used here, nor in `oracle`. It is written to be plain rather than fast,
knows lengths only, and reads just the spellings that `random_jobs` writes. All figures are
fractions of a millimetre.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

F = Fraction

MM = {
    "mm": F(1),
    "um": F(1, 1000),
    "in": F(254, 10),
    "thou": F(254, 10_000),
    "tenth": F(254, 10**5),
}
STEEL = F(115, 10**7)
EXPANSIONS = {"steel": F(117, 10**7), "bronze": F(18, 10**6), "grey iron": F(114, 10**7)}

Ends = tuple[F | None, F | None]
Spot = tuple[str, tuple[str, ...], tuple[str, ...]]
Draws = dict[tuple[Any, ...], F]
Json = dict[str, Any]


def figure(text: str, unit: str) -> tuple[F, F]:
    """Return a figure and the step of its last digit, in mm; ``unit`` where it has none."""
    found = re.fullmatch(r"([+-]?)([0-9.]+)(?:/([0-9]+))? *([a-z]*)", text.strip())
    assert found is not None, text
    sign, digits, under, own = found.groups()
    own = {"tenths": "tenth"}.get(own, own) or unit
    scale = MM[own]
    if under:
        value, step = F(int(digits), int(under)), F(1, int(under))
    else:
        value, step = F(digits), F(1, 10 ** len(digits.partition(".")[2]))
    return (-value if sign == "-" else value) * scale, step * scale


def ends(text: str, unit: str) -> tuple[Ends, F, bool]:
    """Return both ends in mm, the typed step (0 for two ends), and whether it has two ends."""
    two = re.fullmatch(r"([-0-9.]*?)\.\.([-0-9.]*) *([a-z]*)", text)
    if two is None:
        value, step = figure(text, unit)
        return (value, value), step, False
    scale = MM[two[3] or unit]
    low, high = (F(end) * scale if end else None for end in two.groups()[:2])
    return (low, high), F(0), True


def limit_unit(text: str, unit: str) -> str:
    """Return the unit that limits were typed in."""
    own = re.search(r"([a-z]+) *$", text)
    return own[1] if own else unit


@dataclass
class Known:
    """A sum of figures: two ends, and coefficients on independent draws."""

    low: F | None
    high: F | None
    draws: Draws = field(default_factory=dict)

    @property
    def middle(self) -> F | None:
        return None if self.low is None or self.high is None else (self.low + self.high) / 2

    @property
    def bracket(self) -> bool:
        return self.low is None or self.low != self.high


def total(parts: Iterable[tuple[F, Known]]) -> Known:
    """Return a linear combination."""
    low: F | None = F(0)
    high: F | None = F(0)
    draws: Draws = {}
    for count, part in parts:
        one, other = (part.low, part.high) if count > 0 else (part.high, part.low)
        low = None if low is None or one is None else low + count * one
        high = None if high is None or other is None else high + count * other
        for key, own in part.draws.items():
            draws[key] = draws.get(key, F(0)) + count * own
    return Known(low, high, draws)


class Job:
    """A job: what sits where, and what is known of every address."""

    def __init__(self, entries: list[Json]) -> None:
        self.entries = entries
        self.struck = {e["entry"]: e["n"] for e in entries if e["kind"] == "strike"}
        self.live = [e for e in entries if e["n"] not in self.struck and e["kind"] != "strike"]
        sheets = [e["sheet"] for e in self.live if "sheet" in e]
        self.sheet: Json = sheets[-1]
        self.unit: str = self.sheet["unit"]
        self.axes: dict[str, list[str]] = {k: list(v) for k, v in self.sheet["axes"].items()}
        self.components = {c["id"]: c for c in self.sheet["component"]}
        self.features = {f["tag"]: f for f in self.sheet["feature"]}
        self.fits = {f["tag"]: f for f in self.sheet["fit"]}
        self.sizes = {s["id"]: s for s in self.sheet.get("size", [])}
        self.variance: dict[tuple[Any, ...], F] = {}
        self.follow_parts()
        self.follow_readings()

    # ---- the sheet

    def axis_names(self, along: str | None) -> list[str]:
        return along.split("/") if along else []

    def of(self, tag: str) -> list[str]:
        of = self.features[tag]["of"]
        return [of] if isinstance(of, str) else list(of)

    def positions(self, tag: str) -> list[str]:
        """Return the names of a feature's position axes."""
        feature = self.features[tag]
        if "positions" in feature:
            return self.axis_names(feature["positions"])
        found: list[str] = []
        for component in self.of(tag):
            own = self.axis_names(self.components[component].get("positions"))
            found += [axis for axis in own if axis not in found]
        return found

    def stations(self, tag: str) -> list[str]:
        return self.axis_names(self.features[tag].get("stations"))

    def places(self, tag: str, position: tuple[str, ...]) -> list[tuple[str, tuple[str, ...]]]:
        """Return every place that agrees with a position on the axes it has."""
        at = dict(zip(self.positions(tag), position, strict=True))
        found = []
        for component in self.of(tag):
            axes = self.axis_names(self.components[component].get("positions"))
            for names in itertools.product(*(self.axes[a] for a in axes)):
                pairs = zip(axes, names, strict=True)
                if all(at.get(axis, name) == name for axis, name in pairs):
                    found.append((component, names))
        return found

    def unit_of(self, tag: str) -> str:
        return str(self.features[tag].get("unit", self.unit))

    # ---- parts and lives

    def follow_parts(self) -> None:
        """Follow what sits where: mark, birth, and the changes each part went through."""
        self.sits: dict[str, Json | None] = {}
        self.found: dict[str, Json] = {}
        self.loose: dict[tuple[str, str], Json] = {}
        for component, row in self.components.items():
            axes = self.axis_names(row.get("positions"))
            for names in itertools.product(*(self.axes[a] for a in axes)):
                place = component + ("." + "/".join(names) if names else "")
                part: Json = {"mark": place, "component": component, "born": 1, "events": []}
                self.sits[place] = self.found[place] = part
        self.sat: set[tuple[str, str]] = set()
        self.lives: set[tuple[str, int]] = set()
        self.stranded: set[int] = set()
        self.note()
        for entry in self.live:
            if entry["kind"] == "changed":
                self.change(entry)
                self.note()
            elif entry["kind"] == "reading" and self.is_stranded(entry):
                self.stranded.add(entry["n"])

    def note(self) -> None:
        """Note what sits where, in which lives: what a reading was taken on must have been so."""
        there = [(place, part) for place, part in self.sits.items() if part]
        there += [(component, part) for (component, _), part in self.loose.items()]
        for place, part in there:
            self.sat.add((place, part["mark"]))
            self.lives.add((part["mark"], part["born"]))
            self.lives |= {
                (part["mark"], e["n"]) for e in part["events"] if e["how"] in ("new", "reworked")
            }

    def is_stranded(self, reading: Json) -> bool:
        """Tell whether a reading was taken on what has not been so up to then."""
        spare = reading["on"][0]["place"]
        if "." not in spare and self.components[spare].get("positions"):
            return (spare, reading["on"][0]["part"]) not in self.loose
        return any(
            (o["place"], o["part"]) not in self.sat or (o["part"], o["life"]) not in self.lives
            for o in reading["on"]
        )

    def change(self, entry: Json) -> None:
        component = entry["component"].partition(".")[0]
        if (
            entry["how"] == "new"
            and "." not in entry["component"]
            and ("mark" in entry and self.components[component].get("positions"))
        ):
            self.loose[component, entry["mark"]] = {
                "mark": entry["mark"], "component": component, "born": entry["n"],
                "events": [entry],
            }  # fmt: skip
            return
        place = entry["component"]
        there = self.sits[place]
        if entry["how"] == "new":
            mark = entry.get("mark") or (there["mark"] if there else place)
            self.sits[place] = {
                "mark": mark, "component": component, "born": entry["n"], "events": [entry],
            }  # fmt: skip
            if there and there["mark"] != mark:
                self.loose[component, there["mark"]] = there
        elif entry["how"] == "moved":
            part = self.loose.pop((component, entry["from"]), None)
            if part is None:
                part = self.sits.get(entry["from"])
                if part is None or entry["from"] == place:
                    return
                self.sits[entry["from"]] = None
            if there:
                self.loose[component, there["mark"]] = there
            self.sits[place] = part
        elif there is not None:
            there["events"].append(entry)

    def apart(self, tag: str, component: str, position: tuple[str, ...]) -> tuple[str, ...]:
        own = self.axis_names(self.components[component].get("positions"))
        pairs = zip(self.positions(tag), position, strict=True)
        return tuple(name for axis, name in pairs if axis not in own)

    def touches(self, event: Json, tag: str, apart: tuple[str, ...]) -> bool:
        if "touching" not in event:
            return True
        component = event["component"].partition(".")[0]
        for address in event["touching"]:
            named, _, position = address.partition(".")
            if named != tag:
                continue
            at = self.apart(tag, component, tuple(position.split("/"))) if position else apart
            if at == apart:
                return True
        return False

    def life(self, part: Json, tag: str, apart: tuple[str, ...]) -> int:
        life: int = part["born"]
        for event in part["events"]:
            if event["how"] in ("new", "reworked") and self.touches(event, tag, apart):
                life = event["n"]
        return life

    def on(self, tag: str, position: tuple[str, ...], *, first: bool = False) -> list[Json] | None:
        """Return what a reading is taken on now (or was, as found); None if a place is empty."""
        found = []
        for component, names in self.places(tag, position):
            place = component + ("." + "/".join(names) if names else "")
            if first:
                found.append({"place": place, "part": place, "life": 1})
                continue
            part = self.sits[place]
            if part is None:
                return None
            life = self.life(part, tag, self.apart(tag, component, position))
            found.append({"place": place, "part": part["mark"], "life": life})
        return found

    def size(self, spot: Spot, *, first: bool) -> str | None:
        tag, position, _ = spot
        sizes = []
        for component, names in self.places(tag, position):
            place = component + ("." + "/".join(names) if names else "")
            part = self.found[place] if first else self.sits[place]
            now: tuple[int, str] | None = None
            for event in part["events"] if part else ():
                apart = self.apart(tag, component, position)
                if not self.touches(event, tag, apart):
                    continue
                if first and event["how"] in ("new", "reworked"):
                    break
                if "size" in event:
                    if tag in self.sizes[event["size"]]["nominal"]:
                        now = (event["n"], event["size"])
                elif event["how"] == "new":
                    now = None
            if now:
                sizes.append(now)
        return max(sizes)[1] if sizes else None

    def nominal(self, spot: Spot, *, first: bool) -> F | None:
        tag, position, station = spot
        size = self.size(spot, first=first)
        if size is not None and tag in self.sizes[size]["nominal"]:
            return figure(self.sizes[size]["nominal"][tag], self.unit_of(tag))[0]
        own = self.features[tag].get("nominal")
        if isinstance(own, dict):
            own = next((own[n] for n in (*position, *station) if n in own), None)
        return None if own is None else figure(own, self.unit_of(tag))[0]

    # ---- readings

    def spot_of(self, address: str) -> Spot:
        head, _, station = address.partition("@")
        tag, _, position = head.partition(".")
        return (
            tag,
            tuple(position.split("/")) if position else (),
            tuple(station.split("/")) if station else (),
        )

    def key(self, spot: Spot, on: list[Json]) -> tuple[Any, ...]:
        tag, position, station = spot
        if len(on) == 1:
            component = on[0]["place"].partition(".")[0]
            mark = position == (on[0]["part"],) and on[0]["place"] == component
            apart = () if mark else self.apart(tag, component, position)
            return (tag, apart, station, on[0]["part"], on[0]["life"])
        lives = tuple((o["place"], o["part"], o["life"]) for o in on)
        return (tag, position, station, lives)

    def follow_readings(self) -> None:
        """Correct every live reading and give it its draws."""
        self.gauges = {e["gauge"]["name"]: e["gauge"] for e in self.live if e["kind"] == "gauge"}
        self.known: dict[int, Known] = {}
        self.waiting: set[int] = set()
        self.raw: dict[int, Ends] = {}
        self.stand: dict[str, Json] = {}
        self.in_force: dict[int, Json | None] = {}
        readings = [e for e in self.entries if e["kind"] == "reading" and "value" in e]
        self.values = {e["n"]: self.value(e) for e in readings}
        for entry in self.entries:
            if entry["n"] in self.struck:
                continue
            if entry["kind"] == "setting":
                self.set(entry)
            elif entry["kind"] == "reading" and "value" in entry:
                self.read(entry)
        self.pool()
        for n in sorted(self.raw):
            self.draw(self.entries[n - 1])

    def value(self, entry: Json) -> tuple[Ends, F, bool]:
        """Return a reading as typed, in full: ends, step, two-endedness."""
        unit = self.unit_of(self.spot_of(entry["address"])[0])
        (low, high), step, two = ends(entry["value"], unit)
        if "nominal" in entry:
            shift = figure(entry["nominal"], unit)[0]
            low, high = (None if e is None else e + shift for e in (low, high))
        return (low, high), step, two

    def set(self, entry: Json) -> None:
        stand: Json = {"n": entry["n"], "source": None, "along": {}, "sources": []}
        reference: str = entry.get("reference", "0")
        shown = figure(entry["shown"], self.unit)[0]
        at: Ends
        if not reference[0].isalpha():
            size = figure(reference, self.unit)[0]
            at = (size, size)
        else:
            there = [
                e
                for e in self.entries[: entry["n"] - 1]
                if e["kind"] == "reading" and "value" in e and e["address"] == reference
                and self.struck.get(e["n"], 10**9) > entry["n"]
            ]  # fmt: skip
            if not there or there[-1]["n"] in self.struck or there[-1]["n"] not in self.raw:
                self.stand[entry["gauge"]] = {**stand, "waits": True}
                return
            at = self.raw[there[-1]["n"]]
            stand["sources"] = [there[-1]["n"]]
        if "in" in entry:
            mic = self.gauges.get(entry["in"], {})
            inner = self.stand.get(entry["in"], {"n": 0, "along": {}, "sources": []})
            place: tuple[Any, ...] = ("setting", entry["n"])
            if stand["sources"]:
                place = self.spot_of(reference)[:2]
            own = {
                ("max", entry["in"], place): self.half_width(mic, "max_error"),
                ("zero", entry["in"], inner["n"]): self.half_width(mic, "zero_error"),
            }
            stand["along"] = {**inner["along"], **{k: v for k, v in own.items() if v}}
            stand["sources"] += [s for s in inner["sources"] if s not in stand["sources"]]
        stand["offset"] = tuple(None if e is None else shown - e for e in at)
        self.stand[entry["gauge"]] = stand

    def half_width(self, gauge: Json, key: str) -> F:
        return figure(gauge[key], self.unit)[0] ** 2 / 3 if key in gauge else F(0)

    def read(self, entry: Json) -> None:
        name = entry.get("gauge", "").rpartition("/")[2]
        stand = self.stand.get(name)
        if stand and stand.get("waits"):
            self.waiting.add(entry["n"])
            return
        (low, high), _, _ = self.values[entry["n"]]
        off = stand["offset"] if stand else (F(0), F(0))
        self.raw[entry["n"]] = (
            None if low is None or off[0] is None else low - off[0],
            None if high is None or off[1] is None else high - off[1],
        )
        self.in_force[entry["n"]] = stand

    def warmth(self, entry: Json) -> F:
        """Return what a value is multiplied by to bring it to 20 degC."""
        if "temp" not in entry:
            return F(1)
        tag = self.spot_of(entry["address"])[0]
        rows = [self.components[c] for c in self.of(tag)]
        alphas = {
            F(r["expansion"]) if "expansion" in r else EXPANSIONS.get(r.get("material", ""))
            for r in rows
        }
        if len(alphas) != 1 or None in alphas:
            return F(1)
        alpha = alphas.pop() or F(0)
        part = F(entry["temp"].removesuffix("degC"))
        own = F(str(entry.get("gauge_temp", entry["temp"])).removesuffix("degC"))
        gauge = self.gauges.get(entry.get("gauge", "").rpartition("/")[2], {})
        alpha_g = F(gauge["expansion"]) if "expansion" in gauge else STEEL
        return (1 + alpha_g * (own - 20)) / (1 + alpha * (part - 20))

    def at_20(self, n: int) -> Ends:
        warm = self.warmth(self.entries[n - 1])
        low, high = self.raw[n]
        return (None if low is None else low * warm, None if high is None else high * warm)

    def described(self, name: str) -> bool:
        keys = ("resolution", "max_error", "zero_error", "repeatability")
        gauge = self.gauges.get(name, {})
        return any(k in gauge for k in keys)

    def pool(self) -> None:
        groups: dict[str, dict[Any, list[F]]] = {}
        for n in self.raw:
            entry = self.entries[n - 1]
            name = entry.get("gauge", "")
            low, high = self.at_20(n)
            if not name or self.values[n][2] or low is None or low != high:
                continue
            if not any(self.described(part) for part in name.split("/")):
                continue
            spot = self.spot_of(entry["address"])
            life = self.key(spot, entry["on"])
            groups.setdefault(name, {}).setdefault((spot, life), []).append(low)
        self.pooled: dict[str, F] = {}
        for name, by in groups.items():
            freedom = sum(len(g) - 1 for g in by.values())
            if freedom >= 5:
                squares = sum(
                    ((x - sum(g, F(0)) / len(g)) ** 2 for g in by.values() for x in g), F(0)
                )
                self.pooled[name] = squares / freedom

    def draw(self, entry: Json) -> None:
        n, name = entry["n"], entry.get("gauge", "")
        spot = self.spot_of(entry["address"])
        tag, position, _ = spot
        read_on = name.rpartition("/")[2]
        gauge = self.gauges.get(read_on, {})
        stand = self.in_force[n] or {"n": 0, "along": {}, "sources": []}
        own: Draws = {}
        report = gauge.get("kind") == "report" and "uncertainty" in gauge
        if report:
            own["report", read_on, spot] = (figure(gauge["uncertainty"], self.unit)[0] / 2) ** 2
        if "resolution" in gauge:
            own["step", read_on, spot] = figure(gauge["resolution"], self.unit)[0] ** 2 / 12
        elif not report:
            steps = [
                self.values[e["n"]][1]
                for e in self.live
                if e["kind"] == "reading" and "value" in e and not self.values[e["n"]][2]
                and self.spot_of(e["address"])[0] == tag and e.get("gauge", "") == name
            ]  # fmt: skip
            own["step", name, spot] = min(steps, default=F(0)) ** 2 / 12
        own["max", read_on, (tag, position)] = self.half_width(gauge, "max_error")
        own["zero", read_on, stand["n"]] = self.half_width(gauge, "zero_error")
        own["scatter", n] = self.scatter(name)
        low, high = self.at_20(n)
        if low is not None and high is not None and low != high:
            own["width", n] = (high - low) ** 2 / 12
        draws = {k: F(1) for k, v in own.items() if v}
        self.variance |= {k: v for k, v in own.items() if v} | stand["along"]
        carried: Draws = {}
        for source in stand["sources"]:
            for k, count in self.known[source].draws.items():
                carried[k] = carried.get(k, F(0)) + count
        carried = {k: F(1) for k in stand["along"]} | carried
        for k, count in carried.items():
            draws[k] = draws.get(k, F(0)) + count
        self.known[n] = Known(low, high, draws)

    def scatter(self, name: str) -> F:
        gauges = [self.gauges.get(part, {}) for part in name.split("/") if part]
        stated = [
            figure(g["repeatability"], self.unit)[0] ** 2 for g in gauges if "repeatability" in g
        ]
        if gauges and len(stated) == len(gauges):
            return sum(stated, F(0))
        return self.pooled.get(name, sum(stated, F(0)))

    # ---- what stands at an address

    def standing(self, spot: Spot, *, first: bool) -> list[Json]:
        on = self.on(spot[0], spot[1], first=first)
        if not on:
            return []
        key = self.key(spot, on)
        return [
            e
            for e in self.live
            if e["kind"] == "reading"
            and e["n"] not in self.stranded
            and self.key(self.spot_of(e["address"]), e["on"]) == key
        ]

    def at(self, spot: Spot, *, first: bool) -> Known | str | None:
        """Return what is known of an address: a figure, ``left out``, or None."""
        there = self.standing(spot, first=first)
        numbers = [e["n"] for e in there if "value" in e]
        if not there:
            return None
        if not numbers:
            return "left out"
        if any(n in self.waiting for n in numbers):
            return None
        return total((F(1, len(numbers)), self.known[n]) for n in numbers)

    def is_first(self, spots: Iterable[Spot]) -> bool:
        """Tell whether no part that still sits there has left its first life."""
        for tag, position in {spot[:2] for spot in spots}:
            for component, names in self.places(tag, position):
                part = self.sits[component + ("." + "/".join(names) if names else "")]
                apart = self.apart(tag, component, position)
                if part is not None and self.life(part, tag, apart) != 1:
                    return False
        return True
