"""``bedplate check``: each clearance against its band."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Annotated, Any

import typer

from bedplate.assess.fits import AS_FOUND, Assessment
from bedplate.assess.hot import Warmth, grown, read_warmth
from bedplate.assess.notes import TYPED_ONLY
from bedplate.assess.result import FitResult
from bedplate.assess.rows import as_row
from bedplate.cli import context, show
from bedplate.cli.columns import Column, table
from bedplate.cli.screen import Screen, wrapped
from bedplate.cli.store import at_hand, clock
from bedplate.errors import NotUnderstoodError
from bedplate.record.job import Job
from bedplate.record.stamping import moment_text
from bedplate.report import figures, phrases, values
from bedplate.sheet.model import Fit
from bedplate.text import listed, near_or_list, quoted, visible
from bedplate.units import decimal_text, round_up_root

COLUMNS = (
    Column("fit", head=True),
    Column("place", head=True),
    Column("tightest", align="point"),
    Column("loosest", align="point"),
    Column("+-U", align="point"),
    Column("band", bare=True),
    Column("", drawn=True, bare=True),
    Column("verdict", bare=True),
)


def check(
    fits: Annotated[
        list[str] | None, typer.Argument(metavar="FIT...", help="TAG or TAG.POSITION.")
    ] = None,
    *,
    hot: Annotated[
        list[str] | None,
        typer.Option("--hot", metavar="T", help="As it would be at 90degC, or body=70degC."),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="As found beside as left, and every note.")
    ] = False,
) -> int:
    """Show each clearance against its band.

    The exit code is 1 where a fit does not pass.

    Examples:
      bedplate check
      bedplate check EC.idler
      bedplate check --all
      bedplate check EC --hot 60degC --hot body=70degC
    """
    found = at_hand()
    job = found.job
    assessment = Assessment(job)
    warmth = read_warmth(job, hot or [])
    results = chosen(assessment, job, fits or [], both=everything)
    ok = all_pass(assessment, [r for r in results if not _is_extra(r, results)])
    screen = context.screen()
    if screen.as_json:
        screen.json(document(found.name, job, results, assessment, warmth, ok=ok))
        return 0 if ok else 1
    name = visible(found.name)
    stage = "as found and as left" if everything else "as left"
    day = figures.date_shown(moment_text(clock()))
    screen.out(_two_ends(name, f"{stage}, {day}", screen))
    if not results:
        screen.out("There is no fit yet.")
        screen.err(
            'Add one:  bedplate add fit EC --stack "D - H" --band 2..4thou --source "p. 31"'
        )
        return 0
    exact, results = results, show.preferred(results, screen)
    for line in rows(results, screen, stages=everything):
        screen.out(line)
    _drawings(results, screen, asked=bool(fits))
    for line in _agreements(assessment, results) if fits else ():
        screen.out(f"{line}." if screen.plain else line)
    for line in closing([r for r in results if not _is_extra(r, results)], screen):
        screen.out(line)
    _notes(results, screen, everything=everything)
    for line in _hot_lines(assessment, exact, warmth, screen):
        screen.out(line)
    return 0 if ok else 1


def _is_extra(result: FitResult, results: Sequence[FitResult]) -> bool:
    """Tell whether a row is the as-found one beside an as-left one."""
    return result.stage == AS_FOUND and any(
        other is not result and other.address == result.address for other in results
    )


def chosen(
    assessment: Assessment, job: Job, asked: Sequence[str], *, both: bool
) -> list[FitResult]:
    """Return the fits asked for, by tag or by tag and position; all, without any.

    Raises:
        NotUnderstoodError: no such fit or position; the nearest is named.
    """
    if not asked:
        return assessment.fits(both=both)
    found: list[FitResult] = []
    for text in asked:
        tag, _, place = text.partition(".")
        named = job.layout.find(tag, "fit")
        if named is None:
            tags = job.layout.names("fit")
            raise NotUnderstoodError(
                f"Nothing checked. There is no fit {quoted(tag)}.", near_or_list(tag, tags, "Fits")
            )
        results = assessment.fits([named.name], both=both)
        at = [r for r in results if (r.place or "").casefold() == place.casefold() or not place]
        if not at:
            places = list(dict.fromkeys(r.place or "" for r in results))
            raise NotUnderstoodError(
                f"Nothing checked. {named.name} is not formed at {quoted(place)}.",
                near_or_list(place, places, "It is formed at"),
            )
        found += at
    return list(dict.fromkeys(found))


def all_pass(assessment: Assessment, results: Iterable[FitResult]) -> bool:
    """Tell whether every fit passes; of two ways to one quantity, one measured is enough."""
    return all(result.passes or other_way_passes(assessment, result) for result in results)


def other_way_passes(assessment: Assessment, result: FitResult) -> bool:
    """Tell whether an unmeasured fit has another way to the same quantity that passes."""
    if result.measured:
        return False
    ways = ways_to(assessment.job.sheet.fit, result.tag)
    return any(
        other.passes and other.meets(result)
        for other in assessment.all
        if other.tag.casefold() in ways
    )


def ways_to(fits: Iterable[Fit], tag: str) -> set[str]:
    """Return the tags, casefolded, of every way to the quantity of a fit, that fit included."""
    pairs = [(f.tag.casefold(), f.same_as.casefold()) for f in fits if f.same_as]
    ways, found = set[str](), {tag.casefold()}
    while found != ways:
        ways = found
        found = ways.union(*(pair for pair in pairs if ways & set(pair)))
    return ways


def rows(results: Sequence[FitResult], screen: Screen, *, stages: bool = False) -> list[str]:
    """Return the table of fits, stacked where the screen is narrow; plain, a sentence each."""
    if screen.plain:
        said = [phrases.plain_sentence(result) for result in results]
        told = zip(results, said, strict=True)
        return [f"{r.stage.capitalize()}: {text}" for r, text in told] if stages else said
    columns = [*COLUMNS[:2], Column("stage", head=True), *COLUMNS[2:]] if stages else [*COLUMNS]
    if screen.can_draw:
        columns = [Column("±U", align="point") if c.title == "+-U" else c for c in columns]
    texts = []
    for result in results:
        text = [
            result.tag,
            result.place or "",
            values.value_shown(result, result.tightest),
            values.value_shown(result, result.loosest),
            values.uncertainty_shown(result),
            _band_cell(result, screen),
            show.sign_cell(result),
            screen.weighed(phrases.said(result, alone=True), result.verdict),
        ]
        if stages:
            text.insert(2, result.stage)
        texts.append(text)
    below = [values.below_row(result, draw=screen.can_draw) for result in results]
    return table(columns, texts, screen.width, below=below)


def _band_cell(result: FitResult, screen: Screen) -> str:
    """Return the band; where there is none, the unit that the figures beside it are in."""
    if result.band is None and result.measured:
        return f"none, {figures.unit_word(result.unit, draw=screen.can_draw)}"
    return values.limits_shown(result, draw=screen.can_draw, alone=True)


def _drawings(results: Sequence[FitResult], screen: Screen, *, asked: bool) -> None:
    if not asked or screen.plain:
        return
    by_address = {r.address: r for r in results if r.stage == AS_FOUND}
    for result in results:
        found = by_address.get(result.address)
        drawn = show.band_line(result, screen, found if found is not result else None)
        if drawn:
            name = phrases.fit_name(result)
            screen.out(f"{name}  {screen.tinted(drawn, result.verdict)}")


def _agreements(assessment: Assessment, results: Iterable[FitResult]) -> list[str]:
    """Return how each fit agrees with the other ways to its quantity, whichever names which."""
    asked = list(results)
    return [
        phrases.agreement(other)
        for other in assessment.all
        if other.is_compared
        and any(one.tag in (other.tag, other.same_as) and one.meets(other) for one in asked)
    ]


def closing(results: Sequence[FitResult], screen: Screen) -> list[str]:
    """Return the last line of a check: what is out, waiting or close, and what would settle it."""
    out = [r for r in results if r.verdict == "out"]
    close = [r for r in results if r.verdict.endswith("-close")]
    waiting = [r for r in results if not r.measured]
    parts = [
        f"{len(group)} {word}"
        for group, word in ((out, "out"), (waiting, "waiting"), (close, "close"))
        if group
    ]
    disagree = [phrases.fit_name(r) for r in results if r.disagrees]
    doubt = f"two ways disagree, one is wrong: {listed(disagree)}" if disagree else ""
    if not parts:
        passed = f"All {len(results)} pass." if len(results) > 1 else "It passes."
        return _running(f"{passed} But {doubt}" if disagree else passed, screen)
    tail = [could(result, draw=screen.can_draw) for result in close]
    if out:
        cures = [context.to_type(f"bedplate remedy {tag}") for tag in _tags(out)]
        tail.append(f"to mend: {listed(cures, most=3)}")
    tail += [doubt] if disagree else []
    text = f"{', '.join(parts)} of {len(results)}" + (f": {'; '.join(tail)}" if tail else "")
    return _running(text, screen)


def _running(text: str, screen: Screen, first: str = "", then: str | None = None) -> list[str]:
    """Return running text in lines; for a voice, in one."""
    return [f"{first}{text}"] if screen.plain else wrapped(text, first, then, screen.measure)


def _tags(results: Iterable[FitResult]) -> list[str]:
    return list(dict.fromkeys(result.tag for result in results))


def could(result: FitResult, *, draw: bool = False) -> str:
    """Return how far a close call reaches, and what would settle it."""
    settled = [note for note in result.notes if "settle it" in note]
    reach = reach_of(result)
    if reach is None:
        return phrases.fit_name(result)
    far = values.length_shown(result, reach, draw=draw)
    return ", ".join([f"{phrases.fit_name(result)} could be {far}", *settled[:1]])


def reach_of(result: FitResult) -> Fraction | None:
    """Return how far a close call reaches on the side that decides; None without a doubt."""
    if result.judged is None or not result.variance:
        return None
    doubt = Fraction(round_up_root(4 * result.variance, values.places_of(result) + 1))
    return result.judged + (doubt if result.side == "high" else -doubt)


def _notes(results: Sequence[FitResult], screen: Screen, *, everything: bool) -> None:
    if phrases.is_typed_only(results):
        doubt = "U" if screen.plain else "±U" if screen.can_draw else "+-U"
        said = f"{doubt} is from typed digits only where no gauge was named or described."
        for line in _running(said, screen):
            screen.out(line)
    told: dict[str, list[str]] = {}
    for result in results:
        notes = [n for n in result.notes if n != TYPED_ONLY] if everything else _telling(result)
        for note in notes:
            told.setdefault(note, []).append(phrases.fit_name(result))
    for note, names in told.items():
        everywhere = len(set(names)) > 1 and len(set(names)) == len({r.address for r in results})
        about = "All" if everywhere else listed(list(dict.fromkeys(names)), most=4)
        text = figures.with_signs(note) if screen.can_draw else note
        for line in _running(text, screen, f"{about}: ", "    "):
            screen.out(line)


def _telling(result: FitResult) -> list[str]:
    """Return the notes that change what one does, without those that are always so."""
    always = ("no temperature", "U from", "repeatability of", "for some readings")
    return [n for n in result.notes if not n.startswith(always) and "settle it" not in n]


def _hot_lines(
    assessment: Assessment, results: Sequence[FitResult], warmth: Warmth, screen: Screen
) -> list[str]:
    if not warmth:
        return []
    lines = ["", f"Grown as at {warmth.text}; shown, not judged:"]
    for result in results:
        row = grown(assessment, result, warmth)
        if row is None:
            lines.append(f"  {phrases.fit_name(result)}  not known: {warmth.why_not(result)}")
            continue
        warm = replace(
            result, mean=row.mean, tightest=row.tightest, loosest=row.loosest, variance=None,
            judged=None,
        )  # fmt: skip
        shown = show.preferred([warm], screen)[0]
        lines.append(f"  {phrases.fit_name(result)}  {show.figure_shown(shown, screen)}")
    return lines


def document(
    name: str,
    job: Job,
    results: Sequence[FitResult],
    assessment: Assessment,
    warmth: Warmth,
    *,
    ok: bool,
) -> dict[str, Any]:
    """Return what `check` gives under ``--json``."""
    hot = None
    if warmth:
        grown_rows = [(result, grown(assessment, result, warmth)) for result in results]
        hot = {
            "at": warmth.text,
            "fits": [
                {
                    "tag": result.tag,
                    "position": result.place,
                    "unit": result.unit,
                    "mean": decimal_text(row.mean) if row else None,
                    "tightest": decimal_text(row.tightest) if row else None,
                    "loosest": decimal_text(row.loosest) if row else None,
                }
                for result, row in grown_rows
            ],
        }
    return {
        **context.document("check", name, job.last),
        "ok": ok,
        "hot": hot,
        "fits": [as_row(result) for result in results],
    }


def _two_ends(left: str, right: str, screen: Screen) -> str:
    gap = min(screen.columns, 80) - len(left) - len(right)
    return f"{left}{' ' * gap}{right}" if gap > 1 and not screen.plain else f"{left}, {right}"
