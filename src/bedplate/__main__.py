"""``python -m bedplate``: the same as the ``bedplate`` command."""

from __future__ import annotations

import sys

from bedplate.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
