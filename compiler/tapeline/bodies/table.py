"""A size table in CSV: one card a row.

The first column is `size`; every other is a measure, its unit in the heading, `waist [cm]`, or in every cell.
An optional column `note` holds words.  Lines that begin with `#` are comments, blank lines are passed over,
one row is one line.  An empty cell means that the size lacks the measure.  A row with an error yields no
card, the other rows do.  Readings are remembered by column and text, since the cells of a long table repeat;
places are worked out only where something is to be said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from ..source.diagnostics import Diagnostic
from ..source.quantity import read_length
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from ..source.units import ANGLES, LENGTHS, pattern
from .card import Card, most_used_unit, one_line
from .measurement import Doubt, Measurement, doubted
from .reading import (
    Figure,
    check_plausible,
    doubt_diagnostic,
    fitting_units,
    read_value,
    shortened,
    units_of,
)

_CELL = re.compile(r'[ \t]*"(?P<quoted>(?:[^"]|"")*)"[ \t]*(?=,|\Z)|(?P<plain>[^,]*)')
_PLAIN = re.compile(r"[ \t]*([0-9]{1,6})(?:\.([0-9]{1,6}))?[ \t]*\Z")
_UNIT_BEHIND = re.compile(rf"(.+)[_ ]({pattern([*LENGTHS, *ANGLES])})")
_HEADING = re.compile(r"\s*(?P<name>[^\[\]]*?)\s*(?:\[\s*(?P<unit>[^\[\]]*?)\s*\])?\s*\Z")
_ACCEPT = "If it is right, give this body a card of its own and accept it there."
_EXAMPLE = "size, waist [cm], hip [cm]"


class MeasureColumn:
    """One column of measures, and what its cells have been read as."""

    __slots__ = ("measurement", "unit", "heading", "read", "unit_asked")

    def __init__(self, measurement: Measurement, unit: str, heading: Span):
        self.measurement = measurement
        self.unit = unit
        self.heading = heading
        self.unit_asked = False
        self.read: dict[str, tuple[Figure, str]] = {}


def read_table(source: Source, known: Mapping[str, Measurement], doubts: Iterable[Doubt] = ()) -> tuple[list[Card], list[Diagnostic]]:
    """The cards of a size table's rows, in order.

    Codes of cards apply to cells (B104 to B109); of its own the table has B121 empty or not comma-separated,
    B122 the first column is not `size`, B123 a heading twice, B124 a heading's unit, B125 a row of another
    length than the heading, B126 a row without a size, B127 a size twice, B128 a cell's unit against its
    heading.
    """
    reader = TableReader(source, known, tuple(doubts))
    cards = reader.read()
    return cards, reader.diagnostics


class TableReader:
    """Reads the rows of one table; `diagnostics` gathers what is wrong."""

    def __init__(self, source: Source, known: Mapping[str, Measurement], doubts: tuple[Doubt, ...]):
        self.source = source
        self.known = known
        self.doubts = doubts
        self.diagnostics: list[Diagnostic] = []
        self.columns: list[MeasureColumn | None] = []
        self.note_column = -1
        self.sizes: dict[str, int] = {}

    def read(self) -> list[Card]:
        cards: list[Card] = []
        heading_line = 0
        for number, line in enumerate(self.source.text.split("\n"), 1):
            line = line.rstrip("\r").lstrip("\ufeff") if number == 1 else line.rstrip("\r")
            if passed_over(line):
                continue
            if heading_line:
                card = self._row(number, line)
                if card is not None:
                    cards.append(card)
            elif self._heading(number, line):
                heading_line = number
            else:
                return []
        if not heading_line:
            self._add("B121", "This size table is empty", Span(self.source, 0, 0), expected=_EXAMPLE)
        return cards

    def _add(self, *args: Any, **kwargs: Any) -> None:
        self.diagnostics.append(Diagnostic(*args, **kwargs))

    def _span(self, number: int, index: int | None = None) -> Span:
        """The place of a cell of line `number`, or of the whole line."""
        start, line = self.source.starts[number - 1], self.source.line(number)
        if number == 1 and line.startswith("\ufeff"):
            start, line = start + 1, line[1:]
        if index is None:
            return Span(self.source, start, start + len(line))
        _, begin, end = cells_of(line)[index]
        text = line[begin:end]
        begin += len(text) - len(text.lstrip())
        return Span(self.source, start + begin, start + max(begin, begin + len(text.strip())))

    def _heading(self, number: int, line: str) -> bool:
        names = [text.strip() for text, _, _ in cells_of(line)]
        if len(names) == 1 and (";" in line or "\t" in line.strip()):
            self._add(
                "B121",
                "The columns are not comma-separated",
                self._span(number),
                expected=_EXAMPLE,
                suggestion="Save the table as CSV with commas, and decimal points.",
            )
            return False
        if names[0].lower() != "size":
            self._add("B122", 'The first column is not "size"', self._span(number, 0), expected=_EXAMPLE, found=shortened(names[0]))
            return False
        first_index = {"size": 0}
        self.columns = [None]
        for index, heading in enumerate(names[1:], 1):
            self.columns.append(self._column(number, index, heading, first_index))
        return True

    def _column(self, number: int, index: int, heading: str, first_index: dict[str, int]) -> MeasureColumn | None:
        match = _HEADING.match(heading)
        name, unit = (match["name"], match["unit"]) if match else (heading, None)
        if not name:
            self._add("B104", "A column has no heading", self._span(number, index), expected="a measure that a library defines")
            return None
        if name in first_index:
            self._add(
                "B123",
                f"{shortened(name, 30)} stands twice",
                self._span(number, index),
                expected="each measure once",
                others=((self._span(number, first_index[name]), "first here"),),
            )
            return None
        first_index[name] = index
        if name == "note" and unit is None:
            self.note_column = index
            return None
        measurement = self.known.get(name)
        if measurement is None:
            tail = _UNIT_BEHIND.fullmatch(name)
            meant = f'Write "{tail[1]} [{tail[2]}]".' if tail and tail[1] in self.known else did_you_mean(name[:60], self.known)
            self._add(
                "B104",
                f"No measure is called {shortened(name, 30)}",
                self._span(number, index),
                expected="a measure that a library defines",
                suggestion=meant,
            )
            return None
        if unit is not None and unit not in units_of(measurement):
            self._add(
                "B124",
                f"{name} is in an unknown unit",
                self._span(number, index),
                expected=", ".join(units_of(measurement)),
                found=shortened(unit) or "no unit",
            )
            return None
        return MeasureColumn(measurement, unit or "", self._span(number, index))

    def _row(self, number: int, line: str) -> Card | None:
        cells = line.split(",") if '"' not in line else [text for text, _, _ in cells_of(line)]
        if len(cells) != len(self.columns):
            self._add(
                "B125",
                "This row has another length than the heading",
                self._span(number),
                expected=f"{len(self.columns)} cells",
                found=f"{len(cells)} cells",
                suggestion="Keep the comma of an empty cell; write a decimal point, not a comma.",
            )
            return None
        size = one_line(cells[0])
        if not size:
            self._add("B126", "This row has no size", self._span(number, 0), expected="a name of the size")
            return None
        if size in self.sizes:
            self._add(
                "B127",
                f"Size {shortened(size, 30)} stands twice",
                self._span(number, 0),
                others=((self._span(self.sizes[size], 0), "first here"),),
                expected="each size once",
            )
            return None
        self.sizes[size] = number
        return self._card(number, size, cells)

    def _card(self, number: int, size: str, cells: list[str]) -> Card | None:
        values: dict[str, float] = {}
        written: dict[str, str] = {}
        places: dict[str, int] = {}
        units: list[str] = []
        good = True
        for index, (column, cell) in enumerate(zip(self.columns, cells, strict=True)):
            if column is None or not cell or cell.isspace():
                continue
            known = column.read.get(cell) or self._cell(number, index, column, cell, size)
            if known is None:
                good = False
                continue
            name = column.measurement.name
            reading, written[name] = known
            values[name] = reading.value
            units.append(reading.unit)
            places[name] = index
        for doubt in doubted(self.doubts, values, {}):
            first, second = ((written[name], self._span(number, places[name])) for name in (doubt.measure, doubt.other))
            self.diagnostics.append(doubt_diagnostic(doubt, first, second, _ACCEPT).for_body(size))
        if not good:
            return None
        note = one_line(cells[self.note_column]) if self.note_column > 0 else ""
        return Card(size, note, values, written, most_used_unit(units), {}, self._row_span(number), {}, True)

    def _row_span(self, number: int) -> Span:
        start = self.source.starts[number - 1]
        return Span(self.source, start, start + len(self.source.line(number)))

    def _cell(self, number: int, index: int, column: MeasureColumn, cell: str, size: str) -> tuple[Figure, str] | None:
        """One cell read, and remembered if nothing is wrong with it."""
        plain = _plain(column, cell)
        if plain is not None:
            column.read[cell] = known = (plain, f"{cell.strip()} {column.unit}")
            return known
        measurement, span = column.measurement, self._span(number, index)
        text = one_line(cell)
        own = read_length(text) if column.unit and len(text) <= 40 else None
        if own and own[1] and own[1] != column.unit:
            self._add(
                "B128",
                f"{measurement.name}: the cell's unit is not the heading's",
                span,
                body=size,
                expected=column.unit,
                found=shortened(text),
            )
            return None
        whole = f"{text} {column.unit}" if column.unit and not text.endswith(column.unit) else text
        reading = read_value(whole, measurement, span)
        problem: Diagnostic | None
        if isinstance(reading, Figure):
            problem = check_plausible(whole, reading, measurement, span, _ACCEPT)
            if problem is None:
                column.read[cell] = known = (reading, whole)
                return known
        elif reading.code == "B105":
            self._ask_unit(column, reading)
            return None
        else:
            problem = reading
        self.diagnostics.append(problem.for_body(size))
        return None

    def _ask_unit(self, column: MeasureColumn, problem: Diagnostic) -> None:
        """A column of bare numbers is reported once, at its heading."""
        if column.unit_asked:
            return
        column.unit_asked = True
        name, unit = column.measurement.name, fitting_units(problem.found, column.measurement)[0]
        self._add(
            "B105",
            problem.title,
            column.heading,
            expected=problem.expected,
            found=problem.found,
            suggestion=f'Write the unit in the heading, "{name} [{unit}]", or in every cell.',
            others=((problem.span, "the first such cell"),),
        )


def _plain(column: MeasureColumn, cell: str) -> Figure | None:
    """A plain decimal number below a heading with a unit of length, if it is believed: what long tables are full of."""
    match = _PLAIN.match(cell) if column.unit in LENGTHS else None
    if match is None:
        return None
    per, decimals = LENGTHS[column.unit].per, match[2] or ""
    value = int(match[1] + decimals) * per.numerator / (10 ** len(decimals) * per.denominator)  # rounded once, as a fraction is
    return Figure(value, column.unit) if value > 0.0 and column.measurement.plausible(value) else None


def passed_over(line: str) -> bool:
    """Whether a line is blank or a comment."""
    return not line.strip() or line.lstrip().startswith("#")


def cells_of(line: str) -> list[tuple[str, int, int]]:
    """(text, start, end) of each cell of a line; a cell in quotation marks may hold commas."""
    cells = []
    at = 0
    while True:
        match = _CELL.match(line, at)
        assert match is not None  # the pattern matches nothing as well
        text = match["plain"] if match["quoted"] is None else match["quoted"].replace('""', '"')
        cells.append((text, match.start(), match.end()))
        if match.end() >= len(line):
            return cells
        at = match.end() + 1
