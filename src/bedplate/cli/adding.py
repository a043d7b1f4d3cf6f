"""``bedplate add …`` and ``bedplate amend …``: the sheet of the job at hand, row by row.

The options are the keys of the sheet; each command is made from the one table of them, so that
sheet, help and command line cannot differ.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Annotated, Any

import typer

from bedplate.assess.geometry import rows_of
from bedplate.cli.declared import At, Note
from bedplate.cli.permitted import permitted
from bedplate.cli.recorded import tell
from bedplate.cli.store import clock, record
from bedplate.cli.times import done_at
from bedplate.errors import NotUnderstoodError
from bedplate.record.entries import AnyEntry, SheetRevised
from bedplate.record.job import Job
from bedplate.sheet.editing import OPTIONS, with_row, with_row_amended
from bedplate.sheet.layout import Layout
from bedplate.sheet.model import Feature, Fit, Sheet
from bedplate.sheet.options import Option
from bedplate.text import listed, visible

EXAMPLES = {
    "axis": ["axis tooth --names a,b,c", "axis across --names 1=0,2=80"],
    "component": ["component body --material bronze", "component gear --positions driver,idler"],
    "feature": [
        "feature D --of body --nominal 1.0030",
        'feature H --of gear --stations a,b,c --name "gear height"',
    ],
    "fit": ['fit EC --stack "D - H" --band 2..4thou --source "p. 31"'],
    "size": ["size m25 --nominal MJ=54.740,MB=54.790"],
    "fasteners": [
        'fasteners N --order 1,3,2,4 --lock "tab washer" --stages "16..18 lbf*ft" --source "p. 34"'
    ],
    "proof": ['proof SPIN --text "Turns freely by hand" --when N'],
    "step": ['step close --text "Cover, new gasket, nuts" --leaves N=tight'],
}


def _given(typed: dict[str, Any]) -> dict[str, str | list[str]]:
    """Return the options that were given, by key; a flag as ``true``."""
    found: dict[str, str | list[str]] = {}
    for key, value in typed.items():
        if value is True:
            found[key] = "true"
        elif isinstance(value, str):
            found[key] = value
        elif value:
            found[key] = list(value)
    return found


def _parameters(noun: str, verb: str) -> list[inspect.Parameter]:
    """Return what a command of this noun takes, as typer reads it; to amend, it may be alone."""
    declared = typer.Argument(metavar="NAME", help="Its tag, id or name.")
    positional = inspect.Parameter.POSITIONAL_OR_KEYWORD
    name = inspect.Parameter("name_", positional, annotation=Annotated[str, declared])
    if verb == "amend":
        name = name.replace(default=None, annotation=Annotated[str | None, declared])
    return [
        name,
        *(
            inspect.Parameter(
                f"o_{option.key}",
                inspect.Parameter.KEYWORD_ONLY,
                default=False if option.is_flag else None,
                annotation=_annotation(option),
            )
            for option in OPTIONS[noun]
        ),
    ]


def _annotation(option: Option) -> Any:
    declared = typer.Option(f"--{option.name}", metavar="TEXT", help=option.help)
    if option.is_flag:
        return Annotated[bool, typer.Option(f"--{option.name}", help=option.help)]
    if option.is_many:
        return Annotated[list[str] | None, declared]
    return Annotated[str | None, declared]


def _options(typed: dict[str, Any]) -> dict[str, str | list[str]]:
    return _given({k.removeprefix("o_"): v for k, v in typed.items() if k.startswith("o_")})


def _adding(noun: str) -> Callable[..., None]:
    def add(**typed: Any) -> None:
        name, options = typed["name_"], _options(typed)
        when, note = done_at(typed["at"], clock()), typed["note"]

        def revised(job: Job, _answers: object) -> list[AnyEntry]:
            sheet = with_row(job.sheet, noun, name, options).as_json()
            what = f"add {noun} {name}"
            return permitted(job, [SheetRevised(what=what, sheet=sheet, note=note, done_at=when)])

        recorded = record(revised)
        tell(recorded, f"add-{noun}", [_added(recorded.job.sheet, name)])

    return _dressed(add, noun, "add", f"Add {_article(noun)} to this job's sheet.", [])


def _amending(noun: str) -> Callable[..., None]:
    def amend(**typed: Any) -> None:
        name, options, why = typed["name_"], _options(typed), typed["why"]
        if name is None:
            from bedplate.cli.offered import list_rows  # noqa: PLC0415 - loaded when nothing is given

            list_rows(noun)
            return
        if why is None:
            raise NotUnderstoodError(
                "Not changed. A change of the sheet needs its reason.",
                'Type the same again with:  --why "misread the handbook"',
            )

        when, note = done_at(typed["at"], clock()), typed["note"]

        def revised(job: Job, _answers: object) -> list[AnyEntry]:
            sheet = with_row_amended(job.sheet, noun, name, options)
            told = SheetRevised(
                what=f"amend {noun} {name}", why=why, sheet=sheet.as_json(), note=note,
                done_at=when,
            )  # fmt: skip
            return permitted(job, [told])

        tell(record(revised), f"amend-{noun}")

    why = inspect.Parameter(
        "why",
        inspect.Parameter.KEYWORD_ONLY,
        default=None,
        annotation=Annotated[str | None, typer.Option(metavar="TEXT", help="Why.")],
    )
    return _dressed(amend, noun, "amend", f"Change {_article(noun)} of this job's sheet.", [why])


def _article(noun: str) -> str:
    single = {"fasteners": "a set of fasteners", "axis": "an axis"}
    return single.get(noun, f"a {noun}")


def _dressed(
    function: Callable[..., None],
    noun: str,
    verb: str,
    line: str,
    further: list[inspect.Parameter],
) -> Callable[..., None]:
    """Give a function the signature and the help that typer reads."""
    common = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=kind)
        for name, kind in (("at", At), ("note", Note))
    ]
    parameters = [*_parameters(noun, verb), *further, *common]
    function.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    function.__annotations__ = {p.name: p.annotation for p in parameters}
    function.__name__ = f"{verb}_{noun}"
    why = ' --why "misread the handbook"' if verb == "amend" else ""
    line += "\n\n    Alone it lists what there is." if verb == "amend" else ""
    examples = "\n".join(f"      bedplate {verb} {text}{why}" for text in EXAMPLES[noun])
    function.__doc__ = f"{line}\n\n    Examples:\n{examples}\n    "
    return function


def _added(sheet: Sheet, name: str) -> str:
    """Return what was added, as its reader would say it."""
    layout = Layout(sheet)
    named = layout.find(name)
    row = named.row if named is not None else None
    if named is None or row is None:
        return f"{name} added."
    places = listed([axis_name for axis in named.positions for axis_name in axis.names])
    if isinstance(row, Feature):
        where = f" for {places}" if places else ""
        nominal = f", nominal {row.nominal}" if isinstance(row.nominal, str) else ""
        return f"{row.tag} added: {visible(row.title)}{where}{nominal}."
    if isinstance(row, Fit):
        return f"{row.tag} added: {_fit_words(layout, row)}."
    return f"{named.name} added{': ' + places if places else ''}."


def _fit_words(layout: Layout, fit: Fit) -> str:
    formed = fit.stack or (
        f"spread of {fit.spread}" if fit.spread else f"flatness of {fit.flatness}"
    )
    free = dict.fromkeys("/".join(row.position) for row in rows_of(layout, fit) if row.position)
    where = f" for {listed(list(free))}" if free else ""
    bands = [
        f"{_spoken(band.limits)}, {band.source or layout.sheet.source or 'no source'}"
        for band in fit.bands
    ]
    return f"{formed}{where}" + (f". Band {'; '.join(bands)}" if bands else "")


def _spoken(limits: str) -> str:
    """Return limits as they are read: ``2 to 4 thou``.

    >>> _spoken("2..4thou"), _spoken("..8 thou")
    ('2 to 4 thou', '..8 thou')
    """
    low, _, high = limits.partition("..")
    unit_at = next((i for i, char in enumerate(high) if char.isalpha()), len(high))
    figure, unit = high[:unit_at].strip(), high[unit_at:].strip()
    both = f"{low.strip()} to {figure}" if low.strip() and figure else f"{low}..{figure}"
    return f"{both} {unit}".strip()


add_axis, amend_axis = _adding("axis"), _amending("axis")
add_component, amend_component = _adding("component"), _amending("component")
add_feature, amend_feature = _adding("feature"), _amending("feature")
add_fit, amend_fit = _adding("fit"), _amending("fit")
add_size, amend_size = _adding("size"), _amending("size")
add_fasteners, amend_fasteners = _adding("fasteners"), _amending("fasteners")
add_proof, amend_proof = _adding("proof"), _amending("proof")
add_step, amend_step = _adding("step"), _amending("step")
