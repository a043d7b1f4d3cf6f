"""Options that several commands declare, each in one wording."""

from __future__ import annotations

from typing import Annotated

import typer

At = Annotated[str | None, typer.Option(metavar="TIME", help="When it was done, if not now.")]
Note = Annotated[str | None, typer.Option(metavar="TEXT", help="Kept with the entry.")]
Gauge = Annotated[str | None, typer.Option("-g", "--gauge", metavar="GAUGE", help="Read on it.")]
Temp = Annotated[str | None, typer.Option(metavar="T", help="Temperature of part and gauge.")]
GaugeTemp = Annotated[str | None, typer.Option(metavar="T", help="The gauge's, if another.")]
Yes = Annotated[bool, typer.Option("--yes", help="Keep a value that would be questioned.")]
