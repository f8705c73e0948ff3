"""A population as the command line names it: a table of bodies, or the bare name of one that comes with the program.

A table may be long, so it is read as a stream, and of each body only the figures are kept that the style asks for.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from ..source.diagnostics import Diagnostic, has_errors
from ..source.text import Source, Span
from .files import find, open_table

if TYPE_CHECKING:
    from ..meaning.style import Style
    from ..probing.probe import Population

USUAL = "ansur_ii_women"


def open_population(name: str, style: Style) -> tuple[Population | None, list[Diagnostic]]:
    """(population or None, diagnostics) of a table, `-` for standard input.  X102.

    Bodies with a row that cannot be read or believed, or that lack a measure which the table has, are left out and counted.
    """
    path, shown, stem = None, "standard input", "standard_input"
    if name != "-":
        path, diagnostics = find(name, ".csv", "populations", "population", "stdlib")
        if path is None:
            return None, diagnostics
        shown, stem = path.name, path.stem
    opened, diagnostics = open_table(path, "a table of bodies (CSV)")
    return (None, diagnostics) if opened is None else _read(opened, shown, stem, style)


def _read(opened: AbstractContextManager[BinaryIO], name: str, stem: str, style: Style) -> tuple[Population | None, list[Diagnostic]]:
    from ..bodies.stream import RowReader, TableStream
    from ..probing.probe import Population

    needed = style.needed
    with opened as file:
        table = TableStream(file, name)
        reader = RowReader(table.heading, style.measurements, name=name, line=table.heading_line or 1)
        if has_errors(reader.about_heading):
            return None, reader.about_heading
        # What the style does not ask for need not be read.
        reader.columns = [column if column is not None and column.measurement.name in needed else None for column in reader.columns]
        measures = [column.measurement.name for column in reader.columns if column is not None]
        figures, left_out, first = [], 0, None
        for row in table.rows():
            _, card, diagnostics = reader.row(row)
            if card is None or any(measure not in card.values for measure in measures):
                left_out += 1
                first = first or next((f"row {row.number}: {diagnostic.title}" for diagnostic in diagnostics), None)
            else:
                figures.append([card.values[measure] for measure in measures])
    if not figures or (needed and not measures):
        heading = Span(Source(name, table.heading), 0, len(table.heading))
        return None, [
            Diagnostic(
                "X102",
                "This table has no body to probe with",
                heading,
                f"bodies with measures of the style: {', '.join(needed) or 'none'}",
                first or f"{len(figures)} bodies with none of them",
                "Give a table that has at least some of the style's measures, for every body.",
            )
        ]
    values = np.array(figures).reshape(len(figures), len(measures))
    return Population(stem, {measure: values[:, k] for k, measure in enumerate(measures)}, len(figures), left_out), []
