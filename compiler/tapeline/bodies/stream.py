"""A size table read as a stream, a share of rows at a time, so that memory stays flat however long it is.

The cells are read as in a table that is read whole (`table.py`), but every row by itself: names need not be unique, and a
cell that lacks its unit is told of each row that has one.  A row is one line; it keeps its number among the rows, its line in
the file, and a digest of its text by which it is known again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import BinaryIO, NamedTuple

from ..source.diagnostics import Diagnostic
from ..source.text import Source, Span
from .card import Card, missing, most_used_unit, one_line
from .measurement import Doubt, Measurement
from .table import MeasureColumn, TableReader, cells_of, passed_over

LONGEST_LINE = 100_000  # bytes; what is longer is cut, and refused as a row
_REMEMBERED = 5_000  # readings of one column, before they are forgotten


class Row(NamedTuple):
    number: int  # among the rows, from 1
    line: int  # in the file, from 1
    text: str  # bytes that are no UTF-8 stand in it as lone surrogates

    @property
    def digest(self) -> str:
        return hashlib.blake2b(self.text.encode("utf-8", "surrogateescape"), digest_size=6).hexdigest()


class Share(NamedTuple):
    """Rows that follow each other."""

    rows: tuple[Row, ...]

    @property
    def first(self) -> int:
        return self.rows[0].number

    def __str__(self) -> str:
        return f"rows {self.first} to {self.rows[-1].number}"


class TableStream:
    """The lines of a size table from a file that is read once, front to back.  `heading` is known at once.

    Where it is `anonymous`, each row has its number in the place of its name from here on.
    """

    def __init__(self, file: BinaryIO, name: str, anonymous: bool = False):
        self.name, self.anonymous = name, anonymous
        self._lines = _lines(file)
        first = next(((number, line) for number, line in self._lines if not passed_over(line)), (0, ""))
        self.heading_line, self.heading = first[0], first[1].encode("utf-8", "replace").decode()

    def rows(self) -> Iterator[Row]:
        number = 0
        for line_number, line in self._lines:
            if not passed_over(line):
                number += 1
                yield Row(number, line_number, _numbered(line, number) if self.anonymous else line)

    def shares(self, size: int) -> Iterator[Share]:
        """The rows, so many at a time: always the same rows together."""
        rows = self.rows()
        while share := tuple(islice(rows, size)):
            yield Share(share)


def _numbered(line: str, number: int) -> str:
    """A row with its number in the first cell."""
    return f"{number}{line[cells_of(line)[0][2] :]}"


def _lines(file: BinaryIO) -> Iterator[tuple[int, str]]:
    number = 0
    while data := file.readline(LONGEST_LINE):
        number += 1
        rest = data
        while not rest.endswith(b"\n") and (rest := file.readline(LONGEST_LINE)):
            pass  # the end of a line that is far too long
        if number == 1:
            data = data.removeprefix(b"\xef\xbb\xbf")
        yield number, data.removesuffix(b"\n").rstrip(b"\r").decode("utf-8", "surrogateescape")


class RowReader(TableReader):
    """Reads rows one by one, below a heading that is read first.

    `needed` are the measures that a row must have; `about_heading` is what is wrong with the heading, found in line `line`
    of a file of that name.
    """

    def __init__(
        self,
        heading: str,
        known: Mapping[str, Measurement],
        doubts: Iterable[Doubt] = (),
        needed: Iterable[str] = (),
        name: str = "heading",
        line: int = 1,
    ):
        super().__init__(Source(name, "\n" * (line - 1) + heading), known, tuple(doubts))
        self.needed = tuple(needed)
        self.read_so_far = 0
        if not heading:
            self.read()  # says that the table is empty
        elif self._heading(line, heading):
            columns = {column.measurement.name for column in self.columns if column is not None}
            self.doubts = tuple(doubt for doubt in self.doubts if {doubt.measure, doubt.other} <= columns)
            card = Card("", "", dict.fromkeys(columns, 0.0), {}, self.unit, {}, self._span(line), {}, True)
            self.diagnostics += missing(card, self.needed, known)
        self.about_heading = self.diagnostics

    @property
    def unit(self) -> str:
        """The unit of most columns, for showing."""
        return most_used_unit(column.unit for column in self.columns if column is not None and column.unit)

    def row(self, row: Row) -> tuple[str, Card | None, list[Diagnostic]]:
        """(name, card or None, what is said of the row); places are those in the row's own text."""
        self._forget()
        self.source = Source("row", row.text)
        self.diagnostics = []
        wrong = _unreadable(row)
        if wrong is not None:
            return "", None, [wrong]
        card = self._row(1, row.text)
        if card is None:
            return one_line(cells_of(row.text)[0][0]), None, self.diagnostics
        if len(card.values) < len(self.columns) - 1:
            lacking = missing(card, self.needed, self.known)
            if lacking:
                return card.name, None, [*self.diagnostics, *lacking]
        return card.name, card, self.diagnostics

    def _forget(self) -> None:
        self.sizes.clear()
        self.read_so_far += 1
        if self.read_so_far % 1000 == 0:
            for column in self.columns:
                if column is not None and len(column.read) > _REMEMBERED:
                    column.read.clear()

    def _ask_unit(self, column: MeasureColumn, problem: Diagnostic) -> None:
        self.diagnostics.append(problem)


def _unreadable(row: Row) -> Diagnostic | None:
    if 4 * len(row.text) >= LONGEST_LINE and len(row.text.encode("utf-8", "surrogateescape")) >= LONGEST_LINE:
        return Diagnostic(
            "B125",
            "This row has another length than the heading",
            Span(Source("row", ""), 0, 0),
            expected="one line for each body",
            found=f"more than {LONGEST_LINE - 1} bytes",
        )
    if row.text.isascii():
        return None
    odd = next((place for place, sign in enumerate(row.text) if "\ud800" <= sign <= "\udfff"), None)
    if odd is None:
        return None
    return Diagnostic(
        "F003",
        "The row is not a UTF-8 text",
        Span(Source("row", row.text), odd, odd + 1),
        found=f"byte {ord(row.text[odd]) - 0xDC00} cannot be read",
        suggestion="Save the table as UTF-8.",
    )
