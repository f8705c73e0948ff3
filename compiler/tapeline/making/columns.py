"""Tables of words and figures in columns of even width, for a screen or a plain file.

A column without a filled cell is left out.  A table no wider than it may be is written as it is; otherwise the widest columns
give way, and their cells go on in the lines below, broken between words, or else after a point or a low line; a name is never broken
elsewhere, so no column becomes narrower than the longest part of a name in it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from unicodedata import combining, east_asian_width

from ..paper.house.columns import telling

GAP = 3  # characters between columns
_BREAK = re.compile(r"(?<=[._])")  # where a name is broken that is too long for its column


class Table:
    """A title, the heads of the columns, and rows; figures stand to the right of their columns, words to the left."""

    def __init__(self, title: str):
        self.title = title
        self.heads: list[str] = []
        self.figures: list[bool] = []
        self.rows: list[tuple[str, ...]] = []

    def add_column(self, head: str, figures: bool = False) -> None:
        self.heads.append(head)
        self.figures.append(figures)

    def add_row(self, *cells: str) -> None:
        self.rows.append(cells)

    def lines(self, most: int) -> list[str]:
        """The table, no line of it longer than `most` while its columns can give way."""
        told = self.telling()
        if told is not self:
            return told.lines(most)
        widths = self._widths(most)
        across = sum(widths) + GAP * (len(widths) - 1) + 2
        return [
            self.title,
            "",
            *self._row(self.heads, widths),
            " " + "\u2500" * (across - 2),
            *(line for row in self.rows for line in self._row(row, widths)),
            "",
        ]

    def telling(self) -> Table:
        """The table without the columns that say nothing."""
        kept = telling(self.rows, len(self.heads))
        return self if len(kept) == len(self.heads) else self._of(kept)

    def _of(self, kept: Sequence[int]) -> Table:
        """The table with these columns alone."""
        table = Table(self.title)
        table.heads, table.figures = [self.heads[k] for k in kept], [self.figures[k] for k in kept]
        table.rows = [tuple(row[k] for k in kept) for row in self.rows]
        return table

    def _widths(self, most: int) -> list[int]:
        widths = [
            max(_width(line) for row in (self.heads, *self.rows) for line in row[k].split("\n") or [""]) for k in range(len(self.heads))
        ]
        over = sum(widths) + GAP * (len(widths) - 1) + 2 - most
        least = [max(_width(part) for row in (self.heads, *self.rows) for part in _parts(row[k])) for k in range(len(widths))]
        while over > 0 and any(spare := [width if width > narrow else 0 for width, narrow in zip(widths, least, strict=True)]):
            widths[spare.index(max(spare))] -= 1
            over -= 1
        return widths

    def _row(self, cells: Sequence[str], widths: Sequence[int]) -> list[str]:
        broken = [_broken(cell, width) for cell, width in zip(cells, widths, strict=True)]
        lines = []
        for k in range(max(map(len, broken))):
            parts = []
            for column, width, figures in zip(broken, widths, self.figures, strict=True):
                words = column[k] if k < len(column) else ""
                room = " " * (width - _width(words))
                parts.append(room + words if figures else words + room)
            lines.append((" " + (" " * GAP).join(parts)).rstrip())
        return lines


def _parts(cell: str) -> list[str]:
    """What of a cell must stand on one line."""
    return [part for word in cell.split() for part in _BREAK.split(word)] or [""]


def _broken(cell: str, width: int) -> list[str]:
    if all(_width(line) <= width for line in cell.split("\n")):
        return cell.split("\n")
    lines = [""]
    for word in cell.replace("\n", " ").split(" "):
        if lines[-1] and _width(f"{lines[-1]} {word}") <= width:
            lines[-1] += f" {word}"
            continue
        if lines[-1]:
            lines.append("")
        for part in _BREAK.split(word) if _width(word) > width else [word]:
            if lines[-1] and _width(lines[-1] + part) > width:
                lines.append("")
            lines[-1] += part
    return lines


def _width(words: str) -> int:
    """How many places on a screen the words take: some scripts take two for a letter, some accents none."""
    if words.isascii():
        return len(words)
    return sum(0 if combining(letter) else 2 if east_asian_width(letter) in "WF" else 1 for letter in words)
