"""``bedplate sheet``: build sheets that outlive a job."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bedplate.cli import context
from bedplate.cli.screen import Screen
from bedplate.cli.sheet_text import sheet_lines
from bedplate.cli.store import at_hand
from bedplate.cli.writing import write_new
from bedplate.errors import NotUnderstoodError, StorageError
from bedplate.sheet.faults import faults_as_lines
from bedplate.sheet.model import NOUNS, Sheet
from bedplate.sheet.reader import no_file, read_sheet_file, read_sheet_text
from bedplate.sheet.starter import starter_toml
from bedplate.sheet.writer import sheet_as_toml
from bedplate.text import counted, quoted, visible

FORMATS = ("text", "html", "pdf")
MOST_BYTES = 256 * 1024 + 1

File = Annotated[str, typer.Argument(metavar="FILE", help="Ending in .toml.")]
Force = Annotated[bool, typer.Option("--force", help="Write over FILE.")]


def new(file: File, *, force: Force = False) -> None:
    """Write a commented starter to fill in.

    Examples:
      bedplate sheet new pump.toml
    """
    write_new(Path(file), starter_toml().encode("utf-8"), force=force)
    screen = context.screen()
    if screen.as_json:
        screen.json({**context.document("sheet new"), "file": file})
        return
    shown = visible(file)
    screen.out(f"{shown} written. Change it to your unit, then:  bedplate sheet check {shown}")


def check(file: File) -> int:
    """Say everything wrong with a build sheet.

    The exit code is 1 where there is something to mend.

    Examples:
      bedplate sheet check pump.toml
    """
    path = Path(file)
    sheet, faults = read_sheet_text(_bytes_of(path), path.name)
    screen = context.screen()
    if screen.as_json:
        screen.json({
            **context.document("sheet check"),
            "ok": sheet is not None,
            "faults": [
                {"line": f.line, "key": f.key, "shown": f.shown, "text": f.text} for f in faults
            ],
        })  # fmt: skip
        return 0 if sheet is not None else 1
    if sheet is None:
        for line in faults_as_lines(path.name, faults):
            screen.out(line)
        return 1
    screen.out(
        f"{visible(path.name)}: nothing to mend. {_counts(sheet) or 'Nothing is on it yet'}."
    )
    return 0


def _bytes_of(path: Path) -> bytes:
    shown = quoted(str(path))
    if (other := no_file(path)) is not None:
        raise StorageError(f"Not read. {shown} is {other}.")
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file name"
        raise StorageError(f"Not read. {shown} cannot be opened: {reason}.") from None


def _counts(sheet: Sheet) -> str:
    plurals = {"fasteners": "sets of fasteners", "size": "sizes"}
    singular = {"fasteners": "set of fasteners"}
    return ", ".join(
        counted(len(sheet.rows(noun)), singular.get(noun, noun), plurals.get(noun))
        for noun in NOUNS
        if sheet.rows(noun)
    )


def show(
    file: Annotated[
        str | None, typer.Argument(metavar="FILE", help="A sheet; this job's, without.")
    ] = None,
    *,
    form: Annotated[
        str | None,
        typer.Option("--format", metavar="text|html|pdf", help="html, pdf: a form for a pencil."),
    ] = None,
    out: Annotated[
        str | None, typer.Option("-o", "--output", metavar="FILE", help="Else to the screen.")
    ] = None,
    force: Force = False,
) -> None:
    """Show a build sheet, or print it as a form.

    Examples:
      bedplate sheet show pump.toml
      bedplate sheet show
      bedplate sheet show pump.toml -o form.html
    """
    sheet = read_sheet_file(Path(file)) if file is not None else at_hand().job.sheet
    form = form or _ending(out)
    if form not in FORMATS:
        raise NotUnderstoodError(
            f"Nothing shown. There is no format {quoted(form)}.", "There are  text  html  pdf"
        )
    screen = context.screen()
    to_file = out is not None and out != "-"
    if screen.as_json and not to_file:
        screen.json({**context.document("sheet show"), "sheet": sheet.as_json()})
    elif form == "text" and not to_file:
        for line in sheet_lines(sheet, screen):
            screen.out(line)
    elif not to_file:
        screen.raw(_printed(sheet, form, screen))
    else:
        file = out or ""
        write_new(Path(file), _printed(sheet, form, screen), force=force)
        _tell_written(screen, "sheet show", file)


def _ending(out: str | None) -> str:
    ending = Path(out or "").suffix.casefold()
    return {".html": "html", ".htm": "html", ".pdf": "pdf"}.get(ending, "text")


def _printed(sheet: Sheet, form: str, screen: Screen) -> bytes:
    """Return a sheet as the bytes of a file."""
    if form == "text":
        lines = sheet_lines(sheet, screen._replace(terminal=False))
        return "".join(f"{line}\n" for line in lines).encode("utf-8")
    from bedplate.report.form import form_html, form_pdf  # noqa: PLC0415 - renderers are heavy

    return form_html(sheet).encode("utf-8") if form == "html" else form_pdf(sheet)


def _tell_written(screen: Screen, command: str, file: str) -> None:
    if screen.as_json:
        screen.json({**context.document(command), "file": file})
        return
    screen.out(f"{visible(file)} written.")


def save(file: File, *, force: Force = False) -> None:
    """Write this job's sheet for the next time.

    Examples:
      bedplate sheet save pump.toml
    """
    found = at_hand()
    write_new(Path(file), sheet_as_toml(found.job.sheet).encode("utf-8"), force=force)
    screen = context.screen()
    if screen.as_json:
        head = context.document("sheet save", found.name, found.job.last)
        screen.json({**head, "file": file})
        return
    shown = visible(file)
    screen.out(f"{shown} written. The next one:  bedplate open NAME --sheet {shown}")
