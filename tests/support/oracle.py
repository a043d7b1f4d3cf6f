"""Another reckoning of a whole job, from the design pages alone: the rows of `check`.

See `oracle_job`: nothing of bedplate is used.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator
from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from typing import Any

from oracle_job import MM, Job, Json, Known, Spot, ends, limit_unit, total

F = Fraction
Parts = list[tuple[F, Spot]]


class Oracle(Job):
    """A job, reckoned."""

    # ---- fits

    def terms(self, text: str) -> list[tuple[F, str, dict[str, str]]]:
        """Read the stacks that `random_jobs` writes: ``(A - B)/2``, ``A@x - 2*B - 1/2*C``."""
        over = F(1)
        whole = re.fullmatch(r"\((.*)\)/(\d+)", text)
        if whole:
            text, over = whole[1], F(1, int(whole[2]))
        found = []
        for sign, count, tag, held in re.findall(
            r"([+-]?) *(?:([0-9.]+(?:/[0-9]+)?)\*)?([A-Z]+)(?:@([a-z0-9/]+))?", text
        ):
            at = {}
            for name in held.split("/") if held else ():
                axes = [*self.positions(tag), *self.stations(tag)]
                (axis,) = [a for a in axes if name in self.axes[a]]
                at[axis] = name
            coefficient = F(count or 1) * over
            found.append((-coefficient if sign == "-" else coefficient, tag, at))
        return found

    def rows(self, fit: Json) -> Iterator[tuple[tuple[str, ...], list[Parts]]]:
        """Yield every position with its combinations (or lines), each a list of parts."""
        if "spread" in fit:
            yield from self.line_rows(fit)
            return
        terms = self.terms(fit["stack"])
        free: list[str] = []
        for _, tag, held in terms:
            for axis in [*self.positions(tag), *self.stations(tag)]:
                if axis not in held and axis not in free:
                    free.append(axis)
        judged = [
            a for a in free if any(a in self.positions(t) and a not in h for _, t, h in terms)
        ]
        swept = [a for a in free if a not in judged]
        for names in itertools.product(*(self.axes[a] for a in judged)):
            combinations = []
            for more in itertools.product(*(self.axes[a] for a in swept)):
                at = dict(zip([*judged, *swept], [*names, *more], strict=True))
                parts: dict[Spot, F] = {}
                for count, tag, held in terms:
                    both = at | held
                    spot = (
                        tag,
                        tuple(both[a] for a in self.positions(tag)),
                        tuple(both[a] for a in self.stations(tag)),
                    )
                    parts[spot] = parts.get(spot, F(0)) + count
                combinations.append([(count, spot) for spot, count in parts.items()])
            yield names, combinations

    def line_rows(self, fit: Json) -> Iterator[tuple[tuple[str, ...], list[Parts]]]:
        tag, along = fit["spread"], fit["along"]
        leave = set(fit.get("leave", ()))
        positions, stations = self.positions(tag), self.stations(tag)
        judged = [a for a in positions if a != along]
        across = [a for a in stations if a != along]
        kept = {a: [n for n in self.axes[a] if n not in leave] for a in [*positions, *stations]}
        for names in itertools.product(*(kept[a] for a in judged)):
            lines = []
            for more in itertools.product(*(kept[a] for a in across)):
                at = dict(zip([*judged, *across], [*names, *more], strict=True))
                line = []
                for name in kept[along]:
                    both = at | {along: name}
                    line.append((
                        F(1),
                        (tag, tuple(both[a] for a in positions), tuple(both[a] for a in stations)),
                    ))  # fmt: skip
                lines.append(line)
            yield names, lines

    def bands(self, fit: Json) -> list[Json]:
        seen = {fit["tag"]}
        while "band" not in fit and "same_as" in fit and fit["same_as"] not in seen:
            fit = self.fits[fit["same_as"]]
            seen.add(fit["tag"])
        band = fit.get("band", [])
        return [band] if isinstance(band, dict) else list(band)

    def fit_unit(self, fit: Json) -> str:
        if "unit" in fit:
            return str(fit["unit"])
        tags = [fit["spread"]] if "spread" in fit else [t for _, t, _ in self.terms(fit["stack"])]
        units = {self.unit_of(tag) for tag in tags}
        common = units.pop() if len(units) == 1 else self.unit
        bands = self.bands(fit)
        return limit_unit(bands[0]["limits"], common) if bands else common

    def kind(self, fit: Json) -> str:
        if "kind" in fit:
            return str(fit["kind"])
        if "spread" in fit:
            return "form"
        return "direct" if re.fullmatch(r"[A-Z]+", fit["stack"]) else "clearance"

    def held_to(
        self, fit: Json, groups: list[Parts], *, first: bool, stations: bool
    ) -> Json | None:
        """Return the limits that hold for some combinations together, in mm, nominal added."""
        names: set[str] | None = None
        nominals = []
        for group in groups:
            here: set[str] = set()
            nominal: F | None = F(0)
            for count, spot in group[:1] if "spread" in fit else group:
                here |= set(spot[1]) | (set(spot[2]) if stations else set())
                size = self.size(spot, first=first)
                here |= {size} if size else set()
                own = self.nominal(spot, first=first)
                nominal = None if own is None or nominal is None else nominal + count * own
            names = here if names is None else names
            nominals.append(nominal)
        fitting = []
        for band in self.bands(fit):
            wanted = set(band["for"].split("/")) if "for" in band else set()
            if wanted <= (names or set()):
                fitting.append(band)
        if not fitting:
            return None
        best = max(fitting, key=lambda b: len(b["for"].split("/")) if "for" in b else 0)
        shift: F = F(0)
        if best.get("from") == "nominal":
            known = [n for n in nominals if n is not None]
            if not known:
                return None
            shift = sum(known, F(0)) / len(known)
        unit = self.fit_unit(fit)

        def pair(text: str) -> list[F | None]:
            both = ends(text, unit)[0]
            return [None if e is None else e + shift for e in both]

        low, high = pair(best["limits"])
        wear = pair(best["wear"]) if "wear" in best else [None, None]
        source = best.get("source", self.sheet.get("source"))
        return {"low": low, "high": high, "wear": wear, "source": source}

    def result(self, fit: Json, position: tuple[str, ...], *, first: bool = False) -> Json:
        """Return one row of `check`, figures exact in the unit of the fit."""
        groups = dict(self.rows(fit))[position]
        spots = list(dict.fromkeys(spot for group in groups for _, spot in group))
        unit, kind = self.fit_unit(fit), self.kind(fit)
        is_first = self.is_first(spots)
        formed: list[tuple[Parts, Known]] = []
        missing: list[Spot] = []
        for group in groups:
            known = {spot: self.at(spot, first=first) for _, spot in group}
            out = [s for s, k in known.items() if k == "left out"]
            if out and ("spread" not in fit or len(group) - len(out) < 2):
                continue
            there = {s: k for s, k in known.items() if isinstance(k, Known)}
            if "spread" in fit and any(k.bracket for k in there.values()):
                continue
            wanting = [s for s in known if s not in there and s not in out]
            if wanting:
                missing += [s for s in wanting if s not in missing]
                continue
            if "spread" in fit:
                formed.append((group, self.spread([there[s] for _, s in group if s in there])))
            else:
                formed.append((group, total((count, there[s]) for count, s in group)))
        row: Json = {
            "tag": fit["tag"], "position": "/".join(position) or None, "unit": unit, "kind": kind,
            "stage": "as found" if first or is_first else "as left",
            "missing": sorted(self.address(s) for s in missing),
            "readings": sorted(
                e["n"] for s in spots for e in self.standing(s, first=first) if "value" in e
            ),
            "same_as": fit.get("same_as"),
        }  # fmt: skip
        everything = [known for _, known in formed]
        row |= self.shown(everything, kind)
        how = str(fit.get("judge", self.sheet.get("judge", "every")))
        if missing or not formed:
            return row | {"verdict": "unmeasured"}
        worn = first or is_first or fit.get("wear_for") == "any"
        cases = self.cases(fit, formed, kind, how, worn=worn, first=first)
        return row | self.judged(cases, total((F(1, len(formed)), k) for k in everything))

    def address(self, spot: Spot) -> str:
        tag, position, station = spot
        return (
            tag
            + (f".{'/'.join(position)}" if position else "")
            + (f"@{'/'.join(station)}" if station else "")
        )

    def square(self, known: Known, *, width: bool = False) -> F:
        """Return u², with the rectangles of brackets if wanted."""
        return sum(
            (c * c * self.variance[k] for k, c in known.draws.items() if width or k[0] != "width"),
            F(0),
        )

    def spread(self, line: list[Known]) -> Known:
        figures = [k.low for k in line]
        known = [f for f in figures if f is not None]
        least, most = min(known), max(known)
        pairs = [
            total([(F(1), line[j]), (F(-1), line[i])])
            for i in range(len(line))
            for j in range(len(line))
            if i != j and figures[i] == least and figures[j] == most
        ]
        return max(pairs, key=self.square)

    def shown(self, formed: list[Known], kind: str) -> Json:
        if not formed:
            return {"mean": None, "tightest": None, "loosest": None}
        lows = [k.low for k in formed]
        highs = [k.high for k in formed]
        low = None if None in lows else min(v for v in lows if v is not None)
        high = None if None in highs else max(v for v in highs if v is not None)
        mean = total((F(1, len(formed)), k) for k in formed).middle
        if kind == "interference":
            low, high = high, low
        return {"mean": mean, "tightest": low, "loosest": high}

    def cases(
        self, fit: Json, formed: list[tuple[Parts, Known]], kind: str, how: str,
        *, worn: bool, first: bool,
    ) -> list[Json]:  # fmt: skip
        """Return each judged value with its u², its band, and what its probability rests on."""

        def limits(groups: list[Parts], *, stations: bool) -> Json | None:
            held = self.held_to(fit, groups, first=first, stations=stations)
            if held is not None and not worn:
                held["wear"] = [None, None]
            return held

        if how == "mean":
            mean = total((F(1, len(formed)), k) for _, k in formed)
            band = limits([g for g, _ in formed], stations=False)
            if mean.middle is not None:
                return [self.case(mean.middle, None, mean, band)]
            return list(self.both(mean, band))
        cases: list[Json] = []
        held = [(k, limits([g], stations=True)) for g, k in formed]
        if how == "every":
            for known, band in held:
                cases += self.both(known, band)
            return cases
        side = "low" if (how == "tightest") != (kind == "interference") else "high"
        values = [getattr(k, side) for k, _ in held]
        extreme = None if None in values else (min if side == "low" else max)(values)
        for known, band in held:
            if getattr(known, side) == extreme:
                cases.append(self.case(extreme, side, known, band))
        return cases

    def both(self, known: Known, band: Json | None) -> Iterator[Json]:
        yield self.case(known.low, "low", known, band)
        if known.bracket:
            yield self.case(known.high, "high", known, band)

    def case(self, value: F | None, side: str | None, known: Known, band: Json | None) -> Json:
        return {
            "value": value, "side": side, "square": self.square(known), "band": band,
            "middle": known.middle, "wide": self.square(known, width=True),
        }  # fmt: skip

    def judged(self, cases: list[Json], mean: Known) -> Json:
        order = ["in", "in-close", "serviceable", "out-close", "out"]
        held: list[tuple[Any, ...]] = []
        for case in cases:
            for at, side in enumerate(("low", "high")):
                band = case["band"]
                if band is None or band[side] is None:
                    continue
                square = case["square"]
                if case["value"] is None:
                    if case["side"] == side:
                        held.append(((-4, (-2, 0), at, -square), "out", side, None, case))
                    continue
                sign = 1 if side == "low" else -1
                d = sign * (case["value"] - band[side])
                wear = band["wear"][at]
                w = None if wear is None else sign * (case["value"] - wear)
                verdict = self.verdict(d, w, 4 * square)
                near = (0, d * abs(d) / square) if square else ((d > 0) - (d < 0), d)
                held.append(((-order.index(verdict), near, at, -square), verdict, side, d, case))
        if not held:
            return {
                "verdict": "no-band", "side": None, "judged": mean.middle, "margin": None,
                "square": self.square(mean), "band": None, "wear": None,
                "probability": None, "capability": None,
            }  # fmt: skip
        _, verdict, side, margin, case = min(held, key=lambda h: h[0])
        band = case["band"]
        width = None if None in (band["low"], band["high"]) else band["high"] - band["low"]
        root = math.sqrt(case["square"])
        return {
            "verdict": verdict, "side": None if verdict == "in" else side, "judged": case["value"],
            "margin": margin, "square": case["square"], "band": band,
            "wear": band["wear"] if any(w is not None for w in band["wear"]) else None,
            "probability": self.probability(cases),
            "capability": None if width is None or not root else float(width) / (4 * root),
        }  # fmt: skip

    @staticmethod
    def verdict(d: F, w: F | None, guard: F) -> str:
        """Return what the table of the engine page says of one value and one limit."""
        if d >= 0:
            return "in" if d * d >= guard else "in-close"
        if w is not None and w >= 0 and w * w >= guard:
            return "serviceable"
        beyond = d if w is None else w
        return "out" if beyond < 0 and beyond * beyond > guard else "out-close"

    def probability(self, cases: list[Json]) -> float | None:
        least = {"low": math.inf, "high": math.inf}
        for case in cases:
            for side in ("low", "high"):
                band = case["band"]
                if band is None or band[side] is None:
                    continue
                if case["value"] is None or case["middle"] is None:
                    return None
                middle = case["middle"]
                d = (middle - band[side]) * (1 if side == "low" else -1)
                if case["wide"]:
                    z = float(d) / math.sqrt(case["wide"])
                else:
                    z = math.inf if d >= 0 else -math.inf
                least[side] = min(least[side], z)

        def tail(z: float) -> float:
            return math.erfc(z / math.sqrt(2)) / 2

        return max(0.0, 1 - tail(least["low"]) - tail(least["high"]))

    def compared(self, fit: Json, position: tuple[str, ...]) -> F | None:
        """Return the square of E_n against the other way, None where it cannot be told."""
        means = []
        for one in (fit, self.fits[fit["same_as"]]):
            result = self.result(one, position)
            if result["verdict"] == "unmeasured":
                return None
            groups = dict(self.rows(one))[position]
            formed = []
            for group in groups:
                known = [(c, self.at(s, first=False)) for c, s in group]
                if all(isinstance(k, Known) for _, k in known):
                    formed.append(total((c, k) for c, k in known if isinstance(k, Known)))
            means.append(total((F(1, len(formed)), k) for k in formed))
        a, b = means
        if a.middle is None or b.middle is None:
            return None
        gap = total([(F(1), a), (F(-1), b)])
        square = self.square(gap, width=True)
        return (a.middle - b.middle) ** 2 / (4 * square) if square else None


def decimal(value: F | None, unit: str) -> str | None:
    """Return a length in mm as a decimal in a unit: exact, or half-even to 12 decimals."""
    if value is None:
        return None
    return plain(value / MM[unit])


def plain(value: F) -> str:
    """Return a figure as a decimal without needless noughts."""
    scaled = round(value * 10**12)
    digits = f"{abs(scaled) // 10**12}.{abs(scaled) % 10**12:012}".rstrip("0").rstrip(".")
    return f"-{digits}" if scaled < 0 else digits


def root(square: F, digits: int) -> Decimal:
    """Return a square root, half-even to so many significant digits."""
    fine = Context(prec=60)
    value = fine.sqrt(fine.divide(Decimal(square.numerator), Decimal(square.denominator)))
    return Context(prec=digits, rounding=ROUND_HALF_EVEN).plus(value)


def told(row: Json) -> Json:
    """Return a row as ``check --json`` would have it, without its name, word and notes."""
    unit = row["unit"]
    square = row.get("square")
    expanded = None
    if square is not None:
        expanded = format(root(4 * square / MM[unit] ** 2, 12), "f")
        expanded = expanded.rstrip("0").rstrip(".") if "." in expanded else expanded
    band, wear = row.get("band"), row.get("wear")
    e_n = row.get("e_n²")
    as_is = ("tag", "position", "kind", "stage", "verdict", "side", "unit")
    figures = ("mean", "tightest", "loosest", "judged", "margin")
    limits = None
    if band is not None:
        limits = {side: decimal(band[side], unit) for side in ("low", "high")}
        limits["source"] = band["source"]
    return {
        **{key: row.get(key) for key in as_is},
        **{key: decimal(row.get(key), unit) for key in figures},
        "expanded_uncertainty": expanded,
        "band": limits,
        "wear": wear and {"low": decimal(wear[0], unit), "high": decimal(wear[1], unit)},
        "probability_in_band": row.get("probability"),
        "capability": row.get("capability"),
        "readings": row["readings"],
        "missing": row["missing"],
        "same_as": row["same_as"],
        "e_n": None if e_n is None else plain(F(root(e_n, 40))),
    }


def expected(entries: list[Json], *, both: bool) -> list[Json]:
    """Return all rows of `check` for a job, those as found too if wanted."""
    oracle = Oracle(entries)
    found = []
    for fit in oracle.fits.values():
        for position in dict(oracle.rows(fit)):
            left = oracle.result(fit, position)
            if "same_as" in fit:
                left["e_n²"] = oracle.compared(fit, position)
            if both and left["stage"] == "as left":
                found.append(told(oracle.result(fit, position, first=True)))
            found.append(told(left))
    return found
