"""For pre-commit: check the styles that are named, `python -m tapeline.desk.checking STYLE...`.

A library cannot be checked by itself: the styles beside it, any of which may use it, are checked in its place.  The exit code is
the highest that `tapeline check` leaves for one of them.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

_LIBRARY = re.compile(rb"^library\b", re.MULTILINE)


def styles_concerned(names: list[str]) -> list[Path]:
    styles: dict[Path, None] = {}
    for path in map(Path, names):
        beside = sorted(path.parent.glob("*.style")) if _is_library(path) else [path]
        styles |= dict.fromkeys(style for style in beside if not _is_library(style))
    return list(styles)


def _is_library(path: Path) -> bool:
    try:
        return _LIBRARY.search(path.read_bytes()) is not None
    except OSError:
        return False  # the check says what is wrong with it


def main(names: list[str]) -> int:
    from .cli import program

    return max(
        (int(program.main(["check", str(path)], "tapeline", standalone_mode=False) or 0) for path in styles_concerned(names)), default=0
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
