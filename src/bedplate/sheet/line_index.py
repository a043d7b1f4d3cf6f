"""Where in a file each key of a sheet stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

Path = tuple[str | int, ...]
"""Where something stands: ``("fit", 2, "band", "limits")``."""


@dataclass
class LineIndex:
    """In which line of the file each key of the data stands."""

    lines: Sequence[str] = ()
    places: dict[Path, int] = field(default_factory=dict)

    def line(self, path: Path) -> int | None:
        """Return the line of a key, or of the nearest thing around it that is known."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.places:
                return self.places[path[:end]]
            # A list of one may be written without its brackets: `band = { … }`.
            bare = tuple(p for i, p in enumerate(path[:end]) if i < 2 or isinstance(p, str))
            if bare in self.places:
                return self.places[bare]
        return None

    def shown(self, path: Path) -> str:
        """Return the source line of a key, blanks outside it left off."""
        line = self.line(path)
        return self.lines[line - 1].strip() if line else ""
