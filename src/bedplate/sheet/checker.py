"""Every rule that a sheet can break, held against it at once.

What is wrong in one place keeps nothing else from being checked, except what only follows from it.
"""

from __future__ import annotations

from contextlib import suppress

from bedplate.sheet.check_fits import check_fits
from bedplate.sheet.check_names import check_names
from bedplate.sheet.check_parts import check_parts
from bedplate.sheet.check_work import check_work
from bedplate.sheet.faults import EnoughError, Fault, in_file_order
from bedplate.sheet.line_index import LineIndex
from bedplate.sheet.model import Sheet
from bedplate.sheet.scope import Gaps, Scope

_WHOLE = Gaps()


def check_sheet(sheet: Sheet, lines: LineIndex | None = None, gaps: Gaps = _WHOLE) -> list[Fault]:
    """Return every fault of a sheet, in file order; none of a sound one.

    Args:
        sheet: a sheet, its form already validated.
        lines: where its keys stand in the file, if it comes from one.
        gaps: what a faulty file has kept out of it.
    """
    scope = Scope(sheet, lines, gaps)
    with suppress(EnoughError):
        check_names(scope)
        check_parts(scope)
        check_fits(scope)
        check_work(scope)
    return in_file_order(scope.faults)
