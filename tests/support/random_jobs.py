"""Whole jobs made at random, as another program might write them from the design pages alone."""

from __future__ import annotations

import hashlib
import json
from itertools import product
from random import Random
from typing import Any

from oracle import Oracle
from oracle_job import Spot

Json = dict[str, Any]

GAUGES = ("mic1", "mic2", "dial1", "tg", "old", "shop")


class Writer:
    """Makes one job, entry by entry."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.unit = self.random.choice(["in", "mm"])
        self.step = 1 if self.unit == "in" else 2
        self.entries: list[Json] = []
        self.put(
            {"kind": "opened", "format": "bedplate-job/1", "job": "0" * 32, "sheet": self.sheet()}
        )

    # ---- the sheet

    def text(self, tenths: int) -> str:
        """Return so many tenths of a thou (or of 2 um) as the sheet's unit has it."""
        if self.unit == "in":
            return f"{tenths / 10000:.4f}"
        return f"{tenths * 2 / 1000:.3f}"

    def sheet(self) -> Json:
        choice = self.random.choice
        self.nominal = {"D": 10030, "H": 10000, "J": 7500, "B": 7530, "S": 15, "T": 30,
                        "P": 10030, "EF": 40}  # fmt: skip
        stations = {"D": choice([None, "depth"]), "H": choice(["tooth", None]),
                    "S": None, "T": None,
                    "J": choice(["way", "depth/way", None]), "B": choice(["way", "depth/way"]),
                    "P": choice([None, "tooth"]), "EF": None}  # fmt: skip
        of: dict[str, Any] = {"D": "body", "H": "gear", "J": "crank", "S": "body", "T": "crank",
                              "B": choice([["rod", "cap"], "rod"]), "P": "body",
                              "EF": ["crank", "gear"]}  # fmt: skip
        features = []
        for tag, nominal in self.nominal.items():
            row: Json = {"tag": tag, "of": of[tag]}
            if tag in ("J", "T"):
                row["positions"] = "throw"
            elif tag in ("P", "EF"):
                row["positions"] = {"P": "gear", "EF": ""}[tag]
            if stations[tag]:
                row["stations"] = stations[tag]
            if choice([True, True, False]) or tag in ("J", "H"):
                row["nominal"] = self.text(nominal)
            features.append(row)
        self.has_nominal = {f["tag"] for f in features if "nominal" in f}
        self.stations = stations
        sheet: Json = {
            "format": "bedplate-sheet/1", "unit": self.unit, "source": "Invented handbook",
            "axes": {
                "gear": ["driver", "idler"], "throw": ["1", "2"], "tooth": ["a", "b", "c"],
                "way": ["crown", "split"], "depth": ["front", "rear"],
            },
            "component": [
                {"id": "body", "material": "bronze"},
                {"id": "gear", "positions": "gear", "material": "steel"},
                {"id": "crank", "expansion": "11.7e-6"},
                {"id": "rod", "positions": "throw", "material": "grey iron"},
                {"id": "cap", "positions": "throw", "material": choice(["grey iron", "putty"])},
            ],
            "feature": features,
            "size": [{"id": "u10", "nominal": {"J": self.text(7400), "B": self.text(7430)}},
                     {"id": "h5", "nominal": {"H": self.text(9950)}}],
            "fit": self.fits(),
        }  # fmt: skip
        if choice([True, False, False]):
            sheet["judge"] = choice(["every", "mean", "tightest", "loosest"])
        return sheet

    def written(self, value: int, unit: str) -> str:
        """Return a figure of so many steps in a unit."""
        mm = value * 254 / 100000 if self.unit == "in" else value * 2 / 1000
        figure = {"thou": f"{value / 10:.1f}", "in": f"{value / 10000:.4f}", "um": f"{value * 2}"}
        return figure.get(unit, f"{mm:.5f}" if self.unit == "in" else f"{mm:.3f}")

    def band(self, middle: int, names: list[str] | None = None) -> Json:
        """Return limits about a value, in tenths, as people write them."""
        random = self.random
        low, high = middle - random.randint(1, 5), middle + random.randint(1, 5)
        unit = random.choice(["thou", "in", "mm"] if self.unit == "in" else ["mm", "um"])
        ends = [self.written(low, unit), self.written(high, unit)]
        wear = ["", ""]
        if random.random() < 0.4:
            wear = [self.written(low - 2, unit), self.written(high + 2, unit)]
        open_end = random.choice([None, None, 0, 1])
        if open_end is not None:
            ends[open_end] = wear[open_end] = ""
        if random.random() < 0.3:
            wear[random.randint(0, 1)] = ""
        found: Json = {"limits": f"{ends[0]}..{ends[1]} {unit}"}
        if any(wear):
            found["wear"] = f"{wear[0]}..{wear[1]} {unit}"
        if random.random() < 0.5:
            found["source"] = "p. 31"
        if names:
            found["for"] = "/".join(names)
        return found

    def fits(self) -> list[Json]:
        choice, random = self.random.choice, self.random
        ec = 30
        fits: list[Json] = [
            {"tag": "EC", "stack": "D - H", "band": self.band(ec)},
            {"tag": "IF", "stack": "H - D", "kind": "interference", "band": self.band(-ec)},
            {"tag": "RC", "stack": choice(["B - J", "B@crown - J"]), "band": self.band(30)},
            {"tag": "RT", "stack": "T", "same_as": "RC"},
            {"tag": "HALF", "stack": "(B - J)/2", "band": self.band(15)},
            {"tag": "SH", "stack": choice(["D - 2*S - H", "D - H - 1/2*S"]), "band": self.band(5)},
            {"tag": "JD", "kind": "size", "stack": "J",
             "band": {**self.band(0), "from": "nominal"}},
            {"tag": "HW", "kind": "wear", "stack": "H", "band": self.band(10000)},
            {"tag": "HV", "spread": "H", "along": "gear", "band": self.band(3)},
            {"tag": "NB", "stack": "B"},
            {"tag": "PC", "stack": choice(["P - H", "P - H + 1/2*EF", "P@idler - H@driver"]),
             "band": self.band(30)},
            {"tag": "FLOAT", "stack": "EF", "band": self.band(40)},
        ]  # fmt: skip
        if self.stations["J"]:
            fits.append({"tag": "OOR", "spread": "J", "along": "way", "band": self.band(3)})
            if self.stations["J"] == "depth/way" and choice([True, False]):
                fits[-1]["leave"] = ["front"]
        if self.stations["H"] and choice([True, False]):
            fits.append({"tag": "TV", "spread": "H", "along": "tooth", "leave": ["b"],
                         "band": self.band(2)})  # fmt: skip
        for fit in fits:
            if random.random() < 0.25 and "band" in fit and "from" not in fit["band"]:
                fit["unit"] = choice(["thou", "mm", "um", "in"])
            if random.random() < 0.35:
                fit["judge"] = choice(["every", "mean", "tightest", "loosest"])
            if random.random() < 0.3:
                fit["wear_for"] = "any"
            if random.random() < 0.3:
                fit["rule"] = choice(["simple", "guarded"])
        particular = {"EC": ["idler"], "RC": ["2"], "JD": ["u10"], "HALF": ["1"]}
        for fit in fits:
            if fit["tag"] in particular and random.random() < 0.4:
                middle = {"EC": ec, "RC": 30, "JD": 0, "HALF": 15}[fit["tag"]]
                other = self.band(middle + 1, particular[fit["tag"]])
                if "from" in fit["band"]:
                    other["from"] = "nominal"
                fit["band"] = [fit["band"], other]
        return fits

    # ---- the entries

    def put(self, own: Json) -> int:
        n = len(self.entries) + 1
        at = f"2025-11-24T15:{n // 60:02}:{n % 60:02}+00:00"
        entry = {"n": n, "at": at, "by": "Ann Fitter", **own}
        self.entries.append(entry)
        return n

    def spots(self, oracle: Oracle) -> list[Spot]:
        """Return every address of the sheet."""
        return [
            (tag, p, s)
            for tag in oracle.features
            for p in product(*(oracle.axes[a] for a in oracle.positions(tag)))
            for s in product(*(oracle.axes[a] for a in oracle.stations(tag)))
        ]

    def write(self) -> list[Json]:
        """Return the entries of a whole job."""
        for _ in range(self.random.randint(0, 3)):
            self.describe(Oracle(self.entries))
        order = self.spots(Oracle(self.entries))
        for spot in order:
            if self.random.random() < 0.9:
                self.read(Oracle(self.entries), spot)
        acts = [
            self.describe, self.set, self.set, self.change, self.change, self.strike,
            *[self.again] * 6, self.leave, self.spare, self.spare,
        ]  # fmt: skip
        for _ in range(self.random.randint(0, 35)):
            self.random.choice(acts)(Oracle(self.entries))
        for spot in order:
            oracle = Oracle(self.entries)
            if not oracle.standing(spot, first=False) and self.random.random() < 0.9:
                self.read(oracle, spot)
        return self.entries

    def size(self, tenths: int) -> str:
        return f"{self.text(tenths)} {self.unit}"

    def describe(self, _oracle: Oracle) -> None:
        random = self.random
        name = random.choice(GAUGES)
        gauge: Json = {"name": name}
        if name == "shop":
            gauge |= {"kind": "report"}
        if name == "dial1":
            gauge |= {"reads": "differences"}
        own = {"resolution": (1, 5), "max_error": (1, 6), "zero_error": (1, 4),
               "repeatability": (1, 3)}  # fmt: skip
        told = {
            key: self.size(random.randint(*span))
            for key, span in own.items()
            if random.random() < 0.5
        }
        if name == "old":
            told = {}
        order = ("name", "kind", "resolution", "max_error", "zero_error", "repeatability",
                 "expansion", "reads", "uncertainty")  # fmt: skip
        gauge |= told
        if name == "shop":
            gauge["uncertainty"] = self.size(random.randint(1, 6))
        if random.random() < 0.2:
            gauge["expansion"] = "10e-6"
        self.put({"kind": "gauge", "gauge": {k: gauge[k] for k in order if k in gauge}})

    def gauge(self, oracle: Oracle) -> str | None:
        names = [name for name in oracle.gauges if name != "tg"]
        if not names or self.random.random() < 0.35:
            return None
        name = self.random.choice(names)
        return f"tg/{name}" if "tg" in oracle.gauges and self.random.random() < 0.3 else name

    def value(self, spot: Spot) -> tuple[str, str | None]:
        """Return a value and, where it is counted from nominal, that nominal."""
        random = self.random
        tag = spot[0]
        tenths = self.nominal[tag] + random.randint(-4, 4)
        kind = random.random()
        if kind < 0.12:
            width = random.randint(1, 3)
            return f"{self.text(tenths)}..{self.text(tenths + width)} {self.unit}", None
        if kind < 0.16:
            return random.choice(
                [f"..{self.text(tenths)}", f"{self.text(tenths)}.."]
            ) + f" {self.unit}", None
        if kind < 0.24 and tag in self.has_nominal:
            off = random.randint(-4, 4)
            sign = "-" if off < 0 else "+"
            return f"{sign}{self.text(abs(off))} {self.unit}", self.size(self.nominal[tag])
        if kind < 0.32:
            return (
                f"{tenths * 254 / 100000:.5f} mm"
                if self.unit == "in"
                else f"{self.text(tenths)} mm",
                None,
            )
        if kind < 0.42:
            return f"{float(self.text(tenths)):.3f} {self.unit}", None
        return self.size(tenths), None

    def read(self, oracle: Oracle, spot: Spot) -> None:
        on = oracle.on(spot[0], spot[1])
        if not on:
            return
        gauge = self.gauge(oracle)
        value, nominal = self.value(spot)
        differences = gauge is not None and oracle.gauges[gauge.rpartition("/")[2]].get("reads")
        if differences:
            value, nominal = self.size(self.random.randint(0, 3)), None
        own: Json = {"kind": "reading", "address": oracle.address(spot), "value": value}
        if nominal:
            own["nominal"] = nominal
        if gauge:
            own["gauge"] = gauge
        if self.random.random() < 0.15:
            own["temp"] = f"{self.random.randint(10, 40)}degC"
            if self.random.random() < 0.4:
                own["gauge_temp"] = f"{self.random.randint(10, 40)}degC"
        self.put({**own, "on": on})

    def again(self, oracle: Oracle) -> None:
        """Read somewhere once more: as a repeat, or in place of what stands there."""
        spot = self.random.choice(self.spots(oracle))
        if self.random.random() < 0.3:
            for entry in oracle.standing(spot, first=False):
                self.put({"kind": "strike", "entry": entry["n"], "why": "slip"})
            oracle = Oracle(self.entries)
        for _ in range(self.random.randint(1, 4)):
            self.read(oracle, spot)

    def spare(self, oracle: Oracle) -> None:
        """Announce a gear without a place, read one, or put one into a place."""
        marks = [mark for component, mark in oracle.loose if component == "gear"]
        act = self.random.choice(["announce", "read", "read", "move"])
        if act == "announce" or not marks:
            mark = f"C{len(self.entries)}"
            self.put({"kind": "changed", "component": "gear", "how": "new", "mark": mark})
            return
        mark = self.random.choice(marks)
        if act == "move":
            place = self.random.choice(["gear.driver", "gear.idler"])
            self.put({"kind": "changed", "component": place, "how": "moved", "from": mark})
            return
        part = oracle.loose["gear", mark]
        for station in oracle.axes["tooth"] if oracle.stations("H") else [""]:
            value, nominal = self.value(("H", (mark,), ()))
            address = f"H.{mark}@{station}" if station else f"H.{mark}"
            own: Json = {"kind": "reading", "address": address, "value": value}
            own |= {"nominal": nominal} if nominal else {}
            on = {"place": "gear", "part": mark, "life": oracle.life(part, "H", ())}
            self.put({**own, "on": [on]})

    def leave(self, oracle: Oracle) -> None:
        spot = self.random.choice(self.spots(oracle))
        on = oracle.on(spot[0], spot[1])
        if not on:
            return
        for entry in oracle.standing(spot, first=False):
            self.put({"kind": "strike", "entry": entry["n"], "why": "slip"})
        self.put(
            {"kind": "reading", "address": oracle.address(spot), "left_out": "burred", "on": on}
        )

    def set(self, oracle: Oracle) -> None:
        random = self.random
        if not oracle.gauges:
            return
        gauge = random.choice(list(oracle.gauges))
        own: Json = {"kind": "setting", "gauge": gauge}
        if random.random() < 0.5:
            spot = random.choice(self.spots(oracle))
            there = [e for e in oracle.standing(spot, first=False) if "value" in e]
            if not there or ".." in there[-1]["value"]:
                return
            own |= {"shown": self.size(random.randint(0, 2)), "reference": oracle.address(spot)}
        else:
            size = random.choice([10000, 7500])
            own |= {"shown": self.size(size + random.randint(-2, 2)), "reference": self.size(size)}
        others = [name for name in oracle.gauges if name not in (gauge, "tg")]
        if others and random.random() < 0.3:
            own["in"] = random.choice(others)
        self.put(own)

    def change(self, oracle: Oracle) -> None:
        random = self.random
        component = random.choice(["gear.driver", "gear.idler", "crank", "rod.1", "cap.2", "body"])
        how = random.choice(["new", "reworked", "reworked", "found", "moved"])
        own: Json = {"kind": "changed", "component": component, "how": how}
        if how == "moved":
            one, other = random.choice([("gear.driver", "gear.idler"), ("rod.1", "rod.2")])
            if not oracle.sits[other]:
                return
            own |= {"component": one, "from": other}
        elif how == "found":
            if not oracle.sits[component]:
                return
            own["size"] = {"crank": "u10"}.get(component, "h5" if "gear" in component else "u10")
            if component in ("body", "cap.2"):
                return
        elif how == "reworked":
            if not oracle.sits[component]:
                return
            if random.random() < 0.3 and component == "crank":
                own["touching"] = [random.choice(["J", "J.1", "T.2"])]
            elif random.random() < 0.4 and component == "crank":
                own["size"] = "u10"
        elif random.random() < 0.4:
            own["mark"] = f"M{len(self.entries)}"
        self.put(own)

    def strike(self, oracle: Oracle) -> None:
        kinds = ("reading", "setting", "gauge", "changed")
        kind = self.random.choice(kinds)
        can = [e["n"] for e in oracle.live if e["kind"] == kind]
        if can:
            self.put({"kind": "strike", "entry": self.random.choice(can), "why": "slip"})


def spelled(entries: list[Json]) -> bytes:
    """Return a job's entries as the lines of its file, each holding the hash of the one before."""
    data = b""
    prev = "0" * 64
    for entry in entries:
        line = json.dumps({**entry, "prev": prev}, ensure_ascii=False, separators=(",", ":"))
        data += (last := line.encode() + b"\n")
        prev = hashlib.sha256(last).hexdigest()
    return data
