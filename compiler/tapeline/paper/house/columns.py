"""Which columns of a table say anything: those with a cell that is not empty are shown, on a screen and on every paper.

The first column always stays, since it says what a row is about.
"""

from __future__ import annotations

from collections.abc import Sequence


def telling(rows: Sequence[Sequence[str]], columns: int) -> list[int]:
    """The numbers of the columns that are shown, of so many."""
    return [k for k in range(columns) if k == 0 or any(row[k] for row in rows)]
